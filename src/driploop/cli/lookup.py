"""The editions and the rule catalogue on a terminal: ``driploop code``, ``driploop rules``."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from difflib import get_close_matches
from typing import Any

from rich.console import Console

from driploop.cli.columns import put, put_rows
from driploop.editions import Edition, Entry, edition_names, load_edition
from driploop.editions.usage import asked_by
from driploop.rules import catalogue, section_of
from driploop.worksheet import DriploopError, plain

MOST_ENTRIES = 6
KNOWN_FROM = {"page": "print", "derived": "worked out", "memory": "memory", "carried": "edition before"}
_SECTION = re.compile(r"\d{2,3}\.\d+")
_WORD = re.compile(r"[a-z0-9]+")
#: Units at the end of a column's name, as the trade writes them.
_UNITS = {"a": "A", "va": "VA", "kw": "kW", "hp": "hp", "ft": "ft", "in": "in", "in2": "in²", "ft2": "ft²", "c": "°C",
          "v": "V", "cmil": "cmil", "percent": "%", "ohm": "ohm", "kva": "kVA"}  # fmt: skip


def _editions(names: Sequence[str] | None) -> list[Edition]:
    return [load_edition(name) for name in names or edition_names()]


def entries(text: str, names: Sequence[str] | None) -> list[dict[str, Any]]:
    """What the editions hold under a section or plain words, best match first; of a section, its tables first.

    Raises:
        DriploopError: nothing matches; says what to try.
    """
    editions = _editions(names)
    found: dict[str, Entry] = {}
    for edition in reversed(editions):
        for entry in edition.find(text):
            found.setdefault(entry.name, entry)
    if not found:
        raise DriploopError(
            f"Nothing in {_range(editions)} answers to {text!r}.{_near(text, editions)} "
            "Try a section (250.66) or fewer of the trade's words (ground rod)."
        )
    order = list(found)
    if _SECTION.search(text):
        order.sort(key=lambda name: found[name].kind != "table")
    usage = asked_by()
    return [
        {
            "name": name,
            "asked_by": list(usage.get(name, ())),
            "editions": {e.name: _entry_data(e, e.entry(name)) for e in editions if name in e.names()},
        }
        for name in order
    ]


def _range(editions: list[Edition]) -> str:
    return editions[0].name if len(editions) == 1 else "the editions"


def _near(text: str, editions: list[Edition]) -> str:
    """A hint for a misspelled word, "" where every word is known or none is near."""
    known = {word for e in editions for n in e.names() for word in _WORD.findall(f"{n} {e.entry(n).title}".lower())}
    hints = []
    for word in _WORD.findall(text.lower()):
        if word not in known and not word.isdigit() and (near := get_close_matches(word, known, n=1)):
            hints.append(near[0])
    return f" Did you mean {', '.join(hints)}?" if hints else ""


def _entry_data(edition: Edition, entry: Entry) -> dict[str, Any]:
    rows: list[dict[str, Any]] = []
    if entry.kind == "table" and entry.state == "known":
        rows = [dict(row) for row in edition.table(entry.name).rows]
    return {
        "kind": entry.kind,
        "title": entry.title,
        "section": entry.section,
        "state": entry.state,
        "value": entry.value,
        "unit": entry.unit,
        "requires": entry.requires,
        "source": entry.source,
        "confirmed": entry.confirmed,
        "note": entry.note,
        "rows": rows,
    }


def show_entries(found: list[dict[str, Any]]) -> None:
    """Print the best matches in full, and name the rest."""
    console = Console(highlight=False)
    for each in found[:MOST_ENTRIES]:
        _show_entry(console, each)
    rest = [each["name"] for each in found[MOST_ENTRIES:]]
    if rest:
        console.print()
        put(console, f"Further on, each to be asked for by its name: {', '.join(rest)}")


def _show_entry(console: Console, each: dict[str, Any]) -> None:
    editions = each["editions"]
    newest = list(editions.values())[-1]
    console.print()
    put(console, newest["title"], style="bold")
    put(console, each["name"], 2, style="dim")
    rows = [("Edition", "Section", "Value", "Known from")]
    for name, entry in editions.items():
        known = KNOWN_FROM.get(entry["confirmed"], entry["confirmed"])
        rows.append((name, entry["section"] or "-", _value(entry), known))
    put_rows(console, rows, 2, heads=True)
    _show_differs(console, editions)
    for field, label in (("requires", ""), ("note", "Note"), ("source", "Source")):
        _show_words(console, {name: entry[field] for name, entry in editions.items() if entry[field]}, label, editions)
    _show_rows(console, editions)
    if each["asked_by"]:
        put(console, f"Asked for by: {'; '.join(_asker(name) for name in each['asked_by'])}", 2, hang=2, style="dim")


def _asker(name: str) -> str:
    """``driploop.conductors.dwelling.required_ampacity`` as "conductors, required ampacity"."""
    parts = name.removeprefix("driploop.").split(".")
    return f"{parts[0]}, {parts[-1].strip('_').replace('_', ' ')}" if len(parts) > 1 else parts[0]


def _value(entry: dict[str, Any]) -> str:
    if entry["state"] == "absent":
        return "no such rule"
    if entry["state"] == "unknown":
        return "not known here"
    if entry["kind"] == "table":
        return f"{len(entry['rows'])} rows"
    if entry["value"] is None:
        return "requirement"
    return f"{plain(entry['value'])} {entry['unit']}".rstrip()


def _show_differs(console: Console, editions: Mapping[str, dict[str, Any]]) -> None:
    """What is not the same in every edition, in one line."""
    if len(editions) < 2:
        return
    known = [entry for entry in editions.values() if entry["state"] == "known"]
    differs = [
        words
        for words, contents in (
            ("whether there is such a rule", {entry["state"] == "absent" for entry in editions.values()}),
            ("section", {entry["section"] for entry in known}),
            ("value", {_value(entry) for entry in known}),
            ("rows", {_bare(entry) for entry in known}),
            ("what is required", {entry["requires"] for entry in known}),
        )
        if len(contents) > 1
    ]
    words = f"Differs between editions: {', '.join(differs)}." if differs else "The same in every edition."
    put(console, words, 2)


def _show_words(console: Console, words: Mapping[str, str], label: str, editions: Mapping[str, Any]) -> None:
    for text in dict.fromkeys(words.values()):
        names = [name for name, each in words.items() if each == text]
        heads = [label, *(names if len(names) < len(editions) else ())]
        head = ", ".join(word for word in heads if word)
        style = "dim" if label == "Source" else ""
        put(console, f"{head}: {text}" if head else text, 2, hang=2, style=style)


def _bare(entry: dict[str, Any]) -> str:
    """The rows without how well each is known."""
    return str([{k: v for k, v in row.items() if k != "confirmed"} for row in entry["rows"]])


def _show_rows(console: Console, editions: dict[str, Any]) -> None:
    """One table where all editions agree, else one for each content."""
    shown: dict[str, list[str]] = {}
    for name, entry in editions.items():
        if entry["rows"]:
            shown.setdefault(_bare(entry), []).append(name)
    for names in shown.values():
        rows = editions[names[0]]["rows"]
        columns = {c: _column(c) for c in rows[0] if c != "confirmed"}
        cells = [["" if row[c] is None else plain(row[c]) for c in columns] for row in rows]
        numeric = [i for i, c in enumerate(columns) if all(not isinstance(row[c], str) for row in rows)]
        console.print()
        put(console, f"Rows in {', '.join(names)}", 2)
        _show_table(console, list(columns.values()), cells, numeric)


def _show_table(console: Console, heads: list[str], cells: list[list[str]], numeric: list[int]) -> None:
    """Rows as a table, or, where no table fits the width, one paragraph each."""
    if put_rows(console, [heads, *cells], 2, right=numeric, heads=True):
        return
    for row in cells:
        words = "; ".join(f"{head}: {cell}" for head, cell in zip(heads, row, strict=True) if cell)
        put(console, f"- {words}", 2, hang=2)


def _column(name: str) -> str:
    """``minimum_ampacity_a`` as "minimum ampacity, A"."""
    if temperature := re.fullmatch(r"(\w+)_(\d\d)c", name):
        return f"{temperature[1].replace('_', ' ')} {temperature[2]} °C"
    words, _, unit = name.rpartition("_")
    return f"{words.replace('_', ' ')}, {_UNITS[unit]}" if words and unit in _UNITS else name.replace("_", " ")


def on_memory(names: Sequence[str] | None) -> list[dict[str, Any]]:
    """Every entry that still rests on memory, is carried over from an older edition, or is not known."""
    return [
        {"edition": e.name, "name": n, "section": entry.section, "confirmed": entry.confirmed, "state": entry.state}
        for e in _editions(names)
        for n in e.names()
        for entry in (e.entry(n),)
        if entry.state == "unknown" or (entry.state == "known" and entry.confirmed in ("memory", "carried"))
    ]


def show_memory(found: list[dict[str, Any]]) -> None:
    """Print the list of what to look up in the book, edition by edition, in the order of the book."""
    console = Console(highlight=False)
    for edition in dict.fromkeys(each["edition"] for each in found):
        mine = [each for each in found if each["edition"] == edition]
        console.print()
        put(console, f"{edition} ({len(mine)})", style="bold")
        rows = [("Section", "Name", "Known from")]
        for each in sorted(mine, key=lambda each: (_place_in_book(each["section"]), each["name"])):
            known = "not known" if each["state"] == "unknown" else KNOWN_FROM[each["confirmed"]]
            rows.append((each["section"] or "-", each["name"], known))
        put_rows(console, rows, 2, heads=True)
    console.print(
        f"\n{len(found)} entries to be read in the adopted book." if found else "Everything was read in print."
    )


def _place_in_book(section: str) -> tuple[int, int]:
    match = re.search(r"(\d+)(?:\.(\d+))?", section)
    return (int(match[1]), int(match[2] or 0)) if match else (0, 0)


def rules(text: str, names: Sequence[str] | None) -> list[dict[str, Any]]:
    """The catalogue, or the rules that hold these words, or the section, in one of the editions.

    Raises:
        DriploopError: no rule holds them.
    """
    editions = _editions(names)
    words = text.lower().split()
    every = [
        {
            "id": r.id,
            "theme": r.theme.replace("_", " "),
            "title": r.title,
            "why": r.why,
            "verdict": r.verdict.value,
            "sections": {e.name: section_of(r, e) for e in editions},
        }
        for r in catalogue()
    ]
    found = [each for each in every if all(_holds(each, word) for word in words)]
    if not found:
        raise DriploopError(f"No rule holds {text!r}. Fewer words find more; driploop rules  prints them all.")
    return found


def _holds(rule: Mapping[str, Any], word: str) -> bool:
    """Whether a rule has a word that begins so, or a section; "rods" finds "rod"."""
    if _SECTION.search(word):
        return any(word in section.lower() for section in rule["sections"].values())
    text = _WORD.findall(f"{rule['id']} {rule['title']} {rule['why']} {rule['theme']} {rule['verdict']}".lower())
    wanted = _WORD.findall(word)
    return all(any(each.startswith((part, part.rstrip("s") or part)) for each in text) for part in wanted)


def show_rules(found: list[dict[str, Any]]) -> None:
    """Print the catalogue, theme by theme."""
    console = Console(highlight=False)
    theme = ""
    for each in found:
        if each["theme"] != theme:
            theme = each["theme"]
            console.print()
            put(console, theme.capitalize(), style="bold underline")
        console.print()
        put(console, f"{each['title']} [{each['verdict']}]", 2, hang=2, style="bold")
        put(console, each["why"], 4)
        put(console, f"{each['id']} · {_sections(each['sections'])}", 4, style="dim")
    console.print(f"\n{len(found)} {'rule' if len(found) == 1 else 'rules'}.")


def _sections(sections: Mapping[str, str]) -> str:
    """Sections with the editions that number them so."""
    editions: dict[str, list[str]] = {}
    for name, section in sections.items():
        editions.setdefault(section or "section not known", []).append(name.removeprefix("NEC "))
    if len(editions) == 1:
        return next(iter(editions))
    words = {"-": "no such rule"}
    return "; ".join(f"{', '.join(names)}: {words.get(section, section)}" for section, names in editions.items())
