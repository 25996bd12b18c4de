"""What nobody could read is never taken for safer than an answer to it.

Answers are what a survey may well find. These stay out, each said as an assumption of the plan: a nameplate or a floor
above the upper one of its kind, a garage nobody mentioned, a wye service, a new terminal not marked for 75 C, the main
of a new run (it follows the load), a wire larger than its device can need, a building of unknown use that is a
dwelling, one circuit on one line of unstated purpose that serves one thing.
"""

from __future__ import annotations

import copy
from typing import Any

import pytest
from compare import demands_of, doubts_of, raised_at
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from random_jobs import Tables, job_of, random_tables, seeds, sizes

from driploop import plan
from driploop.installation.graph import DWELLING_USES
from driploop.loads.typical import typical
from driploop.planning import Plan
from driploop.worksheet import DriploopError, Verdict

usual = settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
PLATE = ("va", "kw", "hp", "current_a", "rla_a", "mca_a")
#: Answers by table and field.
ANSWERS: dict[tuple[str, str], tuple[Any, ...]] = {
    ("loads", "controls"): (1, 4),
    ("loads", "locked_out"): (True, False),
    ("loads", "runs_together"): (True, False),
    ("loads", "receptacle_supplied"): (True, False),
    ("buildings", "floor_area_ft2"): (600.0, 1450.0, 2900.0),
    ("buildings", "laundry"): ("in unit", "common", "none"),
    ("equipment", "neutral_bonded"): (True, False),
    ("equipment", "interrupting_rating_a"): (5000.0, 10000.0, 22000.0),
    ("equipment", "mains_count"): (1, 2, 6),
    ("runs", "insulation"): ("TW", "THWN", "XHHW-2", "rubber and cloth", "bare"),
    ("runs", "line_size"): ("12 AWG", "8 AWG", "2 AWG"),
    ("runs", "neutral_size"): ("12 AWG", "8 AWG", "2 AWG"),
    ("runs", "metal_paths"): ((), ("water pipe",), ("fence",)),
    ("runs", "gfpe_upstream"): (True, False),
    ("runs", "egc"): ("wire", "raceway", "armor", "none"),
    ("runs", "ambient_c"): (20.0, 30.0),
    ("circuits", "wire_size"): ("14 AWG", "12 AWG", "8 AWG"),
    ("circuits", "ground"): ("wire", "armor", "none"),
    ("electrodes", "connected"): (True, False),
    ("electrodes", "conductor_size"): ("8 AWG", "6 AWG", "4 AWG"),
    ("electrodes", "resistance_ohm"): (19.0, 80.0),
    ("electrodes", "reachable_without_breaking_concrete"): (True, False),
    ("electrodes", "earth_contact_ft"): (4.0, 30.0),
}  # fmt: skip


def planned(drawn: Tables) -> Plan | None:
    try:
        return plan(job_of(drawn))
    except DriploopError:
        return None


def at_least_as_safe(unknown: Plan, answered: Plan) -> None:
    """Nothing that an answer asks for is less where the answer is not known, and nothing is trusted more."""
    asked = demands_of(unknown)
    for what, larger in demands_of(answered).items():
        if what in asked:
            assert asked[what] >= larger - 1e-6, what
    doubts = doubts_of(unknown)
    for what, doubt in doubts_of(answered).items():
        if doubt == 2 and what in doubts:
            assert doubts[what] > 0, what


@pytest.mark.parametrize(("table", "field"), ANSWERS, ids=[".".join(key) for key in ANSWERS])
@usual
@given(seed=seeds, size=sizes, data=st.data())
def test_an_unknown_is_never_less_safe_than_an_answer(table, field, seed, size, data):
    drawn = random_tables(seed, size)
    assume(drawn[table])
    id = data.draw(st.sampled_from(sorted(drawn[table])))
    drawn[table][id].pop(field, None)
    drawn[table][id].pop("fate", None)  # nobody asks about what goes
    # Three wires of which one is the equipment ground leave no neutral whose size could be asked.
    assume(field != "neutral_size" or (drawn[table][id].get("wires"), drawn[table][id].get("egc")) != (3, "wire"))
    unknown = planned(drawn)
    if unknown is None:
        return
    for value in ANSWERS[table, field]:
        told = copy.deepcopy(drawn)
        told[table][id][field] = value
        answered = planned(told)
        if answered is None:
            continue
        # The breaker that an old wire allows stands for a load nobody listed; so a wire that is read may add load.
        if table != "circuits":
            at_least_as_safe(unknown, answered)
        if Verdict.MEND in raised_at(answered, table, id):
            said = {assumption.where for assumption in unknown.assumptions}
            # A question about several circuits is put at their panel.
            panel = str(drawn[table][id].get("from"))
            raised = raised_at(unknown, table, id) or raised_at(unknown, "equipment", panel)
            assert raised or f"{table}.{id}.{field}" in said, value


@settings(usual, max_examples=100)
@given(seed=seeds, size=sizes, share=st.floats(0.05, 1.0))
def test_an_unread_nameplate_is_never_less_than_one_of_its_kind(seed, size, share):
    drawn = random_tables(seed, size)
    # A load whose volts nobody knows is taken for one of 120 V while it may be; so many kinds have no larger neutral.
    loads = [load for load in drawn["loads"].values() if "volts" in load and load["kind"] not in ("generator", "range")]
    assume(loads)
    load = loads[seed % len(loads)]
    for way in PLATE:
        load.pop(way, None)
    unknown = planned(drawn)
    load["va"] = max(typical(load["kind"]).va * share, 1.0)
    answered = planned(drawn)
    if unknown is not None and answered is not None:
        at_least_as_safe(unknown, answered)


@settings(usual, max_examples=80)
@given(seed=seeds, size=sizes)
def test_a_site_of_unknown_kind_is_never_less_than_a_farm(seed, size):
    drawn = random_tables(seed, size)
    # Demand steps taken once for several homes come out lower than once for each.
    assume(sum(building.get("use") in DWELLING_USES for building in drawn["buildings"].values()) == 1)
    drawn["site"] = {}
    unknown = planned(drawn)
    drawn["site"] = {"kind": "farm"}
    farm = planned(drawn)
    if unknown is not None and farm is not None:
        asked, of_farm = demands_of(unknown), demands_of(farm)
        for what in asked.keys() & of_farm.keys():
            if what[0] in ("load", "conductor"):
                # A farm's total raises the largest motor of every building, any other site that of the whole.
                assert asked[what] >= of_farm[what] * 0.95, what
