"""The reading of whole installations: which methods apply where, what governs, what is assumed."""

from __future__ import annotations

import pytest
from load_sites import NEC_2023, barn, house, node, site

from driploop.editions import edition_names, load_edition
from driploop.installation import Circuit, Graph, Load, Wish
from driploop.loads import read_headroom, read_loads, with_wish
from driploop.loads.unread import circuit_without_loads

RANGE = {"kind": "range", "kw": 12.0}
DRYER = {"kind": "dryer", "kw": 5.5}


def methods(reading) -> dict[str, tuple[float | None, str]]:
    return {r.method: (r.load_va and round(r.load_va), r.permitted) for r in reading.results}


# --- houses ------------------------------------------------------------------------------------------------------


def test_a_house_has_every_dwelling_method_side_by_side():
    # Standard 5,100 + 8,000 + 5,500 = 18,600. General 9,000 + 12,000 + 5,500 = 26,500:
    # optional 10,000 + 16,500 x 40 % = 16,600; existing 8,000 + 18,500 x 40 % = 15,400.
    panel = node(house({"range": RANGE, "dryer": DRYER}))
    assert methods(panel) == {"standard": (18_600, "yes"), "optional": (16_600, "yes"), "existing": (15_400, "yes")}
    assert panel.governing.method == "existing"
    assert panel.current_a == pytest.approx(15_400 / 240)
    assert panel.neutral.load_va == pytest.approx(5100 + 0.7 * 8000 + 0.7 * 5500)


def test_meter_and_panel_carry_the_same_load_under_their_own_worksheets():
    reading = read_loads(Graph(house({"range": RANGE})), edition=NEC_2023)
    assert reading.nodes["meter"].load_va == reading.nodes["panel"].load_va
    assert [r.worksheet.id for r in reading.nodes["meter"].results] == [
        "load/meter/standard",
        "load/meter/optional",
        "load/meter/existing",
    ]
    assert reading.nodes["panel"].neutral.worksheet.id == "load/panel/neutral"


def test_a_60_a_panel_may_not_use_the_optional_method():
    assert methods(node(house({"range": RANGE}, rating_a=60)))["optional"][1] == "no"


def test_a_meter_is_rated_by_the_panel_behind_it_not_by_its_socket():
    installation = house({"range": RANGE}, rating_a=60)
    socket = installation.equipment["meter"].model_copy(update={"rating_a": 200.0})
    installation = installation.model_copy(update={"equipment": {**installation.equipment, "meter": socket}})
    assert methods(node(installation, "meter"))["optional"][1] == "no"


def test_a_panel_of_unknown_rating_leaves_the_optional_method_open():
    panel = node(house({"range": RANGE}, rating_a=None))
    assert methods(panel)["optional"][1] == "ask"
    assert panel.governing.method != "optional"


def test_heat_being_added_moves_the_existing_method_to_its_other_part():
    old = node(house({"heat": {"kind": "electric heat", "kw": 10.0, "volts": 240}}))
    new = node(house({"heat": {"kind": "electric heat", "kw": 10.0, "volts": 240, "is_new": True}}))
    # 9,000 + 10,000: 8,000 + 11,000 x 40 % = 12,400; apart: 8,000 + 1,000 x 40 % + 10,000 = 18,400.
    assert methods(old)["existing"][0] == 12_400
    assert methods(new)["existing"][0] == 18_400


def test_a_demand_record_at_the_meter_reaches_down_to_the_panel_behind_it():
    record = {
        "meter": "meter",
        "peak_kw": 6.0,
        "interval_minutes": 15.0,
        "record_months": 12.0,
        "solar_wind_or_peak_shaving": False,
    }
    new = {"kind": "vehicle charger", "kw": 7.2, "volts": 240, "is_new": True}
    panel = node(house({"charger": new, "range": RANGE, "dryer": DRYER}, metered={"main": record}))
    assert methods(panel)["metered"] == (14_700, "yes")  # 6,000 x 125 % + 7,200
    # The existing method gives 8,000 + (9,000 + 7,200 + 12,000 + 5,500 - 8,000) x 40 % = 18,280.
    assert panel.governing.method == "metered"


def test_small_appliance_and_laundry_circuits_are_counted_above_their_least_number():
    kitchen = {f"k{n}": {"from_": "panel", "purpose": "small appliance"} for n in range(4)}
    laundry = {f"l{n}": {"from_": "panel", "purpose": "laundry"} for n in range(2)}
    lines = node(house(circuits={**kitchen, **laundry})).result("standard").worksheet
    assert lines.line("small_appliance").result.value == 6000
    assert lines.line("laundry").result.value == 3000


def test_a_refrigerator_plugged_in_the_kitchen_is_in_its_circuit_already():
    kitchen = {"kitchen": {"from_": "panel", "purpose": "small appliance", "poles": 1}}
    fridge = {"kind": "refrigerator", "va": 700.0, "circuit": "kitchen", "receptacle_supplied": True}
    plain = node(house(circuits=kitchen))
    plugged = house(circuits=kitchen).model_copy(update={"loads": _loads(fridge=fridge)})
    assert node(plugged).load_va == plain.load_va


def _loads(**rows):
    return {id: Load(id=id, **fields) for id, fields in rows.items()}


def test_the_garage_counts_in_the_floor_area_from_2023_on():
    installation = house(building={"garage_area_ft2": 500.0})
    lines = {
        name: node(installation, edition=load_edition(name)).result("standard").worksheet.line("lighting").result.value
        for name in edition_names()
    }
    assert lines == {"NEC 2017": 4500, "NEC 2020": 4500, "NEC 2023": 6000, "NEC 2026": 4000}


def test_a_subpanel_of_a_house_has_only_what_hangs_on_it():
    installation = site(
        buildings={"house": {"use": "dwelling", "floor_area_ft2": 1500, "garage_area_ft2": 0.0}},
        equipment={
            "main": {"kind": "panel", "building": "house", "main_a": 100},
            "sub": {"kind": "panel", "building": "house", "main_a": 60},
        },
        feeds={"main": "utility", "sub": "main"},
        circuits={
            "general": {"from_": "main", "purpose": "general"},
            "range": {"from_": "sub", "purpose": "dedicated", "poles": 2},
        },
        loads={"range": {"circuit": "range", **RANGE}},
    )
    sub = node(installation, "sub")
    assert methods(sub) == {"standard": (8000, "yes")}
    assert methods(node(installation, "main"))["standard"][0] == 13_100


def test_a_subpanel_with_general_circuits_is_given_the_whole_floor_and_says_so():
    installation = site(
        buildings={"house": {"use": "dwelling", "floor_area_ft2": 1500, "garage_area_ft2": 0.0}},
        equipment={
            "main": {"kind": "panel", "building": "house", "main_a": 100},
            "sub": {"kind": "panel", "building": "house"},
        },
        feeds={"main": "utility", "sub": "main"},
        circuits={
            "down": {"from_": "main", "purpose": "general"},
            "up": {"from_": "sub", "purpose": "general"},
        },
    )
    sub = node(installation, "sub")
    assert sub.result("standard").worksheet.line("lighting").result.value == 4500
    assert "whole floor area" in sub.result("standard").assumptions[0].assumed


def detached(kind: str, use: str):
    return site(
        kind=kind,
        buildings={"house": {"use": "dwelling", "floor_area_ft2": 1500, "garage_area_ft2": 0.0}, "shop": {"use": use}},
        equipment={
            "main": {"kind": "panel", "building": "house", "main_a": 100},
            "shop-panel": {"kind": "panel", "building": "shop", "main_a": 60},
        },
        feeds={"main": "utility", "shop-panel": "main"},
        circuits={
            "general": {"from_": "main", "purpose": "general"},
            "saw": {"from_": "shop-panel", "purpose": "dedicated", "poles": 2},
            "lights": {"from_": "shop-panel", "purpose": "general", "poles": 1},
        },
        loads={
            "saw": {"kind": "workshop machine", "hp": "3", "circuit": "saw", "runs_together": False},
            "lights": {"kind": "lighting", "va": 800.0, "circuit": "lights", "runs_together": False},
        },
    )


def test_a_workshop_beside_a_house_is_added_in_full():
    # Saw 17 A x 240 = 4,080 VA; lights 800. Standard 5,100 + 4,880 + 1,020 (motor) = 11,000.
    installation = detached("residence", "workshop")
    assert methods(node(installation, "main"))["standard"][0] == 11_000
    assert methods(node(installation, "shop-panel")) == {"connected": (5900, "yes")}


def test_a_garage_beside_a_house_is_part_of_the_dwelling():
    # General load 9,000 + 4,080 saw; the garage's lights are in the house's lighting. 10,000 + 3,080 x 40 % = 11,232.
    assert methods(node(detached("residence", "garage"), "main"))["optional"] == (11_232, "yes")


def test_the_same_yard_as_a_farm_is_a_total_farm_load():
    # Shop 4,880 VA = 20.33 A, motor 17 x 125 % + 3.33 / 2 = 22.92 A: 5,500 VA; house 5,100 (standard).
    main = node(detached("farm", "workshop"), "main")
    assert methods(main) == {"farm total": (10_600, "yes")}


def two_family(units: int):
    ids = [f"flat-{n}" for n in range(units)]
    return site(
        buildings={
            "block": {"use": "multifamily dwelling"},
            **{
                id: {
                    "use": "dwelling unit",
                    "part_of": "block",
                    "floor_area_ft2": 900,
                    "garage_area_ft2": 0.0,
                    "laundry": "common",
                }
                for id in ids
            },
        },
        equipment={
            "trough": {"kind": "junction box", "building": "block"},
            **{f"{id}-panel": {"kind": "panel", "building": id, "main_a": 100} for id in ids},
            "house-panel": {"kind": "panel", "building": "block", "main_a": 60},
        },
        feeds={"trough": "utility", **{f"{id}-panel": "trough" for id in ids}, "house-panel": "trough"},
        circuits={
            **{f"{id}-general": {"from_": f"{id}-panel", "purpose": "general"} for id in ids},
            "hall": {"from_": "house-panel", "purpose": "general", "poles": 1},
        },
        loads={
            **{f"{id}-range": {"kind": "range", "kw": 12.0, "panel": f"{id}-panel"} for id in ids},
            **{f"{id}-heat": {"kind": "electric heat", "kw": 6.0, "volts": 240, "panel": f"{id}-panel"} for id in ids},
            "hall": {"kind": "lighting", "va": 1000.0, "circuit": "hall", "continuous": True},
        },
    )


def test_two_flats_are_read_by_the_lesser_of_two_ways():
    # Each 2,700 + 3,000 (no laundry) + 12,000 + 6,000 = 23,700; three 71,100 x 45 % = 31,995, more than the sum.
    trough = node(two_family(2), "trough")
    # Standard: 5,400 + 6,000 = 11,400: 3,000 + 8,400 x 35 % = 5,940; two ranges 11,000; heat 12,000; hall 1,000.
    assert methods(trough)["standard"] == (29_940, "yes")
    assert methods(trough)["two dwellings"] == (29_940, "yes")


def test_three_flats_are_read_as_multifamily():
    assert methods(node(two_family(3), "trough"))["multifamily"] == (32_995, "yes")


# --- farms -------------------------------------------------------------------------------------------------------


def test_loads_of_a_barn_run_together_unless_stated():
    loads = {"a": {"kind": "other", "va": 19_200.0}, "b": {"kind": "other", "va": 19_200.0}}
    assert node(barn(loads), "barn-panel").current_a == pytest.approx(160)
    apart = {id: {**fields, "runs_together": False} for id, fields in loads.items()}
    # 60 + 60 x 50 % + 40 x 25 % = 100.
    assert node(barn(apart), "barn-panel").current_a == pytest.approx(100)


def grain_farm(heat: str):
    return site(
        kind="farm",
        buildings={
            "pole": {"use": "yard pole"},
            "house": {"use": "dwelling", "floor_area_ft2": 1500, "garage_area_ft2": 0.0},
            "bins": {"use": "agricultural"},
        },
        equipment={
            "pole-main": {"kind": "disconnect", "building": "pole", "main_a": 400},
            "house-panel": {"kind": "panel", "building": "house", "main_a": 200},
            "bin-panel": {"kind": "panel", "building": "bins", "main_a": 200},
        },
        feeds={"pole-main": "utility", "house-panel": "pole-main", "bin-panel": "pole-main"},
        circuits={"general": {"from_": "house-panel", "purpose": "general"}},
        loads={
            "heat": {"kind": heat, "kw": 15.0, "volts": 240, "panel": "house-panel"},
            "dryer-heat": {"kind": "grain dryer", "kw": 20.0, "volts": 240, "panel": "bin-panel"},
            "dryer-fan": {"kind": "grain dryer", "hp": "5", "volts": 240, "panel": "bin-panel"},
        },
    )


def test_electric_heat_with_grain_drying_bars_the_optional_method_on_the_farm():
    # House standard 5,100 + 15,000 = 20,100; bins 20,000 + 6,720 in full, motor: 83.33 + 1.25 x 28 = 118.33 A...
    house_panel = node(grain_farm("electric heat"), "house-panel")
    assert house_panel.result("optional").permitted == "no"
    assert "grain drying" in house_panel.result("optional").why
    assert house_panel.governing.method == "standard"
    total = node(grain_farm("electric heat"), "pole-main").governing.worksheet
    assert total.line("dwelling_1").result.number == pytest.approx(20_100)


def test_without_electric_heat_the_farm_dwelling_may_be_optional():
    total = node(grain_farm("other appliance"), "pole-main").governing.worksheet
    # 9,000 + 15,000 = 24,000: 10,000 + 14,000 x 40 % = 15,600, less than 5,100 + 15,000.
    assert total.line("dwelling_1").result.number == pytest.approx(15_600)


# --- unknowns ----------------------------------------------------------------------------------------------------


def test_unknowns_are_named_by_their_path_in_the_job_file():
    installation = house({"range": {"kind": "range"}}, building={"floor_area_ft2": None})
    paths = {note.where for note in read_loads(Graph(installation), edition=NEC_2023).assumptions}
    assert {"loads.range.va", "buildings.house.floor_area_ft2"} <= paths


def test_a_circuit_that_nobody_traced_is_taken_to_feed_one_thing():
    traced = node(house(circuits={"x": {"from_": "panel", "purpose": "general", "poles": 1}}))
    untraced = node(house(circuits={f"x{n}": {"from_": "panel", "poles": 1} for n in range(3)}))
    # Each may feed one thing: 20 A x 120 V = 2,400 VA, more than the 1,500 VA of a kitchen's circuit.
    assert untraced.result("standard").worksheet.line("appliances_in_full").result.value == 3 * 2400
    assert untraced.load_va > traced.load_va


def test_loads_that_exclude_each_other_count_once():
    pair = {"a": {"kind": "welder", "kw": 9.0, "volts": 240}, "b": {"kind": "welder", "kw": 7.0, "volts": 240}}
    both = node(house(pair)).result("standard").load_va
    pair["b"]["never_with"] = ("a",)
    one = node(house(pair)).result("standard").load_va
    assert both - one == pytest.approx(7000)


def test_every_line_of_a_worksheet_has_a_key_of_its_own():
    for installation in (grain_farm("electric heat"), two_family(3), detached("farm", "workshop")):
        for reading in read_loads(Graph(installation), edition=NEC_2023).nodes.values():
            for sheet in (reading.worksheet, reading.neutral.worksheet, *(r.worksheet for r in reading.results)):
                keys = [line.key for line in sheet.lines]
                assert all(keys)
                assert len(set(keys)) == len(keys), sheet.id


# --- headroom ----------------------------------------------------------------------------------------------------


def wish(id: str, **fields) -> Wish:
    return Wish(id=id, **fields)


def test_no_upgrade_needed_is_a_result_with_its_margin():
    headroom = read_headroom(Graph(house({"range": RANGE, "dryer": DRYER})), [], edition=NEC_2023)
    assert headroom.enough
    assert headroom.margin_a == pytest.approx(100 - 15_400 / 240)
    assert headroom.used_up_by is None


def test_wishes_are_added_one_after_another_until_one_does_not_fit():
    wishes = [
        wish("charger", kind="vehicle charger", kw=9.6, volts=240),
        wish("heat-pump", kind="heat pump", va=9600.0, volts=240),
        wish("furnace", kind="electric heat", kw=15.0, volts=240),
    ]
    headroom = read_headroom(Graph(house({"range": RANGE, "dryer": DRYER})), wishes, edition=NEC_2023)
    # 26,500 + 9,600 = 36,100: 8,000 + 28,100 x 40 % = 19,240, 80.2 A. Heat being added: 19,240 + 9,600, 120.2 A.
    # The charger is continuous: its share, 9,600 x 19,240 / 36,100 = 5,116 VA, once more at 25 %: 5.3 A in both.
    # The optional method for it: 10,000 + 26,100 x 40 % + 9,600 = 30,040, 125 A.
    assert [round(step.load_a, 1) for step in headroom.steps[:2]] == [85.5, 125.5]
    assert [step.fits for step in headroom.steps] == [True, False, False]
    assert headroom.used_up_by == "heat-pump"
    assert headroom.worksheet.line("wish_1").result.number == pytest.approx(headroom.steps[0].margin_a)


def test_a_wish_takes_the_place_of_what_it_replaces():
    installation = house({"old": {"kind": "water heater", "kw": 4.5, "volts": 240}})
    same = [wish("new", kind="water heater", kw=4.5, volts=240, replaces=("old",))]
    headroom = read_headroom(Graph(installation), same, edition=NEC_2023)
    assert headroom.steps[0].load_a == pytest.approx(headroom.load_a)


def test_an_unknown_service_rating_is_taken_small_and_stated():
    headroom = read_headroom(Graph(house({"range": RANGE}, rating_a=None)), [], edition=NEC_2023)
    assert headroom.rating_a == 60
    assert headroom.assumptions[0].where == "equipment.panel.main_a"


def test_an_assumption_about_a_wish_names_the_wish():
    headroom = read_headroom(Graph(house()), [wish("spa", kind="spa")], edition=NEC_2023)
    assert "wishes.spa.va" in {note.where for note in headroom.assumptions}


def test_a_survey_without_a_service_disconnect_has_no_headroom():
    installation = site(
        buildings={"house": {"use": "dwelling"}},
        equipment={"meter": {"kind": "meter", "building": "house"}},
        feeds={"meter": "utility"},
    )
    assert read_headroom(Graph(installation), [], edition=NEC_2023) is None


def test_the_worksheet_shows_how_each_load_was_found():
    panel = node(house({"pump": {"kind": "well pump", "hp": "1-1/2", "volts": 230}}))
    line = panel.result("standard").worksheet.line("nameplate_1")
    assert line.working == "1-1/2 hp, 10 A by the motor table x 240 V"
    assert line.result.value == 2400


def test_the_room_left_is_that_of_the_device_with_continuous_load_raised():
    # Lighting 5,100, charger 18,000 by the standard method: 23,100 VA, 96.25 A. Existing: 9,000 + 18,000 = 27,000;
    # 8,000 + 19,000 x 40 % = 15,600 VA, 65 A; the charger's share 18,000 x 15,600 / 27,000 = 10,400, + 25 % = 75.83 A.
    charger = {"kind": "vehicle charger", "kw": 18.0, "volts": 240}
    tight = read_headroom(Graph(house({"charger": charger}, rating_a=70)), [], edition=NEC_2023)
    assert tight.load_a == pytest.approx(75.83, abs=0.01)
    assert not tight.enough
    assert tight.worksheet.line("load").result.number == pytest.approx(65)
    assert tight.worksheet.line("device_load").result.number == pytest.approx(75.83, abs=0.01)
    assert tight.worksheet.line("conductors").result.value == "apart"


@pytest.mark.parametrize(
    ("name", "new_va"), [("NEC 2017", 3840), ("NEC 2020", 3840), ("NEC 2023", 7200), ("NEC 2026", 3840)]
)
def test_a_small_charger_added_to_a_metered_load_counts_at_the_editions_least_value(name, new_va):
    record = {"meter": "meter", "peak_kw": 6.0, "interval_minutes": 15.0, "record_months": 12.0,
              "solar_wind_or_peak_shaving": False}  # fmt: skip
    new = {"kind": "vehicle charger", "current_a": 16.0, "volts": 240, "is_new": True}
    panel = node(house({"charger": new}, metered={"main": record}), edition=load_edition(name))
    assert panel.result("metered").load_va == pytest.approx(7500 + new_va)


def test_a_small_charger_in_a_barn_counts_at_the_editions_least_value():
    installation = barn({"charger": {"kind": "vehicle charger", "current_a": 16.0, "volts": 240}})
    assert node(installation, "barn-panel", edition=load_edition("NEC 2020")).load_va == pytest.approx(3840)
    line = node(installation, "barn-panel").governing.worksheet.line("load_1")
    assert line.result.value == 7200
    assert "7,200 VA at least by 220.57" in line.working


@pytest.mark.parametrize("kind", ["vehicle charger", "heat pump"])
def test_a_charger_or_heat_pump_on_one_line_loads_the_neutral(kind):
    without = node(house(), edition=load_edition("NEC 2020")).neutral.load_va
    one_line = {"kind": kind, "current_a": 11.0, "volts": 120, "poles": 1}
    assert node(house({"it": one_line}), edition=load_edition("NEC 2020")).neutral.load_va == without + 1320
    two_lines = {"kind": kind, "current_a": 11.0, "volts": 240}
    assert node(house({"it": two_lines}), edition=load_edition("NEC 2020")).neutral.load_va == without


def test_an_unread_load_of_no_known_kind_is_held_to_its_circuits_device():
    # 50 A x 240 V = 12,000 VA, more than the 3,600 VA of the trade table; 15 A x 120 V is not.
    rows = {"circuit": {"from_": "panel", "purpose": "dedicated", "poles": 2, "ocpd_a": 50.0}}
    installation = house(circuits=rows).model_copy(update={"loads": _loads(it={"circuit": "circuit"})})
    line = node(installation).result("standard").worksheet.line("nameplate_1")
    assert line.result.value == 12_000
    rows = {"circuit": {"from_": "panel", "purpose": "dedicated", "poles": 1, "ocpd_a": 15.0}}
    installation = house(circuits=rows).model_copy(update={"loads": _loads(it={"circuit": "circuit"})})
    assert node(installation).result("standard").worksheet.line("nameplate_1").result.value == 3600


@pytest.mark.parametrize(
    ("name", "counted_va"),
    # 600 ft2 at 3 VA/ft2, in 2026 at 2 VA/ft2; past the first 3,000 VA of lighting and kitchen 35 percent count.
    [("NEC 2017", 0), ("NEC 2020", 0), ("NEC 2023", 1800 * 0.35), ("NEC 2026", 1200 * 0.35)],
)
def test_an_unstated_garage_is_counted_where_garages_count(name, counted_va):
    where = "buildings.house.garage_area_ft2"
    edition = load_edition(name)
    unstated = house({"range": RANGE}, building={"garage_area_ft2": None})
    notes = [a for a in node(unstated, edition=edition).result("standard").assumptions if a.where == where]
    assert bool(notes) is (counted_va > 0)
    stated = house(building={"garage_area_ft2": 0.0})
    assert where not in {a.where for a in node(stated, edition=edition).result("standard").assumptions}
    least = node(house({"range": RANGE}, building={"garage_area_ft2": 0.0}), edition=edition).result("standard").load_va
    counted = node(unstated, edition=edition).result("standard").load_va
    assert counted - least == pytest.approx(counted_va)


def test_a_circuit_of_the_kitchen_is_no_spare_when_its_one_listed_load_leaves_it():
    circuits = {"k": {"from_": "panel", "purpose": "small appliance", "poles": 1, "ocpd_a": 20.0}}
    found = house(circuits=circuits).model_copy(update={"loads": _loads(it={"kind": "freezer", "circuit": "k"})})
    wish = Wish(id="new", kind="freezer", va=700.0, panel="panel", replaces=("it",))
    assert with_wish(found, wish, panel="panel", before=found.circuits).circuits["k"].purpose == "small appliance"
    alone = found.model_copy(
        update={"circuits": {"k": found.circuits["k"].model_copy(update={"purpose": "dedicated"})}}
    )
    assert with_wish(alone, wish, panel="panel", before=alone.circuits).circuits["k"].purpose == "spare"


def test_a_wish_takes_up_again_what_an_earlier_wish_freed():
    circuits = {
        "c": {"from_": "panel", "purpose": "dedicated", "poles": 2},
        "s": {"from_": "panel", "purpose": "spare"},
    }
    found = house(circuits=circuits).model_copy(update={"loads": _loads(it={"kind": "range", "circuit": "c"})})
    freed = with_wish(
        found, Wish(id="a", kind="range", panel="panel", replaces=("it",)), panel="panel", before=found.circuits
    )
    assert freed.circuits["c"].purpose == "spare"
    taken = with_wish(freed, Wish(id="b", kind="dryer", circuit="c"), panel=None, before=found.circuits)
    taken = with_wish(taken, Wish(id="d", kind="dryer", circuit="s"), panel=None, before=found.circuits)
    assert [taken.circuits[id].purpose for id in ("c", "s")] == ["dedicated", "dedicated"]


@pytest.mark.parametrize(("neutral", "counted_va"), [(None, 12_000), ("bare", 12_000), ("none", 0)])
def test_a_two_line_circuit_nobody_read_uses_the_neutral_unless_it_has_none(neutral, counted_va):
    # 50 A x 240 V = 12,000 VA
    circuit = Circuit(id="c", from_="panel", purpose="dedicated", poles=2, ocpd_a=50.0, neutral=neutral)
    load, _ = circuit_without_loads(circuit, building="House")
    assert (load.va, load.neutral_va) == (12_000, counted_va)
