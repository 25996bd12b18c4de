"""The grounding electrode conductor: the table by line conductor, and the limits for some electrodes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from driploop.editions import Edition
from driploop.grounding.areas import LineConductors, line_conductors, write_lines
from driploop.installation.kinds import Metal
from driploop.installation.sizes import larger, rank
from driploop.worksheet import Cited, Worksheet, WorksheetWriter

ElectrodeKind = Literal[
    "metal water pipe", "concrete-encased", "ground ring", "rod", "pipe", "plate", "metal structure"
]  # fmt: skip
ROD_LIKE: frozenset[str] = frozenset({"rod", "pipe", "plate"})


@dataclass(frozen=True, slots=True)
class Target:
    """What an electrode conductor runs to. ``ring_size`` is the ring's own conductor, None where not known."""

    kind: ElectrodeKind
    ring_size: str | None = None


@dataclass(frozen=True, slots=True)
class RequiredConductor:
    """Smallest conductor to one electrode in either metal. ``aluminum`` is None where aluminum may not be used."""

    copper: Cited
    aluminum: Cited | None
    why: str


@dataclass(frozen=True, slots=True)
class ElectrodeConductorSize:
    """The answer of ``electrode_conductor``, with its worksheet."""

    copper: str
    aluminum: str | None
    why: str
    section: str
    worksheet: Worksheet


def electrode_conductor(
    line_size: str,
    line_metal: Metal,
    *,
    to: ElectrodeKind,
    edition: Edition,
    sets: int = 1,
    ring_size: str | None = None,
    onward: Sequence[Target] = (),
) -> ElectrodeConductorSize:
    """Smallest grounding electrode conductor to one electrode.

    Args:
        line_size: largest ungrounded service or feeder conductor.
        line_metal: its metal.
        to: the electrode the conductor runs to.
        edition: the code edition to ask.
        sets: line conductors in parallel.
        ring_size: conductor of the ground ring, where ``to`` is one; None = not known, and the limit is not used.
        onward: electrodes the same conductor runs on to; the largest need governs the whole of it.

    Returns:
        Size in copper and in aluminum, why, and the worksheet.

    Raises:
        NotInTable: ``line_size`` is no size of the tables.

    Source:
        The edition's table of grounding electrode conductors and the limits beside it.
    """
    lines = line_conductors(line_size, line_metal, sets=sets, edition=edition)
    writer = WorksheetWriter(f"grounding/electrode-conductor/{to.replace(' ', '-')}", f"Electrode conductor: {to}")
    write_lines(writer, lines, edition=edition)
    need = required_conductor(lines, Target(to, ring_size), onward=onward, edition=edition)
    write_required(writer, f"To the {to}", need, key="conductor")
    return ElectrodeConductorSize(
        str(need.copper.value),
        str(need.aluminum.value) if need.aluminum else None,
        need.why,
        need.copper.section,
        writer.done(),
    )


def required_conductor(
    lines: LineConductors, to: Target, *, onward: Sequence[Target] = (), edition: Edition
) -> RequiredConductor:
    """As ``electrode_conductor``, from line conductors already added up; without a worksheet."""
    need = _alone(lines, to, edition)
    for further in onward:
        beyond = _alone(lines, further, edition)
        why = need.why
        if rank(str(beyond.copper.value)) > rank(str(need.copper.value)):
            why = f"runs on to the {further.kind}, which asks for more: the limit for the {to.kind} is lost"
        need = RequiredConductor(_larger(need.copper, beyond.copper), _larger_or_none(need, beyond), why)
    return need


def write_required(writer: WorksheetWriter, what: str, need: RequiredConductor, *, key: str) -> None:
    """Two worksheet lines: the copper size under ``key``, the aluminum size under ``key`` + " aluminum"."""
    writer.cite(f"{what}, copper", need.why, need.copper, key=key)
    if need.aluminum is not None:
        writer.cite(f"{what}, aluminum", need.why, need.aluminum, key=f"{key} aluminum")


def is_adequate(size: str | None, metal: Metal | None, need: RequiredConductor) -> bool | None:
    """Whether a conductor as found serves; None where an unknown leaves it open."""
    if size is None:
        return None
    copper_serves = rank(size) >= rank(str(need.copper.value))
    aluminum_serves = need.aluminum is not None and rank(size) >= rank(str(need.aluminum.value))
    if metal is None:
        return copper_serves if copper_serves == aluminum_serves else None
    return copper_serves if metal == "copper" else aluminum_serves


def _alone(lines: LineConductors, to: Target, edition: Edition) -> RequiredConductor:
    copper, aluminum = _by_table(lines, edition)
    if to.kind in ROD_LIKE:
        limit, aluminum_limit = edition.value("gec_to_rod_copper"), edition.value("gec_to_rod_aluminum")
        return _limited(copper, aluminum, limit, aluminum_limit, f"to a {to.kind} alone it need be no larger")
    if to.kind == "concrete-encased":
        limit = edition.value("gec_to_concrete_encased_copper")
        why = "to a concrete-encased electrode alone it need be no larger in copper"
        return _limited(copper, aluminum, limit, None, why)
    if to.kind == "ground ring":
        # A ring lies in the earth, where aluminum may not.
        if to.ring_size is None:
            return RequiredConductor(copper, None, "the ring's own size is not known, so the table governs")
        ring = Cited(to.ring_size, "", copper.section, "")
        need = _limited(copper, aluminum, ring, None, "to a ground ring alone it need be no larger than the ring")
        return RequiredConductor(need.copper, None, need.why)
    return RequiredConductor(copper, aluminum, f"by the line conductors, for a {to.kind}")


def _by_table(lines: LineConductors, edition: Edition) -> tuple[Cited, Cited]:
    table = edition.table("grounding_electrode_conductor")
    row = table.at_least(f"{lines.metal}_to_cmil", lines.area_cmil)
    return table.cite(row, "copper"), table.cite(row, "aluminum")


def _limited(
    copper: Cited, aluminum: Cited, copper_limit: Cited, aluminum_limit: Cited | None, why: str
) -> RequiredConductor:
    if rank(str(copper.value)) <= rank(str(copper_limit.value)):
        return RequiredConductor(copper, aluminum, "by the line conductors, below the limit for this electrode")
    # Without a limit of its own in aluminum, the table's size stands.
    return RequiredConductor(copper_limit, aluminum_limit or aluminum, why)


def _larger(first: Cited, second: Cited) -> Cited:
    return first if larger(str(first.value), str(second.value)) == first.value else second


def _larger_or_none(first: RequiredConductor, second: RequiredConductor) -> Cited | None:
    if first.aluminum is None or second.aluminum is None:
        return None
    return _larger(first.aluminum, second.aluminum)
