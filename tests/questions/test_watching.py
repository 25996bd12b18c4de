"""A part that is watched notes what is read of it, and a watched stage comes to what it comes to unwatched."""

from __future__ import annotations

from pathlib import Path

import pytest

from driploop import plan, read_job
from driploop.conductors import read_conductors
from driploop.installation import Circuit, Equipment, Graph, Installation
from driploop.loads import read_loads
from driploop.questions.watching import Fact, Remembered, held_against, looked_at

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.toml"))

SITE = Installation(
    site_kind="farm",
    equipment={"panel": Equipment(id="panel", kind="panel", rating_a=100.0)},
    circuits={"range": Circuit(id="range", wire_size="10 AWG"), "dryer": Circuit(id="dryer", wire_size="10 AWG")},
)
SIZE = Fact("circuits", "range", "wire_size")
METAL = Fact("circuits", "range", "metal")


def with_range(**fields: object) -> Installation:
    return SITE.model_copy(
        update={"circuits": {**SITE.circuits, "range": SITE.circuits["range"].model_copy(update=fields)}}
    )


def test_a_field_that_is_read_is_noted_of_its_part_alone() -> None:
    looked = looked_at(lambda site: site.circuits["range"].wire_size, SITE)
    assert looked.at([SIZE])
    assert not looked.at([METAL])
    assert not looked.at([Fact("circuits", "dryer", "wire_size")])


def test_a_copy_is_watched_like_the_part_it_was_made_of() -> None:
    def stage(site: Installation) -> object:
        return site.circuits["range"].model_copy(update={"ocpd_a": 30.0}).metal

    looked = looked_at(stage, SITE)
    assert looked.at([METAL])
    assert not looked.at([SIZE])
    assert looked.at([Fact("circuits", "range", "ocpd_a")])  # written over: what was there does not come through


def test_to_compare_two_parts_is_to_read_all_of_them() -> None:
    looked = looked_at(lambda site: site.circuits["range"] == site.circuits["dryer"], SITE)
    assert looked.at([METAL])
    assert not looked.at([Fact("equipment", "panel", "rating_a")])


def test_a_part_in_whose_place_another_is_put_counts_as_read() -> None:
    def stage(site: Installation) -> Installation:
        return site.model_copy(update={"circuits": {**site.circuits, "range": Circuit(id="range")}})

    looked = looked_at(stage, SITE)
    assert looked.at([SIZE])
    assert not looked.at([Fact("circuits", "dryer", "wire_size")])


def test_what_came_or_went_is_always_seen() -> None:
    looked = looked_at(lambda site: None, SITE)
    gone = SITE.model_copy(update={"circuits": {"range": SITE.circuits["range"]}})
    for one, other in ((SITE, gone), (gone, SITE)):
        assert looked.at(held_against(one, other)[1])
    assert looked.at(held_against(SITE, SITE.model_copy(update={"site_kind": "residence"}))[1])
    assert not looked.at(held_against(SITE, with_range(metal="copper"))[1])


def test_held_against_another_the_same_parts_are_the_very_same() -> None:
    other = with_range(metal="copper").model_copy(update={"equipment": {"panel": SITE.equipment["panel"].model_copy()}})
    held, changed = held_against(SITE, other)
    assert changed == {METAL}
    assert held == other
    assert held.equipment["panel"] is SITE.equipment["panel"]
    assert held.circuits["dryer"] is SITE.circuits["dryer"]


def test_a_remembered_stage_runs_again_only_for_what_it_looks_at() -> None:
    runs = []

    def stage(site: Installation) -> str | None:
        runs.append(site)
        return site.circuits["range"].wire_size

    remembered = Remembered(stage)
    assert remembered.for_the_first_time(SITE) == "10 AWG"
    before = len(runs)
    assert remembered.again(with_range(metal="copper")) == "10 AWG"
    assert len(runs) == before
    assert remembered.again(with_range(wire_size="8 AWG")) == "8 AWG"
    assert len(runs) == before + 1


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_watched_stages_come_to_the_same(path: Path) -> None:
    final = plan(read_job(path)).final

    def stages(site: Installation) -> object:
        loads = read_loads(Graph(site), edition=final.edition, by_building=True)
        assert loads == final.loads
        conductors = read_conductors(Graph(site), loads, edition=final.edition)
        assert {id: each.adequate for id, each in conductors.runs.items() if each.kept} == {
            id: each.adequate for id, each in final.conductors.runs.items() if each.kept
        }
        return None

    assert looked_at(stages, final.installation).fields
