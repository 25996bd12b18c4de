"""Which electrodes of a place count, and whether they are enough."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from driploop.editions import Edition
from driploop.grounding.electrode_conductor import ROD_LIKE
from driploop.installation.model import Electrode
from driploop.installation.sizes import rank
from driploop.worksheet import Assumption, Cited


@dataclass(frozen=True, slots=True)
class Standing:
    """Whether one electrode counts as an electrode of the code: True, False, or None where not known."""

    electrode: Electrode
    counts: bool | None
    why: str
    assumptions: tuple[Assumption, ...] = ()


@dataclass(frozen=True, slots=True)
class Enough:
    """Whether a further electrode is needed: True, False, or None where an unknown leaves it open."""

    needs_another: bool | None
    why: str
    section: str
    assumptions: tuple[Assumption, ...] = ()


def standing(electrode: Electrode, *, edition: Edition) -> Standing:
    """Whether what is in the ground counts as an electrode.

    Args:
        electrode: as surveyed. What is new and has no measure given is taken as built to measure.
        edition: the code edition to ask.

    Returns:
        The answer, why, and what was not known.

    Source:
        The edition's list of electrodes with their least measures.
    """
    match electrode.kind:
        case "rod" | "pipe":
            return _rod(electrode, edition)
        case "metal water pipe":
            return _measured(electrode, "earth_contact_ft", edition.value("water_pipe_earth_ft"))
        case "concrete-encased":
            return _measured(electrode, "length_ft", edition.value("concrete_encased_ft"))
        case "ground ring":
            return _ring(electrode, edition)
        case "plate":
            return Standing(electrode, True, "a plate; its area is seen only when it is set")
        case "metal structure":
            return _measured(electrode, "earth_contact_ft", edition.value("structure_earth_ft"))
        case _:
            asked = _ask(electrode, "kind", "it does not count as an electrode", "what it is")
            return Standing(electrode, None, "its kind is not known", (asked,))


def enough_electrodes(present: Sequence[Standing], *, edition: Edition) -> Enough:
    """Whether the electrodes of one place are enough, or another must be added.

    Args:
        present: the electrodes of the place, each with its standing.
        edition: the code edition to ask.

    Returns:
        The answer with its reason. A rod of unknown resistance beside nothing else needs a second one.

    Source:
        The edition's rules on the supplement of a water pipe and on the single rod, pipe or plate.
    """
    if not any(s.counts is not False for s in present):
        why = f"no electrode is present: two rods are driven, {_apart(edition)} apart or more"
        return Enough(True, why, edition.section("electrode-system"))
    others = [s for s in present if s.electrode.kind not in ROD_LIKE and s.electrode.kind != "metal water pipe"]
    if any(s.counts for s in others):
        return Enough(False, "an electrode that needs no supplement is present", edition.section("electrode-system"))
    rods = [s for s in present if s.electrode.kind in ROD_LIKE]
    by_rods = _rods(rods, edition)
    if by_rods.needs_another and any(s.counts is None for s in others):
        return Enough(
            None, f"{by_rods.why}, unless another electrode proves good", by_rods.section, by_rods.assumptions
        )
    if not rods and by_rods.needs_another:
        return Enough(True, by_rods.why, edition.section("water-pipe-supplement"))
    return by_rods


def _rods(rods: Sequence[Standing], edition: Edition) -> Enough:
    section = edition.section("second-rod")
    sure = [s.electrode for s in rods if s.counts]
    open_ = [s.electrode for s in rods if s.counts is None]
    if not sure and not open_:
        return Enough(True, "a water pipe must have a supplement: two rods, or one shown to be good enough", section)
    limit = edition.value("rod_resistance")
    good = next((e for e in sure if e.resistance_ohm is not None and e.resistance_ohm <= limit.number), None)
    if good is not None:
        why = f"one {good.kind}, shown to be {good.resistance_ohm:g} ohm; {limit.text} or less is asked"
        return Enough(False, why, limit.section)
    least_ft = edition.number("rod_spacing_ft")
    if len(sure) >= 2:
        if any(_spaced(e, least_ft) for e in sure):
            return Enough(False, "two or more rods, pipes or plates, and no test is asked for", section)
        if any(e.spacing_ft is None for e in sure):
            asked = tuple(
                _ask(e, "spacing_ft", "closer than the code allows", f"{_apart(edition)} or more")
                for e in sure
                if e.spacing_ft is None
            )
            return Enough(None, "the distance between the rods is not known", edition.section("rods-apart"), asked)
        return Enough(True, f"rods closer than {_apart(edition)} count as one", edition.section("rods-apart"))
    if len(sure) + len(open_) >= 2:
        return Enough(None, "whether the rods present are long and thick enough is not known", section)
    rod = (sure or open_)[0]
    if rod.resistance_ohm is not None and rod.resistance_ohm <= limit.number:
        why = f"one {rod.kind}, shown to be {rod.resistance_ohm:g} ohm; {limit.text} or less is asked"
        return Enough(None, why, limit.section)
    if rod.resistance_ohm is not None:
        return Enough(True, f"one {rod.kind} of {rod.resistance_ohm:g} ohm; more than {limit.text}", section)
    asked = (_ask(rod, "resistance_ohm", f"more than {limit.text}", f"a documented test of {limit.text} or less"),)
    return Enough(True, f"one {rod.kind}, not shown to be {limit.text} or less", section, asked)


def _spaced(electrode: Electrode, least_ft: float) -> bool:
    # What is yet to be driven is driven at the distance.
    return electrode.is_new if electrode.spacing_ft is None else electrode.spacing_ft >= least_ft


def _rod(electrode: Electrode, edition: Edition) -> Standing:
    least_ft, least_in = edition.number("rod_length_ft"), edition.number("rod_diameter_in")
    listed_in = edition.number("listed_rod_diameter_in")
    length, diameter = electrode.length_ft, electrode.diameter_in
    if length is not None and length < least_ft:
        return Standing(electrode, False, f"{length:g} ft long; {least_ft:g} ft is the least")
    if diameter is not None and diameter < listed_in and electrode.kind == "rod":
        return Standing(
            electrode, False, f"{diameter:g} in thick; {listed_in:g} in is the least, and that only if listed"
        )
    asked = []
    if length is None and not electrode.is_new:
        asked.append(_ask(electrode, "length_ft", f"shorter than {least_ft:g} ft", f"{least_ft:g} ft or more"))
    if electrode.kind == "rod" and not electrode.is_new and (diameter is None or diameter < least_in):
        asked.append(_ask(electrode, "diameter_in", "too thin", f"{least_in:g} in, or {listed_in:g} in with its mark"))
    if asked:
        return Standing(electrode, None, "its measures are not known to be enough", tuple(asked))
    return Standing(electrode, True, f"a {electrode.kind} of {least_ft:g} ft or more")


def _measured(electrode: Electrode, field: str, least: Cited) -> Standing:
    measure: float | None = getattr(electrode, field)
    if measure is None and not electrode.is_new:
        asked = _ask(electrode, field, f"less than {least.text}", f"{least.text} or more")
        return Standing(electrode, None, f"not known to be {least.text} or more in the earth", (asked,))
    if measure is not None and measure < least.number:
        return Standing(electrode, False, f"{measure:g} ft; {least.text} is the least")
    return Standing(electrode, True, f"{least.text} or more")


def _ring(electrode: Electrode, edition: Edition) -> Standing:
    least = str(edition.value("ring_minimum").value)
    if electrode.ring_size is not None and rank(electrode.ring_size) < rank(least):
        return Standing(electrode, False, f"{electrode.ring_size}; {least} is the least")
    measured = _measured(electrode, "length_ft", edition.value("ring_length_ft"))
    if electrode.ring_size is None and measured.counts is not False:
        asked = _ask(electrode, "ring_size", f"smaller than {least}", f"{least} or larger")
        return Standing(electrode, None, "its size is not known", (*measured.assumptions, asked))
    return measured


def _apart(edition: Edition) -> str:
    return edition.value("rod_spacing_ft").text


def _ask(electrode: Electrode, field: str, assumed: str, answer: str) -> Assumption:
    why = "a further electrode is planned, which never harms"
    return Assumption(f"electrodes.{electrode.id}.{field}", assumed, why, answer)
