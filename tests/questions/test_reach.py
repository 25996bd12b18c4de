"""Every field that a function may read is found in its code and in what it calls."""

from __future__ import annotations

from driploop.loads import read_loads
from driploop.questions.reach import names_reached
from driploop.rules import catalogue


def rule(id: str) -> frozenset[str]:
    return names_reached(next(each.check for each in catalogue() if each.id == id))


def test_what_a_rule_reads_itself_is_found() -> None:
    assert "drip_loop" in rule("drop-looked-at")
    assert "working_depth_in" in rule("working-space-depth")
    assert "working_depth_in" not in rule("drop-looked-at")


def test_what_is_read_by_name_is_found_only_with_words() -> None:
    # nameplates are read by the names in a table
    assert {"mca_a", "rla_a", "hp"} <= names_reached(read_loads)


def test_methods_of_classes_are_followed() -> None:
    # LoadReader hands on to the graph, which asks where a load stands
    assert {"floor_area_ft2", "receptacle_supplied", "peak_kw"} <= names_reached(read_loads)
    assert "terminal_temperature_c" not in names_reached(read_loads)
    assert "drip_loop" not in names_reached(read_loads)
