"""The tree of an installation: what feeds what, what hangs below, what each enclosure is."""

from typing import Any

import pytest

from driploop.installation import Graph, GraphError, Installation
from driploop.installation.model import Building, Circuit, Equipment, Load, Run


def installation(**parts: dict[str, dict[str, Any]]) -> Installation:
    kinds = {"buildings": Building, "equipment": Equipment, "runs": Run, "circuits": Circuit, "loads": Load}
    return Installation(
        site_kind=parts.pop("site_kind", "farm"),  # type: ignore[arg-type]
        **{kind: {id: kinds[kind](id=id, **fields) for id, fields in some.items()} for kind, some in parts.items()},
    )


def orchard(**changes: Any) -> Installation:
    parts: dict[str, Any] = {
        "buildings": {"pole": {"use": "yard pole"}, "house": {"use": "dwelling"}, "shed": {"use": "agricultural"}},
        "equipment": {
            "meter": {"kind": "meter", "building": "pole"},
            "switch": {"kind": "disconnect", "building": "pole"},
            "house-panel": {"kind": "panel", "building": "house"},
            "attic-panel": {"kind": "panel", "building": "house"},
            "shed-panel": {"kind": "panel", "building": "shed"},
        },
        "runs": {
            "drop": {"from": "utility", "to": "meter"},
            "to-switch": {"from": "meter", "to": "switch"},
            "to-house": {"from": "switch", "to": "house-panel"},
            "to-attic": {"from": "house-panel", "to": "attic-panel"},
            "to-shed": {"from": "switch", "to": "shed-panel"},
        },
        "circuits": {
            "range": {"from": "house-panel"},
            "attic-light": {"from": "attic-panel"},
            "cold-room": {"from": "shed-panel"},
        },
        "loads": {
            "range": {"circuit": "range", "kind": "range"},
            "cold-room": {"circuit": "cold-room", "kind": "refrigeration"},
            "fan": {"panel": "attic-panel", "kind": "ventilation fan"},
        },
    }
    return installation(**{**parts, **changes})


def test_everything_comes_after_its_supply() -> None:
    assert Graph(orchard()).order == ("meter", "switch", "house-panel", "attic-panel", "shed-panel")


def test_roles_follow_from_the_place_in_the_tree() -> None:
    assert Graph(orchard()).roles == {
        "meter": "not a disconnect",
        "switch": "service disconnect",
        "house-panel": "building disconnect",
        "attic-panel": "subpanel",
        "shed-panel": "building disconnect",
    }


def test_an_emergency_disconnect_leaves_the_service_disconnect_below_it() -> None:
    found = orchard()
    switch = found.equipment["switch"].model_copy(update={"role": "emergency disconnect"})
    graph = Graph(found.model_copy(update={"equipment": {**found.equipment, "switch": switch}}))
    assert graph.service_disconnects == ("house-panel", "shed-panel")
    assert graph.is_service_run(found.runs["to-house"])
    assert not graph.is_service_run(found.runs["to-attic"])


def test_runs_are_service_runs_up_to_the_service_disconnect_and_feeders_after_it() -> None:
    found = orchard()
    graph = Graph(found)
    assert [id for id, run in found.runs.items() if graph.is_service_run(run)] == ["drop", "to-switch"]


def test_loads_below_are_all_that_hang_through_an_enclosure() -> None:
    graph = Graph(orchard())
    assert {load.id for load in graph.loads_below("switch")} == {"range", "cold-room", "fan"}
    assert {load.id for load in graph.loads_below("house-panel")} == {"range", "fan"}
    assert {load.id for load in graph.loads_below("attic-panel")} == {"fan"}


def test_the_house_panel_carries_the_whole_dwelling_and_the_switch_more_than_it() -> None:
    graph = Graph(orchard())
    whole = graph.whole_dwelling("house-panel")
    assert whole is not None
    assert whole.id == "house"
    assert graph.whole_dwelling("switch") is None, "the shed hangs on it too"
    assert graph.whole_dwelling("attic-panel") is None, "it carries a part only"


def test_a_garage_beside_a_house_belongs_to_the_dwelling_but_not_on_a_farm() -> None:
    parts: dict[str, Any] = {
        "buildings": {"house": {"use": "dwelling"}, "garage": {"use": "garage"}},
        "equipment": {"main": {"kind": "panel", "building": "house"}, "sub": {"kind": "panel", "building": "garage"}},
        "runs": {"in": {"from": "utility", "to": "main"}, "out": {"from": "main", "to": "sub"}},
        "circuits": {"light": {"from": "main"}, "door": {"from": "sub"}},
    }
    assert Graph(installation(**parts, site_kind="residence")).whole_dwelling("main") is not None  # type: ignore[arg-type]
    assert Graph(installation(**parts, site_kind="farm")).whole_dwelling("main") is None  # type: ignore[arg-type]


def test_units_of_a_two_family_house_count_each() -> None:
    graph = Graph(
        installation(
            buildings={
                "house": {"use": "two-family dwelling"},
                "up": {"use": "dwelling unit", "part_of": "house"},
                "down": {"use": "dwelling unit", "part_of": "house"},
            },
            equipment={
                "main": {"kind": "disconnect", "building": "house"},
                "up-panel": {"kind": "panel", "building": "up"},
                "down-panel": {"kind": "panel", "building": "down"},
            },
            runs={
                "in": {"from": "utility", "to": "main"},
                "a": {"from": "main", "to": "up-panel"},
                "b": {"from": "main", "to": "down-panel"},
            },
            circuits={"a": {"from": "up-panel"}, "b": {"from": "down-panel"}},
        )
    )
    assert [b.id for b in graph.dwelling_units_below("main")] == ["up", "down"]
    assert graph.roles["up-panel"] == "subpanel", "a unit is no separate building"


def test_two_supplies_of_one_enclosure_are_refused_by_name() -> None:
    found = orchard()
    runs = {**found.runs, "second": Run(id="second", **{"from": "meter", "to": "shed-panel"})}
    with pytest.raises(GraphError, match=r"runs\.second\.to: 'shed-panel' is already fed by runs\.to-shed"):
        Graph(found.model_copy(update={"runs": runs}))


def test_a_supply_that_runs_in_a_circle_is_refused() -> None:
    with pytest.raises(GraphError, match="comes back to"):
        Graph(
            installation(
                equipment={"a": {"kind": "panel"}, "b": {"kind": "panel"}},
                runs={"x": {"from": "a", "to": "b"}, "y": {"from": "b", "to": "a"}},
            )
        )
