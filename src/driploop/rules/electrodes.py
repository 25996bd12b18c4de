"""What is in the earth: which electrodes are joined, whether they are enough, and the conductors that join them."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.earth.measured import differs, fall_points, read_fall
from driploop.grounding.electrode_conductor import ROD_LIKE
from driploop.grounding.results import ElectrodeSystem
from driploop.grounding.sites import sites
from driploop.installation.model import Electrode
from driploop.rules.catalogue import Found, rule
from driploop.rules.looking import asks
from driploop.rules.readings import Readings
from driploop.worksheet import Verdict

#: Buildings in which a steel frame is likely enough to ask about.
_MAY_HAVE_STEEL = frozenset({"garage", "workshop", "agricultural", "livestock", "poultry", "storage"})


def electrodes_of(r: Readings, *kinds: str) -> Iterator[Electrode]:
    """Every electrode of these kinds that is not known to be left unconnected."""
    for electrode in r.installation.electrodes.values():
        if electrode.kind in kinds and electrode.connected is not False:
            yield electrode


def _system_of(r: Readings, electrode: Electrode) -> ElectrodeSystem | None:
    return next((s for s in r.grounding.systems.values() if electrode.id in s.electrodes), None)


def _matters(r: Readings, electrode: Electrode) -> bool:
    """Whether the measures of an electrode are worth a question: not where the others are enough without it."""
    return not electrode.is_new and asks(r) and not _enough_beside(r, electrode)


def _enough_beside(r: Readings, electrode: Electrode) -> bool:
    """Whether two new rods stand beside an old one, so that it need not count."""
    # One that does not count is in no system: its place is then that of its building.
    system = _system_of(r, electrode) or r.grounding.systems.get(r.graph.site_of(electrode.building) or "")
    others = [] if system is None else [r.installation.electrodes[id] for id in system.electrodes]
    return sum(1 for other in others if other.is_new and other.kind in ROD_LIKE) >= 2


def when_it_counts(r: Readings, electrode: Electrode) -> Verdict | None:
    """The verdict on a rod that is not as it must be: worth knowing where others are enough without it."""
    return Verdict.KNOW if not electrode.is_new and _enough_beside(r, electrode) else None


@rule(
    "electrodes-present-are-joined",
    title="Every electrode that is there is joined to the system",
    why="Electrodes that are apart stand at different voltages when lightning or a fault comes. Joined, they rise and "
    "fall as one, and nobody bridges the difference.",
    requirement="electrode-system",
)
def electrodes_present_are_joined(r: Readings) -> Iterator[Found]:
    for electrode in r.installation.electrodes.values():
        if electrode.kind == "concrete-encased":
            continue  # concrete-encased-electrode-used speaks of it
        if electrode.connected is False:
            mend = "Run an electrode conductor to it from the disconnect of its place."
            yield Found(f"electrodes.{electrode.id}", f"{electrode.title} is not connected.", mend)
        elif electrode.connected is None and asks(r):
            wrong = f"Nobody has seen whether {electrode.title} is connected."
            yield Found(f"electrodes.{electrode.id}.connected", wrong, "Follow its wire from both ends.", Verdict.ASK)
        if electrode.kind is None and asks(r):
            wrong = f"It is not known what {electrode.title} is."
            mend = "See what it is; a gas pipe or aluminum is no electrode."
            yield Found(f"electrodes.{electrode.id}.kind", wrong, mend, Verdict.ASK)
    yield from _services_without(r)
    yield from _steel(r)


def _services_without(r: Readings) -> Iterator[Found]:
    apart = r.edition.value("rod_spacing_ft").text
    for place in sites(r.graph).values():
        system = r.grounding.systems[place.id]
        if not place.fed and not system.electrodes:
            wrong = "No electrode is known at this service."
            mend = f"Join what is there, or drive two rods {apart} apart or more."
            verdict = None if r.proposed else Verdict.ASK
            if r.proposed or asks(r):
                yield Found(f"equipment.{place.lands_at[0]}", wrong, mend, verdict)


def _steel(r: Readings) -> Iterator[Found]:
    joined = {r.graph.site_of(e.building) for e in r.installation.electrodes.values() if e.kind == "metal structure"}
    for place, system in r.grounding.systems.items():
        building = r.installation.buildings.get(place)
        if building is None or not system.required or place in joined:
            continue
        where = f"buildings.{place}.metal_frame_in_earth"
        if building.metal_frame_in_earth:
            mend = "Join it to the electrode system, and enter it as an electrode."
            yield Found(where, f"The metal frame of {building.title} stands in the earth and is not joined.", mend)
        elif building.metal_frame_in_earth is None and building.use in _MAY_HAVE_STEEL and asks(r):
            wrong = f"It is not known whether {building.title} has a metal frame in the earth."
            yield Found(where, wrong, "Look where posts enter the ground; ask who built it.", Verdict.ASK)


@rule(
    "second-electrode-for-a-rod",
    title="A single rod has a second electrode beside it",
    why="One rod in dry or stony soil hardly touches the earth. A second one halves the chance that lightning or a "
    "crossed line finds no way down.",
    requirement="second-rod",
)
def second_electrode_for_a_rod(r: Readings) -> Iterator[Found]:
    limit, apart = r.edition.value("rod_resistance").text, r.edition.value("rod_spacing_ft").text
    for system in r.grounding.systems.values():
        rods = [e for e in map(r.installation.electrodes.__getitem__, system.electrodes) if e.kind in ROD_LIKE]
        joined = [r.installation.electrodes[id].connected is not False for id in system.electrodes]
        if not system.required or not rods or not any(joined) or system.needs_second_electrode is False:
            continue
        if system.needs_second_electrode is None and not asks(r):
            continue
        rod = min(rods, key=lambda e: e.id)
        yield Found(
            f"electrodes.{rod.id}",
            f"{rod.title} may not stand alone: {system.why}.",
            f"Drive a further rod {apart} away or more, or show {limit} or less.",
            None if system.needs_second_electrode else Verdict.ASK,
        )


@rule(
    "electrode-test-can-be-believed",
    title="A test of an electrode shows a plateau",
    why="With the current probe too near, the instrument reads low and a rod that hardly touches the earth passes. "
    "The number on the certificate is then no number at all.",
    requirement="second-rod",
    verdict=Verdict.ASK,
)
def electrode_test_can_be_believed(r: Readings) -> Iterator[Found]:
    for electrode in r.installation.electrodes.values():
        points = fall_points(electrode)
        if not points or electrode.current_probe_ft is None:
            continue
        where = f"electrodes.{electrode.id}.fall_of_potential"
        fall = read_fall(points, current_probe_ft=electrode.current_probe_ft)
        if fall.warning:
            yield Found(where, f"The test of {electrode.title} proves nothing yet.", fall.warning)
        elif fall.value_ohm is not None and differs(fall.value_ohm, electrode.resistance_ohm):
            wrong = f"The test reads {fall.value_ohm:.3g} ohm; the survey says {electrode.resistance_ohm:g} ohm."
            yield Found(where, wrong, "Enter the test's value as resistance_ohm, or say what the other one is.")


@rule(
    "rods-six-feet-apart",
    title="Rods stand apart",
    why="Two rods close together push current into the same earth and do little more than one. Apart, each has ground "
    "of its own.",
    requirement="rods-apart",
)
def rods_six_feet_apart(r: Readings) -> Iterator[Found]:
    least = r.edition.value("rod_spacing_ft")
    for system in r.grounding.systems.values():
        rods = [e for e in map(r.installation.electrodes.__getitem__, system.electrodes) if e.kind in ROD_LIKE]
        measured = any(rod.spacing_ft is not None for rod in rods)
        for rod in rods:
            where = f"electrodes.{rod.id}.spacing_ft"
            if rod.spacing_ft is not None and rod.spacing_ft < least.number:
                wrong = f"{rod.title} stands {rod.spacing_ft:g} ft from the next; {least.text} is the least."
                yield Found(where, wrong, f"Drive one more, {least.text} or more from each.")
            elif not measured and len(rods) > 1 and _matters(r, rod):
                wrong = f"The distance of {rod.title} from the next rod is not known."
                yield Found(where, wrong, f"Measure it; {least.text} or more serves.", Verdict.ASK)


@rule(
    "rod-length",
    title="A rod is long enough in the earth",
    why="Near the surface the earth dries and freezes. Only the deep part of a rod holds all year.",
    requirement="rod-depth",
)
def rod_length(r: Readings) -> Iterator[Found]:
    least = r.edition.value("rod_length_ft")
    for rod in electrodes_of(r, "rod", "pipe"):
        where = f"electrodes.{rod.id}.length_ft"
        if rod.length_ft is not None and rod.length_ft < least.number:
            wrong = f"{rod.title} is {rod.length_ft:g} ft long; {least.text} is the least."
            mend = "Drive a full one beside it; the short one does not count."
            yield Found(where, wrong, mend, when_it_counts(r, rod))
        elif rod.length_ft is None and _matters(r, rod):
            mend = f"Read the mark on its end, or drive a new one of {least.text} and do not count it."
            yield Found(where, f"The length of {rod.title} is not known.", mend, Verdict.ASK)


@rule(
    "rod-diameter",
    title="A rod is thick enough, or listed where it is thinner",
    why="A thin rod rusts through in the ground where nobody sees it. What is left on top then joins nothing.",
    requirement="rod_diameter_in",
)
def rod_diameter(r: Readings) -> Iterator[Found]:
    full, listed = r.edition.value("rod_diameter_in"), r.edition.value("listed_rod_diameter_in")
    for rod in electrodes_of(r, "rod"):
        where = f"electrodes.{rod.id}.diameter_in"
        if rod.diameter_in is None:
            if _matters(r, rod):
                mend = f"Measure it: {full.text} serves, {listed.text} only with its listing mark."
                yield Found(where, f"The thickness of {rod.title} is not known.", mend, Verdict.ASK)
        elif rod.diameter_in < listed.number:
            wrong = f"{rod.title} is {rod.diameter_in:g} in thick; {listed.text} is the least, and that only if listed."
            mend = "Drive a full one beside it; the thin one does not count."
            yield Found(where, wrong, mend, when_it_counts(r, rod))
        elif rod.diameter_in < full.number and _matters(r, rod):
            wrong = f"{rod.title} is {rod.diameter_in:g} in thick, which serves only if it is listed."
            yield Found(where, wrong, "Look for the listing mark near its top.", Verdict.ASK)


# --- the water pipe -------------------------------------------------------------------------------------------------


@rule(
    "water-pipe-supplemented",
    title="A water pipe has a further electrode beside it",
    why="A plumber who puts in one length of plastic takes the pipe away as electrode, and nobody notices. The second "
    "electrode is there on that day.",
    requirement="water-pipe-supplement",
)
def water_pipe_supplemented(r: Readings) -> Iterator[Found]:
    for system in r.grounding.systems.values():
        electrodes = [r.installation.electrodes[id] for id in system.electrodes]
        pipes = [e for e in electrodes if e.kind == "metal water pipe"]
        if pipes and len(pipes) == len(electrodes) and system.required and system.needs_second_electrode is not False:
            pipe = min(pipes, key=lambda e: e.id)
            wrong = f"{pipe.title} is the only electrode here."
            yield Found(f"electrodes.{pipe.id}", wrong, "Add another, two rods as a rule, joined to the same system.")


@rule(
    "water-pipe-connected-near-entry",
    title="The water pipe is joined near where it enters",
    why="Past the first feet, a pipe may be changed to plastic at any repair. Near the entry the joint stays with the "
    "part that lies in the earth.",
    requirement="water-pipe-connection",
)
def water_pipe_connected_near_entry(r: Readings) -> Iterator[Found]:
    most = r.edition.value("water_pipe_connection_ft")
    for pipe in electrodes_of(r, "metal water pipe"):
        where = f"electrodes.{pipe.id}.connection_from_entry_ft"
        if pipe.connection_from_entry_ft is None:
            if asks(r):
                mend = f"Measure along the pipe from the wall; {most.text} or less serves."
                yield Found(where, f"How far in {pipe.title} is joined is not known.", mend, Verdict.ASK)
        elif pipe.connection_from_entry_ft > most.number:
            wrong = f"{pipe.title} is joined {pipe.connection_from_entry_ft:g} ft from its entry."
            yield Found(where, wrong, f"With the supply off, move the clamp to within {most.text} of the entry.")


@rule(
    "water-meter-jumper",
    title="A jumper leads round the water meter and filters",
    why="Whoever takes the meter out opens the ground of the house, and stands with a hand on each side of the gap.",
    requirement="water-meter-jumper",
)
def water_meter_jumper(r: Readings) -> Iterator[Found]:
    sizes = {j.where: j.size for j in r.grounding.jumpers if j.kind == "water meter jumper"}
    for pipe in electrodes_of(r, "metal water pipe"):
        where = f"electrodes.{pipe.id}.meter_jumper"
        size = f"{sizes[pipe.id]} copper or larger" if pipe.id in sizes else "the size of the electrode conductor"
        mend = f"Clamp a jumper of {size} round the meter, filter or softener, long enough to take it out."
        if pipe.meter_jumper is False:
            yield Found(where, f"No jumper leads round the meter or filter of {pipe.title}.", mend)
        elif pipe.meter_jumper is None and asks(r):
            wrong = f"It is not known whether a jumper leads round the meter and filters of {pipe.title}."
            yield Found(
                where, wrong, "See whether there is a meter or filter at all, and a wire round it.", Verdict.ASK
            )


# --- what is, and is not, an electrode ------------------------------------------------------------------------------


@rule(
    "concrete-encased-electrode-used",
    title="The steel in the footing is used where it can be reached",
    why="Steel in damp concrete is the best electrode a house has, better than any rod. Left out, the system is as "
    "weak as its rods.",
    requirement="concrete-encased-electrode",
)
def concrete_encased_electrode_used(r: Readings) -> Iterator[Found]:
    for electrode in r.installation.electrodes.values():
        if electrode.kind != "concrete-encased" or electrode.connected:
            continue
        reachable = electrode.reachable_without_breaking_concrete
        where = f"electrodes.{electrode.id}"
        if electrode.connected is None:
            if asks(r):
                mend = "Look for a wire or a bar that comes out of the footing."
                yield Found(
                    f"{where}.connected", f"It is not known whether {electrode.title} is joined.", mend, Verdict.ASK
                )
        elif reachable:
            yield Found(where, f"{electrode.title} can be reached and is not joined.", "Join it to the system.")
        elif reachable is None and asks(r):
            wrong = f"It is not known whether {electrode.title} can be reached without breaking concrete."
            yield Found(f"{where}.reachable_without_breaking_concrete", wrong, "Look, and say.", Verdict.ASK)
        elif reachable is False:
            wrong = f"{electrode.title} is left out, since concrete would have to be broken."
            yield Found(where, wrong, "Nothing to do; in an existing building the code allows it.", Verdict.KNOW)


@rule(
    "gas-pipe-is-no-electrode",
    title="A gas pipe is no electrode",
    why="Gas pipe is joined to the ground so that it cannot become live, not to lead current into the earth. Used as "
    "the only electrode it carries lightning past the burners.",
    requirement="not-an-electrode",
)
def gas_pipe_is_no_electrode(r: Readings) -> Iterator[Found]:
    for bond in r.installation.bonds.values():
        place = r.graph.site_of(bond.building)
        system = r.grounding.systems.get(place or "")
        gas = bond.kind in ("gas piping", "corrugated gas tubing") and bond.present
        if gas and system is not None and system.required and not system.electrodes:
            wrong = "The gas piping is joined here, and no electrode is."
            yield Found(f"bonds.{bond.id}", wrong, "Keep the bond, and drive rods as the electrodes.")
