"""A wish more never leaves more room, whatever the way to build.

Wishes that open a demand factor for several are kept out, as in ``test_more_load``: the kinds added there count whole.
A way of which the wish changes the rating is a larger service, and not compared.
"""

from __future__ import annotations

import copy
from itertools import pairwise

from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from random_jobs import Tables, job_of, seeds, sizes
from test_more_load import ADDED, one_house

from driploop.alternatives import Alternative, alternatives_of
from driploop.editions import load_edition
from driploop.worksheet import DriploopError

usual = settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))


def ways_of(drawn: Tables) -> dict[str, Alternative]:
    job = job_of(drawn)
    try:
        ways = alternatives_of(job, edition=load_edition(job.town.edition or "NEC 2023"))
    except DriploopError:
        assume(False)
        raise
    return {way.id: way for way in (*ways.offered, *(folded.alternative for folded in ways.folded))}


def house(seed: int, size) -> Tables:
    drawn = one_house(seed, size)
    for part in (*drawn["loads"].values(), *drawn["wishes"].values()):
        part.pop("never_with", None)  # of loads that never run together the larger counts
        part.pop("replaces", None)
    return drawn


@usual
@given(seeds, sizes, st.sampled_from(sorted(ADDED)), st.sampled_from(("now", "later")))
def test_a_wish_never_adds_headroom(seed, size, added, when):
    drawn = house(seed, size)
    wished = copy.deepcopy(drawn)
    wished["wishes"]["added"] = {**ADDED[added], "panel": "box-0", "volts": 240, "phase": 1, "when": when}
    before, after = ways_of(drawn), ways_of(wished)
    for id in before.keys() & after.keys():
        old, new = before[id].figures, after[id].figures
        if old.rating_a == new.rating_a and "managed" not in id:
            assert new.headroom_a <= old.headroom_a + 1e-6, id


@usual
@given(seeds, sizes, st.sampled_from(sorted(ADDED)))
def test_each_later_wish_leaves_no_more_than_the_one_before(seed, size, added):
    drawn = house(seed, size)
    drawn["wishes"] = {
        f"w{number}": {**ADDED[added], "panel": "box-0", "volts": 240, "phase": 1, "when": "later"}
        for number in range(3)
    }
    for way in ways_of(drawn).values():
        left = [way.figures.headroom_a, *(step.headroom_a for step in way.figures.wish_steps)]
        assert all(now <= before + 1e-6 for before, now in pairwise(left)), way.id
