"""Electrode systems of whole jobs: the soil's band, what is assumed, rods with other electrodes."""

from __future__ import annotations

import math
from collections.abc import Mapping

import pytest

import driploop
from driploop.earth import EarthReading, ElectrodeBand, electrode_bands

HEAD = """format = 1
[town]
edition = "NEC 2023"
[utility]
supply = "underground"
[buildings.house]
use = "dwelling"
[equipment.panel]
kind = "panel"
building = "house"
"""


def rod(id: str, more: str = "") -> str:
    return (
        f'[electrodes.{id}]\nkind = "rod"\nbuilding = "house"\nconnected = true\nconductor_to = "panel"\n'
        f"length_ft = 8\ndiameter_in = 0.625\n{more}\n"
    )


def earth(text: str) -> EarthReading:
    return driploop.plan(driploop.read_job_text(HEAD + text)).earth


def bands(text: str) -> Mapping[str, ElectrodeBand]:
    made = driploop.plan(driploop.read_job_text(HEAD + text))
    return electrode_bands(made.final.graph, edition=made.edition)


def test_soil_that_nobody_described_is_any_soil_and_is_asked_about() -> None:
    """US Bureau of Standards Report 108: 340 ohm-cm at the least, 458,000 at the most."""
    read = earth(rod("a"))
    assert (read.soil.low_ohm_cm, read.soil.high_ohm_cm) == (340, 458_000)
    assert {"soil.description", "soil.frost_depth_in"} <= {assumption.where for assumption in read.assumptions}


@pytest.mark.parametrize(
    ("words", "band"),
    [
        ("fill, ashes or brine waste", (590, 2_370, 7_000)),
        ("clay, shale or loam", (340, 4_060, 16_300)),
        ("clay or loam with sand and gravel", (1_020, 15_800, 135_000)),
        ("gravel or sand with little clay", (59_000, 94_000, 458_000)),
    ],
)
def test_described_soil_has_the_published_band(words: str, band: tuple[float, float, float]) -> None:
    """US Bureau of Standards Report 108, as reprinted on voltimum.se, Getting Down to Earth, page 9."""
    soil = earth(f'[soil]\ndescription = "{words}"\n{rod("a")}').soil
    assert (soil.low_ohm_cm, soil.middle_ohm_cm, soil.high_ohm_cm) == band


def test_four_pins_go_before_words_and_tell_layers() -> None:
    """By hand: 2 pi x 152.4 x 10 = 9,576 ohm-cm at 5 ft; 2 pi x 609.6 x 1 = 3,830 at 20 ft."""
    pins = "four_pin = [{ spacing_ft = 5, resistance_ohm = 10 }, { spacing_ft = 20, resistance_ohm = 1 }]"
    soil = earth(f'[soil]\ndescription = "clay, shale or loam"\n{pins}\n{rod("a")}').soil
    assert (soil.low_ohm_cm, soil.high_ohm_cm) == (3830, 9576)
    assert soil.layered
    assert soil.middle_ohm_cm == pytest.approx((3830 * 9576) ** 0.5)


def test_a_single_spacing_is_no_knowledge_of_depth() -> None:
    soil = earth(f"[soil]\nfour_pin = [{{ spacing_ft = 10, resistance_ohm = 3 }}]\n{rod('a')}").soil
    assert not soil.layered
    assert [assumption.where for assumption in soil.assumptions] == ["soil.four_pin"]


def test_a_second_rod_lowers_the_band_and_stands_where_it_was_measured() -> None:
    one = earth(rod("a")).systems["house"]
    two = earth(rod("a", "spacing_ft = 12") + rod("b", "spacing_ft = 12")).systems["house"]
    assert one.high_ohm is not None
    assert two.high_ohm is not None
    assert 0.5 * one.high_ohm < two.high_ohm < 0.6 * one.high_ohm
    assert [placed.x_ft for placed in two.rods] == [0, 12]


def test_rods_of_unknown_distance_stand_as_near_as_the_code_lets_them() -> None:
    read = earth(rod("a") + rod("b"))
    assert [placed.x_ft for placed in read.systems["house"].rods] == [0, 6]
    assert "electrodes.b.spacing_ft" in {assumption.where for assumption in read.assumptions}


def test_a_footing_beside_a_rod_counts_in_the_low_end_and_the_better_alone_in_the_high_end() -> None:
    footing = (
        '[electrodes.footing]\nkind = "concrete-encased"\nbuilding = "house"\nconnected = true\n'
        'conductor_to = "panel"\nlength_ft = 40\nreachable_without_breaking_concrete = true\n'
    )
    alone, rods, both = (earth(text).systems["house"] for text in (footing, rod("a"), rod("a") + footing))
    assert both.low_ohm == pytest.approx(1 / (1 / (alone.low_ohm or 0) + 1 / (rods.low_ohm or 0)), rel=2e-3)
    assert both.high_ohm == min(alone.high_ohm or 0, rods.high_ohm or 0)


def test_what_no_formula_fits_is_left_out_by_name() -> None:
    pipe = '[electrodes.pipe]\nkind = "metal water pipe"\nbuilding = "house"\nconnected = true\nearth_contact_ft = 40\n'
    system = earth(rod("a") + pipe).systems["house"]
    assert system.left_out == ("pipe",)
    assert system.computed == ("a",)


def test_frost_never_lowers_and_deeper_frost_never_helps() -> None:
    seen = [
        earth(f"[soil]\nfrost_depth_in = {depth}\n{rod('a')}").systems["house"].frozen_ohm for depth in (0, 24, 48, 96)
    ]
    high = earth(rod("a")).systems["house"].high_ohm
    assert seen[0] == pytest.approx(high)
    assert seen == sorted(seen)  # type: ignore[type-var]


def test_a_test_of_a_rod_is_read_into_the_worksheet() -> None:
    points = (
        "current_probe_ft = 100\nfall_of_potential = [{ distance_ft = 50, resistance_ohm = 24 }, "
        "{ distance_ft = 60, resistance_ohm = 24.6 }, { distance_ft = 75, resistance_ohm = 25 }]"
    )
    system = earth(rod("a", points)).systems["house"]
    assert system.falls["a"].plateau
    assert system.worksheet.line("fall-a").result.number == pytest.approx(24.6 + 0.4 * 1.8 / 15, abs=0.05)


def test_a_dry_upper_soil_worked_by_hand() -> None:
    """Sandy loam at 5 and 15 percent moisture, 43,000 and 10,500 ohm-cm (handbook table, from memory): 4.095 times.
    8 ft rod, 2 ft of it dry: 8 / (6 + 2 / 4.095) = 1.2330 times the damp value."""
    system = earth(rod("a")).systems["house"]
    assert system.high_ohm is not None
    assert system.dry_ohm == pytest.approx(1.2330 * system.high_ohm, rel=3e-3)


def test_a_frozen_upper_soil_worked_by_hand() -> None:
    """79,000 over 9,900 ohm-cm: 7.980 times. 8 ft rod, 4 ft of it in frost: 8 / (4 + 4 / 7.980) = 1.7773."""
    system = earth("[soil]\nfrost_depth_in = 48\n" + rod("a")).systems["house"]
    assert system.high_ohm is not None
    assert system.frozen_ohm == pytest.approx(1.7773 * system.high_ohm, rel=3e-3)


# --- arrangement, measured rods, what the network is told ---


def four(stand: str = "") -> str:
    head = HEAD.replace('use = "dwelling"', f'use = "dwelling"\n{stand}')
    rods = "".join(rod(id, "spacing_ft = 10") for id in "abcd")
    return f'{head}[soil]\ndescription = "clay, shale or loam"\n{rods}'


def test_rods_stand_in_a_line_unless_a_ring_is_told() -> None:
    line, ring, unknown = (
        driploop.plan(driploop.read_job_text(four(stand))).earth
        for stand in ('rods_stand_in = "line"', 'rods_stand_in = "ring"', "")
    )
    assert [(placed.x_ft, placed.y_ft) for placed in line.systems["house"].rods] == [(0, 0), (10, 0), (20, 0), (30, 0)]
    spots = ring.systems["house"].rods
    sides = [math.dist((a.x_ft, a.y_ft), (b.x_ft, b.y_ft)) for a, b in zip(spots, spots[1:] + spots[:1], strict=True)]
    assert sides == pytest.approx([10] * 4)  # four in a ring are a square
    # Nearer to each other on the whole, so they help each other less.
    assert ring.systems["house"].high_ohm > line.systems["house"].high_ohm == unknown.systems["house"].high_ohm
    assert "10 ft apart in a ring" in ring.systems["house"].worksheet.as_text()
    asked = {a.where: a for a in unknown.assumptions}
    more = 100 * (ring.systems["house"].high_ohm / line.systems["house"].high_ohm - 1)
    told = float(asked["buildings.house.rods_stand_in"].why_safe.split("read ")[1].split(" %")[0])
    assert told == pytest.approx(more, abs=1)
    assert "buildings.house.rods_stand_in" not in {a.where for a in line.assumptions + ring.assumptions}


def test_two_rods_need_no_word_on_how_they_stand() -> None:
    read = earth(rod("a", "spacing_ft = 10") + rod("b", "spacing_ft = 10"))
    assert not [a for a in read.assumptions if a.where.endswith("rods_stand_in")]


def test_rods_said_to_touch_and_a_stub_as_thick_as_long_are_still_read() -> None:
    touching = earth(rod("a", "spacing_ft = 0") + rod("b", "spacing_ft = 0")).systems["house"]
    one = earth(rod("a")).systems["house"]
    assert 0.85 * one.high_ohm < touching.high_ohm < one.high_ohm
    assert bands(rod("a").replace("length_ft = 8", "length_ft = 0.5")) == {}
    thick = rod("c", "spacing_ft = 0").replace("diameter_in = 0.625", "diameter_in = 3")
    mixed = earth(thick + rod("a", "spacing_ft = 0") + rod("b", "spacing_ft = 0")).systems["house"]
    assert mixed.high_ohm < one.high_ohm


def test_a_measured_rod_tells_of_the_soil_that_the_others_of_its_place_stand_in() -> None:
    """By hand: 8 ft x 5/8 in reads rho / (2 pi 243.84 cm) x (ln(4 x 243.84 / 0.79375) - 1) = 0.003991 rho; 80 ohm is
    20,040 ohm-cm, and the soil a few paces off is taken as up to twice better or worse (from memory)."""
    known = earth(rod("a", "resistance_ohm = 80\nspacing_ft = 10") + rod("b", "spacing_ft = 10")).systems["house"]
    assert known.soil.low_ohm_cm == pytest.approx(20_040 / 2, rel=2e-3)
    assert known.soil.high_ohm_cm == pytest.approx(20_040 * 2, rel=2e-3)
    assert "narrowed by what a read" in known.soil.basis
    assert known.worksheet.line("by-1").result.number == pytest.approx(20_040, rel=2e-3)
    other = bands(rod("a", "resistance_ohm = 80\nspacing_ft = 10") + rod("b", "spacing_ft = 10"))
    assert (other["a"].least_ohm, other["a"].most_ohm) == (80, 80)  # what was measured stands
    assert other["b"].most_ohm < bands(rod("a", "spacing_ft = 10") + rod("b", "spacing_ft = 10"))["b"].most_ohm / 5


def test_a_rod_that_contradicts_the_described_soil_is_believed() -> None:
    gravel = '[soil]\ndescription = "gravel or sand with little clay"\n'
    read = earth(gravel + rod("a", "resistance_ohm = 10")).systems["house"].soil
    assert read.high_ohm_cm < 59_000  # the least that was published for gravel
    assert read.low_ohm_cm < read.middle_ohm_cm < read.high_ohm_cm


def test_a_rod_of_another_place_tells_nothing() -> None:
    barn = '[buildings.barn]\nuse = "storage"\n' + rod("far", "resistance_ohm = 20").replace('"house"', '"barn"')
    assert earth(barn + rod("a")).systems["house"].high_ohm == earth(rod("a")).systems["house"].high_ohm


@pytest.mark.parametrize(
    "more",
    [rod("a"), "".join(rod(id, "spacing_ft = 8") for id in "abc"), rod("a") + '[electrodes.p]\nkind = "plate"\n'
     'building = "house"\nconnected = true\narea_ft2 = 4\ndepth_in = 30\n'],
    ids=["one rod", "three rods", "a rod and a plate"],
)  # fmt: skip
def test_bands_of_single_electrodes_side_by_side_make_the_band_of_their_system(more: str) -> None:
    read, single = earth(more).systems["house"], bands(more).values()
    assert 1 / sum(1 / each.least_ohm for each in single) == pytest.approx(read.low_ohm, rel=3e-3)
    assert 1 / sum(1 / each.most_ohm for each in single) == pytest.approx(read.high_ohm, rel=3e-3)


def test_a_test_with_a_plateau_counts_as_measured_and_one_without_does_not() -> None:
    def tested(ohms: tuple[float, ...]) -> str:
        points = [
            f"{{ distance_ft = {ft}, resistance_ohm = {ohm} }}" for ft, ohm in zip((50, 62, 75), ohms, strict=True)
        ]
        return rod("a", f"current_probe_ft = 100\nfall_of_potential = [{', '.join(points)}]")

    flat, steep = tested((29.0, 30.0, 31.0)), tested((10.0, 30.0, 60.0))
    assert bands(flat)["a"].most_ohm == bands(flat)["a"].least_ohm == pytest.approx(29.98, abs=0.05)
    assert bands(steep)["a"].most_ohm > bands(steep)["a"].least_ohm
