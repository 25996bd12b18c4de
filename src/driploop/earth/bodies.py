"""Each electrode of a system as a body that can be computed: its measures, with what had to be assumed of them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from driploop.earth.formulas import (
    PlacedRod,
    apart_ft,
    concrete_encased_ohm,
    in_ring,
    is_thin,
    plate_ohm,
    ring_ohm,
    rods_ohm,
)
from driploop.editions import Edition, common_table
from driploop.grounding.electrode_conductor import ROD_LIKE
from driploop.installation.model import Building, Electrode
from driploop.worksheet import Assumption


@dataclass(frozen=True, slots=True)
class Body:
    """One electrode that is not a rod: its resistance by resistivity, at the kindest and the gravest of what is not
    known of it, such as its concrete. [ohm]"""

    electrode: str
    what: str
    low: Callable[[float], float]
    high: Callable[[float], float]


def practice(name: str) -> float:
    """A value of common practice by name, in the unit its row tells."""
    return common_table("earth_practice").cell("value", name=name).number


@dataclass(frozen=True, slots=True)
class Gathered:
    """The electrodes of one place that can be computed: rods where they stand, and everything else."""

    rods: tuple[PlacedRod, ...]
    rod_ids: tuple[str, ...]
    bodies: tuple[Body, ...]
    assumptions: tuple[Assumption, ...]

    @property
    def computed(self) -> tuple[str, ...]:
        """Ids of all of them."""
        return (*self.rod_ids, *(body.electrode for body in self.bodies))


def gathered(electrodes: Sequence[Electrode], building: Building | None, *, edition: Edition) -> Gathered:
    """What can be computed of the electrodes of one place.

    Args:
        electrodes: of the place, in the order of the survey; one that nothing joins is left out.
        building: the place, for how its rods stand.
        edition: for the least measures.
    """
    joined = [each for each in electrodes if each.connected is not False]
    rods = [each for each in joined if is_rod(each, edition=edition)]
    placed, asked = placed_rods(rods, ring=building is not None and building.rods_stand_in == "ring", edition=edition)
    if building is not None and building.rods_stand_in is None and len(placed) > 2:
        asked.append(_unknown_stand(building, placed))
    bodies: list[Body] = []
    for electrode in joined:
        body, assumed = body_of(electrode, edition=edition)
        asked += assumed
        bodies += [body] if body is not None else []
    return Gathered(placed, tuple(rod.id for rod in rods), tuple(bodies), tuple(asked))


def _unknown_stand(building: Building, line: tuple[PlacedRod, ...]) -> Assumption:
    more = 100 * (rods_ohm(1.0, _bent(line)) / rods_ohm(1.0, line) - 1)
    return Assumption(
        f"buildings.{building.id}.rods_stand_in",
        "line",
        f"usual along a wall; in a ring with the least of these distances they read {more:.0f} % more",
        "a ring",
    )


def placed_rods(
    rods: Sequence[Electrode], *, ring: bool, edition: Edition
) -> tuple[tuple[PlacedRod, ...], list[Assumption]]:
    """Rods in one line or ring as far apart as surveyed; unknown measures are the code's least.

    Args:
        rods: rods and pipes, in the order of the survey.
        ring: whether they stand in a ring; then as far apart all round as the nearest two of them.
        edition: for the least length, diameter and distance.
    """
    asked: list[Assumption] = []

    def measure(rod: Electrode, field: str, least_name: str) -> float:
        known: float | None = getattr(rod, field)
        if known is not None:
            return known
        least = edition.value(least_name)
        why = "the code's least; more of it reads lower"
        asked.append(Assumption(f"electrodes.{rod.id}.{field}", least.text, why, "its measure"))
        return least.number

    placed: list[PlacedRod] = []
    x = 0.0
    for number, rod in enumerate(rods):
        length, diameter = measure(rod, "length_ft", "rod_length_ft"), measure(rod, *_DIAMETER)
        if number:
            known = [each for each in (rod.spacing_ft, rods[number - 1].spacing_ft) if each is not None]
            apart = min(known) if known else measure(rod, "spacing_ft", "rod_spacing_ft")
            x += max(apart, (diameter + placed[-1].diameter_in) / 12)  # two rods never share one spot
        placed.append(PlacedRod(x, 0.0, length, diameter))
    line = tuple(placed)
    return (_bent(line) if ring else line), asked


_DIAMETER = ("diameter_in", "listed_rod_diameter_in")


def _bent(line: tuple[PlacedRod, ...]) -> tuple[PlacedRod, ...]:
    """The same rods in a ring, all round as far apart as the nearest two."""
    if len(line) < 3:
        return line
    thickest_ft = max(rod.diameter_in for rod in line) / 12
    spacing = max(min(apart_ft(a, b) for a, b in pairwise(line)), 2 * thickest_ft)
    spots = in_ring(len(line), spacing_ft=spacing, length_ft=1.0, diameter_in=0.1)
    return tuple(replace(rod, x_ft=spot.x_ft, y_ft=spot.y_ft) for rod, spot in zip(line, spots, strict=True))


def body_of(electrode: Electrode, *, edition: Edition) -> tuple[Body | None, list[Assumption]]:
    """An electrode that is no rod as a body; None where no formula fits it or a measure that decides is unknown."""
    match electrode.kind:
        case "plate":
            return _plate(electrode, edition)
        case "ground ring":
            return _ring(electrode, edition)
        case "concrete-encased":
            return _footing(electrode, edition)
        case _:
            return None, []


def is_rod(electrode: Electrode, *, edition: Edition) -> bool:
    """Whether it counts among the rods: a plate is of the same section, yet no rod; nor is a stub as thick as long."""
    if electrode.kind not in ROD_LIKE or electrode.kind == "plate":
        return False
    length = electrode.length_ft or edition.number("rod_length_ft")
    diameter = electrode.diameter_in or edition.number("listed_rod_diameter_in")
    return is_thin(length_ft=length, diameter_in=diameter)


def _assume(electrode: Electrode, field: str, assumed: float, unit: str, asked: list[Assumption]) -> float:
    known: float | None = getattr(electrode, field)
    if known is not None:
        return known
    why = "the least that counts; more of it reads lower"
    asked.append(Assumption(f"electrodes.{electrode.id}.{field}", f"{assumed:g} {unit}", why, "its measure"))
    return assumed


def _plate(electrode: Electrode, edition: Edition) -> tuple[Body, list[Assumption]]:
    asked: list[Assumption] = []
    area = _assume(electrode, "area_ft2", edition.number("plate_area_ft2"), "ft2", asked)
    depth = _assume(electrode, "depth_in", practice("plate_depth_in"), "in", asked)

    def ohm(rho: float) -> float:
        return plate_ohm(rho, surface_ft2=area, depth_in=depth)

    return Body(electrode.id, f"plate of {area:g} ft2, {depth:g} in deep", ohm, ohm), asked


def _ring(electrode: Electrode, edition: Edition) -> tuple[Body | None, list[Assumption]]:
    asked: list[Assumption] = []
    length = _assume(electrode, "length_ft", edition.number("ring_length_ft"), "ft", asked)
    depth = _assume(electrode, "depth_in", edition.number("ring_depth_in"), "in", asked)
    wire = practice("ring_wire_diameter_in")
    if not is_thin(length_ft=length, diameter_in=wire):
        return None, []

    def ohm(rho: float) -> float:
        return ring_ohm(rho, length_ft=length, wire_diameter_in=wire, depth_in=depth)

    return Body(electrode.id, f"ring of {length:g} ft, {depth:g} in deep", ohm, ohm), asked


def _footing(electrode: Electrode, edition: Edition) -> tuple[Body | None, list[Assumption]]:
    asked: list[Assumption] = []
    length = _assume(electrode, "length_ft", edition.number("concrete_encased_ft"), "ft", asked)
    depth = _assume(electrode, "depth_in", practice("encased_depth_in"), "in", asked)
    if not is_thin(length_ft=length, diameter_in=practice("concrete_diameter_in")):
        return None, []

    def ohm(concrete: str) -> Callable[[float], float]:
        return lambda rho: concrete_encased_ohm(
            rho,
            concrete_ohm_cm=practice(concrete),
            length_ft=length,
            bar_diameter_in=practice("encased_bar_diameter_in"),
            concrete_diameter_in=practice("concrete_diameter_in"),
            depth_in=depth,
        )

    body = Body(electrode.id, f"{length:g} ft in concrete", ohm("concrete_low_ohm_cm"), ohm("concrete_high_ohm_cm"))
    return body, asked
