"""What differs between two editions: presence, values, sections and rows, name by name."""

from __future__ import annotations

from dataclasses import dataclass

from driploop.editions.entry import Entry
from driploop.editions.errors import NotInEdition
from driploop.editions.lookup import Edition, load_edition
from driploop.editions.table import Row, Table
from driploop.worksheet import plain


@dataclass(frozen=True, slots=True)
class Difference:
    """One difference. ``what`` is "state", "section", "value", "requires" or "rows"; ``old`` and ``new`` in words.

    For rows, ``old`` lists those only the first edition has and ``new`` those only the second has.
    """

    name: str
    what: str
    old: str
    new: str


def differences(a: Edition, b: Edition) -> list[Difference]:
    """Every difference from ``a`` to ``b``, in the order of ``a``'s names and then of those only ``b`` has.

    How well a value is known is not compared: a carried value is the same value. Where the state differs, or the
    content is known in neither, only the state is told.
    """
    names = dict.fromkeys((*a.names(), *b.names()))
    return [difference for name in names for difference in _of_name(a, b, name)]


@dataclass(frozen=True, slots=True)
class LocalLine:
    """One line in which a place differs from the plain edition.

    ``what`` is "changed", "added" or "forbidden"; ``before`` is "" for what the plain edition does not have;
    ``checked`` is the kind of check the program makes by itself, "" for none.
    """

    overlay: str
    kind: str
    what: str
    name: str
    title: str
    before: str
    now: str
    section: str
    source: str
    checked: str = ""


def local_lines(edition: Edition) -> list[LocalLine]:
    """Every line in which the overlays of an edition differ from the plain one, overlay by overlay.

    A value that an overlay states as the edition has it is no difference and is left out. Where a later overlay
    changes what an earlier one changed, ``before`` is what the earlier one said.
    """
    lines: list[LocalLine] = []
    under = load_edition(edition.name)
    for place, overlay in enumerate(edition.overlays, start=1):
        over = load_edition(edition.name, overlays=edition.overlays[:place])
        kinds = {check.name: check.kind for check in overlay.checks}
        for entry in overlay.entries:
            if entry.kind == "requirement":
                lines.append(LocalLine(overlay.name, overlay.kind, "added", entry.name, entry.title, "", entry.requires,
                                       entry.section, entry.source, kinds.get(entry.name, "")))  # fmt: skip
                continue
            now, old = over.entry(entry.name), _entry(under, entry.name)
            before = (_value(old) or old.state) if old is not None else ""
            after = _value(now)
            if before != after:
                lines.append(LocalLine(overlay.name, overlay.kind, "changed", entry.name, now.title, before, after,
                                       now.section, now.source, ""))  # fmt: skip
        lines += [LocalLine(overlay.name, overlay.kind, "forbidden", ban.method, ban.method.replace("-", " "), "",
                            ban.reason, ban.section, ban.source) for ban in overlay.forbidden]  # fmt: skip
        under = over
    return lines


def _of_name(a: Edition, b: Edition, name: str) -> list[Difference]:
    old, new = _entry(a, name), _entry(b, name)
    if old is None or new is None or old.state != new.state:
        return [Difference(name, "state", old.state if old else "no such name", new.state if new else "no such name")]
    if old.state != "known":
        return []
    found = [("section", old.section, new.section), ("value", _value(old), _value(new))]
    found.append(("requires", old.requires, new.requires))
    if old.kind == "table" == new.kind:
        found.append(("rows", *_rows(a.table(name), b.table(name))))
    return [Difference(name, what, before, after) for what, before, after in found if before != after]


def _entry(edition: Edition, name: str) -> Entry | None:
    try:
        return edition.entry(name)
    except NotInEdition:
        return None


def _value(entry: Entry) -> str:
    return "" if entry.value is None else f"{plain(entry.value)} {entry.unit}".rstrip()


def _rows(a: Table, b: Table) -> tuple[str, str]:
    old, new = [_written(row) for row in a.rows], [_written(row) for row in b.rows]
    return (
        "; ".join(row for row in old if row not in new),
        "; ".join(row for row in new if row not in old),
    )


def _written(row: Row) -> str:
    return ", ".join(f"{column} {cell}" for column, cell in row.items() if column != "confirmed" and cell is not None)
