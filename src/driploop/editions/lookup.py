"""Ask an edition: a table, a value, a section number, by the name the trade gives it."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from difflib import get_close_matches
from functools import lru_cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import Any

from driploop.editions import search
from driploop.editions.entry import Entry
from driploop.editions.errors import NotInEdition, OverlayFault, UnknownEdition
from driploop.editions.local_check import LocalCheck
from driploop.editions.overlay import Forbidden, Overlay
from driploop.editions.table import Table, parse_table
from driploop.worksheet import CONFIRMED, Cited

_FOLDER = re.compile(r"nec_(\d{4})")
_COMMON = "common"


@dataclass(frozen=True, slots=True)
class Edition:
    """One edition of the code with the overlays of the place. Two are equal when name and overlays are.

    Tables, parameters and requirements share one set of names. What the edition does not have is "absent", what
    was not seen in print is "unknown"; asking either for its value or table raises ``NotInEdition``.
    """

    name: str
    year: int
    overlays: tuple[Overlay, ...] = ()
    _shelf: _Shelf = field(compare=False, repr=False, kw_only=True)

    def table(self, name: str) -> Table:
        """The table of this name. Raises NotInEdition when there is none, or its content is not known."""
        if name not in self._shelf.table_files:
            raise NotInEdition(self._no_such("table", name))
        table = self._shelf.table(name)
        if table.state != "known":
            raise NotInEdition(self._silent(self._shelf.entry(name)))
        return table

    def value(self, name: str) -> Cited:
        """The parameter of this name with unit, section and how well it is known. Raises NotInEdition."""
        cited = self._shelf.cited.get(name)
        if cited is None:
            cited = self._shelf.cited[name] = self._cite(name)
        return cited

    def _cite(self, name: str) -> Cited:
        entry = self._shelf.parameters.get(name)
        if entry is None:
            raise NotInEdition(self._no_such("parameter", name))
        if entry.state != "known" or entry.value is None:
            raise NotInEdition(self._silent(entry))
        return Cited(entry.value, entry.unit, entry.section, entry.confirmed)

    def number(self, name: str) -> float:
        """The parameter of this name as a number. Raises NotInEdition; TypeError when it is a word or a size."""
        return self.value(name).number

    def section(self, name: str) -> str:
        """The section of a table, parameter or requirement, as this edition numbers it.

        Raises NotInEdition when the edition has no such name, no such rule, or its section is not known.
        """
        entry = self.entry(name)
        if entry.state == "absent" or not entry.section:
            raise NotInEdition(self._silent(entry))
        return entry.section

    def has(self, name: str) -> bool:
        """False when the edition has no such rule. Raises NotInEdition when no edition knows the name."""
        return self.entry(name).state != "absent"

    def known(self, name: str) -> bool:
        """False when what the edition says was not seen. Raises NotInEdition when no edition knows the name."""
        return self.entry(name).state != "unknown"

    def entry(self, name: str) -> Entry:
        """Everything the edition knows of a name. Raises NotInEdition when there is no such name."""
        entry = self._shelf.entry_or_none(name)
        if entry is None:
            raise NotInEdition(self._no_such("entry", name))
        return entry

    def names(self) -> tuple[str, ...]:
        """Every name: tables, then parameters, then requirements, each in the order of the alphabet."""
        shelf = self._shelf
        return (*sorted(shelf.table_files), *sorted(shelf.parameters), *sorted(shelf.requirements))

    def find(self, text: str) -> list[Entry]:
        """Entries by section (``310.12``, ``Table 310.12(A)``) or by plain words, best first; empty when none."""
        return search.find(text, [self.entry(name) for name in self.names()])

    @property
    def forbidden(self) -> tuple[Forbidden, ...]:
        """Wiring methods the overlays do not allow."""
        return tuple(method for overlay in self.overlays for method in overlay.forbidden)

    @property
    def local_checks(self) -> tuple[LocalCheck, ...]:
        """What the overlays require that a survey can decide, overlay by overlay."""
        return tuple(check for overlay in self.overlays for check in overlay.checks)

    def _no_such(self, kind: str, name: str) -> str:
        near = get_close_matches(name, self.names(), n=3, cutoff=0.5)
        hint = f" Near it: {', '.join(near)}." if near else ""
        return f"{self.name} has no {kind} named {name!r}.{hint}"

    def _silent(self, entry: Entry) -> str:
        if entry.state == "absent":
            return f"{self.name} has no rule {entry.name!r} ({entry.title}). {entry.note.rstrip('.')}."
        section = f" ({entry.section})" if entry.section else ""
        return f"{self.name}: {entry.title}{section}: not known here. {entry.note.rstrip('.')}."


@dataclass(slots=True)
class _Shelf:
    """One edition's files; a table is read when first asked for."""

    edition: str
    table_files: Mapping[str, Traversable]
    parameters: Mapping[str, Entry]
    requirements: Mapping[str, Entry]
    read: dict[str, Table] = field(default_factory=dict)
    cited: dict[str, Cited] = field(default_factory=dict)
    table_entries: dict[str, Entry] = field(default_factory=dict)

    def table(self, name: str) -> Table:
        if name not in self.read:
            text = self.table_files[name].read_text(encoding="utf-8")
            self.read[name] = parse_table(text, name=name, edition=self.edition)
        return self.read[name]

    def entry(self, name: str) -> Entry:
        if name not in self.table_entries:
            self.table_entries[name] = self._entry_of_table(name)
        return self.table_entries[name]

    def _entry_of_table(self, name: str) -> Entry:
        table = self.table(name)
        rated = [str(row["confirmed"]) for row in table.rows]
        weakest = max(rated, key=CONFIRMED.index) if rated else ""
        note = " ".join((*table.notes, table.missing)).strip()
        return Entry("table", name, table.title, table.section, table.source, weakest, table.state, note)

    def entry_or_none(self, name: str) -> Entry | None:
        if name in self.table_files:
            return self.entry(name)
        return self.parameters.get(name) or self.requirements.get(name)


def load_edition(name: str, *, overlays: Sequence[Overlay] = ()) -> Edition:
    """An edition by name ("NEC 2020", "nec_2020" or "2020"), with the overlays of the place laid over it in order.

    Raises:
        UnknownEdition: lists the editions there are.
        OverlayFault: an overlay does not fit the edition; lists every misfit.
    """
    return _load(_folder_of(name), tuple(overlays))


def edition_names() -> tuple[str, ...]:
    """The editions on the shelf, oldest first: ("NEC 2017", ...)."""
    return tuple(_title(folder) for folder in _folders())


def common_table(name: str) -> Table:
    """A table of the trade that no edition governs (cable diameters, transformer impedances ...).

    Raises:
        NotInEdition: lists the tables there are.
    """
    shelf = _common_files()
    if name not in shelf:
        raise NotInEdition(f"no common table is named {name!r}; there are: {', '.join(sorted(shelf))}.")
    return _common_table(name)


def common_table_names() -> tuple[str, ...]:
    """The names ``common_table`` knows."""
    return tuple(sorted(_common_files()))


@lru_cache(maxsize=32)
def _load(folder: str, overlays: tuple[Overlay, ...]) -> Edition:
    home = files(__package__) / folder
    name = _title(folder)
    shelf = _Shelf(
        edition=name,
        table_files=_csv_files(folder),
        parameters=_entries(home / "parameters.toml", "parameter"),
        requirements=_entries(home / "requirements.toml", "requirement"),
    )
    for overlay in overlays:
        shelf = _laid_over(shelf, overlay)
    return Edition(name, int(folder[-4:]), overlays, _shelf=shelf)


def _laid_over(shelf: _Shelf, overlay: Overlay) -> _Shelf:
    faults: list[str] = []
    parameters, requirements = dict(shelf.parameters), dict(shelf.requirements)
    for entry in overlay.entries:
        if entry.kind == "requirement":
            name = entry.name
            while name in requirements:  # a rule of the place stands beside the edition's, never in its stead
                name = f"local-{name}"
            requirements[name] = replace(entry, name=name)
            if entry.name in shelf.parameters or entry.name in shelf.table_files:
                faults.append(f"requirement.{entry.name}: {shelf.edition} has a table or parameter of that name")
            continue
        old = shelf.parameters.get(entry.name)
        if old is None:
            near = get_close_matches(entry.name, shelf.parameters, n=3, cutoff=0.5)
            hint = f"; near it: {', '.join(near)}" if near else ""
            faults.append(f"parameter.{entry.name}: {shelf.edition} has no parameter of that name{hint}")
        elif entry.unit and entry.unit != old.unit:
            faults.append(
                f"parameter.{entry.name}.unit: read {entry.unit!r}; {shelf.edition} counts it in {old.unit!r}"
            )
        elif old.value is not None and isinstance(entry.value, str) != isinstance(old.value, str):
            faults.append(f"parameter.{entry.name}.value: read {entry.value!r}; a value like {old.value!r} is needed")
        else:
            section = entry.section if entry.section != overlay.name else f"{overlay.name} (for {old.section or '?'})"
            parameters[entry.name] = replace(entry, title=entry.title or old.title, unit=old.unit, section=section)
    if faults:
        raise OverlayFault("\n".join(f"{overlay.name}, {fault}." for fault in faults))
    return _Shelf(shelf.edition, shelf.table_files, parameters, requirements)


def _entries(file: Traversable, kind: str) -> dict[str, Entry]:
    document: dict[str, dict[str, Any]] = tomllib.loads(file.read_text(encoding="utf-8"))
    return {name: Entry(kind=kind, name=name, **{"confirmed": "", **keys}) for name, keys in document.items()}


def _folder_of(name: str) -> str:
    year = "".join(character for character in name if character.isdigit())
    folder = f"nec_{year}"
    plain = name.strip().lower().replace(" ", "_")
    if folder not in _folders() or plain not in (folder, year):
        raise UnknownEdition(f"no edition is named {name!r}; there are: {', '.join(edition_names())}.")
    return folder


def _title(folder: str) -> str:
    return folder.replace("nec_", "NEC ")


@lru_cache(maxsize=1)
def _folders() -> tuple[str, ...]:
    return tuple(sorted(item.name for item in files(__package__).iterdir() if _FOLDER.fullmatch(item.name)))


@lru_cache(maxsize=32)
def _csv_files(folder: str) -> Mapping[str, Traversable]:
    found = (files(__package__) / folder).iterdir()
    return {item.name.removesuffix(".csv"): item for item in found if item.name.endswith(".csv")}


def _common_files() -> Mapping[str, Traversable]:
    return _csv_files(_COMMON)


@lru_cache(maxsize=64)
def _common_table(name: str) -> Table:
    return parse_table(_common_files()[name].read_text(encoding="utf-8"), name=name, edition="")
