"""What stands ahead of the new main and beside it: old switches come out, meters and boxes that serve on stay."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from driploop.alternatives.draft import Draft
from driploop.alternatives.errors import ProposalError
from driploop.circuits import takes_down
from driploop.installation import UTILITY, Equipment, Graph

#: Fates by which old equipment is still there when the work is done.
STAYS = frozenset({"keep", "convert to unfused", "convert to junction box"})
#: Stated roles of a device that may stay ahead of the service disconnect.
_AHEAD = frozenset({"emergency disconnect", "meter disconnect", "not a disconnect"})


def clear_the_way(draft: Draft, *, keep: str, into: str, spare: Collection[str] = ()) -> str:
    """Take out the old disconnects ahead of the panel, and the switches beside it that go.

    ``spare`` are disconnects that other panels hang on. What hung on a switch behind the meter goes over to ``into``;
    a switch ahead of the meter is bridged.

    Returns:
        What the new service conductors start from: the meter, or a box or device behind it that stays.
    """
    graph = draft.graph()
    path = [id for id in graph.path_up(keep) if id in draft.equipment]
    beside = _beside(draft, graph, keep=keep, into=into, spare=spare)
    supply, below = UTILITY, keep
    for id in path:
        ahead = supply != UTILITY
        if _stays(draft.equipment[id], ahead=ahead) or _feeds_others(draft, id, {*path, *beside, keep}):
            supply, below = (supply if ahead else id), id
        elif ahead:
            _bridge(draft, id, to=below)
        else:
            _hang_back(draft, id, spare)
            draft.remove_equipment(id, hand_to=into)
    for id in beside:
        draft.remove_equipment(id, hand_to=into)
    return supply


def clear_ahead(draft: Draft, meter: str) -> None:
    """Take out the old service disconnect that stands ahead of a meter."""
    graph = draft.graph()
    below = meter
    for id in [id for id in graph.path_up(meter) if id in draft.equipment]:
        if graph.roles[id] == "service disconnect" and not _stays(draft.equipment[id], ahead=True):
            _bridge(draft, id, to=below)
        else:
            below = id


def _stays(each: Equipment, *, ahead: bool) -> bool:
    """Whether equipment on the way to the new main stays. ``ahead``: something behind it stays already."""
    if each.kind in ("meter", "utility"):
        return True
    if each.kind == "junction box":
        return ahead or each.fate in (*STAYS, "replace")
    if ahead and (each.kind != "disconnect" or (each.fate == "replace" and each.role in _AHEAD)):
        return True
    if each.fate not in STAYS:
        return False
    if each.fate == "convert to junction box" or each.role in _AHEAD:
        return True
    raise ProposalError(
        f"equipment.{each.id}.fate",
        f"{each.fate!r}, but it stands ahead of the new main and would be the service disconnect itself. Write "
        "'remove' or 'replace'; if it is no service equipment, state its role, such as 'emergency disconnect'.",
    )


def _bridge(draft: Draft, id: str, *, to: str) -> None:
    """Take out a switch ahead of a meter: its supply leads on, or what it fed is fed from one step up."""
    fed = [run for run in draft.runs.values() if run.from_ == id and run.to in draft.equipment]
    if len(fed) == 1:
        draft.bridge(id, to=to)
    else:
        source = draft.run_into(id)
        draft.remove_equipment(id, hand_to=source.from_ if source is not None else UTILITY)


def _feeds_others(draft: Draft, id: str, going: Collection[str]) -> bool:
    """Whether a box whose fate is open still feeds something that stays."""
    each = draft.equipment[id]
    out = (run.to for run in draft.runs.values() if run.from_ == id)
    return each.kind == "junction box" and each.fate is None and any(to not in going for to in out)


def _hang_back(draft: Draft, id: str, spare: Collection[str]) -> None:
    """What another panel hangs on is fed from one step further up before this step is taken out."""
    source = next((run.from_ for run in draft.runs.values() if run.to == id), UTILITY)
    for run in [run for run in draft.runs.values() if run.from_ == id and run.to in spare]:
        draft.change(draft.runs, run.id, from_=source)


def _beside(draft: Draft, graph: Graph, *, keep: str, into: str, spare: Collection[str]) -> list[str]:
    """Other service disconnects on the same meter that go: switches, and panels that are to be taken out."""
    meter = meter_above(draft, keep)
    return [
        id
        for id in graph.service_disconnects
        if id not in (keep, into, *spare, *graph.path_up(keep))
        and not draft.equipment[id].is_new
        and goes(draft.equipment[id])
        and meter_above(draft, id) == meter
        and (same_place(draft, id, keep) or same_place(draft, id, meter))
    ]


def goes(each: Equipment) -> bool:
    """Whether an old service disconnect makes way for a new main: one marked to go, or a switch nobody keeps."""
    return takes_down(each) or (each.kind == "disconnect" and each.fate not in STAYS)


def nearest(graph: Graph, ids: Iterable[str]) -> list[str]:
    """Equipment by what it is, whatever the order of the survey: the nearest to the supply first, of those the one of
    the largest rating, then the one with most circuits; the id decides where nothing else does."""

    def place(id: str) -> tuple[int, float, int, str]:
        rating_a = rating_as_found(graph.equipment(id))
        return sum(1 for _ in graph.path_up(id)), -rating_a, -len(graph.circuits_at.get(id, ())), id

    return sorted(ids, key=place)


def rating_as_found(each: Equipment) -> float:
    """The smaller of bus and main, as far as they were read; 0 where neither was. [A]"""
    return min((a for a in (each.rating_a, each.main_a) if a is not None), default=0.0)


def first_meter(graph: Graph) -> str:
    """The meter nearest to the supply; the utility's end of it where none was listed."""
    return next(iter(nearest(graph, (id for id in graph.order if graph.equipment(id).kind == "meter"))), UTILITY)


def meter_above(draft: Draft, equipment: str) -> str:
    """The meter ahead of this equipment; the utility's end of the supply where none was listed."""
    for id in draft.graph().path_up(equipment):
        if id in draft.equipment and draft.equipment[id].kind == "meter":
            return id
    return UTILITY


def same_place(draft: Draft, first: str, second: str) -> bool:
    """Whether two pieces of equipment hang at one building or pole; yes where either place is not known."""
    graph = draft.graph()
    places = [graph.site_of(draft.equipment[id].building) for id in (first, second) if id in draft.equipment]
    return None in places or len(set(places)) < 2
