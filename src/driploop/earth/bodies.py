"""Each electrode of a system as a body that can be computed: its measures, with what had to be assumed of them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from driploop.earth.formulas import PlacedRod, concrete_encased_ohm, plate_ohm, ring_ohm
from driploop.editions import Edition, common_table
from driploop.grounding.electrode_conductor import ROD_LIKE
from driploop.installation.model import Electrode
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


def placed_rods(rods: list[Electrode], *, edition: Edition) -> tuple[tuple[PlacedRod, ...], list[Assumption]]:
    """Rods in one line as far apart as surveyed; unknown measures are the code's least.

    Args:
        rods: rods and pipes, in the order of the survey.
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
        if number:
            known = [each for each in (rod.spacing_ft, rods[number - 1].spacing_ft) if each]
            x += min(known) if known else measure(rod, "spacing_ft", "rod_spacing_ft")
        length = measure(rod, "length_ft", "rod_length_ft")
        placed.append(PlacedRod(x, 0.0, length, measure(rod, "diameter_in", "listed_rod_diameter_in")))
    return tuple(placed), asked


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


def is_rod(electrode: Electrode) -> bool:
    """Whether it counts among the rods: a plate is of the same section, yet no rod."""
    return electrode.kind in ROD_LIKE and electrode.kind != "plate"


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


def _ring(electrode: Electrode, edition: Edition) -> tuple[Body, list[Assumption]]:
    asked: list[Assumption] = []
    length = _assume(electrode, "length_ft", edition.number("ring_length_ft"), "ft", asked)
    depth = _assume(electrode, "depth_in", edition.number("ring_depth_in"), "in", asked)
    wire = practice("ring_wire_diameter_in")

    def ohm(rho: float) -> float:
        return ring_ohm(rho, length_ft=length, wire_diameter_in=wire, depth_in=depth)

    return Body(electrode.id, f"ring of {length:g} ft, {depth:g} in deep", ohm, ohm), asked


def _footing(electrode: Electrode, edition: Edition) -> tuple[Body, list[Assumption]]:
    asked: list[Assumption] = []
    length = _assume(electrode, "length_ft", edition.number("concrete_encased_ft"), "ft", asked)
    depth = _assume(electrode, "depth_in", practice("encased_depth_in"), "in", asked)

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
