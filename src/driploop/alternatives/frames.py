"""Which ways to build make sense for what was found: one frame for each kind, rating class and scope; early refusals.

A frame is a proposal still to be built and judged. Metal and wiring method are not multiplied in here: they change
only the runs they touch and are varied within each alternative.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from driploop.alternatives.clearing import STAYS, nearest
from driploop.alternatives.kinds import KEEP, SECOND_PANEL
from driploop.alternatives.results import Refused
from driploop.alternatives.trade import service_class, two_mains_a, two_mains_from_a
from driploop.alternatives.wiring import usual_wiring
from driploop.alternatives.wishes import later_loads
from driploop.editions import Edition
from driploop.installation import Circuit, Equipment, Graph, Job, Proposal
from driploop.loads import service_rating
from driploop.loads.gather import own_rating
from driploop.loads.rating import NoStandardRating
from driploop.loads.reading import LoadReader
from driploop.rules import Readings

_TITLES = {
    "service disconnect inside": "Main inside, nothing outdoors",
    "service disconnect outdoors": "Service disconnect outdoors, the inside panel on a feeder",
    "emergency disconnect": "Emergency disconnect outdoors, the main stays inside",
    "meter disconnect": "Disconnect at the meter, the main stays inside",
    "everything outdoors": "Main and circuits in one outdoor enclosure",
    "several service disconnects": "Several service disconnects in separate enclosures",
    "farm distribution point": "Distribution point at the pole, a feeder to each building",
    "meter and two mains": "Meter and two mains, each to a panel of its own",
    KEEP: "Keep what is there",
}
_ONE_MAIN = (
    "service disconnect inside", "service disconnect outdoors", "emergency disconnect", "meter disconnect",
    "everything outdoors",
)  # fmt: skip
_AHEAD = {"emergency disconnect": "emergency-disconnect", "meter disconnect": "supply-side-equipment"}
_PARTIAL = {
    "panel only": "Renew the panel alone",
    "service cable only": "Renew the service conductors alone",
    "meter only": "Renew the meter socket alone",
}


@dataclass(frozen=True, slots=True)
class Frame:
    """One way to be built: ``own`` marks the shop's own proposal as the job file states it."""

    id: str
    title: str
    kind: str
    scope: str
    proposal: Proposal
    own: bool = False


@dataclass(frozen=True, slots=True)
class Needs:
    """What the service must carry. [A]

    ``now_a``: kept as it is, with the wishes for now; ``new_a``: a new one with these; ``later_a``: a new one with
    those for later as well. ``found_a`` is the least rating found at a service disconnect, None where not known.
    """

    now_a: float
    new_a: float
    later_a: float
    found_a: float | None
    dwelling: bool


def needs_of(kept: Readings, *, edition: Edition) -> Needs:
    """Reads the needs from the installation kept as it is, wishes for now included.

    A new service is asked about as one: some methods hold only for a service that stays, others only for one of a
    dwelling's least rating.
    """
    graph = kept.graph
    mains = graph.service_disconnects
    tops = [id for id in graph.order if graph.equipment(id).kind == "meter" and len(graph.below(id)) > 1] or list(mains)
    now_a = max((kept.loads.nodes[id].conductor_current_a for id in tops), default=0.0)
    least_a = edition.number("building_disconnect_one_family")
    renewed = _renewed(kept, least_a)
    reader = LoadReader(renewed.graph, edition=edition)
    new_a = max((reader.node(id).conductor_current_a for id in tops), default=0.0)
    steps = [[load_a for _, load_a in later_loads(renewed, id, edition=edition)][-1:] for id in tops]
    later_a = max([new_a, *(load_a for each in steps for load_a in each)])
    ratings = [own_rating(graph.equipment(id)) for id in mains]
    known = [rating for rating in ratings if rating is not None]
    found_a = min(known) if known and len(known) == len(ratings) else None
    return Needs(now_a, new_a, later_a, found_a, any(graph.may_feed_a_home(id) for id in mains))


def _renewed(kept: Readings, least_a: float) -> Readings:
    """The readings with every enclosure new and none below a dwelling's least rating, for loads alone."""
    equipment = {
        id: each.model_copy(
            update={"is_new": True, "rating_a": max(each.rating_a or 0.0, least_a),
                    "main_a": max(each.main_a, least_a) if each.main_a else None}
        )
        for id, each in kept.installation.equipment.items()
    }  # fmt: skip
    installation = kept.installation.model_copy(update={"equipment": equipment})
    return replace(kept, installation=installation, graph=Graph(installation))


def keep_frame(job: Job) -> Frame:
    """What is there is kept: the frame all others are measured by."""
    circuits = {id: each for id, each in _circuits(job).items() if id not in job.found.circuits}
    fields: dict[str, Any] = {"kind": KEEP, "scope": "full service", "circuits": circuits}
    return Frame("keep", _TITLES[KEEP], KEEP, "full service", Proposal.model_construct(**{**_blank(), **fields}))


def frames_of(job: Job, kept: Readings, needs: Needs, *, edition: Edition) -> tuple[list[Frame], list[Refused]]:
    """Every frame that makes sense for this job, and what was refused before it was built, each with its reason.

    Args:
        job: the survey, with or without a proposal.
        kept: the readings of the installation kept as it is.
        needs: what the service must carry.
        edition: the code edition in force.
    """
    frames: list[Frame] = []
    refused: list[Refused] = []
    wanted = job.proposal.scope if job.proposal is not None else None
    if wanted in _PARTIAL:
        reason = f"the customer asked for this scope alone: {wanted}"
        refused.append(Refused("full-service", "A whole new service", "full service", (reason,)))
        frames.append(_partial(job, str(wanted)))
        return frames, refused
    classes = _classes(needs, edition=edition)
    if not classes:
        reason = f"{needs.new_a:.0f} A is above the largest standard rating; split the load or ask an engineer"
        return frames, [Refused("full-service", "A whole new service", "full service", (reason,))]
    for kind in _TITLES:
        if kind == KEEP:
            continue
        why_not = _makes_no_sense(kind, kept, needs, edition=edition)
        if why_not is not None:
            section = _section(edition, _AHEAD.get(kind))
            refused.append(Refused(_slug(kind), _TITLES[kind], kind, (why_not,), section))
            continue
        frames += _of_kind(job, kept, kind, classes, needs, edition=edition)
    partial, not_partial = _partials(job, kept, needs)
    return frames + partial, refused + not_partial


# --- the kinds -----------------------------------------------------------------------------------------------------


def _classes(needs: Needs, *, edition: Edition) -> list[float]:
    """The smallest class for now, and the next that carries the wishes for later too. [A]"""
    found: list[float] = []
    for load_a in (needs.new_a, needs.later_a):
        try:
            least = service_rating(load_a, dwelling=needs.dwelling, edition=edition).rating.number
        except NoStandardRating:
            continue
        found.append(service_class(least))
    return list(dict.fromkeys(found))


def _makes_no_sense(kind: str, kept: Readings, needs: Needs, *, edition: Edition) -> str | None:
    graph = kept.graph
    meters = [id for id in graph.order if graph.equipment(id).kind == "meter" and len(graph.below(id)) > 1]
    panels = [each for each in kept.installation.equipment.values() if each.kind == "panel"]
    if kind == "farm distribution point":
        if kept.installation.site_kind != "farm":
            return "this is no farm: there is no pole that feeds several buildings"
        if not any(graph.roles[id] == "building disconnect" for id in graph.order):
            return "no building of the farm is fed by a feeder"
        return None
    if kind == "several service disconnects":
        return None if _supplies(kept) > 1 else "one main panel is all there is; a second main would serve nothing"
    if not panels:
        return "no panel is listed that could be renewed"
    if len(meters) > 1:
        return f"there are {len(meters)} meters; one main would join what each of them measures"
    if kept.installation.site_kind == "farm" and len(_supplied(kept)) > 1:
        return "several buildings are fed from here; one main in one of them would leave the others without"
    requirement = _AHEAD.get(kind)
    if requirement is not None and not edition.has(requirement):
        return f"{edition.name} knows no such device ahead of the service disconnect"
    if kind in _AHEAD and not needs.dwelling:
        return "no dwelling hangs on this service, and only a dwelling asks for it"
    if kind == "meter and two mains":
        return _two_mains(kept, needs)
    return None


def _two_mains(kept: Readings, needs: Needs) -> str | None:
    from_a = two_mains_from_a()
    if not needs.dwelling:
        return "no dwelling hangs on this service"
    if service_class(needs.later_a) < from_a:
        return f"{needs.later_a:.0f} A with every wish fits a single main below {from_a:g} A"
    return None if _moves_to_second(kept) else "no large circuit is listed that could go to a second panel"


def _supplies(kept: Readings) -> int:
    """How many panels begin a supply of their own: the nearest below each service disconnect."""
    graph = kept.graph
    first = (
        nearest(graph, (id for id in graph.below(main) if graph.equipment(id).kind == "panel"))[:1]
        for main in graph.service_disconnects
    )
    return len({panel for panels in first for panel in panels})


def _supplied(kept: Readings) -> set[str | None]:
    """The buildings or units in which a panel hangs that the service feeds."""
    graph = kept.graph
    return {each.building for each in kept.installation.equipment.values()
            if each.kind == "panel" and graph.circuits_below(each.id)}  # fmt: skip


def _of_kind(
    job: Job, kept: Readings, kind: str, classes: list[float], needs: Needs, *, edition: Edition
) -> Iterator[Frame]:
    stated = job.proposal
    own = stated is not None and stated.kind == kind
    if stated is not None and own:
        amperes = f", {stated.rating_a:g} A" if stated.rating_a else ""
        title, full = f"{_TITLES[kind]}{amperes}, as proposed", {"scope": "full service"}
        yield Frame(f"{_slug(kind)}-as-proposed", title, kind, "full service", stated.model_copy(update=full), own=True)
    if kind == "farm distribution point":
        yield from _farm_frames(job, kept, classes, edition=edition)
    elif kind == "several service disconnects" and not own:
        yield _frame(job, kept, kind, None, edition=edition)
    elif kind == "meter and two mains" and not own:
        yield _frame(job, kept, kind, max(classes[-1], two_mains_a()), edition=edition)
    elif kind in _ONE_MAIN:
        for rating in classes:
            if stated is None or not own or stated.rating_a != rating:
                yield _frame(job, kept, kind, rating, edition=edition)


def _farm_frames(job: Job, kept: Readings, classes: list[float], *, edition: Edition) -> Iterator[Frame]:
    stated = job.proposal
    own = stated is not None and stated.kind == "farm distribution point"
    for isolating in (False, True):
        if own and stated is not None and bool(stated.site_isolating) is isolating:
            continue
        # The shop's own decisions hold for the other sort of device as well; only what the device is differs.
        if own and stated is not None:
            proposal = stated.model_copy(update={"site_isolating": isolating, "scope": "full service"})
            yield _farm_frame(proposal, stated.rating_a, isolating=isolating)
            continue
        for rating in classes:
            base = _frame(job, kept, "farm distribution point", rating, edition=edition).proposal
            yield _farm_frame(base.model_copy(update={"site_isolating": isolating}), rating, isolating=isolating)


def _farm_frame(proposal: Proposal, rating_a: float | None, *, isolating: bool) -> Frame:
    device = "site-isolating device" if isolating else "service disconnect"
    amperes = f", {rating_a:g} A" if rating_a else ""
    end = f"-{rating_a:g}" if rating_a else ""
    kind = "farm distribution point"
    id = f"{_slug(kind)}-{_slug(device)}{end}"
    return Frame(id, f"{_TITLES[kind]}, {device}{amperes}", kind, "full service", proposal)


def _frame(job: Job, kept: Readings, kind: str, rating: float | None, *, edition: Edition) -> Frame:
    proposal = _base(job, kept, kind, rating, edition=edition)
    end, amperes = (f"-{rating:g}", f", {rating:g} A") if rating else ("", "")
    return Frame(f"{_slug(kind)}{end}", f"{_TITLES[kind]}{amperes}", kind, "full service", proposal)


def _base(job: Job, kept: Readings, kind: str, rating: float | None, *, edition: Edition) -> Proposal:
    """The proposal of one kind: what the shop has stated that does not hang on another kind, else what is usual."""
    stated = job.proposal or Proposal()
    wiring = usual_wiring(job, stated, edition=edition)
    equipment = {id: each for id, each in stated.equipment.items() if id in job.found.equipment}
    for meter in _meters_too_small(job, rating):
        known = equipment.get(meter, Equipment(id=meter))
        equipment[meter] = _with_fields(known, rating_a=rating, is_new=True)
    moves = dict(stated.moves or {})
    if kind == "meter and two mains":
        moves |= dict.fromkeys(_moves_to_second(kept), SECOND_PANEL)
    fields: dict[str, Any] = {
        **_blank(), **_plain(stated), **wiring, "kind": kind, "scope": "full service", "rating_a": rating,
        "panel_rating_a": None, "site_isolating": None, "equipment": equipment, "moves": moves or None,
        "runs": {}, "circuits": _circuits(job), "electrodes": stated.electrodes, "bonds": stated.bonds,
    }  # fmt: skip
    return Proposal.model_construct(**fields)


def _plain(stated: Proposal) -> dict[str, Any]:
    """What the shop has stated by plain fields."""
    return {name: getattr(stated, name) for name in stated.model_fields_set}


def _blank() -> dict[str, Any]:
    return {name: field.get_default() for name, field in Proposal.model_fields.items()}


def _circuits(job: Job) -> dict[str, Circuit]:
    return dict(job.proposal.circuits) if job.proposal is not None else {}


def _with_fields(part: Equipment, **fields: object) -> Equipment:
    stated = {name: getattr(part, name) for name in part.model_fields_set}
    return Equipment.model_validate({**stated, **fields})


def _meters_too_small(job: Job, rating: float | None) -> list[str]:
    """Meters known to be smaller than the new service, that the survey did not decide to keep."""
    meters = [each for each in job.found.equipment.values() if each.kind == "meter" and each.fate not in STAYS]
    return [each.id for each in meters if rating and each.rating_a is not None and each.rating_a < rating]


def _moves_to_second(kept: Readings) -> list[str]:
    """Large circuits for the second panel, so that the two carry about alike: largest first, then by id."""
    load_va: dict[str, float] = {}
    for id, circuit in kept.installation.circuits.items():
        if circuit.poles == 2 and not circuit.is_new:
            loads = [kept.installation.loads[load] for load in kept.graph.loads_on.get(id, ())]
            load_va[id] = sum(load.va or (load.kw or 0.0) * 1000.0 for load in loads)
    order = sorted((id for id, va in load_va.items() if va > 0), key=lambda id: (-load_va[id], id))
    return order[: (len(order) + 1) // 2]


# --- the customer's scope ------------------------------------------------------------------------------------------


def _partials(job: Job, kept: Readings, needs: Needs) -> tuple[list[Frame], list[Refused]]:
    """Parts of the service alone: only where the rating that is there carries what is wished for now."""
    if needs.found_a is None:
        reason = "the rating that is there is not known, and it would stay"
    elif round(needs.now_a) > needs.found_a:
        reason = f"the {needs.found_a:g} A that is there would stay, and {needs.now_a:.0f} A must be carried"
    elif len(kept.graph.service_disconnects) > 1:
        reason = "there are several service disconnects; say which is meant by a proposal of this scope"
    else:
        return [_partial(job, scope) for scope in _PARTIAL if _there(job, kept, scope)], []
    return [], [Refused(_slug(scope), title, scope, (reason,)) for scope, title in _PARTIAL.items()]


def _there(job: Job, kept: Readings, scope: str) -> bool:
    """Whether what this scope renews was found: it may not stand there, or belong to the utility."""
    if scope == "meter only":
        return any(each.kind == "meter" and each.fate != "keep" for each in job.found.equipment.values())
    if scope == "panel only":
        mains = [kept.graph.equipment(id) for id in kept.graph.service_disconnects]
        return any(each.kind == "panel" and each.fate != "keep" for each in mains)
    return any(kept.graph.is_service_run(run) and run.owner == "customer" for run in job.found.runs.values())


def _partial(job: Job, scope: str) -> Frame:
    stated = job.proposal
    own = stated is not None and stated.scope == scope
    if stated is not None and own:
        return Frame(f"{_slug(scope)}-as-proposed", f"{_PARTIAL[scope]}, as proposed", scope, scope, stated, own=True)
    fields: dict[str, Any] = {**_blank(), "scope": scope, "circuits": {}}
    if stated is not None:
        fields |= {"metal": stated.metal, "method": stated.method, "panel": stated.panel}
    return Frame(_slug(scope), _PARTIAL[scope], scope, scope, Proposal.model_construct(**fields))


def _section(edition: Edition, requirement: str | None) -> tuple[str, ...]:
    if requirement is None or not edition.has(requirement):
        return ()
    return (edition.entry(requirement).section,)


def _slug(words: str) -> str:
    return words.replace(" ", "-").replace(",", "")
