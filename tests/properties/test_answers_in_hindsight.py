"""What is bought before a question is answered serves when the answer comes.

``test_unknowns`` holds what the load asks for; this holds what is ordered: the rating of new enclosures and the device
of each new run. A proposal that states no rating leaves both to the load. What is read of an old circuit's wire or its
outlets stays out, as in ``test_unknowns``: the breaker that the wire allows stands for a load that nobody listed.
"""

from __future__ import annotations

import copy

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from random_jobs import Tables, seeds, sizes
from test_more_load import one_house
from test_unknowns import ANSWERS, is_beyond, planned, usual

from driploop.installation import rank
from driploop.planning import Plan

#: Answers that load, conductors or devices follow from.
ASKED = (
    ("loads", "controls"), ("loads", "locked_out"), ("loads", "runs_together"), ("loads", "receptacle_supplied"),
    ("buildings", "floor_area_ft2"), ("buildings", "garage_area_ft2"), ("buildings", "laundry"),
    ("circuits", "purpose"), ("equipment", "neutral_bonded"), ("runs", "metal_paths"),
)  # fmt: skip


def house(seed: int, size) -> Tables:
    drawn = one_house(seed, size)
    drawn["proposal"] = {"kind": "service disconnect outdoors", "scope": "full service", "panel": "box-0"}
    return drawn


def ordered(plan: Plan) -> dict[tuple[str, str], float]:
    """Ratings, devices and conductors of what is new, each larger where more is bought. [A; rank of a size]"""
    now = plan.final.installation
    bought = {("rating", id): each.rating_a for id, each in now.equipment.items() if each.is_new and each.rating_a}
    for id, run in now.runs.items():
        sizing = plan.final.conductors.runs[id]
        if not run.is_new or sizing.kind == "utility":
            continue
        if sizing.ocpd_a is not None:
            bought["device", id] = sizing.ocpd_a
        if sizing.line_size is not None:
            bought[f"line {sizing.metal}", id] = rank(sizing.line_size)
    return bought


@pytest.mark.parametrize(("table", "field"), ASKED, ids=[".".join(key) for key in ASKED])
@usual
@given(seed=seeds, size=sizes, data=st.data())
def test_what_is_ordered_on_an_assumption_serves_the_answer(table, field, seed, size, data):
    drawn = house(seed, size)
    assume(drawn[table])
    id = data.draw(st.sampled_from(sorted(drawn[table])))
    drawn[table][id].pop(field, None)
    drawn[table][id].pop("fate", None)
    unknown = planned(drawn)
    if unknown is None:
        return
    bought = ordered(unknown)
    for value in ANSWERS[table, field]:
        told = copy.deepcopy(drawn)
        told[table][id][field] = value
        answered = planned(told)
        if answered is None or is_beyond(unknown, table, field, id, value):
            continue
        needed = ordered(answered)
        for what in bought.keys() & needed.keys():
            assert bought[what] >= needed[what], (what, value)
