"""The service disconnect: rating, number, marking, outdoor means, surge protection."""

import pytest

from .build import installation, says, verdicts

MEND, ASK, KNOW = "must be mended", "must be asked", "worth knowing"

HOME = 'buildings.house = { use = "dwelling" }\nruns.service = { from = "utility", to = "main" }\n'
BARN = 'buildings.barn = { use = "storage" }\nruns.service = { from = "utility", to = "main" }\n'


def main(fields, building="house"):
    place = HOME if building == "house" else BARN
    return f'{place}equipment.main = {{ kind = "panel", building = "{building}", {fields} }}\n'


def test_service_rating_minimum_passes():
    # 100 A for a one-family dwelling, 60 A for other buildings: common practice, NEC 230.79.
    assert verdicts("service-rating-minimum", main("rating_a = 100")) == []
    assert verdicts("service-rating-minimum", main("rating_a = 60", "barn")) == []


def test_service_rating_minimum_fails():
    assert verdicts("service-rating-minimum", main("rating_a = 60, is_new = true")) == [MEND]
    assert verdicts("service-rating-minimum", main("rating_a = 60")) == [KNOW]
    assert verdicts("service-rating-minimum", main('main = "breaker"')) == [ASK]


def test_mains_of_one_dwelling_add_up_to_its_rating():
    second = 'equipment.range = { kind = "disconnect", building = "house", rating_a = 60 }\n'
    feeds = 'runs.more = { from = "utility", to = "range" }\ncircuits.range = { from = "range" }\n'
    assert verdicts("service-rating-minimum", main("rating_a = 60") + second + feeds) == []
    assert verdicts("service-rating-minimum", main("rating_a = 30") + second + feeds) == [KNOW]


@pytest.mark.parametrize(
    ("circuits", "rating", "enough"), [(1, 15, True), (2, 15, False), (2, 30, True), (3, 30, False)]
)
def test_one_or_two_small_circuits_need_less(circuits, rating, enough):
    lines = "".join(f'circuits.c{n} = {{ from = "main", poles = 1 }}\n' for n in range(circuits))
    assert (verdicts("service-rating-minimum", main(f"rating_a = {rating}", "barn") + lines) == []) is enough


def test_a_building_of_unknown_use_may_be_a_dwelling():
    text = main("rating_a = 60", "barn").replace('use = "storage"', "")
    assert verdicts("service-rating-minimum", text) == [ASK]


# 24 kW / 240 V = 100 A through the meter, behind a main of 100 A. That meter sockets are rated for their current: NEC
# 2020 and 2023, 230.66, from memory.
def behind_a_meter(meter_a):
    return (
        main("rating_a = 100", "barn").replace('from = "utility", to = "main"', 'from = "meter", to = "main"')
        + f'equipment.meter = {{ kind = "meter", building = "barn", rating_a = {meter_a} }}\n'
        + 'runs.drop = { from = "utility", to = "meter" }\n'
        + 'loads.heat = { kind = "electric heat", panel = "main", building = "barn", kw = 24 }\n'
    )


def test_meter_carries_the_load_passes():
    assert verdicts("meter-carries-the-load", behind_a_meter(100)) == []


def test_meter_carries_the_load_fails():
    assert verdicts("meter-carries-the-load", behind_a_meter(60)) == [MEND]


def test_service_carries_the_load_passes():
    heater = 'loads.heat = { kind = "electric heat", panel = "main", building = "barn", kw = 14.4 }\n'
    assert verdicts("service-carries-the-load", main("rating_a = 60", "barn") + heater) == []


def test_service_carries_the_load_fails():
    # 24 kW / 240 V = 100 A.
    heater = 'loads.heat = { kind = "electric heat", panel = "main", building = "barn", kw = 24 }\n'
    assert verdicts("service-carries-the-load", main("rating_a = 60", "barn") + heater) == [MEND]


def test_one_to_six_disconnects_passes():
    assert verdicts("one-to-six-disconnects", main("mains_count = 6")) == []
    assert verdicts("one-to-six-disconnects", main('main = "breaker"')) == []


def test_one_to_six_disconnects_fails():
    seven = "".join(f'circuits.c{n} = {{ from = "main" }}\n' for n in range(7))
    assert verdicts("one-to-six-disconnects", main('main = "none"') + seven) == [MEND]
    assert verdicts("one-to-six-disconnects", main("rating_a = 100")) == [ASK]


def test_mains_in_one_enclosure_passes():
    assert verdicts("mains-in-one-enclosure", main("mains_count = 1, is_new = true")) == []
    assert verdicts("mains-in-one-enclosure", main("mains_count = 6, is_new = true"), "NEC 2017") == []


def test_mains_in_one_enclosure_fails():
    assert verdicts("mains-in-one-enclosure", main("mains_count = 6, is_new = true"), "NEC 2020") == [MEND]
    assert verdicts("mains-in-one-enclosure", main("mains_count = 6")) == [KNOW]


def test_emergency_disconnect_outdoors_passes():
    assert verdicts("emergency-disconnect-outdoors", main("outdoors = true")) == []
    assert verdicts("emergency-disconnect-outdoors", main("outdoors = false", "barn")) == []


def test_emergency_disconnect_outdoors_fails():
    found, renewed = installation(main("outdoors = false, rating_a = 100")), main("outdoors = false, is_new = true")
    assert verdicts("emergency-disconnect-outdoors", main("outdoors = false")) == [KNOW]
    assert verdicts("emergency-disconnect-outdoors", renewed, found=found) == [MEND]
    assert verdicts("emergency-disconnect-outdoors", main("is_new = true"), found=found) == [ASK]


def test_2020_does_not_say_what_a_like_for_like_replacement_calls_for():
    found = installation(main("outdoors = false, rating_a = 100"))
    same = main("outdoors = false, rating_a = 100, is_new = true")
    larger = main("outdoors = false, rating_a = 200, is_new = true")
    assert verdicts("emergency-disconnect-outdoors", same, "NEC 2020", found=found) == [ASK]
    assert verdicts("emergency-disconnect-outdoors", larger, "NEC 2020", found=found) == [MEND]


def test_a_large_old_meter_socket_makes_an_upgrade_no_smaller():
    socket = 'equipment.meter = { kind = "meter", building = "house", rating_a = 200 }\n'
    found = installation(main("outdoors = false, rating_a = 60") + socket)
    renewed = main("outdoors = false, rating_a = 100, is_new = true") + socket
    assert verdicts("emergency-disconnect-outdoors", renewed, "NEC 2020", found=found) == [MEND]
    unread = installation(main("outdoors = false") + socket)
    assert verdicts("emergency-disconnect-outdoors", renewed, "NEC 2020", found=unread) == [MEND]


def test_a_new_meter_or_cable_alone_calls_for_no_emergency_disconnect():
    found = installation(main("outdoors = false"))
    assert verdicts("emergency-disconnect-outdoors", main("outdoors = false"), found=found) == [KNOW]


@pytest.mark.parametrize(("length", "told"), [("length_ft = 30, ", []), ("length_ft = 80, ", [ASK]), ("", [ASK])])
def test_a_disconnect_on_the_pole_must_be_in_sight_of_the_house(length, told):
    text = f"""
        buildings = {{ house = {{ use = "dwelling" }}, pole = {{ use = "yard pole" }} }}
        equipment.switch = {{ kind = "disconnect", building = "pole", outdoors = true, role = "emergency disconnect" }}
        equipment.main = {{ kind = "panel", building = "house", outdoors = false }}
        runs.drop = {{ from = "utility", to = "switch" }}
        runs.service = {{ {length}from = "switch", to = "main" }}
        """
    assert verdicts("emergency-disconnect-outdoors", text) == told


DEVICE = (
    'buildings.house = { use = "dwelling" }\nruns.drop = { from = "utility", to = "switch" }\n'
    'equipment.switch = { kind = "disconnect", building = "house", outdoors = true, role = "emergency disconnect"%s }\n'
    'equipment.main = { kind = "panel", building = "house" }\nruns.service = { from = "switch", to = "main" }\n'
)


def test_emergency_disconnect_label_passes():
    marked = ', marked = "Emergency disconnect, not service equipment"'
    assert verdicts("emergency-disconnect-label", DEVICE % marked) == []
    assert verdicts("emergency-disconnect-label", DEVICE % ", is_new = true") == []
    assert verdicts("emergency-disconnect-label", main("outdoors = true, is_new = true")) == []


def test_emergency_disconnect_label_fails():
    assert verdicts("emergency-disconnect-label", DEVICE % ', marked = "MAIN"') == [MEND]
    assert verdicts("emergency-disconnect-label", DEVICE % "") == [ASK]


def test_suitable_as_service_equipment_passes():
    assert verdicts("suitable-as-service-equipment", main("suitable_as_service_equipment = true")) == []


def test_suitable_as_service_equipment_fails():
    assert verdicts("suitable-as-service-equipment", main("suitable_as_service_equipment = false")) == [MEND]
    assert verdicts("suitable-as-service-equipment", main("rating_a = 100")) == [ASK]


def test_service_disconnect_marked_passes():
    assert verdicts("service-disconnect-marked", main('marked = "Service disconnect"')) == []
    assert verdicts("service-disconnect-marked", main("is_new = true")) == []


def test_service_disconnect_marked_fails():
    assert verdicts("service-disconnect-marked", main('marked = "RANGE"')) == [MEND]
    assert verdicts("service-disconnect-marked", main("rating_a = 100")) == [ASK]


def test_surge_protection_at_the_service_passes():
    assert verdicts("surge-protection-at-the-service", main('surge_protection = "type 2"')) == []
    next_down = (
        'equipment.sub = { kind = "panel", building = "house", surge_protection = "type 2" }\n'
        'runs.feeder = { from = "main", to = "sub" }\ncircuits.lights = { from = "sub" }\n'
    )
    assert verdicts("surge-protection-at-the-service", main("is_new = true") + next_down) == []


def test_surge_protection_at_the_service_fails():
    found, bare = installation(main("rating_a = 100")), main('surge_protection = "none", is_new = true')
    assert verdicts("surge-protection-at-the-service", bare, found=found) == [MEND]
    assert verdicts("surge-protection-at-the-service", main("is_new = true"), found=found) == [ASK]
    assert verdicts("surge-protection-at-the-service", main('surge_protection = "none"')) == [KNOW]
    assert verdicts("surge-protection-at-the-service", bare, "NEC 2017", found=found) == []


FED = (
    main("rating_a = 200") + 'runs.feeder = { from = "main", to = "sub" }\ncircuits.lights = { from = "sub" }\n'
    'equipment.sub = { kind = "panel", building = "house", is_new = true, surge_protection = "%s" }\n'
)


def test_surge_protection_on_feeders_passes():
    assert verdicts("surge-protection-on-feeders", FED % "type 1") == []
    assert verdicts("surge-protection-on-feeders", FED % "none", "NEC 2020") == []


def test_surge_protection_on_feeders_fails():
    told = says("surge-protection-on-feeders", FED % "none")
    assert [finding.verdict for finding in told] == [MEND]
    assert "10 kA" in told[0].mend


def test_line_side_barriers_passes():
    assert verdicts("line-side-barriers", main("line_terminals_covered = true")) == []
    assert verdicts("line-side-barriers", main("rating_a = 100")) == []


def test_line_side_barriers_fails():
    assert verdicts("line-side-barriers", main("line_terminals_covered = false, is_new = true")) == [MEND]
    assert verdicts("line-side-barriers", main("line_terminals_covered = false")) == [KNOW]
    assert verdicts("line-side-barriers", main("is_new = true")) == [ASK]


def test_line_side_splices_marked_passes():
    assert verdicts("line-side-splices-marked", main("line_side_splices_marked = true")) == []


def test_line_side_splices_marked_fails():
    assert verdicts("line-side-splices-marked", main("line_side_splices_marked = false, is_new = true")) == [MEND]
    assert verdicts("line-side-splices-marked", main("line_side_splices_marked = false")) == [KNOW]


def test_backfed_main_held_down_passes():
    assert verdicts("backfed-main-held-down", main("backfed_main_fastened = true")) == []
    assert verdicts("backfed-main-held-down", main("rating_a = 100")) == []


def test_backfed_main_held_down_fails():
    assert verdicts("backfed-main-held-down", main("backfed_main_fastened = false")) == [MEND]


TWO = 'equipment.other = { kind = "panel", building = "house" }\nruns.second = { from = "utility", to = "other" }\n'


def test_one_service_passes():
    units = 'buildings = { house = { use = "two-family dwelling" }, up = { use = "dwelling unit", part_of = "house" }, '
    units += 'down = { use = "dwelling unit", part_of = "house" } }\n'
    duplex = main("rating_a = 100").replace('buildings.house = { use = "dwelling" }\n', units) + TWO
    assert verdicts("one-service", main("rating_a = 100")) == []
    assert verdicts("one-service", duplex) == []


def test_one_service_fails():
    assert verdicts("one-service", main("rating_a = 100") + TWO) == [ASK]


def test_nothing_fed_ahead_of_the_service_passes():
    assert verdicts("nothing-fed-ahead-of-the-service", main("rating_a = 100") + 'circuits.a = { from = "main" }') == []


def test_nothing_fed_ahead_of_the_service_fails():
    text = """
        equipment = { meter = { kind = "meter" }, main = { kind = "panel" } }
        runs = { drop = { from = "utility", to = "meter" }, service = { from = "meter", to = "main" } }
        circuits.yard-light = { from = "meter" }
        """
    told = says("nothing-fed-ahead-of-the-service", text)
    assert [(finding.where, finding.verdict) for finding in told] == [("circuits.yard-light", MEND)]


def test_terminals_tightened_to_the_mark_passes():
    assert verdicts("terminals-tightened-to-the-mark", main("rating_a = 100")) == []


def test_terminals_tightened_to_the_mark_fails():
    (told,) = says("terminals-tightened-to-the-mark", main("is_new = true"))
    assert (told.verdict.value, told.section) == (KNOW, "110.14(D)")


AHEAD = (
    'buildings.house = { use = "dwelling" }\n'
    'equipment.switch = { kind = "disconnect", building = "house", role = "%s", is_new = true }\n'
    'equipment.main = { kind = "panel", building = "house" }\n'
    'runs = { service = { from = "utility", to = "switch" }, inside = { from = "switch", to = "main" } }\n'
)


def test_listed_ahead_of_the_service_passes():
    assert verdicts("listed-ahead-of-the-service", AHEAD % "emergency disconnect", "NEC 2020") == []
    assert verdicts("listed-ahead-of-the-service", AHEAD % "meter disconnect", "NEC 2017") == []


def test_listed_ahead_of_the_service_fails():
    # The emergency disconnect joined the list of 230.82 in 2020; 2026 deleted 230.85.
    for edition in ("NEC 2017", "NEC 2026"):
        assert verdicts("listed-ahead-of-the-service", AHEAD % "emergency disconnect", edition) == [ASK]


def test_the_label_of_an_emergency_disconnect_is_asked_for_at_dwellings_only():
    pole = AHEAD.replace('use = "dwelling"', 'use = "storage"') % "meter disconnect"
    assert verdicts("emergency-disconnect-label", pole.replace(", is_new = true", "")) == []


# 10 kA: expertce.com lesson on surge protection, NEC 2023 230.67(E).
def test_surge_device_discharge_current_passes():
    enough = 'surge_protection = "type 2", surge_discharge_ka = 10'
    assert verdicts("surge-device-discharge-current", main(enough)) == []
    assert verdicts("surge-device-discharge-current", main('surge_protection = "none"')) == []
    small = 'surge_protection = "type 2", surge_discharge_ka = 5'
    assert verdicts("surge-device-discharge-current", main(small), "NEC 2020") == []
    assert verdicts("surge-device-discharge-current", main('surge_protection = "type 2"')) == []


def test_surge_device_discharge_current_fails():
    found = installation(main("rating_a = 100"))
    small = 'surge_protection = "type 1", surge_discharge_ka = 5'
    [told] = says("surge-device-discharge-current", main(small))
    assert (told.verdict.value, told.section) == (KNOW, "230.67(E)")
    assert "10 kA is the least" in told.wrong
    assert verdicts("surge-device-discharge-current", main(f"{small}, is_new = true"), found=found) == [MEND]
    unstated = main('surge_protection = "type 2", is_new = true')
    assert verdicts("surge-device-discharge-current", unstated, found=found) == [ASK]
