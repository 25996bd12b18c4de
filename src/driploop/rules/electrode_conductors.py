"""The conductors that lead to the electrodes: size, way, joints, protection, and where they land."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.grounding.sites import on_supply_side, sites
from driploop.installation.model import Electrode
from driploop.installation.sizes import rank
from driploop.rules.catalogue import Found, rule
from driploop.rules.looking import asks, new_conductor
from driploop.rules.readings import Readings
from driploop.worksheet import Verdict

_IN_EARTH = frozenset({"rod", "pipe", "plate", "ground ring", "concrete-encased"})


def _old(r: Readings) -> Iterator[Electrode]:
    """Electrodes whose conductor stays as it was found."""
    for electrode in r.installation.electrodes.values():
        if electrode.connected is not False and not new_conductor(r, electrode):
            yield electrode


@rule(
    "electrode-conductor-size",
    title="The electrode conductor is large enough for the service",
    why="Lightning and crossed lines send their current through this wire. Too thin, it melts in the wall.",
    requirement="electrode-conductor-size",
)
def electrode_conductor_size(r: Readings) -> Iterator[Found]:
    for conductor in (c for system in r.grounding.systems.values() for c in system.conductors):
        electrode = r.installation.electrodes[conductor.electrode]
        if electrode.connected is False or new_conductor(r, electrode):
            continue
        where = f"electrodes.{electrode.id}.conductor_size"
        aluminum = f" or {conductor.required_aluminum} aluminum" if conductor.required_aluminum else ""
        need = f"{conductor.required_copper} copper{aluminum}"
        if conductor.adequate is False:
            found = " ".join(word for word in (conductor.found_size, conductor.found_metal) if word)
            wrong = f"The conductor to {electrode.title} is {found or 'not enough'}; {need} is asked for."
            yield Found(where, wrong, "Replace it in one length; open the old one only with the supply off.")
        elif conductor.adequate is None and asks(r):
            wrong = f"The size or metal of the conductor to {electrode.title} is not known."
            yield Found(where, wrong, f"Gauge it; {need} serves.", Verdict.ASK)


@rule(
    "electrode-conductor-not-spliced",
    title="The electrode conductor has no ordinary splice",
    why="A screwed joint in a cellar loosens and corrodes, and nobody looks at it again. The system is then open "
    "though every end looks right.",
    requirement="electrode-conductor-splice",
)
def electrode_conductor_not_spliced(r: Readings) -> Iterator[Found]:
    for electrode in _old(r):
        where = f"electrodes.{electrode.id}.splice"
        if electrode.splice == "ordinary clamp":
            wrong = f"The conductor to {electrode.title} is spliced with an ordinary clamp."
            yield Found(
                where, wrong, "Run one length, or join it by irreversible compression, welding or a listed bar."
            )
        elif electrode.splice is None and asks(r):
            wrong = f"Nobody has followed the conductor to {electrode.title} for splices."
            yield Found(where, wrong, "Follow it from end to end.", Verdict.ASK)


@rule(
    "aluminum-electrode-conductor-out-of-earth",
    title="Aluminum electrode conductors keep off the earth",
    why="Damp earth and masonry eat bare aluminum. It is gone within years, and the wire above still looks whole.",
    requirement="aluminum-electrode-conductor",
)
def aluminum_electrode_conductor_out_of_earth(r: Readings) -> Iterator[Found]:
    least = r.edition.value("aluminum_gec_above_earth_in")
    for electrode in r.installation.electrodes.values():
        if electrode.conductor_metal == "copper" or electrode.connected is False:
            continue
        where = f"electrodes.{electrode.id}.conductor_above_earth_in"
        height = electrode.conductor_above_earth_in
        low = height is not None and height < least.number
        if electrode.conductor_metal is None:
            if low and not electrode.is_new and asks(r):
                wrong = f"The metal of the conductor to {electrode.title}, {height:g} in over the earth, is not known."
                where = f"electrodes.{electrode.id}.conductor_metal"
                yield Found(where, wrong, f"See whether it is copper; aluminum keeps {least.text} off.", Verdict.ASK)
        elif low:
            wrong = f"The aluminum conductor to {electrode.title} comes within {height:g} in of the earth."
            yield Found(where, wrong, f"Use copper; aluminum ends {least.text} or more above the earth.")
        elif height is None and electrode.kind in _IN_EARTH and asks(r):
            wrong = f"How near the earth the aluminum conductor to {electrode.title} comes is not known."
            yield Found(where, wrong, f"Measure it; {least.text} or more is asked for.", Verdict.ASK)


@rule(
    "electrode-conductor-protected",
    title="The electrode conductor is protected from damage",
    why="A mower or a ladder cuts a small wire without anybody noticing. It is the one wire that does nothing until "
    "the day it is needed.",
    requirement="electrode-conductor-protection",
)
def electrode_conductor_protected(r: Readings) -> Iterator[Found]:
    always_below = str(r.edition.value("gec_always_protected_below").value)
    for electrode in _old(r):
        if electrode.conductor_protected:
            continue
        where = f"electrodes.{electrode.id}.conductor_protected"
        if electrode.conductor_size is None:
            if electrode.conductor_protected is False and asks(r):
                wrong = f"The conductor to {electrode.title} runs without raceway or armor, and its size is not known."
                yield Found(where, wrong, f"Read its size; below {always_below} it is put in a raceway.", Verdict.ASK)
            continue
        small = rank(electrode.conductor_size) < rank(always_below)
        if electrode.conductor_protected is None:
            if small and asks(r):
                wrong = (
                    f"Whether the {electrode.conductor_size} conductor to {electrode.title} is protected is not known."
                )
                yield Found(where, wrong, "Look for a raceway or armor over its whole length.", Verdict.ASK)
        elif small:
            wrong = f"The {electrode.conductor_size} conductor to {electrode.title} runs without raceway or armor."
            yield Found(where, wrong, f"Put it in a raceway, or run {always_below} or larger.")
        else:
            wrong = f"The conductor to {electrode.title} runs on the surface."
            yield Found(where, wrong, "Where it can be struck, put it in a raceway or armor.", Verdict.KNOW)


@rule(
    "steel-sleeve-bonded-both-ends",
    title="A steel sleeve round the electrode conductor is bonded at both ends",
    why="Steel round a single wire chokes lightning current like a coil. Joined to the wire at both ends, the sleeve "
    "itself carries it.",
    requirement="electrode-conductor-raceway-bond",
)
def steel_sleeve_bonded_both_ends(r: Readings) -> Iterator[Found]:
    for electrode in _old(r):
        where = f"electrodes.{electrode.id}.steel_raceway_bonded_both_ends"
        if electrode.steel_raceway_bonded_both_ends is False:
            wrong = f"The steel round the conductor to {electrode.title} is not bonded at both ends."
            yield Found(where, wrong, "Bond it to the conductor at each end, or use a nonmetallic raceway.")
        elif electrode.conductor_protected and electrode.steel_raceway_bonded_both_ends is None and asks(r):
            wrong = f"What protects the conductor to {electrode.title}, and how it is bonded, is not known."
            yield Found(where, wrong, "If it is steel, look for a bond at each end.", Verdict.ASK)


@rule(
    "buried-clamp-listed",
    title="A clamp in the earth is made for it",
    why="An ordinary clamp corrodes to dust below ground, where nobody can look. The rod is then joined to nothing.",
    requirement="electrode-connections",
)
def buried_clamp_listed(r: Readings) -> Iterator[Found]:
    for electrode in _old(r):
        if electrode.kind not in ("rod", "pipe", "plate", "ground ring"):
            continue
        where = f"electrodes.{electrode.id}.clamp_listed_for_burial"
        if electrode.clamp_listed_for_burial is False:
            wrong = f"The clamp at {electrode.title} is not listed for burial."
            yield Found(where, wrong, "Fit a clamp listed for burial and for this rod and wire.")
        elif electrode.clamp_listed_for_burial is None and asks(r):
            wrong = f"The mark on the clamp at {electrode.title} is not known."
            yield Found(
                where, wrong, "Uncover it and read the clamp; above the ground any listed one serves.", Verdict.ASK
            )


@rule(
    "electrode-conductor-lands-at-service",
    title="The electrode conductor lands at the disconnect of its place",
    why="Landed on a panel past the service, it puts the earth on the wrong side of the bond. Neutral current then "
    "flows through pipes, and the new main has no earth.",
    requirement="electrode-conductor-connection",
)
def electrode_conductor_lands_at_service(r: Readings) -> Iterator[Found]:
    places = sites(r.graph)
    for system in r.grounding.systems.values():
        place = places.get(system.building)
        if place is None:
            continue
        for electrode in (r.installation.electrodes[id] for id in system.electrodes):
            where = f"electrodes.{electrode.id}.conductor_to"
            section = "separate-building-electrode" if place.fed else None
            to = electrode.conductor_to
            if to is None:
                if electrode.connected and asks(r):
                    wrong = f"Where the conductor to {electrode.title} lands is not known."
                    yield Found(where, wrong, "Follow it to the enclosure it enters.", Verdict.ASK, section)
            elif to in r.installation.equipment and to not in place.lands_at and not on_supply_side(r.graph, to):
                at = r.graph.equipment(place.lands_at[0]).title
                wrong = (
                    f"The conductor to {electrode.title} lands at {r.graph.equipment(to).title}, past the disconnect."
                )
                yield Found(where, wrong, f"Run a new one to {at}, in one length.", requirement=section)
