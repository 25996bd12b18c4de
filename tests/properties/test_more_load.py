"""More load never gives a smaller load, service, conductor or jumper at the same proposal.

The code itself takes less for more at a few steps, and these are kept out: a further appliance, heater, dryer or range
may open a demand factor for several; a farm building's second circuit opens its steps; cooking units leave one column
of their table for another. A load added ahead of a panel takes from that panel the whole of the dwelling, so loads are
added where the others hang. Of loads that never run together the larger counts, whatever it does to the neutral. Where
volts are not known, a larger load is no longer taken for one of 120 V. Above 100 A terminals that nobody marked take
the higher column, so marks are known here.
"""

from __future__ import annotations

import copy
from dataclasses import replace
from random import Random

from compare import demands_of
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from random_jobs import Tables, job_of, random_tables, seeds, sizes

from driploop import plan
from driploop.planning import Plan
from driploop.worksheet import DriploopError

usual = settings(max_examples=80, deadline=None, suppress_health_check=list(HealthCheck))
PLATE = ("va", "kw", "current_a", "rla_a", "mca_a")
COOKING = ("range", "oven", "cooktop")


def planned(drawn: Tables) -> Plan:
    try:
        return plan(job_of(drawn))
    except DriploopError:
        assume(False)
        raise


def marked(drawn: Tables) -> Tables:
    """The tables with every enclosure's terminals marked."""
    for each in drawn["equipment"].values():
        each["terminal_temperature_c"] = 75
    return drawn


def not_less(before: Plan, after: Plan) -> None:
    larger = demands_of(after)
    # A run that no conductor of the tables serves is refused in words; what hangs on its size is open.
    refused = any(not s.kept and s.line_size is None for s in after.final.conductors.runs.values())
    for what, asked in demands_of(before).items():
        if refused and what[0].startswith(("jumper", "electrode")):
            continue
        if what in larger:  # a larger load may need aluminum's or copper's other row, never none
            assert larger[what] >= asked - 1e-6, what


@usual
@given(seeds, sizes, st.sampled_from((1.05, 1.3, 2.0, 4.0)))
def test_a_larger_nameplate_never_asks_for_less(seed, size, factor):
    drawn = marked(random_tables(seed, size))
    for load in drawn["loads"].values():
        load.pop("never_with", None)
    plates = [
        load
        for load in drawn["loads"].values()
        if any(key in load for key in PLATE) and "volts" in load and load["kind"] not in COOKING
    ]
    assume(plates)
    before = planned(drawn)
    load = Random(seed).choice(plates)
    for key in PLATE:
        if key in load:
            load[key] *= factor
    not_less(before, planned(drawn))


def one_house(seed: int, size) -> Tables:
    """A house with everything on one panel."""
    drawn = marked(random_tables(seed, replace(size, enclosures=1)))
    drawn["site"] = {"kind": "residence"}
    drawn["equipment"]["box-0"]["kind"] = "panel"
    for circuit in drawn["circuits"].values():
        circuit["from"] = "box-0"
    for load in (*drawn["loads"].values(), *drawn["wishes"].values()):
        if "panel" in load:
            load["panel"] = "box-0"
        load.pop("building", None)
    return drawn


ADDED = {
    "vehicle charger": {"kind": "vehicle charger", "va": 9600.0, "continuous": True},
    "air conditioner": {"kind": "air conditioner", "va": 5000.0, "continuous": False},
    "pump": {"kind": "well pump", "va": 1920.0, "continuous": False},
}


@usual
@given(seeds, sizes, st.sampled_from(sorted(ADDED)))
def test_one_more_load_never_asks_for_less(seed, size, added):
    drawn = one_house(seed, size)
    more = copy.deepcopy(drawn)
    more["loads"]["added"] = {**ADDED[added], "panel": "box-0", "volts": 240, "phase": 1}
    before = planned(drawn)
    graph = before.final.graph
    # Where nothing hangs anywhere, every panel may carry the whole dwelling, until the first load takes it to its own.
    assume(any(graph.circuits_at.get(id) or graph.loads_at.get(id) for id in graph.order))
    not_less(before, planned(more))


@usual
@given(seeds, sizes, st.sampled_from((1.3, 2.0, 4.0)))
def test_more_load_never_gives_a_smaller_rating(seed, size, factor):
    """Where the proposal leaves the rating open."""
    drawn = one_house(seed, size)
    drawn["proposal"] = {"kind": "service disconnect outdoors", "scope": "full service", "panel": "box-0"}
    larger = copy.deepcopy(drawn)
    larger["loads"]["added"] = {"kind": "vehicle charger", "panel": "box-0", "va": 9600.0 * factor, "volts": 240}
    ratings = []
    for tables in (drawn, larger):
        final = planned(tables).final.installation
        ratings.append(final.equipment["new-main"].rating_a or 0.0)
    assert ratings[0] <= ratings[1]
