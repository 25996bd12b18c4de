"""What lies in the earth and what comes out of it: cover, seals, sets of conductors."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.installation import Equipment, Run
from driploop.installation.kinds import METAL_RACEWAYS, RACEWAYS
from driploop.rules.catalogue import Found, rule
from driploop.rules.facts import asks, gravity
from driploop.rules.readings import Readings
from driploop.worksheet import Verdict

_PLACES = {"residential drive": "dwelling-driveway", "street or truck or farm": "street", "pedestrian": "elsewhere"}


@rule(
    "buried-deep-enough",
    title="Buried wiring lies deep enough",
    why="A spade, a fence post or a plough goes as deep as the one who holds it pleases. "
    "Wiring that lies shallow is cut, and the cut end is live in wet earth.",
    requirement="burial-depth",
)
def buried_deep_enough(r: Readings) -> Iterator[Found]:
    for run in r.installation.runs.values():
        if not run.buried or run.owner == "utility":
            continue
        # Of several kinds of ground the deepest cover is asked for while nobody said which it is.
        rows = [_PLACES[run.ground_below]] if run.ground_below is not None else list(_PLACES.values())
        needed = [r.edition.table("burial_cover").cell(_column(run), location=row) for row in rows]
        least, most = (pick(needed, key=lambda each: each.number) for pick in (min, max))
        where = f"runs.{run.id}.burial_depth_in"
        if run.burial_depth_in is None:
            if run.is_new or asks(r):
                wrong = (
                    f"How deep it lies is not {'settled' if run.is_new else 'known'}; {_span(least.text, most.text)}."
                )
                mend = "Have buried lines located and marked before anybody digs."
                yield Found(where, wrong, mend, Verdict.KNOW if run.is_new else Verdict.ASK)
        elif run.burial_depth_in < least.number:
            wrong = f"It lies {run.burial_depth_in:g} in deep; {_span(least.text, most.text)}."
            yield Found(where, wrong, "Lay the new one deeper, or in pipe that may lie so shallow.", gravity(run))
        elif run.burial_depth_in < most.number and asks(r):
            wrong = f"It lies {run.burial_depth_in:g} in deep under ground of an unknown kind."
            yield Found(where, wrong, f"Say what drives over it: up to {most.text} may be needed.", Verdict.ASK)


def _column(run: Run) -> str:
    if run.method not in RACEWAYS:
        return "direct_burial_in"
    return "rigid_metal_in" if run.method in METAL_RACEWAYS & {"RMC", "IMC"} else "nonmetallic_raceway_in"


def _span(least: str, most: str) -> str:
    return f"{least} of cover is the least here" if least == most else f"{least} to {most} of cover is the least"


@rule(
    "underground-entry-sealed",
    title="A raceway from underground is sealed where it enters",
    why="Water and gas follow a pipe as well as wire does. "
    "Water rots the panel's bars, and gas waits in it for the first spark.",
    requirement="raceway-sealed",
)
def underground_entry_sealed(r: Readings) -> Iterator[Found]:
    for run in r.installation.runs.values():
        end = r.installation.equipment.get(run.to or "")
        if not run.buried or run.method not in RACEWAYS or run.owner == "utility" or end is None:
            continue
        if run.entry_sealed is False:
            mend = "Seal it with a compound made for it, once the conductors are dead and proved so."
            yield Found(f"runs.{run.id}.entry_sealed", "Its end is not sealed.", mend, gravity(run))
        elif run.entry_sealed is None and (run.is_new or asks(r)):
            wrong = f"The seal where it enters is not {'settled' if run.is_new else 'known'}."
            verdict = Verdict.KNOW if run.is_new else Verdict.ASK
            yield Found(f"runs.{run.id}.entry_sealed", wrong, "See that its end is sealed.", verdict)


@rule(
    "one-set-of-service-conductors",
    title="One drop feeds one set of service conductors, save for the listed cases",
    why="With a second set hidden round the corner, the building is live with its main open. "
    "The listed cases keep the disconnects together or on separate structures.",
    requirement="sets-of-conductors",
    verdict=Verdict.ASK,
)
def one_set_of_service_conductors(r: Readings) -> Iterator[Found]:
    for id, runs in r.graph.runs_out.items():
        parts = [r.installation.runs[run] for run in runs]
        ends = [r.installation.equipment[run.to] for run in parts if r.graph.is_service_run(run) and run.to]
        if len(ends) < 2 or id not in r.installation.equipment or _listed(r, ends):
            continue
        wrong = f"{len(ends)} sets of service conductors leave it, and their disconnects do not hang together."
        mend = "Group the disconnects, or show the listed case: separate occupancies, or a structure by itself."
        yield Found(f"equipment.{id}", wrong, mend)


def _listed(r: Readings, ends: list[Equipment]) -> bool:
    """Whether the sets end at meters or disconnects of separate occupancies or structures, or at one place."""
    sites = [r.graph.site_of(end.building) for end in ends]
    places = {(end.building, end.outdoors, end.location) for end in ends}
    units = [frozenset(unit.id for unit in r.graph.dwelling_units_below(end.id)) for end in ends]
    apart = all(units) and len(set(units)) == len(units)
    return len(set(sites)) == len(sites) or len(places) == 1 or apart or any(end.kind == "meter" for end in ends)
