"""Reading TOML itself, with its faults in plain words."""

from __future__ import annotations

import re
import tomllib
from collections import deque
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from driploop.survey.faults import Fault, JobFileError
from driploop.survey.places import find_places

_WHERE = re.compile(r"\(at line (\d+), column (\d+)\)")
_TWICE = "Each name may stand once in its table."


@dataclass(frozen=True, slots=True)
class _Plain:
    """A fault of TOML in plain words: the start of the parser's message, what is allowed, what to do."""

    message: str
    allowed: str
    do: str


_QUOTES = 'Text stands in quotes: metal = "copper". A number stands bare: rating_a = 100. Yes is true, no is false.'
_CLOSE = "Find where it opens and close it."
_WORDS = (
    _Plain("Invalid value", "a number, text in quotes, true, false, a list or a table", _QUOTES),
    _Plain("Expected newline", "one key = value on a line", f"End the line after the value. {_QUOTES}"),
    _Plain("Expected '='", "key = value", "Write the key without spaces, an equals sign, and the value."),
    _Plain("Expected ']'", "a table header as [circuits.range]", "Close the square bracket after the table's name."),
    _Plain("Invalid statement", "key = value, a [table] header or a # comment", "Write the line as one of these."),
    _Plain("Invalid initial", "a key of letters, digits, - and _", "Mend the key; a name cannot be empty."),
    _Plain("Illegal character", "text that ends on its line", "Close the quotes on the line where they open."),
    _Plain("Expected '\"'", "text that ends in quotes", "Close the quotes where the text ends."),
    _Plain("Unterminated string", "text that ends in quotes", "Close the quotes where the text ends."),
    _Plain("Unescaped", "a backslash doubled, or single quotes", "Put such text in single quotes: '1\\2'."),
    _Plain("Unclosed array", "a list that ends with ]", _CLOSE),
    _Plain("Unclosed inline", "a table in braces that ends with }, on one line", _CLOSE),
    _Plain("Invalid date", "a date as 2026-11-25", "Mend the date, or put it in quotes."),
    _Plain("Cannot declare", _TWICE, "Give the second an id of its own, or put its lines under the first."),
    _Plain("Cannot overwrite", _TWICE, "Keep one of the two, or give the second an id of its own."),
    _Plain("Duplicate inline", _TWICE, "Keep one of the two."),
    _Plain("Cannot mutate", _TWICE, "A table in braces is whole: put every key of it inside the braces."),
    _Plain("Cannot redefine", _TWICE, "A table in braces is whole: put every key of it inside the braces."),
)
_OTHER = _Plain("", "text that TOML can read", "Look at this place for a missing quote, bracket or equals sign.")
_REST = "The rest of the file is checked once this is mended."


#: The texts parsed last, with their tables. One edit parses the very same text again and again, and that is most of it.
_LAST: deque[tuple[str, Mapping[str, Any]]] = deque(maxlen=24)


def parse_toml(text: str, *, name: str) -> dict[str, Any]:
    """The tables of a TOML text.

    Raises:
        JobFileError: not TOML; line and column in plain words. TOML stops at its first fault.
    """
    copied: dict[str, Any] = _copied(tables_of(text, name=name))
    return copied


def tables_of(text: str, *, name: str) -> Mapping[str, Any]:
    """The tables of a TOML text as ``parse_toml``, shared with others who asked: to be read only."""
    for known, tables in tuple(_LAST):
        if known == text:  # the very text, or the same come back from a database
            return tables
    tables = parsed_anew(text, name=name)
    remember_tables(text, tables)
    return tables


def remember_tables(text: str, tables: Mapping[str, Any]) -> None:
    """These are the tables of this text: whoever asks for them next is spared the parsing."""
    _LAST.append((text, tables))


def parsed_anew(text: str, *, name: str) -> dict[str, Any]:
    """The tables of a TOML text, whatever is remembered of it. Raises JobFileError as ``parse_toml``."""
    try:
        return tomllib.loads(text)
    except RecursionError:
        fault = Fault(name, None, "", "lists or tables nested very deep", "two or three levels", "Flatten them.")
        raise JobFileError([fault]) from None
    except ValueError as error:
        raise JobFileError([_fault(text, str(error), name=name)]) from None


def _copied(value: Any) -> Any:
    """Tables that whoever asked for them may change."""
    if isinstance(value, dict):
        return {key: _copied(item) for key, item in value.items()}
    if isinstance(value, list):
        return [_copied(item) for item in value]
    return value


def _fault(text: str, message: str, *, name: str) -> Fault:
    where = _WHERE.search(message)
    lines = text.split("\n")
    if where is None and message.startswith("Invalid value") and not text.rstrip().endswith("="):
        message = "Unclosed array"  # what the parser calls a value it looked for, past the end of a list
    plain = next((words for words in _WORDS if message.startswith(words.message)), _OTHER)
    line, column = (int(where.group(1)), int(where.group(2))) if where else (len(text.rstrip().split("\n")), 0)
    place = f"column {column} of" if where else "the end of the file, after"
    read = f"{place}: {lines[line - 1].strip()[:100]}"
    first = _first_line(lines, line, message) if plain.allowed == _TWICE else None
    if first is not None:
        read = f"{read} (the first stands on line {first})"
    return Fault(name, line, "", read, plain.allowed, f"{plain.do} {_REST}")


def _first_line(lines: list[str], line: int, message: str) -> int | None:
    """The line of the first of two, where the text before the second shows it."""
    before = "\n".join([*lines[: line - 1], ""])
    try:
        places = find_places(before)
    except (ValueError, IndexError):
        return None
    if message.startswith("Cannot declare"):
        path = tuple(re.findall(r"'([^']*)'", message))
    else:
        path = (*places.blocks[-1].path, *(part.strip(" \t\"'") for part in lines[line - 1].split("=")[0].split(".")))
    written = path in places.keys or any(block.path[: len(path)] == path for block in places.blocks)
    return places.line(path) if written else None
