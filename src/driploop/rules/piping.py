"""Piping, steel and communication grounds: what is joined to the ground of the service beside the wires."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.grounding.results import Jumper
from driploop.grounding.sites import sites
from driploop.installation.model import Bond
from driploop.installation.sizes import rank
from driploop.rules.catalogue import Found, rule
from driploop.rules.looking import asks
from driploop.rules.readings import Readings
from driploop.worksheet import Verdict


def _jumper(r: Readings, id: str) -> Jumper | None:
    return next((jumper for jumper in r.grounding.jumpers if jumper.id == id), None)


def _bonds(r: Readings, *kinds: str) -> Iterator[Bond]:
    return (bond for bond in r.installation.bonds.values() if bond.kind in kinds)


def _unbonded(r: Readings, bond: Bond, jumper: Jumper | None) -> Iterator[Found]:
    """What is wrong with one bond: missing, not seen, too small."""
    size = f"{jumper.size} {jumper.metal} or larger" if jumper is not None else "the size its circuit asks for"
    if bond.present is False:
        yield Found(f"bonds.{bond.id}", f"The {bond.kind} is not bonded.", f"Bond it with {size}, at a listed clamp.")
    elif bond.present is None:
        if asks(r):
            mend = f"Look for a clamp and a wire to the service's ground; {size} serves."
            yield Found(f"bonds.{bond.id}.present", f"Nobody has seen a bond of the {bond.kind}.", mend, Verdict.ASK)
    elif jumper is not None and not _made_anew(r, bond):
        yield from _size_of(r, bond, jumper)


def _made_anew(r: Readings, bond: Bond) -> bool:
    """Whether the change makes the bond, so that there is no old wire to measure."""
    before = r.found.bonds.get(bond.id) if r.found is not None else None
    return bond.is_new or (before is not None and before.present is False)


def _size_of(r: Readings, bond: Bond, jumper: Jumper) -> Iterator[Found]:
    where = f"bonds.{bond.id}.size"
    least = jumper.other_metal_size if bond.metal not in (None, jumper.metal) else jumper.size
    sizes = [size for size in (jumper.size, jumper.other_metal_size) if size is not None]
    if bond.size is None:
        if asks(r):
            mend = f"Gauge the wire; {jumper.size} {jumper.metal} or larger serves."
            yield Found(where, f"The size of the bond of the {bond.kind} is not known.", mend, Verdict.ASK)
    elif least is not None and rank(bond.size) < rank(least):
        wrong = f"The bond of the {bond.kind} is {bond.size}; {least} is the least for these service conductors."
        yield Found(where, wrong, f"Replace it with {jumper.size} {jumper.metal} or larger.")
    elif bond.metal is None and rank(bond.size) < max(map(rank, sizes)) and asks(r):
        wrong = f"Whether the {bond.size} bond of the {bond.kind} is copper or aluminum is not known."
        yield Found(f"bonds.{bond.id}.metal", wrong, "Look at the cut end; aluminum must be larger.", Verdict.ASK)


@rule(
    "water-piping-bonded",
    title="Metal water piping is bonded at the service",
    why="A live wire that touches a pipe makes every tap in the house live. The bond turns that into a blown fuse.",
    requirement="metal-water-piping-bond",
)
def water_piping_bonded(r: Readings) -> Iterator[Found]:
    listed = list(_bonds(r, "metal water piping"))
    for bond in listed:
        yield from _unbonded(r, bond, _jumper(r, f"water-piping-bond/{bond.id}"))
    joined = any(e.kind == "metal water pipe" and e.connected for e in r.installation.electrodes.values())
    place = min(sites(r.graph).values(), key=lambda each: (each.fed, each.id), default=None)
    if not listed and not joined and place is not None and asks(r):
        yield Found(
            f"equipment.{place.lands_at[0]}",
            "The survey names no bond of metal water piping, and no metal water pipe that is joined.",
            "See whether the water piping is metal. If it is, enter it under bonds; if not, enter that too.",
            Verdict.ASK,
        )


@rule(
    "gas-piping-bonded",
    title="Gas and other metal piping is bonded",
    why="A pipe that is live by a fault shocks whoever touches it, and its arc can light the gas. The bond gives the "
    "fault a way that opens the breaker.",
    requirement="gas-piping-bond",
)
def gas_piping_bonded(r: Readings) -> Iterator[Found]:
    for bond in _bonds(r, "gas piping", "corrugated gas tubing", "other metal piping"):
        jumper = _jumper(r, f"gas-piping-bond/{bond.id}")
        yield from _unbonded(r, bond, jumper if bond.kind != "corrugated gas tubing" else None)


@rule(
    "bond-names-what-it-joins",
    title="What each bond joins is known",
    why="Size and place of a bond follow what it joins. A wire to something nobody named is judged by nothing.",
    requirement="gas-piping-bond",
    verdict=Verdict.ASK,
)
def bond_names_what_it_joins(r: Readings) -> Iterator[Found]:
    for bond in r.installation.bonds.values():
        if bond.kind is None and asks(r):
            mend = "Follow the wire to its clamp and enter what it is on."
            yield Found(f"bonds.{bond.id}.kind", "What this bond joins is not known.", mend)


@rule(
    "corrugated-gas-tubing-by-its-maker",
    title="Corrugated gas tubing is bonded as its maker says",
    why="Its wall is so thin that an arc from lightning or a fault burns a hole. The maker's bond keeps the arc from "
    "forming, and is often larger than the code's.",
    requirement="gas-piping-bond",
    verdict=Verdict.ASK,
)
def corrugated_gas_tubing_by_its_maker(r: Readings) -> Iterator[Found]:
    for bond in _bonds(r, "corrugated gas tubing"):
        if bond.present is not False and bond.size is None and asks(r):
            yield Found(
                f"bonds.{bond.id}.size",
                "The bond of the corrugated gas tubing is not measured against its maker's instructions.",
                "Find the maker's sheet for the size and the place of the clamp, and measure what is there.",
            )


@rule(
    "structural-steel-bonded",
    title="Building steel that may become live is bonded",
    why="A steel frame reaches through the whole building. One chafed wire makes all of it live unless it is bonded.",
    requirement="structural-steel-bond",
)
def structural_steel_bonded(r: Readings) -> Iterator[Found]:
    for bond in _bonds(r, "structural steel"):
        yield from _unbonded(r, bond, _jumper(r, f"structural-steel-bond/{bond.id}"))


# --- communications -------------------------------------------------------------------------------------------------


def _terminations(r: Readings, place: str, at: str) -> list[Bond]:
    """Intersystem terminations of one place, by its building or by the equipment they hang on."""
    return [
        bond
        for bond in _bonds(r, "intersystem termination")
        if r.graph.site_of(bond.building) == place or bond.equipment == at
    ]


def _asked_at(r: Readings) -> Iterator[tuple[str, str, list[Bond]]]:
    for jumper in r.grounding.jumpers:
        if jumper.kind == "intersystem bonding conductor":
            place = jumper.id.split("/", 1)[1]
            yield place, jumper.where, _terminations(r, place, jumper.where)


@rule(
    "intersystem-termination-present",
    title="Telephone, cable and dish share the ground of the service",
    why="Grounds that are apart differ by thousands of volts when lightning strikes nearby, and the difference jumps "
    "through telephones, sets and people. One bar for all of them takes it away.",
    requirement="intersystem-termination",
)
def intersystem_termination_present(r: Readings) -> Iterator[Found]:
    for place, at, there in _asked_at(r):
        if any(bond.present for bond in there):
            continue
        building = r.installation.buildings.get(place)
        unsure = building is None or building.communications is None
        new = r.graph.equipment(at).is_new
        if unsure and not new:
            continue
        words = "No intersystem bonding termination is known at" if unsure else "No intersystem bonding termination at"
        yield Found(
            f"equipment.{at}",
            f"{words} {r.graph.equipment(at).title}.",
            f"Mount one outside the enclosure, joined with {r.edition.value('intersystem_conductor').value} copper.",
            (Verdict.ASK if unsure else Verdict.MEND) if new else Verdict.KNOW,
        )


@rule(
    "intersystem-termination-has-terminals",
    title="The intersystem termination has room for every service",
    why="Where the bar is full, the next installer clamps a dish or telephone to a pipe or a rod of its own. That "
    "undoes what the bar is for.",
    requirement="intersystem_terminals",
)
def intersystem_termination_has_terminals(r: Readings) -> Iterator[Found]:
    least = r.edition.number("intersystem_terminals")
    for _place, at, there in _asked_at(r):
        for bond in there:
            if not bond.present or bond.terminals is None or bond.terminals >= least:
                continue
            renewed = bond.is_new or r.graph.equipment(at).is_new
            yield Found(
                f"bonds.{bond.id}.terminals",
                f"The intersystem termination has {bond.terminals} terminals; {least:g} are asked for.",
                "Fit a larger one.",
                None if renewed else Verdict.KNOW,
            )
