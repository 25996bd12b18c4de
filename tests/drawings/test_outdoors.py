"""Rods in plan and overhead runs in profile: words that stay words, nothing that runs into anything."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

import driploop
from drawings.collisions import collisions
from driploop.drawings import Drawing, drop_profiles, rod_layouts, to_svg
from driploop.drawings.display import PORTRAIT, Circle, Polyline, Text, flat
from driploop.planning import Plan

ROOT = Path(__file__).resolve().parents[2]
EXAMPLES = sorted((ROOT / "examples").glob("*.toml"))
HOT = ROOT / "tests" / "cases" / "a_drop_that_comes_down_on_the_drive_when_it_is_hot.toml"
TEST = """
[electrodes.rod-2]
kind = "rod"
building = "house"
connected = true
conductor_to = "panel"
spacing_ft = 10
current_probe_ft = 100
fall_of_potential = [{ distance_ft = 30, resistance_ohm = 20 }, { distance_ft = 50, resistance_ohm = 24 },
  { distance_ft = 62, resistance_ohm = 24.6 }, { distance_ft = 72, resistance_ohm = 25 },
  { distance_ft = 90, resistance_ohm = 40 }]
"""


def hot_plan() -> Plan:
    job = HOT.read_text(encoding="utf-8").partition("\n[expected")[0]
    return driploop.plan(driploop.read_job_text(job + TEST))


def drawn(plan: Plan) -> tuple[Drawing, ...]:
    installation = plan.final.installation
    return (
        *rod_layouts(plan.earth, installation, title="Electrodes"),
        *drop_profiles(plan.drops, installation, title="Overhead runs"),
    )


def words_of(drawing: Drawing) -> str:
    return " ".join(mark.words for mark in flat(drawing.items) if isinstance(mark, Text))


def ring_plan() -> Plan:
    """Five rods in a ring."""
    rods = "".join(
        f'[electrodes.r{n}]\nkind = "rod"\nbuilding = "house"\nconnected = true\nconductor_to = "panel"\n'
        "length_ft = 8\ndiameter_in = 0.625\nspacing_ft = 10\n"
        for n in range(5)
    )
    head = 'format = 1\n[town]\nedition = "NEC 2023"\n[buildings.house]\nuse = "dwelling"\nrods_stand_in = "ring"\n'
    return driploop.plan(driploop.read_job_text(f'{head}[equipment.panel]\nkind = "panel"\nbuilding = "house"\n{rods}'))


PLANS = [*(driploop.plan(driploop.read_job(path)) for path in EXAMPLES), hot_plan(), ring_plan()]


@pytest.mark.parametrize("plan", PLANS, ids=[*(path.stem for path in EXAMPLES), "hot", "ring"])
def test_nothing_collides_and_every_sheet_fits_its_page(plan: Plan) -> None:
    sheets = drawn(plan)
    assert sheets
    for sheet in sheets:
        assert collisions(sheet) == []
        assert sheet.width == PORTRAIT.width
        assert sheet.height <= PORTRAIT.height
        assert to_svg(sheet).count("<text") > 4


def test_rods_stand_to_scale_with_their_distance_in_words() -> None:
    (sheet,) = rod_layouts(hot_plan().earth, hot_plan().final.installation, title="Electrodes")
    rings = [m for m in flat(sheet.items) if isinstance(m, Circle) and m.dash and m.radius > 10]
    first, second = sorted(rings, key=lambda ring: ring.x)
    # 8 ft rods 10 ft apart: the circles of 4 ft leave 2 ft between them.
    assert (second.x - first.x) / (2 * first.radius) == pytest.approx(10 / 8)
    assert "10 ft" in words_of(sheet)


def test_rods_in_a_ring_stand_round_it_to_scale() -> None:
    plan = ring_plan()
    (sheet,) = rod_layouts(plan.earth, plan.final.installation, title="Electrodes")
    rods = [m for m in flat(sheet.items) if isinstance(m, Circle) and m.dash and m.radius > 5][:5]
    sides = [math.dist((a.x, a.y), (b.x, b.y)) for a, b in zip(rods, rods[1:] + rods[:1], strict=True)]
    assert sides == pytest.approx([2 * rods[0].radius * 10 / 8] * 5)  # 8 ft rods, 10 ft from each to the next
    assert "In a ring, 10 ft from each to the next." in words_of(sheet)


def test_the_curve_of_a_test_is_drawn_and_its_value_told() -> None:
    (sheet,) = rod_layouts(hot_plan().earth, hot_plan().final.installation, title="Electrodes")
    assert "24.6 ohm there. The plateau is there." in words_of(sheet)
    assert [m for m in flat(sheet.items) if isinstance(m, Polyline) and len(m.points) == 5]


def test_a_profile_tells_its_heights() -> None:
    plan = hot_plan()
    (sheet,) = drop_profiles(plan.drops, plan.final.installation, title="Overhead runs")
    told = words_of(sheet)
    assert "hot (120 F) 11.9 ft" in told  # worked by hand in the case
    assert "needed 12 ft" in told
    assert "span 80 ft" in told


def test_the_same_reading_gives_the_same_bytes() -> None:
    assert [to_svg(sheet) for sheet in drawn(hot_plan())] == [to_svg(sheet) for sheet in drawn(hot_plan())]
