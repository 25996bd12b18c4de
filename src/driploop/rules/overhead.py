"""The drop, the mast and the service cable: clearances, attachment, water, protection, support."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.installation import Run
from driploop.rules.catalogue import Found, rule
from driploop.rules.facts import asks, missing
from driploop.rules.readings import Readings
from driploop.service_drop import clearances
from driploop.service_drop.clearances import clearance, is_service, overhead_runs
from driploop.service_drop.mast import longest_unguyed_in, pipe_of, pipes
from driploop.service_drop.sag import read_sag
from driploop.worksheet import Cited, Verdict

_CABLES = ("SE cable", "SER cable", "USE cable")
_MEASURE = "Measure from the ground with an optical or laser instrument; keep tapes, poles and ladders away from it."


@rule(
    "drop-clearance-over-ground",
    title="Service conductors hang high enough over the ground",
    why="A truck bed, a ladder or an irrigation pipe carried upright reaches the wire before anyone looks up. "
    "Only the utility's fuse stands ahead of a drop that is torn down.",
    requirement="overhead-ground",
)
def drop_clearance_over_ground(r: Readings) -> Iterator[Found]:
    for run in _overhead(r):
        if _is_service(r, run):
            yield from _over_ground(r, run)


@rule(
    "feeder-clearance-over-ground",
    title="Overhead feeders hang high enough over the ground",
    why="Feeders to barns and sheds cross the very yards where loaders and hay wagons drive. "
    "A wire pulled off a building stays live on the ground until somebody opens its breaker.",
    requirement="feeder-overhead-ground",
)
def feeder_clearance_over_ground(r: Readings) -> Iterator[Found]:
    for run in _overhead(r):
        if not _is_service(r, run):
            yield from _over_ground(r, run)


@rule(
    "clearance-over-roof",
    title="Overhead conductors clear the roof",
    why="Roofers, painters and children walk where nobody expects them. "
    "Insulation that has hung in the sun for decades does not protect a shoulder that brushes it.",
    requirement="overhead-roof",
)
def clearance_over_roof(r: Readings) -> Iterator[Found]:
    full, steep, overhang = (_clearance(r, each) for each in ("roof", "roof-steep", "roof-overhang"))
    rise = r.edition.number("steep_roof_rise_in")
    for run in _overhead(r):
        height_ft = run.over_roof_ft
        if height_ft is None or height_ft >= full.number:
            continue
        if run.roof_slope_in_12 is None and height_ft >= steep.number:
            wrong = f"It passes {height_ft:g} ft over a roof of unknown slope."
            if asks(r):
                mend = f"Note the slope: less than {rise:g} in to the foot needs {full.text}."
                yield Found(f"runs.{run.id}", wrong, mend, Verdict.ASK, _for_feeder(r, run, "feeder-overhead-roof"))
            continue
        least = steep if run.roof_slope_in_12 is not None and run.roof_slope_in_12 >= rise else full
        if height_ft >= least.number:
            continue
        wrong = f"It passes {height_ft:g} ft over the roof; {least.text} is needed."
        if height_ft >= overhang.number:
            mend = f"Allowed only over the edge of the roof beside the mast, from {overhang.text}; else raise it."
            yield Found(f"runs.{run.id}", wrong, mend, Verdict.ASK, _for_feeder(r, run, "feeder-overhead-roof"))
        else:
            mend = "Raise the attachment or move it."
            yield Found(f"runs.{run.id}", wrong, mend, _verdict(run), _for_feeder(r, run, "feeder-overhead-roof"))


@rule(
    "clearance-from-openings",
    title="Overhead conductors keep away from windows, doors and porches",
    why="People lean out of windows and reach from porches without looking. "
    "What can be touched from a sill will be touched by a child.",
    requirement="overhead-openings",
)
def clearance_from_openings(r: Readings) -> Iterator[Found]:
    least = r.edition.value("opening_clearance_ft")
    for run in _overhead(r):
        if run.from_openings_ft is not None and run.from_openings_ft < least.number:
            wrong = f"It passes {run.from_openings_ft:g} ft from an opening; {least.text} is needed."
            mend = "Move the attachment, or run it above the top of the window."
            yield Found(f"runs.{run.id}", wrong, mend, _verdict(run), _for_feeder(r, run, "feeder-overhead-openings"))


@rule(
    "no-wires-before-hay-doors",
    title="No wires pass before an opening through which materials move",
    why="A hay fork, an elevator or a bale on a rope swings out of the door and takes the wires with it. "
    "Who holds the rope then holds the line.",
    requirement="hay-doors",
)
def no_wires_before_hay_doors(r: Readings) -> Iterator[Found]:
    farm = r.installation.site_kind == "farm"
    for run in _overhead(r):
        where, feeder = f"runs.{run.id}.over_material_opening", _for_feeder(r, run, "feeder-overhead-openings")
        if run.over_material_opening:
            wrong = "It passes under or across an opening through which materials move."
            yield Found(where, wrong, "Lead it to another wall, or close the opening for good.", _verdict(run), feeder)
        elif run.over_material_opening is None and farm and _ends_at_a_barn(r, run) and asks(r):
            wrong = "Whether it passes before a hay door or the like is not noted."
            yield Found(where, wrong, "Look from the ground, below where it is held.", Verdict.ASK, feeder)


def _ends_at_a_barn(r: Readings, run: Run) -> bool:
    end = r.installation.equipment.get(run.to or "")
    building = r.installation.buildings.get((end.building if end is not None else None) or "")
    return building is not None and building.use in ("agricultural", "livestock", "storage")


@rule(
    "attachment-height",
    title="The drop is attached high enough",
    why="The attachment is the lowest point that a person can reach, and the drip loops hang below it. "
    "Too low, the loops come within reach from the ground.",
    requirement="mast-attachment",
)
def attachment_height(r: Readings) -> Iterator[Found]:
    least = r.edition.value("attachment_height_ft")
    for run in _overhead(r):
        if run.attachment_height_ft is not None and run.attachment_height_ft < least.number:
            wrong = f"It is attached {run.attachment_height_ft:g} ft up; {least.text} is the least."
            feeder = _for_feeder(r, run, "feeder-overhead-ground")
            where = "" if feeder else ", in a place the utility agrees to"
            yield Found(f"runs.{run.id}", wrong, f"Raise the attachment or set a mast{where}.", requirement=feeder)


@rule(
    "service-head-above-attachment",
    title="The service head stands above the attachment of the drop",
    why="Water runs down along wire. With the head below, it runs into the conduit, the meter and the panel, "
    "where it rusts contacts and bridges live parts.",
    requirement="service-head",
)
def service_head_above_attachment(r: Readings) -> Iterator[Found]:
    within = r.edition.value("head_from_attachment_in")
    for run in r.installation.runs.values():
        if run.head_above_attachment is False and run.overhead is not False:
            mend = f"Raise the head above the attachment; where that cannot be, within {within.text} of it."
            yield Found(f"runs.{run.id}", "The service head is below the attachment of the drop.", mend)


@rule(
    "drip-loop",
    title="The conductors make a drip loop before they enter",
    why="Rain follows the wire to its lowest point and drops off there. "
    "Without a loop that lowest point is inside the meter or the panel.",
    requirement="service-head",
)
def drip_loop(r: Readings) -> Iterator[Found]:
    for run in _overhead(r):
        if run.drip_loop is False:
            yield Found(f"runs.{run.id}", "There is no drip loop.", "Leave wire enough for one below the head.")


@rule(
    "only-power-on-the-mast",
    title="The mast carries the service drop and nothing else",
    why="A telephone or television cable pulls the mast sideways and brings people who are not electricians "
    "to within arm's length of conductors that nothing can switch off.",
    requirement="mast",
)
def only_power_on_the_mast(r: Readings) -> Iterator[Found]:
    for run in r.installation.runs.values():
        if run.mast_carries_other_cables:
            wrong = "Other cables are fastened to the service mast."
            yield Found(f"runs.{run.id}", wrong, "Have their owners move them to the building.")


@rule(
    "no-attachment-above-a-coupling",
    title="The drop is not held above a coupling past the last support",
    why="The pipe of a mast is weakest at its threads. "
    "Pulled there by ice and wind, it breaks off and lets the live drop fall on the roof.",
    requirement="mast",
)
def no_attachment_above_a_coupling(r: Readings) -> Iterator[Found]:
    for run in r.installation.runs.values():
        if run.mast_coupling_above_support:
            mend = "Set a mast in one length from below its last support, or hold the drop lower."
            wrong = "The drop is held above a coupling of the mast, past its last support."
            yield Found(f"runs.{run.id}", wrong, mend, _verdict(run))


@rule(
    "service-cable-protected",
    title="Service cable is protected where it can be damaged",
    why="A mower, a snow shovel or a cow cuts the jacket, and the conductors inside have no breaker ahead of them. "
    "The arc burns until the cable or the wall is gone.",
    requirement="service-cable-protection",
)
def service_cable_protected(r: Readings) -> Iterator[Found]:
    for run in _service_cables(r):
        if run.protected_from_damage is False:
            mend = "Sleeve it in heavy-wall conduit where it can be struck, or run the service in conduit."
            yield Found(f"runs.{run.id}", "Service cable runs unprotected where it can be damaged.", mend)
        elif run.protected_from_damage is None and asks(r):
            wrong = "Whether the service cable is protected where it can be damaged is not known."
            mend = "Look along it from the ground, mostly the lowest eight feet, drives and stock yards."
            yield Found(f"runs.{run.id}", wrong, mend, Verdict.ASK)


@rule(
    "service-cable-supported",
    title="Service cable is strapped closely enough",
    why="A cable that swings in the wind chafes through its jacket and pulls at the head and the meter. "
    "Water then enters where the jacket has split.",
    requirement="service-cable-support",
)
def service_cable_supported(r: Readings) -> Iterator[Found]:
    most = r.edition.value("se_support_in")
    ends = r.edition.value("se_support_ends_in")
    for run in _service_cables(r):
        if run.support_spacing_in is not None and run.support_spacing_in > most.number:
            wrong = f"Service cable is strapped every {run.support_spacing_in:g} in; {most.text} is the most."
            yield Found(f"runs.{run.id}", wrong, f"Add straps, also within {ends.text} of each end.")


@rule(
    "not-through-another-building",
    title="Service conductors do not run through another building",
    why="A fire in the building they pass through meets conductors that its own main does not open. "
    "Its people cannot make their own house dead.",
    requirement="passing-through",
)
def not_through_another_building(r: Readings) -> Iterator[Found]:
    for run in r.installation.runs.values():
        if run.passes_through_other_building and r.graph.is_service_run(run):
            mend = "Run them outside, or where they count as outside under the code."
            yield Found(f"runs.{run.id}", "Service conductors pass through another building.", mend)


@rule(
    "drop-looked-at",
    title="The overhead run was looked at from the ground",
    why="What nobody looked at is found by the lineman on the day of the cut-over, and the crew goes home. "
    "A minute with a laser from the ground settles it.",
    requirement="overhead-ground",
    verdict=Verdict.ASK,
)
def drop_looked_at(r: Readings) -> Iterator[Found]:
    if not asks(r):
        return
    for run in _overhead(r):
        head = ("service head above the attachment", run.head_above_attachment)
        unknown = missing(
            (
                ("height over the ground", run.lowest_over_ground_ft),
                ("height of the attachment", run.attachment_height_ft),
                ("distance from windows and doors", run.from_openings_ft),
                *((head,) if _is_service(r, run) else ()),
                ("drip loop", run.drip_loop),
            )
        )
        if unknown:
            yield Found(f"runs.{run.id}", f"Not known of this overhead run: {unknown}.", _MEASURE)


@rule(
    "drop-clears-at-its-worst",
    title="Overhead conductors still clear the ground when they hang lowest",
    why="A wire hangs lower on the hottest day and under ice than on the day of the survey. "
    "The truck that passed below in spring takes it down in January.",
    requirement="overhead-ground",
)
def drop_clears_at_its_worst(r: Readings) -> Iterator[Found]:
    for run in _overhead(r):
        height_ft = run.lowest_over_ground_ft
        if height_ft is None or run.span_ft is None:
            continue
        sag = read_sag(run, r.installation.utility, edition=r.edition)
        least = ground_clearances(r, run)
        needed = least[run.ground_below] if run.ground_below else min(least.values(), key=lambda each: each.number)
        lowest = round(sag.worst.lowest_ft, 1)
        if not sag.measured or height_ft < needed.number or lowest >= needed.number:
            continue  # the rules of the heights as measured speak of what is too low today
        assumed = "" if run.measured_temperature_f is not None else ", assumed as the temperature of the survey"
        wrong = (
            f"It hangs {height_ft:g} ft up at {sag.today.weather.temperature_f:g} F{assumed}; "
            f"{sag.worst.weather.name}, it comes down to {lowest:g} ft, and {needed.text} is needed."
        )
        mend = "Raise an end, or have it strung tighter as far as its pull allows; driploop drop shows how much."
        yield Found(f"runs.{run.id}", wrong, mend, _verdict(run), _for_feeder(r, run, "feeder-overhead-ground"))


@rule(
    "mast-bears-the-pull",
    title="The mast bears the pull of the drop with ice and wind",
    why="Ice and wind multiply the pull of a drop. A mast that was never reckoned bends at the roof and lets live "
    "conductors down on it.",
    requirement="mast",
    verdict=Verdict.ASK,
)
def mast_bears_the_pull(r: Readings) -> Iterator[Found]:
    for run in _overhead(r):
        size, lever_in = run.mast_trade_size, run.mast_above_roof_in
        if size is None or lever_in is None or run.span_ft is None or run.mast_guyed:
            continue
        sag = read_sag(run, r.installation.utility, edition=r.edition)
        if not sag.measured or size not in {pipe.trade_size for pipe in pipes()}:
            continue
        longest_in = longest_unguyed_in(pipe_of(size), pull_lb=sag.pull.pull_lb)
        if lever_in <= longest_in:
            continue
        wrong = (
            f"The mast of trade size {size} stands {lever_in:g} in above the roof; against the computed pull of "
            f"{sag.pull.pull_lb:,.0f} lb, rigid steel bears {longest_in:.0f} in without a guy."
        )
        mend = "Guy it, or set a thicker or shorter one. The utility's rule governs; else ask a structural engineer."
        yield Found(f"runs.{run.id}.mast_above_roof_in", wrong, mend)


# --- shared ----------------------------------------------------------------------------------------------------------


def _overhead(r: Readings) -> Iterator[Run]:
    return overhead_runs(r.graph)


def _is_service(r: Readings, run: Run) -> bool:
    return is_service(r.graph, run)


def _for_feeder(r: Readings, run: Run, requirement: str) -> str | None:
    """What calls for the same thing on a feeder, which stands in another article than the service."""
    return None if _is_service(r, run) else requirement


def _service_cables(r: Readings) -> Iterator[Run]:
    for run in r.installation.runs.values():
        if run.method in _CABLES and run.owner != "utility" and r.graph.is_service_run(run):
            yield run


def _verdict(run: Run) -> Verdict:
    """The utility's own drop follows the utility's book: a shortfall there is a call to the utility."""
    return Verdict.ASK if run.owner == "utility" else Verdict.MEND


def _clearance(r: Readings, situation: str) -> Cited:
    return clearance(situation, edition=r.edition)


def ground_clearances(r: Readings, run: Run) -> dict[str, Cited]:
    """How high an overhead run must hang, by the kind of ground below it. [ft]"""
    return clearances.ground_clearances(run, service=_is_service(r, run), edition=r.edition)


def _over_ground(r: Readings, run: Run) -> Iterator[Found]:
    height_ft, where = run.lowest_over_ground_ft, f"runs.{run.id}"
    if height_ft is None:
        return
    least = ground_clearances(r, run)
    call = " Call the utility: its own book may ask for more." if run.owner == "utility" else ""
    if run.ground_below is not None:
        needed = least[run.ground_below]
        if height_ft < needed.number:
            wrong = f"It hangs {height_ft:g} ft over ground of the kind {run.ground_below}; {needed.text} is needed."
            yield Found(where, wrong, f"Raise it.{call}", _verdict(run))
        return
    lowest, highest = (pick(least.values(), key=lambda each: each.number) for pick in (min, max))
    if height_ft < lowest.number:
        wrong = f"It hangs {height_ft:g} ft over the ground; {lowest.text} is the least anywhere."
        yield Found(where, wrong, f"Raise it.{call}", _verdict(run))
    elif height_ft < highest.number and asks(r):
        wrong = f"It hangs {height_ft:g} ft over ground of an unknown kind; up to {highest.text} may be needed."
        yield Found(where, wrong, "Note what drives or walks below it: footway, drive, street, farm land.", Verdict.ASK)
