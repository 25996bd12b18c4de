"""What makes a thing in the ground an electrode: its length, its depth, its surface."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.installation import Electrode
from driploop.installation.sizes import rank
from driploop.rules.catalogue import Found, rule
from driploop.rules.electrodes import electrodes_of, when_it_counts
from driploop.rules.facts import gravity
from driploop.rules.looking import asks
from driploop.rules.readings import Readings
from driploop.worksheet import Cited, Verdict


@rule(
    "ring-long-deep-and-thick-enough",
    title="A ground ring is long, deep and thick enough",
    why="A ring gives its current off along its whole length, where the earth stays damp. "
    "A thin or shallow one rusts or freezes out of use and still looks joined.",
    requirement="ground-ring",
)
def ring_long_deep_and_thick_enough(r: Readings) -> Iterator[Found]:
    least_size = str(r.edition.value("ring_minimum").value)
    for ring in electrodes_of(r, "ground ring"):
        if ring.ring_size is not None and rank(ring.ring_size) < rank(least_size):
            wrong = f"{ring.title} is of {ring.ring_size}; {least_size} is the least."
            yield Found(f"electrodes.{ring.id}.ring_size", wrong, _BESIDE, gravity(ring))
        yield from _measure(r, ring, "length_ft", ring.length_ft, r.edition.value("ring_length_ft"), "long")
        yield from _measure(r, ring, "depth_in", ring.depth_in, r.edition.value("ring_depth_in"), "deep")


@rule(
    "rod-driven-upright",
    title="A rod is driven upright, or at an angle only where rock forced it",
    why="Each foot of depth meets damper earth. A rod driven aslant for ease stays in the crust that dries and "
    "freezes.",
    requirement="rod_angle_degrees",
)
def rod_driven_upright(r: Readings) -> Iterator[Found]:
    most = r.edition.value("rod_angle_degrees")
    for rod in electrodes_of(r, "rod", "pipe"):
        if rod.laid not in ("at an angle", "flat in a trench"):
            continue
        where, verdict = f"electrodes.{rod.id}", when_it_counts(r, rod)
        if rod.rock_struck is False:
            wrong = f"{rod.title} lies {rod.laid}, and no rock stood in the way."
            yield Found(f"{where}.laid", wrong, "Drive one upright beside it; this one does not count.", verdict)
        elif rod.rock_struck is None and asks(r):
            wrong = f"Whether rock kept {rod.title} from being driven upright is not known."
            yield Found(f"{where}.rock_struck", wrong, "Ask who drove it, or try with a new one.", Verdict.ASK)
        if rod.laid == "at an angle" and rod.angle_degrees is None:
            if asks(r):
                mend = f"Measure from upright at its top; {most.text} or less serves."
                yield Found(f"{where}.angle_degrees", f"The angle of {rod.title} is not known.", mend, Verdict.ASK)
        elif rod.laid == "at an angle" and (rod.angle_degrees or 0.0) > most.number:
            wrong = f"{rod.title} stands {rod.angle_degrees:g} degrees from upright; {most.text} is the most."
            yield Found(f"{where}.angle_degrees", wrong, "Drive another, or lay it flat in a trench.", verdict)


@rule(
    "rod-laid-deep-enough",
    title="A rod that could not be driven lies deep enough",
    why="A rod in a shallow trench freezes in winter and is cut by the first spade. It then joins nothing.",
    requirement="rod_trench_in",
)
def rod_laid_deep_enough(r: Readings) -> Iterator[Found]:
    least = r.edition.value("rod_trench_in")
    for rod in electrodes_of(r, "rod", "pipe"):
        where = f"electrodes.{rod.id}.depth_in"
        if rod.laid != "flat in a trench":
            continue
        if rod.depth_in is None:
            if asks(r):
                mend = f"Ask who laid it, or dig beside it with care; {least.text} or more serves."
                yield Found(where, f"How deep {rod.title} lies is not known.", mend, Verdict.ASK)
        elif rod.depth_in < least.number:
            wrong = f"{rod.title} lies {rod.depth_in:g} in deep; {least.text} is the least."
            yield Found(where, wrong, "Lay it deeper, or drive another.", when_it_counts(r, rod))


@rule(
    "plate-large-enough",
    title="A plate has surface enough in the earth",
    why="A plate works by the surface that touches the earth, and nobody sees it again once the hole is filled. "
    "A small one is a number on paper.",
    requirement="plate-electrode",
)
def plate_large_enough(r: Readings) -> Iterator[Found]:
    for plate in electrodes_of(r, "plate"):
        yield from _measure(r, plate, "area_ft2", plate.area_ft2, r.edition.value("plate_area_ft2"), "large")


@rule(
    "concrete-encased-long-enough",
    title="The steel or wire in the footing is long enough to count",
    why="Damp concrete gives current off along the whole bar. A short piece of it is only a hook.",
    requirement="concrete-encased-electrode",
)
def concrete_encased_long_enough(r: Readings) -> Iterator[Found]:
    for steel in electrodes_of(r, "concrete-encased"):
        yield from _measure(r, steel, "length_ft", steel.length_ft, r.edition.value("concrete_encased_ft"), "long")


@rule(
    "water-pipe-long-enough-in-the-earth",
    title="A water pipe lies far enough in the earth to count",
    why="Metal pipe that turns to plastic at the wall touches no earth. "
    "Clamped to it, the whole ground of the house hangs in the air.",
    requirement="water-pipe-electrode",
)
def water_pipe_long_enough_in_the_earth(r: Readings) -> Iterator[Found]:
    least = r.edition.value("water_pipe_earth_ft")
    for pipe in electrodes_of(r, "metal water pipe"):
        yield from _measure(r, pipe, "earth_contact_ft", pipe.earth_contact_ft, least, "long in the earth")


_BESIDE = "It does not count; drive rods, or lay one that does. It stays bonded."


def _measure(
    r: Readings, electrode: Electrode, field: str, measure: float | None, least: Cited, how: str
) -> Iterator[Found]:
    where = f"electrodes.{electrode.id}.{field}"
    if measure is None:
        if asks(r) and not electrode.is_new:
            wrong = f"How {how} {electrode.title} is, is not known; {least.text} is the least."
            yield Found(where, wrong, "Ask who laid it, or look where it comes to light.", Verdict.ASK)
    elif measure < least.number:
        wrong = f"{electrode.title} is {measure:g} {least.unit} {how}; {least.text} is the least."
        # What does not count harms nobody while enough others do: the system's own rules say whether they do.
        yield Found(where, wrong, _BESIDE, gravity(electrode))
