"""Where the neutral is joined to metal, where it must not be, and what else must be joined to it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from driploop.grounding.line_side import raceway_ends
from driploop.grounding.results import NeutralBond
from driploop.grounding.sites import on_supply_side
from driploop.installation.model import Equipment
from driploop.rules.catalogue import Found, rule
from driploop.rules.looking import asks, entries, feeders
from driploop.rules.readings import Readings
from driploop.worksheet import Verdict

_RINGED = frozenset({"concentric", "eccentric"})
_PAST_THE_RINGS = frozenset({"threaded hub", "nonmetallic"})
_FASTEN = "Fit a threaded hub, a bonding locknut on a plain opening, or a bonding bushing with its jumper."
_LOOK = "Have a licensed electrician look with the supply dead and proved dead: a green screw, a strap or a wire."


def _bonds(r: Readings, required: str) -> Iterator[tuple[Equipment, NeutralBond]]:
    for id, bond in r.grounding.bonds.items():
        if bond.required == required:
            yield r.graph.equipment(id), bond


@rule(
    "bond-at-the-service",
    title="Neutral and enclosure are joined at the service disconnect",
    why="A fault to metal opens the breaker only if its current can go back over the neutral. Without the joint at "
    "the service every metal case in the house can stay live.",
    requirement="neutral-bond-at-service",
)
def bond_at_the_service(r: Readings) -> Iterator[Found]:
    for equipment, bond in _bonds(r, "bonded"):
        if r.graph.roles[equipment.id] != "service disconnect":
            continue
        where = f"equipment.{equipment.id}.neutral_bonded"
        if bond.found is False:
            yield Found(
                where,
                "The neutral is not joined to the enclosure of the service disconnect.",
                "Fit the main bonding jumper here, and land the electrode conductor and the grounds with it.",
            )
        elif bond.found is None and equipment.is_new:
            wrong = "It is not stated that the neutral is joined to the new enclosure."
            yield Found(where, wrong, "Fit its main bonding jumper: this is the service disconnect.", Verdict.ASK)
        elif bond.found is None and asks(r, equipment):
            yield Found(where, "Nobody has seen whether the neutral is joined here.", _LOOK, Verdict.ASK)


@rule(
    "bond-once",
    title="Past the service the neutral is joined to metal nowhere",
    why="With a second joint, everyday neutral current returns over cases, pipes and cable armor. A broken neutral "
    "then puts line voltage on whatever somebody leans against.",
    requirement="neutral-past-the-service",
)
def bond_once(r: Readings) -> Iterator[Found]:
    entered = {entry.equipment.id for entry in entries(r)}
    for equipment, bond in _bonds(r, "isolated"):
        if equipment.id in entered:
            continue
        where = f"equipment.{equipment.id}.neutral_bonded"
        if bond.found:
            yield Found(where, "The neutral is joined to the enclosure again here.", _parting(r, equipment))
        elif bond.found is None and asks(r, equipment):
            wrong = "Nobody has seen whether the neutral is joined to the enclosure here."
            yield Found(where, wrong, _LOOK, Verdict.ASK)


def _parting(r: Readings, equipment: Equipment) -> str:
    """How to take a second bond out. Where there is no ground wire the bond is the only path: the wire comes first."""
    run = r.graph.feeding_run(equipment.id)
    count = r.grounding.wires.get(run.id) if run is not None else None
    part = "With the supply off, take the screw or strap out and put the grounds on a bar of their own."
    if count is not None and count.found is not None and count.found >= count.needed:
        return part
    return f"First bring an equipment ground from the supply, since this joint is the only path now. {part}"


@rule(
    "four-wire-downstream",
    title="A panel past the service disconnect is fed by four wires",
    why="Neutral and ground part at the service disconnect, and from there each needs its own wire. With three wires "
    "one of them does both jobs, and the metal of the panel carries current every day.",
    requirement="four-wire-downstream",
)
def four_wire_downstream(r: Readings) -> Iterator[Found]:
    entered = {entry.run.id for entry in entries(r)}
    for run in feeders(r):
        count = r.grounding.wires[run.id]
        if run.id in entered or count.may_stay:
            continue
        where = f"runs.{run.id}.wires"
        if count.found is not None:
            yield Found(
                where,
                f"This feeder has {count.found} wires where {count.needed} are needed.",
                "Run a new feeder with an equipment ground, or add one that the code accepts for this way of wiring.",
            )
        elif asks(r, run):
            yield Found(
                where,
                "Nobody has counted the wires of this feeder.",
                "Count them at an opened end with the supply dead: two lines, an insulated neutral and a ground.",
                Verdict.ASK,
            )


@rule(
    "emergency-disconnect-keeps-three-wires",
    title="Ahead of the service disconnect no ground wire runs beside the neutral",
    why="An emergency or meter disconnect that is not service equipment stands ahead of the bond. A ground wire from "
    "it to the inside main would share the neutral's current, and nobody could say where the service begins.",
    requirement="supply-side-equipment",
    verdict=Verdict.ASK,
)
def emergency_disconnect_keeps_three_wires(r: Readings) -> Iterator[Found]:
    for run in r.installation.runs.values():
        role = r.graph.roles.get(run.from_ or "")
        if role not in ("emergency disconnect", "meter disconnect") or not r.graph.is_service_run(run):
            continue
        if run.wires == 4 or run.egc == "wire":
            yield Found(
                f"runs.{run.id}.wires",
                f"A ground wire runs from the {role} to the service disconnect.",
                "Leave it out, or make the outdoor device the service disconnect and isolate the neutral inside. "
                "Ask the inspector where a supply-side bonding jumper is meant.",
            )


@rule(
    "line-side-enclosure-bonded",
    title="Metal boxes ahead of the service disconnect are bonded by the neutral",
    why="Nothing of the customer's opens a fault ahead of the main. The metal there must be joined so well to the "
    "neutral that the utility's fuse blows at once.",
    requirement="line-side-raceway-bond",
    verdict=Verdict.ASK,
)
def line_side_enclosure_bonded(r: Readings) -> Iterator[Found]:
    for equipment, bond in _bonds(r, "bonded"):
        supply_side = r.graph.roles[equipment.id] in ("emergency disconnect", "meter disconnect")
        if not supply_side and not (bond.found is False and on_supply_side(r.graph, equipment.id)):
            continue
        where = f"equipment.{equipment.id}.neutral_bonded"
        if bond.found is False:
            yield Found(
                where,
                "Its enclosure is not joined to the neutral.",
                "Join it to the neutral, or show the supply-side jumper or fittings that bond it.",
            )
        elif bond.found is None and asks(r, equipment):
            yield Found(where, "Nobody has seen how its enclosure is bonded.", _LOOK)


@rule(
    "main-bonding-jumper-size",
    title="The main bonding jumper is the maker's own part or large enough",
    why="All fault current of the house goes through this one short piece. If it is too small it burns off, and the "
    "fault stays on the metal.",
    requirement="main-bonding-jumper",
    verdict=Verdict.ASK,
)
def main_bonding_jumper_size(r: Readings) -> Iterator[Found]:
    for jumper in r.grounding.jumpers:
        if jumper.kind != "main bonding jumper":
            continue
        equipment = r.graph.equipment(jumper.where)
        # Where the mark was not read, suitable-as-service-equipment asks for it.
        if equipment.suitable_as_service_equipment is not False or not asks(r, equipment):
            continue
        yield Found(
            f"equipment.{equipment.id}.suitable_as_service_equipment",
            "It is no service equipment, so its maker's own bonding part cannot be counted on.",
            f"As long as it stays, see that its jumper is {jumper.size} {jumper.metal} or larger.",
        )


# --- raceways ahead of the service disconnect -----------------------------------------------------------------------


def _ends(r: Readings) -> Iterator[tuple[str, Equipment]]:
    """Each enclosure that metal raceways enter ahead of the service disconnect, with the names of those runs."""
    entering: dict[str, list[str]] = defaultdict(list)
    for end in raceway_ends(r.graph):
        entering[end.equipment].append(r.installation.runs[end.run].title)
    for id, titles in entering.items():
        yield " and ".join(titles), r.graph.equipment(id)


@rule(
    "line-side-raceway-bonded",
    title="Ordinary locknuts never bond a raceway ahead of the service disconnect",
    why="A locknut bites through paint at a few points only. A fault ahead of the main draws thousands of amperes, "
    "and a poor joint arcs and burns instead of blowing the utility's fuse.",
    requirement="line-side-raceway-bond",
)
def line_side_raceway_bonded(r: Readings) -> Iterator[Found]:
    for runs, equipment in _ends(r):
        where = f"equipment.{equipment.id}.line_side_fitting"
        ringed = equipment.knockouts in _RINGED
        if equipment.line_side_fitting == "ordinary locknut":
            rings = f", in {equipment.knockouts} rings" if ringed else ""
            mend = "Fit a threaded hub, or a bonding bushing with a jumper past the rings." if ringed else _FASTEN
            yield Found(where, f"The metal raceway ({runs}) is held by ordinary locknuts{rings}.", mend)
        elif equipment.line_side_fitting is not None or equipment.knockouts == "hub" or not asks(r, equipment):
            continue
        elif equipment.is_new:
            wrong = f"How the metal raceway ({runs}) is to be fastened is not stated."
            yield Found(where, wrong, _FASTEN, Verdict.ASK)
        else:
            rings = f" in its {equipment.knockouts} rings" if ringed else ""
            wrong = f"Nobody has seen how the metal raceway ({runs}) is fastened{rings}."
            mend = "Look from outside for a hub; inside only with the utility's supply off."
            yield Found(where, wrong, mend, Verdict.ASK)


@rule(
    "knockouts-need-a-jumper",
    title="Ringed knockouts on the line side are jumped round",
    why="The rings left standing in the wall hold by small tabs of metal. Fault current melts the tabs, and the "
    "raceway hangs live on nothing.",
    requirement="concentric-knockouts",
)
def knockouts_need_a_jumper(r: Readings) -> Iterator[Found]:
    for runs, equipment in _ends(r):
        fitting = equipment.line_side_fitting
        if fitting in _PAST_THE_RINGS or fitting in (None, "ordinary locknut"):
            continue  # line-side-raceway-bonded speaks of the last two
        where = f"equipment.{equipment.id}.knockouts"
        mend = "Fit a bonding bushing and a jumper from it to the neutral or the enclosure past the rings."
        if equipment.knockouts in _RINGED and fitting == "bonding bushing":
            wrong = f"{runs} enters through {equipment.knockouts} rings; the bushing helps only with its jumper."
            yield Found(where, wrong, "See that the bushing has its jumper.", Verdict.ASK)
        elif equipment.knockouts in _RINGED:
            wrong = f"{runs} enters through {equipment.knockouts} rings with no jumper past them."
            yield Found(where, wrong, mend)
        elif equipment.knockouts is None and asks(r, equipment):
            wrong = f"Nobody has seen through what kind of opening {runs} enters."
            yield Found(where, wrong, f"See whether rings were left in the wall. {mend}", Verdict.ASK)
