"""A local amendment or a utility's requirement, laid over an edition by a TOML file that a shop writes itself.

[overlay]
name = "Town amendments"
who_said_so = "electrical inspector, by letter"
date = 2026-03-02
kind = "town"                          # state, town or utility

[parameter.minimum_service_one_family]  # a value of the edition, changed
value = 150

[requirement.permit-card-on-site]       # a rule of the place, added
title = "Permit card on the site"
requires = "The permit card hangs at the service while work goes on."

[requirement.meter-height]              # one that the program checks by itself: see ``local_check``
title = "Height of the meter"
requires = "The centre of the meter is 48 to 72 in above grade."
check = "meter height"
least_in = 48
most_in = 72
who_said_so = "service guide, page 9"   # each line may name its own source and day
date = 2026-01-15

[forbidden.se-cable]                    # a wiring method the place does not allow
reason = "service-entrance cable is not allowed on an outside wall"
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from driploop.editions.entry import Entry
from driploop.editions.errors import OverlayFault
from driploop.editions.local_check import LIMITS, LocalCheck, check_faults, limits_of
from driploop.worksheet import CONFIRMED

KINDS = ("state", "town", "utility")
_SAID = ("who_said_so", "date")
_PARTS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {  # part: keys it must have, keys it may have
    "parameter": (("value",), ("title", "unit", "section", "confirmed", "note", *_SAID)),
    "requirement": (("title", "requires"), ("section", "confirmed", "note", "check", *LIMITS, *_SAID)),
    "forbidden": (("reason",), ("section", *_SAID)),
}


@dataclass(frozen=True, slots=True)
class Forbidden:
    """A wiring method the place does not allow."""

    method: str
    reason: str
    section: str
    source: str


@dataclass(frozen=True, slots=True)
class Overlay:
    """What a state, a town or a utility asks beyond the edition, with who said so and when (ISO date)."""

    name: str
    who_said_so: str
    date: str
    kind: str
    entries: tuple[Entry, ...] = ()
    forbidden: tuple[Forbidden, ...] = ()
    checks: tuple[LocalCheck, ...] = ()

    @property
    def source(self) -> str:
        """Who said so, and when: ``electrical inspector, by letter, 2026-03-02``."""
        return f"{self.who_said_so}, {self.date}"


def read_overlay(path_or_text: Path | str, *, where: str = "") -> Overlay:
    """An overlay from a file (a ``Path``) or from its text (a ``str``).

    Args:
        path_or_text: the file, or the TOML itself.
        where: how the errors name it; the file's name when left out.

    Raises:
        OverlayFault: with every fault found, one a line.
    """
    name = where or (path_or_text.name if isinstance(path_or_text, Path) else "overlay")
    try:
        text = path_or_text.read_text(encoding="utf-8") if isinstance(path_or_text, Path) else path_or_text
        document = tomllib.loads(text)
    except OSError as fault:
        raise OverlayFault(f"{name}: the file cannot be read: {fault.strerror}.") from fault
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as fault:
        raise OverlayFault(f"{name}: this is not TOML: {fault}.") from fault
    faults = _faults(document)
    if faults:
        raise OverlayFault("\n".join(f"{name}, {fault}" for fault in faults))
    return _build(document)


def _faults(document: Mapping[str, object]) -> list[str]:
    faults = [
        f"{key}: not a part of an overlay; the parts are: overlay, {', '.join(_PARTS)}"
        for key in document
        if key != "overlay" and key not in _PARTS
    ]
    faults += _head_faults(document.get("overlay"))
    for part, (must, may) in _PARTS.items():
        entries = document.get(part, {})
        if not isinstance(entries, dict):
            faults.append(f"{part}: read {entries!r}; write [{part}.its-name] and its keys below it")
            continue
        for name, keys in entries.items():
            faults += _entry_faults(f"{part}.{name}", keys, must=must, may=may)
    return faults


def _head_faults(head: object) -> list[str]:
    if not isinstance(head, dict):
        return ["overlay: missing; an overlay starts with [overlay] and name, who_said_so, date, kind"]
    faults = [
        f"overlay.{key}: read {head.get(key)!r}; a text is needed"
        for key in ("name", "who_said_so")
        if not isinstance(head.get(key), str) or not str(head.get(key)).strip()
    ]
    if not _iso_date(head.get("date")):
        faults.append(f"overlay.date: read {head.get('date')!r}; write the day it was said, as 2026-03-02")
    if head.get("kind") not in KINDS:
        faults.append(f"overlay.kind: read {head.get('kind')!r}; one of: {', '.join(KINDS)}")
    known = ("name", "who_said_so", "date", "kind")
    return faults + [
        f"overlay.{key}: no such key; the keys are: {', '.join(known)}" for key in head if key not in known
    ]


def _entry_faults(where: str, keys: object, *, must: tuple[str, ...], may: tuple[str, ...]) -> list[str]:
    if not isinstance(keys, dict):
        return [f"{where}: read {keys!r}; write [{where}] and its keys below it"]
    faults = [f"{where}.{key}: missing" for key in must if key not in keys]
    for key, read in keys.items():
        if key not in must + may:
            faults.append(f"{where}.{key}: no such key; the keys are: {', '.join(must + may)}")
        elif key == "value":
            if isinstance(read, bool) or not isinstance(read, int | float | str):
                faults.append(f"{where}.value: read {read!r}; a number or a text is needed")
        elif key == "date":
            if not _iso_date(read):
                faults.append(f"{where}.date: read {read!r}; write the day it was said, as 2026-03-02")
        elif key == "check" or key in LIMITS:
            continue
        elif not isinstance(read, str) or not read.strip():
            faults.append(f"{where}.{key}: read {read!r}; a text is needed")
        elif key == "confirmed" and read not in CONFIRMED:
            faults.append(f"{where}.confirmed: read {read!r}; one of: {', '.join(CONFIRMED)}")
    return faults + check_faults(where, keys) if "requires" in must else faults


def _iso_date(written: object) -> str:
    """The date as ISO text, "" when it is none."""
    if isinstance(written, date) and not isinstance(written, datetime):
        return written.isoformat()
    try:
        return date.fromisoformat(written).isoformat() if isinstance(written, str) else ""
    except ValueError:
        return ""


def _build(document: Mapping[str, dict[str, dict[str, object]]]) -> Overlay:
    head = {key: str(value) for key, value in document["overlay"].items()}
    day = _iso_date(document["overlay"]["date"])

    def said(keys: Mapping[str, object]) -> str:
        return f"{keys.get('who_said_so', head['who_said_so'])}, {_iso_date(keys.get('date')) or day}"

    entries = [
        _entry(part, name, keys, place=head["name"], source=said(keys))
        for part in ("parameter", "requirement")
        for name, keys in document.get(part, {}).items()
    ]
    forbidden = [
        Forbidden(method, str(keys["reason"]), str(keys.get("section", head["name"])), said(keys))
        for method, keys in document.get("forbidden", {}).items()
    ]
    written = document.get("requirement", {})
    checks = [
        LocalCheck(
            name=entry.name,
            kind=str(written[entry.name]["check"]),
            title=entry.title,
            requires=entry.requires,
            section=entry.section,
            source=entry.source,
            place=head["kind"],
            limits=limits_of(written[entry.name]),
        )
        for entry in entries
        if entry.kind == "requirement" and "check" in written[entry.name]
    ]
    return Overlay(
        head["name"], head["who_said_so"], day, head["kind"], tuple(entries), tuple(forbidden), tuple(checks)
    )


def _entry(part: str, name: str, keys: Mapping[str, object], *, place: str, source: str) -> Entry:
    value = keys.get("value")
    return Entry(
        kind=part,
        name=name,
        title=str(keys.get("title", "")),
        section=str(keys.get("section", place)),
        source=source,
        # Said, not read, unless the overlay claims a page.
        confirmed=str(keys.get("confirmed", "memory")),
        note=str(keys.get("note", "")),
        requires=str(keys.get("requires", "")),
        value=value if isinstance(value, int | float | str) else None,
        unit=str(keys.get("unit", "")),
    )
