"""Fuses and breakers: whether they protect the wire that is there, and the panel that holds them."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.circuits.duties_multiwire import multiwire_pairs
from driploop.circuits.today import judge_found
from driploop.circuits.wire import largest_lawful_device
from driploop.conductors import RunSizing, device_for_conductor, required_ampacity
from driploop.editions import NotInTable
from driploop.installation import Circuit, Equipment, Load
from driploop.rules.catalogue import Found, rule
from driploop.rules.facts import asks, enclosures, missing, named, rating_a, service_equipment
from driploop.rules.loads_and_conductors import stands_on_the_dwelling_table
from driploop.rules.looking import largest_device_a, unless_held, weighed
from driploop.rules.readings import Readings
from driploop.worksheet import Verdict

_MOTORS = frozenset(
    {
        "motor", "well pump", "irrigation pump", "workshop machine", "air conditioner", "heat pump", "refrigeration",
        "milking equipment", "ventilation fan", "grain dryer", "welder",
    }
)  # fmt: skip
_COVER_OFF = (
    "Have a qualified person look, with the panel made dead ahead of it: its line side is live with the main off."
)


@rule(
    "breaker-protects-the-old-wire",
    title="Every fuse or breaker is small enough for the wire behind it",
    why="A larger fuse once stopped the nuisance of blowing and started the heating of the wire inside the wall. "
    "The wire, not the old fuse, says how large the new breaker may be.",
    requirement="breaker-matches-wire",
)
def breaker_protects_the_old_wire(r: Readings) -> Iterator[Found]:
    unknown: dict[str, list[Circuit]] = {}
    undecided: dict[str, list[Circuit]] = {}
    for circuit in r.installation.circuits.values():
        panel = circuit.from_ or ""
        if circuit.purpose == "spare" or (circuit.is_new and circuit.wire_size is None):
            continue
        known = circuit.ocpd_a is not None and circuit.wire_size is not None
        most_a = largest_device_a(r, circuit, hopeful=True) if known else None
        if circuit.ocpd_a is None or most_a is None:
            unknown.setdefault(panel, []).append(circuit)
        elif circuit.ocpd_a > most_a:
            yield from _too_large(r, circuit, most_a)
        elif motors_on(r, circuit):
            continue
        elif circuit.ocpd_a > (largest_device_a(r, circuit, hopeful=False) or 0):
            undecided.setdefault(panel, []).append(circuit)
    if not asks(r):
        return
    for panel, circuits in unknown.items():
        mend = f"Read size and metal on each wire; until then no breaker can be chosen. {_COVER_OFF}"
        wrong = f"Wire or fuse of these circuits is not known, or in no table: {named(circuits)}."
        yield Found(_place(panel, circuits), wrong, mend, Verdict.ASK)
    for panel, circuits in undecided.items():
        wrong = f"Metal, insulation or terminals decide whether these devices are too large: {named(circuits)}."
        yield Found(_place(panel, circuits), wrong, f"Read the marks on wire and terminals. {_COVER_OFF}", Verdict.ASK)


def _place(panel: str, circuits: list[Circuit]) -> str:
    """Where a question about several circuits is put: at their panel; at the first by id where that is not known."""
    return f"equipment.{panel}" if panel else f"circuits.{min(circuit.id for circuit in circuits)}.from"


@rule(
    "device-within-the-nameplate",
    title="The device ahead of an appliance is no larger than its nameplate says",
    why="The maker tested the machine with a device of that size ahead of it. "
    "Behind a larger one a stuck compressor burns before anything trips.",
    requirement="ac-nameplate",
)
def device_within_the_nameplate(r: Readings) -> Iterator[Found]:
    for circuit in r.installation.circuits.values():
        marked = [load.mocp_a for load in motors_on(r, circuit) if load.mocp_a is not None]
        if marked and circuit.ocpd_a is not None and circuit.ocpd_a > max(marked):
            wrong = f"A {circuit.ocpd_a:g} A device feeds equipment marked {max(marked):g} A at most."
            yield Found(f"circuits.{circuit.id}", wrong, f"Put in a device of {max(marked):g} A at most.")


@rule(
    "service-overload-protection",
    title="The service conductors end in an overload device that suits them",
    why="The utility's fuse protects the transformer, not the house. "
    "Service conductors with no device at their end overheat as long as the load lasts.",
    requirement="service-overload",
)
def service_overload_protection(r: Readings) -> Iterator[Found]:
    for each in service_equipment(r):
        where = f"equipment.{each.id}"
        if each.kind == "panel" and each.branch_protection not in (None, "none"):
            continue
        if each.main == "none":
            below = [r.installation.runs[run].to for run in r.graph.runs_out.get(each.id, ())]
            parts = [r.installation.equipment[id] for id in below if id in r.installation.equipment]
            if parts and all(part.main in ("breaker", "fuses") for part in parts):
                wrong = "The service switch has no fuses; the overload device is in the next enclosure."
                yield Found(where, wrong, "See that it is right beside the switch.", Verdict.ASK)
            else:
                wrong = "No overload device stands at the end of the service conductors."
                yield Found(where, wrong, "Fit a main breaker or fuses in the disconnect or right beside it.")
        elif each.main is None and asks(r):
            mend = "Read on its label whether it holds a breaker or fuses; do not open it."
            yield Found(where, "Whether it holds an overload device is not known.", mend, Verdict.ASK)
    yield from _mains_over_their_conductors(r)


@rule(
    "feeder-device-protects-feeder",
    title="The device at the start of a feeder protects its conductors",
    why="A feeder is long, mostly out of sight, and often older than its breaker. "
    "Behind too large a device a fault at the far end heats it for its whole length.",
    requirement="breaker-matches-wire",
)
def feeder_device_protects_feeder(r: Readings) -> Iterator[Found]:
    for sizing in r.conductors.runs.values():
        if sizing.kind != "feeder" or sizing.adequate or sizing.ocpd_a is None:
            continue
        if sizing.line_size is None or sizing.ampacity_a is None:
            continue
        metal, most_a = sizing.metal or "aluminum", largest_device(r, sizing)
        if sizing.ocpd_a <= most_a or stands_on_the_dwelling_table(r, r.installation.runs[sizing.run], sizing):
            continue  # dwelling-table-only-for-whole-dwelling speaks of the latter
        wrong = f"A {sizing.ocpd_a:g} A device protects {sizing.line_size} {metal}, which allows {most_a:g} A."
        where, mend = f"runs.{sizing.run}", "A smaller device at its start, or larger conductors."
        if ends_in_small_enough_device(r, sizing.run, most_a):
            if asks(r):
                mend = "Lawful only as a tap that keeps every condition of the tap rules; else: " + mend.lower()
                yield Found(where, wrong, mend, Verdict.ASK)
        elif sizing.adequate is False:
            yield Found(where, wrong, mend)
        elif asks(r):
            yield Found(where, wrong, mend, Verdict.ASK)


@rule(
    "fuse-in-the-neutral",
    title="No fuse in the neutral",
    why="When only the neutral fuse blows, everything goes dark while every wire stays live. "
    "Whoever then touches the wiring, believing it dead, is killed.",
    requirement="fuse-in-neutral",
)
def fuse_in_the_neutral(r: Readings) -> Iterator[Found]:
    for each in enclosures(r):
        where = f"equipment.{each.id}"
        if each.fuse_in_neutral:
            yield Found(where, "A fuse stands in the neutral.", "Take this equipment out; never bridge the fuse.")
        elif each.fuse_in_neutral is None and _has_fuses(each) and asks(r):
            wrong = "Whether a fuse stands in the neutral of this old fuse box is not known."
            yield Found(where, wrong, f"Count the fuses against the lines. {_COVER_OFF}", Verdict.ASK)


@rule(
    "plug-fuses-tamper",
    title="Plug fuses are of the kind that a larger one does not fit",
    why="Any old screw base takes any plug fuse, and sooner or later somebody screws in the largest. "
    "The wire in the wall then has no protection that suits it.",
    requirement="plug-fuses",
    verdict=Verdict.KNOW,
)
def plug_fuses_tamper(r: Readings) -> Iterator[Found]:
    most = r.edition.value("plug_fuse_maximum_a")
    for each in enclosures(r):
        circuits = [c for c in r.graph.circuits_of(each.id) if c.ocpd == "plug fuse"]
        if each.branch_protection != "plug fuses" and not circuits:
            continue
        over = [c for c in circuits if _is_overfused(r, c, each) or (c.ocpd_a or 0) > most.number]
        where = f"equipment.{each.id}"
        if each.is_new:
            yield Found(where, "New equipment has plug fuses of the open kind.", "Use breakers.", Verdict.MEND)
        elif over:
            mend = "Fit adapters that take only the right size, or breakers; overfused boxes may not keep open bases."
            yield Found(where, f"Plug fuses too large for their wire: {named(over)}.", mend, Verdict.MEND)
        else:
            mend = "They may stay only while none is overfused; adapters for the right size are cheap."
            yield Found(where, "It has plug fuses.", mend)


@rule(
    "tandem-breakers-only-where-listed",
    title="Tandem breakers sit only where the panel's label lists them",
    why="A panel is tested with a certain number of breakers and the heat they make. "
    "Tandems forced into other places sit loose on the bus and burn it.",
    requirement="tandem-breakers",
)
def tandem_breakers_only_where_listed(r: Readings) -> Iterator[Found]:
    for each in enclosures(r):
        where = f"equipment.{each.id}"
        if each.tandem_breakers == "elsewhere":
            wrong = "Tandem breakers sit in positions the label does not list."
            yield Found(where, wrong, "Move these circuits to spaces of their own, or to another panel.")
        count = sum(c.poles or 1 for c in r.graph.circuits_of(each.id) if c.purpose != "spare")
        if each.circuits_max is not None and count > each.circuits_max:
            wrong = f"{count} poles are in use; the label allows {each.circuits_max} circuits."
            yield Found(where, wrong, "Move circuits to another panel or to a larger one.")


@rule(
    "unused-openings-closed",
    title="Openings that are not used are closed",
    why="A finger, a mouse or a dropped screw reaches the live bus through the gap of a missing breaker. "
    "When a fault arcs inside, the fire comes out there.",
    requirement="unused-openings",
)
def unused_openings_closed(r: Readings) -> Iterator[Found]:
    for each in r.installation.equipment.values():
        if each.unused_openings:
            wrong = f"Openings left open that nothing uses: {each.unused_openings}."
            yield Found(f"equipment.{each.id}", wrong, "Fit listed filler plates and knockout seals.")


@rule(
    "one-neutral-per-terminal",
    title="Each neutral has its own terminal",
    why="Two neutrals under one screw loosen each other as they warm and cool. "
    "An open neutral puts up to twice the voltage on lamps and electronics.",
    requirement="neutral-terminal",
)
def one_neutral_per_terminal(r: Readings) -> Iterator[Found]:
    for each in enclosures(r):
        if (each.neutrals_under_one_screw or 0) > 1:
            wrong = f"{each.neutrals_under_one_screw} neutrals share one screw."
            yield Found(
                f"equipment.{each.id}",
                wrong,
                "With the panel dead, give each its own hole; add a listed bar where there is none.",
            )


@rule(
    "directory-says-what-is-fed",
    title="The directory says what each circuit feeds",
    why="Somebody will trust it to make a circuit dead before touching it. "
    "A blank or wrong line is how that person is shocked.",
    requirement="directory",
)
def directory_says_what_is_fed(r: Readings) -> Iterator[Found]:
    for each in enclosures(r):
        if each.kind == "panel" and each.directory in ("unclear", "none"):
            wrong = "It has no directory." if each.directory == "none" else "Its directory is unclear."
            yield Found(f"equipment.{each.id}", wrong, "Trace each circuit and write room and purpose beside it.")


@rule(
    "multiwire-disconnects-together",
    title="The lines of a multiwire circuit open together",
    why="Two lines share one neutral. With one line off and the other on, the neutral still carries current, "
    "and whoever opens it for repair takes full voltage.",
    requirement="multiwire-disconnect",
)
def multiwire_disconnects_together(r: Readings) -> Iterator[Found]:
    for circuit, other in multiwire_pairs(r.graph):
        where = f"circuits.{circuit.id}"
        pair = named((circuit, other))
        if circuit.from_ != other.from_:
            yield Found(where, f"{pair} share a neutral but start in different enclosures.", "Bring both to one panel.")
            continue
        poles = {circuit.poles, other.poles}
        panel = r.installation.equipment.get(circuit.from_ or "")
        if 1 in poles:
            verdict = Verdict.MEND if panel is not None and panel.is_new else Verdict.KNOW
            mend = "Land both on one two-pole breaker or tie the handles, on opposite legs."
            yield Found(where, f"{pair} share a neutral and open one by one.", mend, verdict)
        elif None in poles and asks(r):
            mend = "See whether their handles are one piece or tied."
            yield Found(where, f"{pair} share a neutral; whether they open together is not known.", mend, Verdict.ASK)


@rule(
    "panel-bus-carries-the-load",
    title="A panel's bus is rated for its load and no smaller than its device",
    why="The bus is the one part of a panel that no breaker inside it protects. "
    "Overloaded, it discolours, softens the breakers' jaws and burns.",
    requirement="panel-rating",
)
def panel_bus_carries_the_load(r: Readings) -> Iterator[Found]:
    dropped = r.edition.number("ampere_fraction_dropped_below")
    service = set(r.graph.service_disconnects)
    for each in enclosures(r):
        if each.kind != "panel" or each.rating_a is None:
            continue
        where, run, node = f"equipment.{each.id}", r.graph.feeding_run(each.id), r.loads.nodes.get(each.id)
        feeder_a = run.ocpd_a if run is not None and run.ocpd != "none" else None
        device_a = each.main_a if each.main in ("breaker", "fuses") else feeder_a
        if device_a is not None and device_a > each.rating_a:
            wrong = f"A {device_a:g} A device protects a bus rated {each.rating_a:g} A."
            yield Found(where, wrong, "A device no larger than the bus, or a larger panel.")
        if each.id not in service and node is not None and node.current_a - each.rating_a >= dropped:
            wrong = f"The calculated load is {node.current_a:.0f} A; the bus is rated {each.rating_a:g} A."
            mend = "A larger panel, or part of the load on another one."
            yield Found(where, wrong, mend, unless_held(r, each.id, each.rating_a))


@rule(
    "panel-looked-into",
    title="What is inside a panel that stays has been seen",
    why="A panel that stays is part of the new work. What sits behind its cover decides whether it can stay at all.",
    requirement="listed-equipment",
    verdict=Verdict.ASK,
)
def panel_looked_into(r: Readings) -> Iterator[Found]:
    if not asks(r):
        return
    for each in enclosures(r):
        if each.kind != "panel" or each.is_new:
            continue
        breakers = each.branch_protection in (None, "breakers")
        unknown = missing(
            (
                ("bus rating", rating_a(each)),
                ("unused openings", each.unused_openings),
                ("neutrals under one screw", each.neutrals_under_one_screw),
                ("directory", each.directory),
                *((("tandem breakers", each.tandem_breakers),) if breakers else ()),
            )
        )
        if unknown:
            yield Found(f"equipment.{each.id}", f"Not known of this panel: {unknown}.", _COVER_OFF)


# --- shared ----------------------------------------------------------------------------------------------------------


def largest_device(r: Readings, sizing: RunSizing) -> float:
    """Largest device that protects the lines of a run. [A] 0 where no table has them."""
    try:
        size, metal = sizing.line_size or "", sizing.metal or "aluminum"
        return device_for_conductor(size, metal, sizing.ampacity_a or 0, edition=r.edition).number
    except NotInTable:
        return 0.0


def _mains_over_their_conductors(r: Readings) -> Iterator[Found]:
    """Service conductors that stay behind a main larger than they allow; those of one whole dwelling may be less."""
    low, high = r.edition.number("dwelling_table_from"), r.edition.number("dwelling_table_to")
    for sizing in r.conductors.runs.values():
        if sizing.kind != "service" or not sizing.kept or sizing.adequate:
            continue
        if sizing.ocpd_a is None or sizing.ampacity_a is None:
            continue
        to = r.installation.runs[sizing.run].to or ""
        home = r.graph.whole_dwelling(to) is not None
        covered = low <= sizing.ocpd_a <= high and home
        enough = covered and sizing.ampacity_a >= required_ampacity(sizing.ocpd_a, edition=r.edition).number
        most_a = largest_device(r, sizing)
        on_the_table = stands_on_the_dwelling_table(r, r.installation.runs[sizing.run], sizing)
        if enough or on_the_table or sizing.ocpd_a <= most_a:
            continue
        verdict = Verdict.MEND if sizing.adequate is False else Verdict.ASK
        if verdict is Verdict.MEND or asks(r):
            wrong = f"A {sizing.ocpd_a:g} A main ends {sizing.line_size} service conductors, which allow {most_a:g} A."
            mend = "A smaller main that still carries the load, or larger service conductors."
            yield Found(f"runs.{sizing.run}", wrong, mend, verdict)


def ends_in_small_enough_device(r: Readings, run: str, most_a: float) -> bool:
    """Whether a run ends in a main of at most this rating, as a tap must. [A]"""
    to = r.installation.equipment.get(r.installation.runs[run].to or "")
    return to is not None and to.main in ("breaker", "fuses") and to.main_a is not None and to.main_a <= most_a


def motors_on(r: Readings, circuit: Circuit) -> list[Load]:
    """Motors that a circuit feeds, whose device follows rules of its own."""
    loads = (r.installation.loads[id] for id in r.graph.loads_on.get(circuit.id, ()))
    return [load for load in loads if load.kind in _MOTORS or load.mocp_a is not None]


def _too_large(r: Readings, circuit: Circuit, most_a: float) -> Iterator[Found]:
    where, wire = f"circuits.{circuit.id}", f"{circuit.wire_size} {circuit.metal or 'wire'}"
    wrong = f"A {circuit.ocpd_a:g} A device protects {wire}, which allows {most_a:g} A."
    motors = motors_on(r, circuit)
    if not motors:
        yield Found(where, wrong, f"Put in a device of {most_a:g} A at most, or renew the wire.")
    elif not any(load.mocp_a for load in motors):
        yield from _too_large_for_a_machine(r, circuit, where, wrong)


def _too_large_for_a_machine(r: Readings, circuit: Circuit, where: str, wrong: str) -> Iterator[Found]:
    decision = weighed(r, circuit)
    judged = judge_found(circuit, decision, edition=r.edition)
    if judged.verdict == "too large" and decision.need.exception is not None:
        yield Found(where, wrong, "Put in a smaller device, by wire and motor, or renew the wire.")
    elif judged.verdict != "suits" and asks(r):
        mend = "A motor with overload protection of its own may have a larger device, within limits."
        yield Found(where, wrong, f"{mend} Read nameplate and overload device.", Verdict.ASK)


def _is_overfused(r: Readings, circuit: Circuit, panel: Equipment) -> bool:
    if circuit.ocpd_a is None or circuit.wire_size is None:
        return False
    most_a = largest_lawful_device(circuit, panel, hopeful=True, edition=r.edition)
    return most_a is not None and circuit.ocpd_a > most_a


def _has_fuses(equipment: Equipment) -> bool:
    return equipment.main == "fuses" or equipment.branch_protection in ("cartridge fuses", "plug fuses")
