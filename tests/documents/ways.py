"""Ways to build one job, made by hand, so that only their paper is tested."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

from driploop.alternatives.results import (
    Alternative,
    Choice,
    Comparison,
    Figures,
    Folded,
    MethodRoom,
    Refused,
    Step,
    WishRoom,
)
from driploop.installation import Proposal
from driploop.planning import Plan
from driploop.worksheet import Cited, Finding, Line, Verdict, Worksheet

UNKNOWN = Finding(
    "interrupting-rating-known", Verdict.ASK, "equipment.new-main", "Its interrupting rating is not known.",
    "Read it from the label.", "110.9", "It may burst.",
)  # fmt: skip


def sheet(id: str, rating_a: float) -> Worksheet:
    return Worksheet(f"figures/{id}", "Figures", (Line("Service rating", "", Cited(rating_a, "A"), "rating"),))


def figures(id: str, **changed: Any) -> Figures:
    rating_a = changed.get("rating_a", 200.0)
    fields: dict[str, Any] = {
        "service": "new-main", "rating_a": rating_a, "headroom_a": 54.4,
        "by_method": (MethodRoom("optional", "Optional load", "yes", 145.6, 54.4),
                      MethodRoom("standard", "Standard load", "no", 210.0, -10.0),
                      MethodRoom("metered", "Metered load", "ask", None, None)),
        "wish_steps": (WishRoom("spa", "Spa", "later", 14.0, True), WishRoom("kiln", "Kiln", "later", -6.0, False)),
        "circuits_touched": ("range", "laundry"), "circuits_extended": ("range",), "three_wire_lost": ("range",),
        "conductor_ft": {"4/0 AWG aluminum": 66.0, "2/0 AWG aluminum": 22.0}, "enclosures_new": 2,
        "enclosures_total": 3, "power_off_share": 0.25, "power_off_steps": ("meter",),
        "steps": ("meter", "panel", "rods", "range"), "worksheet": sheet(id, rating_a),
    }  # fmt: skip
    return Figures(**(fields | changed))


def way(plan: Plan, id: str, **changed: Any) -> Alternative:
    fields: dict[str, Any] = {
        "id": id, "title": f"Way {id}", "kind": "service disconnect outdoors", "scope": "full service",
        "proposal": plan.job.proposal or Proposal(), "job": plan.job, "readings": plan.found, "findings": (),
        "standing": "lawful", "why": ("one enclosure less",), "why_not": ("the range needs a new circuit",),
        "needs_answers": (), "consequences": ("the neutral is bonded outdoors",),
        "mendings": ("Meter: put in one of 200 A",), "shared": (),
        "figures": figures(id), "assumptions": (),
        "choices": (Choice("1", "service conductors: PVC 80, aluminum", "PVC 80", "aluminum", {}, {}, {}, chosen=True),
                    Choice("2", "service conductors: RMC, copper", "RMC", "copper", {}, {}, {}),
                    Choice("3", "feeder inside: SER cable, aluminum", "SER", "aluminum", {}, {}, {}, chosen=True)),
    }  # fmt: skip
    return Alternative(**(fields | changed))


def compared(plan: Plan, *ways: Alternative) -> Comparison:
    """These ways offered, one folded away, one refused."""
    return Comparison(
        offered=ways,
        folded=(Folded(way(plan, "beaten"), ways[0].id, "new enclosures: 3 against 2", "not better"),),
        refused=(Refused("no", "Main inside alone", "inside", ("no disconnect outdoors",), ("230.85",)),
                 Refused("nor", "Panel alone", "inside", ("no disconnect outdoors",), ())),
        steps=tuple(Step(a.id, b.id, ("the main moves indoors", "one box less"), ()) for a, b in pairwise(ways)),
        order=("headroom", "circuits touched"),
        shared=plan.must_mend[:1],
    )  # fmt: skip
