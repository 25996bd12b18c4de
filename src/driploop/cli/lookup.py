"""The editions and the rule catalogue on a terminal: ``driploop code``, ``driploop rules``."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from rich.console import Console
from rich.markup import escape
from rich.padding import Padding
from rich.table import Table

from driploop.editions import Edition, Entry, edition_names, load_edition
from driploop.editions.usage import asked_by
from driploop.rules import catalogue, section_of
from driploop.worksheet import DriploopError, plain

MOST_ENTRIES = 6


def _editions(names: Sequence[str] | None) -> list[Edition]:
    return [load_edition(name) for name in names or edition_names()]


def entries(text: str, names: Sequence[str] | None) -> list[dict[str, Any]]:
    """What the editions hold under a section or plain words, best match first.

    Raises:
        DriploopError: nothing matches; says what to try.
    """
    editions = _editions(names)
    order: dict[str, None] = {}
    for edition in reversed(editions):
        order |= dict.fromkeys(entry.name for entry in edition.find(text))
    if not order:
        raise DriploopError(
            f"Nothing in the editions answers to {text!r}. Try a section (250.66) or the trade's words (ground rod)."
        )
    usage = asked_by()
    return [
        {
            "name": name,
            "asked_by": list(usage.get(name, ())),
            "editions": {e.name: _entry_data(e, e.entry(name)) for e in editions if name in e.names()},
        }
        for name in order
    ]


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
        console.print(f"\n[dim]Also: {', '.join(rest)}[/dim]")


def _show_entry(console: Console, each: dict[str, Any]) -> None:
    editions = each["editions"]
    newest = list(editions.values())[-1]
    console.print(f"\n[bold]{escape(newest['title'])}[/bold]  [dim]{each['name']}[/dim]")
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0))
    for head in ("Edition", "Section", "Value", "Known from", "Source"):
        table.add_column(head)
    for name, entry in editions.items():
        table.add_row(
            name, escape(entry["section"] or "-"), escape(_value(entry)), entry["confirmed"], escape(entry["source"])
        )
    console.print(Padding(table, (0, 0, 0, 2)))
    _show_words(console, editions)
    _show_rows(console, editions)
    if each["asked_by"]:
        console.print(f"  [dim]Asked by: {', '.join(each['asked_by'])}[/dim]")


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


def _show_words(console: Console, editions: dict[str, Any]) -> None:
    for field in ("requires", "note"):
        words = {name: entry[field] for name, entry in editions.items() if entry[field]}
        for text in dict.fromkeys(words.values()):
            names = [name for name, each in words.items() if each == text]
            label = "" if len(names) == len(editions) else f"{', '.join(names)}: "
            console.print(Padding(escape(f"{label}{text}"), (0, 0, 0, 2)))


def _show_rows(console: Console, editions: dict[str, Any]) -> None:
    """One table where all editions agree, else one each with what differs marked by its place."""
    shown: dict[str, list[str]] = {}
    for name, entry in editions.items():
        if entry["rows"]:
            bare = str([{k: v for k, v in row.items() if k != "confirmed"} for row in entry["rows"]])
            shown.setdefault(bare, []).append(name)
    for names in shown.values():
        rows = editions[names[0]]["rows"]
        columns = [c for c in rows[0] if c != "confirmed"]
        table = Table(title=", ".join(names), title_justify="left", box=None, pad_edge=False, padding=(0, 2, 0, 0))
        for column in columns:
            numeric = all(not isinstance(row[column], str) for row in rows)
            table.add_column(column.replace("_", " "), justify="right" if numeric else "left")
        for row in rows:
            table.add_row(*("" if row[c] is None else escape(plain(row[c])) for c in columns))
        console.print(Padding(table, (0, 0, 0, 2)))


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
    """Print the list of what to look up in the book."""
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0))
    for head in ("Edition", "Section", "Name", "Known from"):
        table.add_column(head)
    for each in found:
        known = "not known" if each["state"] == "unknown" else each["confirmed"]
        table.add_row(each["edition"], escape(each["section"] or "-"), each["name"], known)
    Console(highlight=False).print(table)


def rules(text: str, names: Sequence[str] | None) -> list[dict[str, Any]]:
    """The catalogue, or the rules that hold these words.

    Raises:
        DriploopError: no rule holds them.
    """
    editions = _editions(names)
    words = text.lower().split()
    found = [
        {
            "id": r.id,
            "theme": r.theme.replace("_", " "),
            "title": r.title,
            "why": r.why,
            "verdict": r.verdict.value,
            "sections": {e.name: section_of(r, e) for e in editions},
        }
        for r in catalogue()
        if all(word in f"{r.id} {r.title} {r.why} {r.theme}".lower() for word in words)
    ]
    if not found:
        raise DriploopError(f"No rule holds the words {text!r}. driploop rules  prints them all.")
    return found


def show_rules(found: list[dict[str, Any]]) -> None:
    """Print the catalogue, theme by theme."""
    console = Console(highlight=False)
    theme = ""
    for each in found:
        if each["theme"] != theme:
            theme = each["theme"]
            console.print(f"\n[bold underline]{theme.capitalize()}[/bold underline]")
        sections = "  ".join(f"{name.removeprefix('NEC ')}: {section}" for name, section in each["sections"].items())
        console.print(f"[bold]{each['id']}[/bold]  [dim]{each['verdict']}[/dim]")
        console.print(Padding(f"{escape(each['title'])}. {escape(each['why'])}", (0, 0, 0, 2)))
        console.print(Padding(f"[dim]{escape(sections)}[/dim]", (0, 0, 0, 2)))
    console.print(f"\n{len(found)} rules.")
