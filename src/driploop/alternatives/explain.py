"""What follows from one way to build, in sentences about this job, each read from its readings."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.alternatives.judge import Judged, must_mend, place_of
from driploop.rules import Readings


def consequences_of(judged: Judged) -> tuple[str, ...]:
    """Bonds, wires, electrode conductors, labels, surge protection and three-wire circuits, in this order."""
    r = judged.readings
    return tuple(dict.fromkeys((*_bonds(r), *_wires(r), *_electrodes(r), *_labels(r), *_surge(r), *_three_wire(r))))


def mendings_of(judged: Judged, old: frozenset[tuple[str, str]]) -> tuple[str, ...]:
    """The work that mends this way's faults, those it raises itself first. ``old`` are faults of what was found."""
    first = {place_of(each) for each in must_mend(judged.first)}
    raised = {where.partition(".")[2].partition(".")[0] for _, where in first - old}
    own = [each.words for each in judged.mendings if each.id in raised]
    return tuple(dict.fromkeys([*own, *(each.words for each in judged.mendings)]))


def _bonds(r: Readings) -> Iterator[str]:
    for id, bond in r.grounding.bonds.items():
        title = r.graph.equipment(id).title
        was = r.found.equipment.get(id) if r.found is not None else None
        if bond.required == "bonded":
            yield f"{title}: neutral and enclosure are joined here ({bond.section})."
        elif bond.required == "isolated" and was is not None and was.neutral_bonded:
            yield f"{title}: the neutral comes off the enclosure, grounds and neutrals are parted ({bond.section})."


def _wires(r: Readings) -> Iterator[str]:
    for id, count in r.grounding.wires.items():
        run = r.installation.runs[id]
        if run.is_new and run.owner != "utility" and run.method != "busbar or nipple":
            yield f"{run.title}: {count.needed} wires ({count.section})."
        elif count.needed == 4 and count.found == 3:
            stays = "stays with three wires" if count.may_stay else "may not stay with three wires"
            yield f"{run.title}: {stays}, {count.why.rstrip('.')} ({count.section})."


def _electrodes(r: Readings) -> Iterator[str]:
    for system in r.grounding.systems.values():
        if system.lands_at is None or not system.conductors:
            continue
        at = (
            r.graph.equipment(system.lands_at).title if system.lands_at in r.installation.equipment else system.lands_at
        )
        largest = ", ".join(f"{r.installation.electrodes[c.electrode].title} {c.required_copper} copper"
                            for c in system.conductors if c.electrode in r.installation.electrodes)  # fmt: skip
        yield f"Electrode conductors land at {at}: {largest} ({system.section})."


def _labels(r: Readings) -> Iterator[str]:
    for label in r.labels:
        each = r.installation.equipment.get(label.equipment)
        if each is not None and each.is_new:
            yield f"{each.title} reads: {' / '.join(label.words)} ({label.section})."


def _surge(r: Readings) -> Iterator[str]:
    for each in r.installation.equipment.values():
        if each.is_new and each.surge_protection in ("type 1", "type 2"):
            yield f"{each.title} gets surge protection, {each.surge_protection}."


def _three_wire(r: Readings) -> Iterator[str]:
    for id, old in (r.found.circuits if r.found is not None else {}).items():
        now = r.installation.circuits.get(id)
        if not old.frame_grounded_by_neutral or now is None:
            continue
        what = old.serves or old.title
        if now.frame_grounded_by_neutral:
            yield f"{what}: the three-wire circuit stays, its frame still grounded by the neutral."
        else:
            yield f"{what}: the three-wire circuit ends; it gets a new one of four wires."
