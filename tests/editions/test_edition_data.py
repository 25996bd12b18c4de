"""The tables fit each other and physics, and everything carries what a cited value must carry."""

import math
import re
from itertools import pairwise

import pytest

from driploop.editions import NotInEdition, common_table, common_table_names, edition_names, load_edition
from driploop.editions.entry import STATES
from driploop.worksheet import CONFIRMED

EDITIONS = [load_edition(name) for name in edition_names()]
each_edition = pytest.mark.parametrize("edition", EDITIONS, ids=lambda edition: edition.name)
SIZE = re.compile(r"[1-4]/0 AWG|\d{1,2} AWG|\d{3,4} kcmil")
SIZE_COLUMNS = {"size", "size_from", "size_to", "copper_to", "aluminum_to"}


def tables(edition):
    return [edition.table(name) for name in edition.names() if edition.entry(name).kind == "table" and readable(name)]


def readable(name):
    return all(edition.entry(name).state == "known" for edition in EDITIONS)


def circular_mils(edition, size):
    if size.endswith("kcmil"):
        return int(size.split()[0]) * 1000
    return next(row["circular_mils"] for row in edition.table("conductor_properties").rows if row["size"] == size)


def hp(written):
    whole, _, fraction = written.rpartition("-")
    parts = fraction.split("/")
    return int(whole or 0) + int(parts[0]) / int(parts[1] if len(parts) == 2 else 1)


def last_figure(printed):
    """The place of the second figure: 0.1 for 2.7, 0.001 for 0.049."""
    return 10.0 ** (math.floor(math.log10(printed)) - 1)


def rising(values, *, strictly=True):
    seen = [value for value in values if value is not None]
    return all(a < b or (a == b and not strictly) for a, b in pairwise(seen))


def test_every_edition_has_the_same_names():
    for edition in EDITIONS[1:]:
        assert edition.names() == EDITIONS[0].names()


@each_edition
def test_every_entry_says_where_it_comes_from_and_how_well_it_is_known(edition):
    for name in edition.names():
        entry = edition.entry(name)
        assert entry.state in STATES, name
        assert entry.title, name
        if entry.state == "known":
            assert entry.section, name
            assert entry.source, name
            assert entry.confirmed in CONFIRMED, name
        else:
            assert entry.note, name
            assert entry.value is None, name
        if entry.kind == "requirement" and entry.state == "known":
            assert entry.requires, name


@each_edition
def test_names_are_spelled_as_their_kind_asks(edition):
    for name in edition.names():
        pattern = r"[a-z0-9]+(-[a-z0-9]+)*" if edition.entry(name).kind == "requirement" else r"[a-z0-9]+(_[a-z0-9]+)*"
        assert re.fullmatch(pattern, name), name


@each_edition
def test_every_row_says_how_well_it_is_known(edition):
    for table in tables(edition):
        assert table.rows, table.name
        assert {row["confirmed"] for row in table.rows} <= set(CONFIRMED), table.name
        assert set(table.units) <= set(table.columns), table.name


def test_only_2026_carries_values_over():
    for edition in EDITIONS[:-1]:
        assert not [name for name in edition.names() if edition.entry(name).confirmed == "carried"]


@pytest.mark.parametrize("name", common_table_names())
def test_common_tables_say_where_they_come_from(name):
    table = common_table(name)
    assert table.title
    assert table.source
    assert table.rows
    assert {row["confirmed"] for row in table.rows} <= set(CONFIRMED)


@each_edition
def test_sizes_are_written_with_their_unit(edition):
    for table in [*tables(edition), *map(common_table, common_table_names())]:
        columns = SIZE_COLUMNS | ({"copper", "aluminum"} if "circular" not in table.name else set())
        for column in columns & set(table.columns):
            for cell in table.column(column):
                assert cell is None or SIZE.fullmatch(str(cell)), (table.name, cell)


@each_edition
@pytest.mark.parametrize("name", ["conductor_ampacity", "conductor_ampacity_free_air", "conductor_ampacity_messenger"])
def test_ampacity_rises_with_size_and_temperature_and_copper_leads(edition, name):
    table = edition.table(name)
    areas = [circular_mils(edition, row["size"]) for row in table.rows]
    assert rising(areas)
    columns = [column for column in table.columns if column.endswith("c") and column[-3:-1].isdigit()]
    for column in columns:
        assert rising(table.column(column)), column
    for row in table.rows:
        for metal in ("copper", "aluminum"):
            assert rising([row[column] for column in columns if column.startswith(metal)]), row
        for column in columns:
            if column.startswith("copper") and row[column.replace("copper", "aluminum")] is not None:
                assert row[column] > row[column.replace("copper", "aluminum")], row


@each_edition
@pytest.mark.parametrize(("name", "base_c"), [("ambient_correction", 30), ("ambient_correction_40c", 40)])
def test_ambient_factors_follow_the_square_root_of_the_room_left(edition, name, base_c):
    for row in edition.table(name).rows:
        for insulation_c in (60, 75, 90):
            factor = row[f"factor_{insulation_c}c"]
            if factor is not None:
                room = (insulation_c - row["ambient_to_c"]) / (insulation_c - base_c)
                assert factor == pytest.approx(math.sqrt(room), abs=0.006), (row, insulation_c)


@each_edition
def test_dwelling_conductors_carry_83_percent_and_no_smaller_size_would(edition):
    percent = edition.number("dwelling_service_percent")
    ampacity = edition.table("conductor_ampacity")
    for row in edition.table("dwelling_service_conductors").rows:
        needed = row["rating_a"] * percent / 100
        assert row["minimum_ampacity_a"] == pytest.approx(needed)
        for metal in ("copper", "aluminum"):
            enough = [r["size"] for r in ampacity.rows if r[f"{metal}_75c"] and r[f"{metal}_75c"] >= needed]
            assert row[metal] == enough[0], row


@each_edition
@pytest.mark.parametrize("name", ["grounding_electrode_conductor", "bonding_jumper"])
def test_grounding_rows_hold_the_area_of_their_size(edition, name):
    for row in edition.table(name).rows:
        for metal in ("copper", "aluminum"):
            if row[f"{metal}_to"] is not None:
                assert row[f"{metal}_to_cmil"] == circular_mils(edition, row[f"{metal}_to"])


@each_edition
@pytest.mark.parametrize("name", ["grounding_electrode_conductor", "bonding_jumper", "equipment_grounding_conductor"])
def test_grounding_conductors_rise_and_aluminum_is_larger(edition, name):
    rows = [row for row in edition.table(name).rows if row["copper"] is not None]
    for metal in ("copper", "aluminum"):
        assert rising([circular_mils(edition, row[metal]) for row in rows], strictly=False)
    for row in rows:
        assert circular_mils(edition, row["aluminum"]) > circular_mils(edition, row["copper"])


@each_edition
def test_small_conductors_are_not_protected_above_their_60_c_ampacity(edition):
    ampacity = edition.table("conductor_ampacity")
    for row in edition.table("small_conductors").rows:
        column = "copper_60c" if row["metal"] == "copper" else "aluminum_60c"
        limit = ampacity.row(size=row["size"])[column]
        assert limit is None or row["max_ocpd_a"] <= limit, row


@each_edition
def test_conductor_areas_are_circles(edition):
    for name, diameter, area, slack in (
        ("conductor_dimensions", "diameter_in", "area_in2", 0.0003),
        ("conductor_properties", "diameter_in", "area_in2", 0.0009),
        ("raceways", "internal_diameter_in", "total_area_in2", 0.003),
        ("compact_conductor_dimensions", "thw_diameter_in", "thw_area_in2", 0.0004),
        ("compact_conductor_dimensions", "thhn_diameter_in", "thhn_area_in2", 0.0004),
        ("compact_conductor_dimensions", "xhhw_diameter_in", "xhhw_area_in2", 0.0004),
    ):
        for row in edition.table(name).rows:
            if row[diameter] is not None:
                # Half of the last printed digit of the diameter, over the circumference, is allowed as well.
                rounding = math.pi / 2 * row[diameter] * 0.0005
                assert row[area] == pytest.approx(math.pi / 4 * row[diameter] ** 2, abs=slack + rounding), (name, row)


@each_edition
def test_raceway_fill_is_its_part_of_the_area(edition):
    fill = edition.table("raceway_fill")
    for row in edition.table("raceways").rows:
        for conductors, percent in (("1", 53), ("2", 31), ("over 2", 40), ("nipple", 60)):
            assert fill.cell("percent", conductors=conductors).value == percent
            assert row[f"area_{percent}_percent_in2"] == pytest.approx(
                row["total_area_in2"] * percent / 100, abs=0.0012
            )


@each_edition
def test_resistance_times_area_is_that_of_the_metal(edition):
    for row in edition.table("conductor_properties").rows:
        # 75 C, ohm-circular mils per foot: common practice 12.9 for copper, 21.2 for aluminum.
        assert row["copper_ohm_per_kft"] * row["circular_mils"] / 1000 == pytest.approx(12.8, rel=0.035), row
        assert row["aluminum_ohm_per_kft"] * row["circular_mils"] / 1000 == pytest.approx(21.1, rel=0.035), row


@each_edition
def test_effective_impedance_is_r_cos_plus_x_sin(edition):
    sine = math.sqrt(1 - 0.85**2)
    for row in edition.table("conductor_impedance").rows:
        for metal in ("copper", "aluminum"):
            for conduit, reactance in (("pvc", "pvc_or_aluminum"), ("aluminum", "pvc_or_aluminum"), ("steel", "steel")):
                resistance = row[f"{metal}_r_{conduit}_ohm_per_kft"]
                if resistance is not None:
                    impedance = 0.85 * resistance + sine * row[f"x_{reactance}_ohm_per_kft"]
                    printed = row[f"{metal}_z085_{conduit}_ohm_per_kft"]
                    rounding = (last_figure(printed) + last_figure(resistance)) / 2 + 0.0003
                    assert printed == pytest.approx(impedance, abs=rounding), (row["size"], metal, conduit)


@each_edition
def test_motor_currents_keep_the_ratios_of_their_voltages(edition):
    single, three = edition.table("motor_single_phase"), edition.table("motor_three_phase")
    for row in (*single.rows, *three.rows):
        assert row["hp_value"] == pytest.approx(hp(row["hp"]), abs=1e-4)
    for row in single.rows:
        for column, ratio in (("a_115v", 2), ("a_200v", 1.15), ("a_208v", 1.1)):
            assert row[column] / row["a_230v"] == pytest.approx(ratio, rel=0.025), row
    for row in three.rows:
        for column, ratio in (("a_460v", 0.5), ("a_208v", 1.1), ("a_200v", 1.15), ("a_575v", 0.4)):
            if row["a_230v"] is not None:
                assert row[column] / row["a_230v"] == pytest.approx(ratio, rel=0.035), row


@each_edition
def test_locked_rotor_of_a_single_phase_motor_is_six_times_full_load(edition):
    full = edition.table("motor_single_phase")
    for row in edition.table("locked_rotor_single_phase").rows:
        for column in ("a_115v", "a_208v", "a_230v"):
            assert row[column] / full.row(hp=row["hp"])[column] == pytest.approx(6, rel=0.02), row


@each_edition
def test_code_letters_leave_no_gap(edition):
    rows = edition.table("motor_code_letters").rows
    for lower, upper in pairwise(rows):
        assert upper["kva_per_hp_from"] == pytest.approx(lower["kva_per_hp_to"] + 0.01)
    assert rows[-1]["kva_per_hp_to"] is None


@each_edition
@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        ("lighting_demand", "from_va", "to_va"),
        ("range_demand", "appliances_from", "appliances_to"),
        ("dryer_demand", "dryers_from", "dryers_to"),
        ("multifamily_demand", "units_from", "units_to"),
        ("conductor_adjustment", "conductors_from", "conductors_to"),
    ],
)
def test_ranges_follow_each_other_without_gap(edition, name, low, high):
    gaps = {("NEC 2026", "dryer_demand"): 1}
    if not edition.known(name):
        with pytest.raises(NotInEdition, match="not known here"):
            edition.table(name)
        return
    table = edition.table(name)
    gapped = [(before, after) for before, after in pairwise(table.rows) if after[low] != before[high] + 1]
    assert len(gapped) == gaps.get((edition.name, name), 0)
    assert bool(table.missing) == bool(gapped)
    assert table.rows[-1][high] is None


@each_edition
def test_cover_is_least_for_metal_and_most_for_direct_burial(edition):
    for row in edition.table("burial_cover").rows:
        assert row["rigid_metal_in"] <= row["nonmetallic_raceway_in"] <= row["direct_burial_in"] or (
            row["location"] == "solid-rock"
        )


@each_edition
def test_torque_rises_with_size(edition):
    table = edition.table("torque_screws")
    for column in ("slotted_narrow_lbf_in", "slotted_wide_lbf_in", "split_bolt_lbf_in", "hex_other_lbf_in"):
        assert rising(table.column(column), strictly=False)


def test_cables_grow_with_their_conductors():
    for name in ("cable_ser_copper", "cable_use2_singles", "service_drop_quadruplex", "service_drop_triplex"):
        table = common_table(name)
        assert rising([circular_mils(EDITIONS[1], row["size"]) for row in table.rows])
        assert rising(table.column("weight_lb_per_kft"))


def test_a_fault_at_a_transformer_follows_from_kva_and_impedance():
    for row in common_table("transformer_worst_case_fault").rows:
        full_load_a = row["kva"] * 1000 / 240
        assert row["full_load_a"] == pytest.approx(full_load_a, abs=1)
        assert row["line_to_line_fault_a"] == pytest.approx(full_load_a / row["impedance_percent"] * 100, abs=2)
