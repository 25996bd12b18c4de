"""What a set point stands for at each piece of equipment: the held load there, or held feeders with the rest."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cached_property
from math import fsum
from typing import Protocol

from driploop.editions import Edition
from driploop.installation import Graph, Installation, LoadManagement
from driploop.loads.gather import Shares, Site
from driploop.loads.load_management import (
    CHARGERS,
    behind_set_points,
    charger_shares,
    controlled,
    judged,
    without,
    write_conditions,
)
from driploop.loads.results import Held, LoadResult, NodeLoad, Permission
from driploop.loads.writing import conductor_current_of, finish, sheet_for
from driploop.worksheet import Assumption

_SURE: tuple[Permission, ...] = ("yes", "ask", "no")


class Reader(Protocol):
    """Who reads the load of one piece of equipment."""

    def node(self, id: str) -> NodeLoad:
        """The calculated load at one piece of equipment."""


class ReadAnew(Protocol):
    """Makes a reader of the same site otherwise: something off, or held back."""

    def __call__(self, installation: Installation, *, metered: bool = True, shares: Shares | None = None) -> Reader: ...


class SetPoints:
    """The load management of one site, each system judged once."""

    def __init__(self, site: Site, *, edition: Edition, read_anew: ReadAnew) -> None:
        self.site = site
        self.graph: Graph = site.graph
        self.edition = edition
        self._read_anew = read_anew
        self._with_shares: dict[str, Reader] = {}

    @property
    def systems(self) -> Mapping[str, LoadManagement]:
        """The systems of the installation."""
        return self.graph.installation.load_management

    @cached_property
    def held(self) -> Mapping[str, Held]:
        """What each system holds, by its id."""
        return {
            id: judged(system, self.graph, unmanaged_a=self._unmanaged_a(system), edition=self.edition)
            for id, system in self.systems.items()
        }

    def at(self, id: str) -> list[LoadResult]:
        """The load here as set points let it be, one result at most: the surest, and of these the smallest."""
        if not self.systems:
            return []
        ways = [way for way in (self._of_what_is_held(id), *self._of_chargers_below(id)) if way is not None]
        return sorted(ways, key=lambda way: (_SURE.index(way.permitted), way.load_va))[:1]

    def _unmanaged_a(self, system: LoadManagement) -> float | None:
        """The load at the held equipment with all held back; None where nobody asks, or nothing tells. [A]"""
        parts = self.graph.installation
        off = controlled(system, parts)
        if system.limits == CHARGERS or system.holds not in parts.equipment or not off:
            return None
        return self._read_anew(without(parts, off)).node(system.holds or "").conductor_current_a

    # --- a service or feeder -------------------------------------------------------------------------------------

    def _of_what_is_held(self, id: str) -> LoadResult | None:
        whole = [h for h in self.held.values() if h.set_point_a and self.systems[h.management].limits != CHARGERS]
        placed = {held.equipment: held for held in whole if held.equipment is not None}
        here = [held for at, held in placed.items() if self.site.hanging[at] is self.site.hanging[id]]
        if here:
            return self._written(id, here[:1], None)
        below = set(self.graph.below(id))
        feeders = {at: held for at, held in placed.items() if at in below and held.permitted != "no"}
        # A set point above another holds it too.
        tops = [held for at, held in feeders.items() if feeders.keys().isdisjoint(self.graph.path_up(at))]
        return self._written(id, tops, self._rest(id, tops)) if tops else None

    def _rest(self, id: str, held: Sequence[Held]) -> LoadResult:
        """What stays at this equipment beside the held feeders, by its own governing method."""
        parts = behind_set_points(self.graph, tuple(each.equipment or "" for each in held))
        return self._read_anew(parts, metered=False).node(id).governing

    def _written(self, id: str, held: Sequence[Held], rest: LoadResult | None) -> LoadResult:
        names = ", ".join(self.graph.equipment(each.equipment or "").title for each in held)
        title = "Set point of the load management" if rest is None else f"Load with {names} at the set point"
        sheet = sheet_for("set point", title, where=id)
        write_conditions(sheet, self.systems[held[0].management], held[0], edition=self.edition)
        for number, each in enumerate(held[1:], start=2):
            at = self.graph.equipment(each.equipment or "").title
            sheet.number("Set point", at, each.set_point_a or 0.0, "A", each.section, key=f"setpoint_{number}")
        volts = self.site.volts
        parts_va = [(each.set_point_a or 0.0) * volts for each in held]
        continuous_va = fsum(parts_va)
        notes: tuple[Assumption, ...] = ()
        if rest is not None:
            rest_va = rest.load_va or 0.0
            sheet.number("Beside it", rest.title, rest_va, "VA", rest.section, key="rest")
            # The continuous part of the rest is known by what it adds to its conductor current.
            added_a = conductor_current_of(rest) - (rest.current_a or 0.0)
            continuous_va += added_a * volts / (self.edition.number("continuous_percent") / 100 - 1)
            parts_va, notes = [*parts_va, rest_va], rest.assumptions
        surest = max((each.permitted for each in held), key=_SURE.index)
        return finish(
            sheet, method="set point", section=held[0].section, parts=parts_va, volts=volts, edition=self.edition,
            continuous_va=continuous_va, permitted=surest, assumptions=notes,
            why="; ".join(dict.fromkeys(each.why for each in held if each.why)),
        )  # fmt: skip

    # --- vehicle chargers ----------------------------------------------------------------------------------------

    def _of_chargers_below(self, id: str) -> list[LoadResult]:
        """The load here with the chargers of each system held together to its set point."""
        below = {load.id for load in self.graph.loads_below(id)}
        systems = [h for h in self.held.values() if h.set_point_a and self.systems[h.management].limits == CHARGERS]
        return [self._with_chargers_held(id, held) for held in systems if below.intersection(held.loads)]

    def _with_chargers_held(self, id: str, held: Held) -> LoadResult:
        if held.management not in self._with_shares:
            shares = charger_shares(self.graph, held, volts=self.site.volts, edition=self.edition)
            parts = self.graph.installation.model_copy(update={"load_management": {}})
            self._with_shares[held.management] = self._read_anew(parts, shares=shares)
        governing = self._with_shares[held.management].node(id).governing
        sheet = sheet_for("set point", f"{governing.title}, chargers held to a set point", where=id)
        write_conditions(sheet, self.systems[held.management], held, edition=self.edition)
        sheet.lines += governing.worksheet.lines
        return replace(
            governing, method="set point", title=sheet.title, permitted=held.permitted, why=held.why,
            worksheet=sheet.done(),
        )  # fmt: skip
