"""Heat and company along a way that nobody followed."""

from __future__ import annotations

import tomllib
from importlib.resources import files

import pytest

from driploop.conductors.heat import ambient_of, hottest_place, where_it_lies, wires_together
from driploop.editions import edition_names, load_edition
from driploop.installation import Building, Equipment, Graph, Installation, Run

NEC_2020 = load_edition("NEC 2020")


def way(*, here=None, there=None, **run) -> tuple[Graph, Run]:
    """A feeder between two enclosures of one house; ``here`` and ``there`` say where they hang."""
    installation = Installation(
        buildings={"house": Building(id="house", use="dwelling")},
        equipment={
            "main": Equipment(id="main", kind="panel", building="house", **(here or {})),
            "box": Equipment(id="box", kind="panel", building="house", **(there or {})),
        },
        runs={
            "drop": Run(id="drop", from_="utility", to="main"),
            "run": Run(id="run", from_="main", to="box", **run),
        },
    )
    return Graph(installation), installation.runs["run"]


INSIDE = {"outdoors": False}


@pytest.mark.parametrize(
    ("facts", "lies", "safe_c"),
    [
        ({"buried": True}, "earth", 30),
        ({"overhead": True, "method": "RMC"}, "outdoors", 40),
        ({"here": {"outdoors": True}}, "outdoors", 40),
        ({"here": INSIDE, "there": INSIDE}, "indoors", 50),
        ({"here": INSIDE, "there": INSIDE, "is_new": True}, "indoors", 30),
        ({}, "unknown", 50),
        ({"is_new": True}, "unknown", 40),
        ({"here": {**INSIDE, "room": "cellar"}, "there": {**INSIDE, "room": "cellar"}}, "indoors", 30),
        ({"here": {**INSIDE, "room": "attic"}, "there": {**INSIDE, "room": "attic"}}, "indoors", 50),
    ],
)
def test_a_way_is_read_at_the_hottest_that_is_common_there(facts, lies, safe_c):
    graph, run = way(**facts)
    said = []
    assert where_it_lies(graph, run) == lies
    assert ambient_of(graph, run, said, edition=NEC_2020) == safe_c
    assert [note.where for note in said] == ["runs.run.ambient_c"]
    assert f"{safe_c} C" in said[0].assumed


def test_a_stated_temperature_is_taken_as_it_is_and_nothing_is_assumed():
    graph, run = way(ambient_c=63.0)
    said = []
    assert ambient_of(graph, run, said, edition=NEC_2020) == 63
    assert not said


@pytest.mark.parametrize(
    ("facts", "counted"),
    [
        ({"method": "EMT"}, 6),
        ({"method": "EMT", "is_new": True}, 3),
        ({"method": "SER cable"}, 3),
        ({"current_carrying": 12}, 12),
    ],
)
def test_an_old_raceway_may_hold_a_second_feeder(facts, counted):
    graph, run = way(**facts)
    assert wires_together(graph, run, [], edition=NEC_2020) == counted
    assert wires_together(graph, run, [], heat="ordinary", edition=NEC_2020) == facts.get("current_carrying", 3)


def test_a_service_raceway_holds_nothing_but_the_service():
    graph, _ = way()
    drop = graph.installation.runs["drop"].model_copy(update={"method": "RMC"})
    assert wires_together(graph, drop, [], edition=NEC_2020) == 3


@pytest.mark.parametrize("name", edition_names())
def test_in_free_air_at_40_c_a_wire_carries_no_less_than_the_table_for_wires_together_gives_at_30(name):
    edition = load_edition(name)
    assert (edition.number("ambient_base_c"), edition.number("messenger_ambient_base_c")) == (30, 40)
    together = edition.table("conductor_ampacity")
    for row in edition.table("conductor_ampacity_messenger").rows:
        for metal in ("copper", "aluminum"):
            for column in (f"{metal}_75c", f"{metal}_90c"):
                assert row[column] >= together.cell(column, size=row["size"]).number, (row["size"], column)


def test_a_line_in_free_air_loses_nothing_until_it_is_hotter_than_its_own_table():
    for stated_c, read_c in ((20.0, 20), (30.0, 30), (40.0, 30), (45.0, 45)):
        graph, run = way(overhead=True, method="overhead triplex", ambient_c=stated_c)
        assert ambient_of(graph, run, [], edition=NEC_2020) == read_c


def test_every_figure_has_its_reason_and_its_source():
    document = tomllib.loads((files("driploop.conductors") / "hottest_places.toml").read_text(encoding="utf-8"))
    assert document["together"]["source"]
    for name, row in document["places"].items():
        assert row["why"], name
        assert row["source"], name
        assert hottest_place(name).hottest_c >= NEC_2020.number("ambient_base_c")
