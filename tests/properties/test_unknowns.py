"""What nobody could read is never taken for safer than an answer to it.

Answers are what a survey may well find. These stay out, each said as an assumption of the plan: a nameplate or a floor
above the upper one of its kind, a place hotter or a raceway fuller than the table of hottest places says, a wye
service, a new terminal not marked for 75 C, the main of a new run (it follows the load), a wire larger than its device
can need, a building of unknown use that holds several homes, a branch device larger than those of its kind, openings in
a box that is no panel, a run past the meter that is the utility's, a frame on the neutral where another appliance is
listed or there is no neutral.

Two have no one safe reading, and are asked about instead. What an enclosure is: a switch ends the service and takes the
bond and the electrode conductor, a mere box passes both on, so that what is more at one is less at the other. Whose the
drop is: the customer's is sized by the code and renewed, the utility's may not be touched.
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
from driploop.circuits.duties_range_dryer import FRAME_LOADS
from driploop.conductors.heat import run_place
from driploop.installation.graph import DWELLING_USES, UTILITY
from driploop.loads.dwelling_inputs import PLUGGED
from driploop.loads.typical import typical
from driploop.planning import Plan
from driploop.survey.contradictions import check_contradictions
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
    ("runs", "ambient_c"): (20.0, 30.0, 40.0, 50.0),
    ("runs", "current_carrying"): (2, 3, 6),
    ("runs", "in_thermal_insulation"): (True, False),
    ("runs", "metal"): ("copper", "aluminum"),
    ("circuits", "ambient_c"): (20.0, 30.0, 50.0),
    ("circuits", "current_carrying"): (2, 3, 6),
    ("circuits", "metal"): ("copper", "aluminum"),
    ("circuits", "insulation"): ("TW", "THHN", "rubber and cloth"),
    ("circuits", "receptacles"): (True, False),
    ("circuits", "purpose"): ("general", "small appliance", "laundry", "bathroom", "garage", "outdoor", "dedicated"),
    ("buildings", "garage_area_ft2"): (0.0, 300.0, 600.0),
    ("circuits", "wire_size"): ("14 AWG", "12 AWG", "8 AWG"),
    ("circuits", "ground"): ("wire", "armor", "none"),
    ("electrodes", "connected"): (True, False),
    ("electrodes", "conductor_size"): ("8 AWG", "6 AWG", "4 AWG"),
    ("electrodes", "resistance_ohm"): (19.0, 80.0),
    ("electrodes", "reachable_without_breaking_concrete"): (True, False),
    ("electrodes", "earth_contact_ft"): (4.0, 30.0),
    ("electrodes", "conductor_metal"): ("copper", "aluminum"),
    ("electrodes", "conductor_above_earth_in"): (6.0, 30.0),
    ("electrodes", "conductor_protected"): (True, False),
    ("bonds", "kind"): ("gas piping", "metal water piping", "structural steel"),
    ("bonds", "metal"): ("copper", "aluminum"),
    ("bonds", "present"): (True, False),
    ("bonds", "size"): ("12 AWG", "8 AWG", "4 AWG"),
    ("equipment", "neutrals_under_one_screw"): (1, 3),
    ("equipment", "series_rating"): ("none", "not marked"),
    ("equipment", "directory"): ("clear", "unclear", "none"),
    ("runs", "damaged"): (True, False),
    ("runs", "drip_loop"): (True, False),
    ("runs", "support_spacing_in"): (24.0, 60.0),
    ("runs", "lowest_over_ground_ft"): (9.0, 20.0),
    ("circuits", "frame_grounded_by_neutral"): (True, False),
    ("circuits", "neutral"): ("insulated", "bare", "none"),
    ("circuits", "neutral_covered"): (True, False),
    ("circuits", "poles"): (1, 2, 3),
    ("equipment", "kind"): ("meter", "disconnect", "panel", "junction box", "transfer switch"),
    ("equipment", "poles"): (1, 2, 3),
    ("runs", "owner"): ("utility", "customer"),
    ("buildings", "use"): ("dwelling", "garage", "workshop", "agricultural", "livestock", "pump house", "storage"),
}  # fmt: skip


#: Two questions pull apart here, so that no one reading is the safe one: the unknown is asked about.
ASKED = frozenset({("equipment", "kind"), ("runs", "owner")})


def asked_of(plan: Plan, place: str) -> bool:
    """Whether the final installation asks about a part, or about one of its fields."""
    return Verdict.ASK in raised_at(plan, *place.split("."))


def planned(drawn: Tables) -> Plan | None:
    """The plan of a job that can be read and planned: an answer that contradicts another is refused by the reader."""
    if any(check_contradictions(drawn)):
        return None
    try:
        return plan(job_of(drawn))
    except DriploopError:
        return None


def is_beyond(unknown: Plan, table: str, field: str, id: str, value: Any) -> bool:
    """Whether an answer is outside what the unknown was taken for, as its assumption says."""
    if (table, field) == ("runs", "ambient_c"):
        graphs = [r.graph for r in (unknown.found, unknown.proposed) if r and id in r.installation.runs]
        return any(value > run_place(g, g.installation.runs[id], "hottest").hottest_c for g in graphs)
    if (table, field) == ("runs", "current_carrying"):
        run = unknown.job.found.runs[id]
        return value > 3 and unknown.found.graph.is_service_run(run)  # which the code forbids
    if (table, field) == ("runs", "owner"):
        return value == "utility" and unknown.job.found.runs[id].from_ != UTILITY
    if (table, field) == ("circuits", "frame_grounded_by_neutral"):
        circuit = unknown.job.found.circuits[id]
        on_it = [unknown.job.found.loads[load] for load in unknown.found.graph.loads_on.get(id, ())]
        other = all(load.kind is not None and load.kind not in FRAME_LOADS for load in on_it)
        nothing_listed = not on_it and circuit.poles == 2 and circuit.purpose != "spare"
        return circuit.neutral == "none" or (other and not nothing_listed)
    if (table, field) == ("circuits", "purpose"):
        circuit = unknown.job.found.circuits[id]
        if value != "dedicated" and circuit.neutral == "none" and circuit.poles in (2, 3):
            return True  # lights and receptacles of 120 V without a neutral
        # A fixed load that was seen on a circuit, or is wished for on it, is plain to see.
        on_it = [unknown.job.found.loads[load] for load in unknown.found.graph.loads_on.get(id, ())]
        wished = [wish for wish in unknown.job.wishes.values() if wish.circuit == id]
        return value != "dedicated" and any(load.kind not in (None, *PLUGGED) for load in (*on_it, *wished))
    return False


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


def no_larger_breaker_unasked(unknown: Plan, answered: Plan, id: str) -> None:
    """A breaker that an answer makes smaller is asked about, at its circuit or at its panel."""
    circuits = (unknown.final.installation.circuits.get(id), answered.final.installation.circuits.get(id))
    chosen, smaller = (circuit.ocpd_a if circuit is not None else None for circuit in circuits)
    if chosen is not None and smaller is not None and smaller < chosen:
        panel = str(circuits[0].from_)
        assert raised_at(unknown, "circuits", id) or raised_at(unknown, "equipment", panel), (chosen, smaller)


def judge(unknown: Plan, answered: Plan, table: str, field: str, id: str, value: Any, drawn: Tables) -> None:
    """That the plan of a job with an unknown is as safe as that of the job with one answer to it."""
    # The breaker that an old wire allows stands for a load nobody listed; so a wire that is read may add load.
    led_elsewhere = field == "ambient_c" and Verdict.ASK in raised_at(unknown, table, id)
    if (table, field) in ASKED and not (field == "owner" and unknown.job.found.runs[id].from_ != UTILITY):
        kept = id in getattr(unknown.final.installation, table)
        assert not kept or asked_of(unknown, f"{table}.{id}"), value
    elif (table != "circuits" or field == "purpose") and not led_elsewhere:
        at_least_as_safe(unknown, answered)
    if table == "circuits":
        no_larger_breaker_unasked(unknown, answered, id)
    if Verdict.MEND in raised_at(answered, table, id):
        said = {assumption.where for assumption in unknown.assumptions}
        # A question about several circuits is put at their panel.
        now = unknown.final.installation.circuits.get(id) if table == "circuits" else None
        panels = {str(drawn[table][id].get("from")), str(now.from_ if now is not None else None)}
        raised = raised_at(unknown, table, id) or any(raised_at(unknown, "equipment", panel) for panel in panels)
        assert raised or f"{table}.{id}.{field}" in said, value


@pytest.mark.parametrize(("table", "field"), ANSWERS, ids=[".".join(key) for key in ANSWERS])
@usual
@given(seed=seeds, size=sizes, data=st.data())
def test_an_unknown_is_never_less_safe_than_an_answer(table, field, seed, size, data):
    drawn = random_tables(seed, size)
    assume(drawn[table])
    id = data.draw(st.sampled_from(sorted(drawn[table])))
    drawn[table][id].pop(field, None)
    drawn[table][id].pop("fate", None)  # nobody asks about what goes
    unknown = planned(drawn)
    if unknown is None:
        return
    for value in ANSWERS[table, field]:
        told = copy.deepcopy(drawn)
        told[table][id][field] = value
        answered = planned(told)
        if answered is None or is_beyond(unknown, table, field, id, value):
            continue
        judge(unknown, answered, table, field, id, value, drawn)


@settings(usual, max_examples=100)
@given(seed=seeds, size=sizes, share=st.floats(0.05, 1.0))
def test_an_unread_nameplate_is_never_less_than_one_of_its_kind(seed, size, share):
    drawn = random_tables(seed, size)
    # A load whose volts nobody knows is taken for one of 120 V while it may be; so many kinds have no larger neutral.
    # Cooking units leave one column of their table for another, which may then ask for more at less.
    apart = ("generator", "range", "oven", "cooktop")
    loads = [load for load in drawn["loads"].values() if "volts" in load and load["kind"] not in apart]
    assume(loads)
    load = loads[seed % len(loads)]
    # Of loads that never run together the larger counts, and the other may be counted by another share.
    for each in drawn["loads"].values():
        each.pop("never_with", None)
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
