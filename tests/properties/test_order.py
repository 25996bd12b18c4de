"""The order of the survey changes no number, no size and no finding."""

from __future__ import annotations

from random import Random

from compare import facts_of
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from random_jobs import Tables, job_of, tables

from driploop import plan
from driploop.planning import Plan
from driploop.worksheet import DriploopError

#: Tables of one part, without ids. (The headroom adds wishes one to another in their order; its margin is before them.)
ORDERED = ("town", "utility", "site", "proposal")


def shuffled(drawn: Tables, seed: int) -> Tables:
    turned = {}
    for name, held in drawn.items():
        ids = list(held)
        if name not in ORDERED:
            Random(seed).shuffle(ids)
        turned[name] = {id: held[id] for id in ids}
    return turned


OPEN = (
    "service disconnect inside", "service disconnect outdoors", "emergency disconnect", "meter disconnect",
    "everything outdoors", "several service disconnects", "farm distribution point", "meter and two mains",
)  # fmt: skip


def planned(drawn: Tables) -> Plan | None:
    try:
        return plan(job_of(drawn))
    except DriploopError:
        return None


@settings(max_examples=100, deadline=None, suppress_health_check=list(HealthCheck))
@given(tables, st.integers(0, 1000))
def test_the_order_of_the_survey_changes_nothing(drawn, seed):
    same_either_way(drawn, seed)


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(tables, st.integers(0, 1000), st.sampled_from(OPEN))
def test_a_proposal_that_leaves_its_panel_open_does_not_hang_on_the_order(drawn, seed, kind):
    drawn["proposal"] = {"kind": kind, "scope": "full service"}
    for held in ("equipment", "runs", "circuits", "loads", "electrodes"):
        for part in drawn[held].values():
            part.pop("fate", None)
    same_either_way(drawn, seed)


def same_either_way(drawn: Tables, seed: int) -> None:
    as_drawn, turned = planned(drawn), planned(shuffled(drawn, seed))
    assert (as_drawn is None) == (turned is None), "refused in one order only"
    if as_drawn is None or turned is None:
        drawn = {name: held for name, held in drawn.items() if name != "proposal"}
        as_drawn, turned = plan(job_of(drawn)), plan(job_of(shuffled(drawn, seed)))
    before, after = facts_of(as_drawn.found, as_drawn.found_findings), facts_of(turned.found, turned.found_findings)
    for kind in before:
        assert before[kind] == after[kind], kind
    assert (as_drawn.proposed is None) == (turned.proposed is None)
    if as_drawn.proposed is not None and turned.proposed is not None:
        before = facts_of(as_drawn.proposed, as_drawn.proposed_findings)
        after = facts_of(turned.proposed, turned.proposed_findings)
        for kind in before:
            assert before[kind] == after[kind], f"proposed: {kind}"
        assert set(as_drawn.proposed.installation.electrodes) == set(turned.proposed.installation.electrodes)
    if as_drawn.headroom is not None:
        assert turned.headroom is not None
        assert round(turned.headroom.margin_a, 3) == round(as_drawn.headroom.margin_a, 3)
