"""What if: wishes tried on a job that change nothing until they are kept."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from starlette.datastructures import FormData, QueryParams

from driploop.store import Edit
from driploop.survey.fields import Key
from driploop.web.asking import asked_of
from driploop.web.numbering import id_after
from driploop.web.stations import id_of
from driploop.web.typed import value_of

_FILE = Path(__file__).parent / "what_if.toml"
_MOST_LETTERS = 30


@dataclass(frozen=True, slots=True)
class Usual:
    """A wish that customers ask about: its switch, the kind of load, the measure of its nameplate with a usual one."""

    id: str
    kind: str
    title: str
    key: Key
    label: str
    usual: str
    said: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Tried:
    """A usual wish as its switch stands: on or off, the measure as typed, the panel that would feed it."""

    usual: Usual
    on: bool
    measure: str
    panel: str


@dataclass(frozen=True, slots=True)
class Trial:
    """All switches: wishes put on top, and wishes of the job left out."""

    tried: tuple[Tried, ...]
    without: tuple[str, ...]

    @property
    def anything(self) -> bool:
        """Whether any switch stands otherwise than the job."""
        return bool(self.without) or any(each.on for each in self.tried)

    def edits(self, tables: Mapping[str, Any]) -> tuple[Edit, ...]:
        """What the job file would say otherwise."""
        wishes = dict(tables.get("wishes", {}))
        gone = [Edit(f"wishes.{id}", None, wishes[id]) for id in self.without]
        taken = set(wishes)
        added = []
        for each in (each for each in self.tried if each.on):
            id = id_of(each.usual.title)
            id = id_after(id, taken) if id in taken else id
            taken.add(id)
            added.append(Edit(f"wishes.{id}", dict(_wish(each, tables)), None))
        return (*gone, *added)


@cache
def usual_wishes() -> tuple[Usual, ...]:
    """The wishes that have a switch, in their order."""
    asked = asked_of("wishes")
    return tuple(
        Usual(each["id"], each["kind"], each["title"], asked[each["key"]].key, asked[each["key"]].label, each["usual"],
              MappingProxyType(each["said"]))
        for each in tomllib.loads(_FILE.read_text(encoding="utf-8"))["wish"]
    )  # fmt: skip


def trial_of(said: QueryParams | FormData, tables: Mapping[str, Any]) -> Trial:
    """The switches as an address or a form tells them; what names nothing that is there is passed over."""
    on, off = set(_words(said, "on")), set(_words(said, "off"))
    panels = tables.get("equipment", {})
    tried = []
    for usual in usual_wishes():
        measure, panel = said.get(f"m-{usual.id}"), str(said.get(f"p-{usual.id}", ""))
        typed = usual.usual if measure is None else str(measure)[:_MOST_LETTERS].strip()
        tried.append(Tried(usual, usual.id in on, typed, panel if panel in panels else ""))
    return Trial(tuple(tried), tuple(id for id in tables.get("wishes", {}) if id in off))


def _words(said: QueryParams | FormData, name: str) -> Sequence[str]:
    return [word for word in said.getlist(name) if isinstance(word, str)]


def _wish(each: Tried, tables: Mapping[str, Any]) -> Iterator[tuple[str, Any]]:
    yield "name", each.usual.title
    yield "kind", each.usual.kind
    yield "when", "now"
    if (value := value_of(each.usual.key, [each.measure])) is not None:
        yield each.usual.key.name, value
    if each.panel:
        yield "panel", each.panel
        building = tables["equipment"][each.panel].get("building")
        if building in tables.get("buildings", {}):
            yield "building", building
    yield from each.usual.said.items()
