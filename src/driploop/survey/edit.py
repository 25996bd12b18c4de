"""Small edits of a TOML text in place: only the characters that must change do, so comments and order stay."""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from driploop.survey.emit import toml_key, toml_value
from driploop.survey.places import Block, Path, Place, Places, find_places

_COMMENT_LINES = re.compile(r"(?:[ \t]*#[^\n]*(?:\n|$))+(?=[ \t\r]*\n|[ \t\r]*$)")
_LINE_INDENT = re.compile(r"[ \t]*")


def set_value(text: str, path: Path, value: Any) -> str:
    """The text with one key set, where it stands or beside its neighbours; a new table where there is none yet."""
    return set_written(text, path, toml_value(value))


def set_written(text: str, path: Path, written: str) -> str:
    """As ``set_value``, for a value that is already TOML text."""
    places = find_places(text)
    if place := places.keys.get(path):
        return _spliced(text, place.value_start, place.value_end, written)
    if braces := places.keys.get(path[:-1]):
        return _into_braces(text, braces, f"{toml_key(path[-1])} = {written}")
    beside = _neighbour(places, path[:-1])
    if beside is not None:
        block, after = beside
        key = ".".join(toml_key(part) for part in path[len(block.path) :])
        return _line_after(text, block, after, f"{key} = {written}")
    return set_written(add_table(text, path[:-1]), path, written)


def add_table(text: str, path: Path, values: Mapping[str, Any] = MappingProxyType({})) -> str:
    """The text with one more table and its keys, written as its neighbours are: a header, or braces on a line;
    unchanged where the table is there already."""
    places = find_places(text)
    if _is_written(places, path):
        return text
    if place := _last_in_braces(places, path):
        block = places.blocks[place.block]
        inside = ", ".join(_pairs(values))
        braces = f"{{ {inside} }}" if inside else "{}"
        return _line_after(text, block, _line_end(text, place.value_end), f"{toml_key(path[-1])} = {braces}")
    siblings = [block for block in places.blocks if block.path and block.path[0] == path[0]]
    at = _past_comments(text, siblings[-1].end) if siblings else len(text)
    header = f"[{'.'.join(toml_key(part) for part in path)}]"
    before = text[:at]
    gap = "" if not before.strip() else "\n" if before.endswith("\n") else "\n\n"
    lines = "".join(f"{pair}\n" for pair in _pairs(values))
    return before + _own_line_ends(text, f"{gap}{header}\n{lines}") + text[at:]


def remove(text: str, path: Path) -> str:
    """The text without a key or table; unchanged where there is none."""
    places = find_places(text)
    if place := places.keys.get(path):
        return _without_member(text, place) if place.inline else _without_line(text, places, path, place)
    for block in reversed(places.blocks):
        if block.path[: len(path)] == path:
            start = _before_blank_line(text, block.start)
            text = text[:start] + text[block.end :]
    for key, place in sorted(places.keys.items(), key=lambda item: -item[1].key_start):
        block = places.blocks[place.block]
        if key[: len(path)] == path and not place.inline and block.path[: len(path)] != path:
            text = text[: _line_start(text, place.key_start)] + text[_line_end(text, place.value_end) :]
    return text


def rename_table(text: str, old: str, new: str) -> str:
    """The text with a table of the top called otherwise, in every header and key that names it."""
    places = find_places(text)
    starts = [text.index("[", block.start) for block in places.blocks if block.path[:1] == (old,)]
    for key, place in places.keys.items():
        if key[0] == old and not place.inline and not places.blocks[place.block].path:
            starts.append(place.key_start)
    token = re.compile(rf"(\[*\s*)(?:{re.escape(old)}|\"{re.escape(old)}\"|'{re.escape(old)}')")
    for start in sorted(starts, reverse=True):
        text = text[:start] + token.sub(rf"\g<1>{new}", text[start:], count=1)
    return text


def _pairs(values: Mapping[str, Any]) -> list[str]:
    return [f"{toml_key(key)} = {toml_value(value)}" for key, value in values.items()]


def _spliced(text: str, start: int, end: int, new: str) -> str:
    return text[:start] + new + text[end:]


def _own_line_ends(text: str, lines: str) -> str:
    return lines.replace("\n", "\r\n") if "\r\n" in text else lines


def _line_start(text: str, offset: int) -> int:
    return text.rfind("\n", 0, offset) + 1


def _line_end(text: str, offset: int) -> int:
    end = text.find("\n", offset)
    return len(text) if end < 0 else end + 1


def _neighbour(places: Places, table: Path) -> tuple[Block, int] | None:
    """The header under which a key of this table can be written, and the offset after which it goes."""
    for block in places.blocks:
        if block.path == table and (table or block is places.blocks[0]):
            return block, block.end
    dotted = [place for key, place in places.keys.items() if len(key) > len(table) > 0 and key[: len(table)] == table]
    own = [place for place in dotted if not place.inline and len(places.blocks[place.block].path) < len(table)]
    return (places.blocks[own[-1].block], own[-1].value_end) if own else None


def is_written(text: str, path: Path) -> bool:
    """Whether a text has a table."""
    return _is_written(find_places(text), path)


def _is_written(places: Places, path: Path) -> bool:
    return path in places.keys or _neighbour(places, path) is not None


def _last_in_braces(places: Places, path: Path) -> Place | None:
    """The last neighbour of a new part, if it is written in braces under the header of their common table."""
    by_id = [place for key, place in places.keys.items() if key[:-1] == path[:-1] and len(path) > 1]
    written = [place for place in by_id if places.blocks[place.block].path == path[:-1]]
    last = max(written, key=lambda place: place.key_start, default=None)
    headers = [block.start for block in places.blocks if block.path[:1] == path[:1] and len(block.path) > 1]
    return last if last is not None and all(start < last.key_start for start in headers) else None


def _line_after(text: str, block: Block, offset: int, line: str) -> str:
    at = offset if offset == 0 or text[offset - 1 : offset] == "\n" else _line_end(text, offset)
    last_line = _line_start(text, max(at - 1, 0))
    match = _LINE_INDENT.match(text, last_line)
    indent = match.group() if match and at > block.start else ""
    gap = "" if at == 0 or text[at - 1] == "\n" else "\n"
    return text[:at] + _own_line_ends(text, f"{gap}{indent}{line}\n") + text[at:]


def _into_braces(text: str, braces: Place, pair: str) -> str:
    inside = text[braces.value_start + 1 : braces.value_end - 1]
    if not inside.strip():
        return _spliced(text, braces.value_start, braces.value_end, f"{{ {pair} }}")
    at = braces.value_start + 1 + len(inside.rstrip())
    comma = " " if inside.rstrip().endswith(",") else ", "
    return text[:at] + comma + pair + text[at:]


def _without_member(text: str, place: Place) -> str:
    """A key less in a table in braces, with the comma after it, or before it where it is the last."""
    after = re.compile(r"\s*,[ \t]*").match(text, place.value_end)
    if after:
        return text[: place.key_start] + text[after.end() :]
    before = text[: place.key_start].rstrip()
    start = len(before) - 1 if before.endswith(",") else place.key_start
    return text[:start] + text[place.value_end :]


def _without_line(text: str, places: Places, path: Path, place: Place) -> str:
    block = places.blocks[place.block]
    holder = path[:-1]
    dotted = len(holder) > len(block.path)
    others = [key for key in places.keys if key[: len(holder)] == holder and key[: len(path)] != path]
    start, end = _line_start(text, place.key_start), _line_end(text, place.value_end)
    if dotted and not others:  # the last known thing of a part: the part itself stays
        key = ".".join(toml_key(part) for part in holder[len(block.path) :])
        return _spliced(text, place.key_start, place.value_end, f"{key} = {{}}")
    return text[:start] + text[end:]


def _past_comments(text: str, offset: int) -> int:
    """Past the comment lines that follow a table's last key without a blank line: they speak of that table."""
    match = _COMMENT_LINES.match(text, offset)
    return match.end() if match else offset


def _before_blank_line(text: str, offset: int) -> int:
    blank = re.search(r"(?:^|(?<=\n))[ \t]*\r?\n$", text[:offset])
    return blank.start() if blank else offset
