"""Feeders of several motors: wire by the largest raised and the rest, device by the largest one's own and the rest."""

import pytest

from driploop.circuits.motor_feeders import MotorFeeder
from rules.build import installation, readings_of, says, verdicts

SHED = """
equipment = { main = { kind = "panel" }, shed = { kind = "panel", poles = 2 } }
runs.service = { from = "utility", to = "main" }
runs.feeder = { from = "main", to = "shed", method = "PVC 40", insulation = "THWN", FEEDER }
circuits.a = { from = "shed", poles = 2, ocpd = "breaker" }
circuits.b = { from = "shed", poles = 2, ocpd = "breaker" }
loads.big = { kind = "motor", circuit = "a", BIG }
loads.small = { kind = "motor", circuit = "b", SMALL }
"""
WIRE = 'ambient_c = 30, current_carrying = 3, line_size = "6 AWG", metal = "copper", ocpd = "breaker", ocpd_a = '
V230 = "volts = 240, phase = 1"
RULE = "motor-feeder-device-not-too-large"


def shed(device=60, big=f'hp = "5", {V230}', small=f'hp = "3", {V230}', wire=WIRE):
    return SHED.replace("FEEDER", f"{wire}{device}").replace("BIG", big).replace("SMALL", small)


def feeder(text, edition="NEC 2023") -> MotorFeeder:
    return readings_of(installation(text), edition).motor_feeders["feeder"]


def most_of(each: MotorFeeder) -> object:
    return each.most.value if each.most is not None else None


@pytest.mark.parametrize("edition", ["NEC 2017", "NEC 2020", "NEC 2023", "NEC 2026"])
def test_two_motors_on_one_feeder(edition):
    # Table 430.248, 230 V: 5 hp 28 A, 3 hp 17 A. Wire 1.25 x 28 + 17 = 52 A. Device 2.5 x 28 = 70, and 17 = 87: 80 A.
    each = feeder(shed(), edition)
    assert each.carry.value == pytest.approx(52)
    assert most_of(each) == 80
    assert "430.24" in each.carry.section
    assert "430.62" in each.worksheet.line("most_device").result.section
    lines = {line.key: line.result for line in each.worksheet.lines}
    assert (lines["carry"].value, lines["most_device"].value, lines["device"].value) == (52, 80, 60)


def test_motors_of_460_v_by_a_published_example():
    # EC&M, "Stumped by the Code?" (motor feeder), NEC 2014-2017: 20 hp 27 A and 10 hp 14 A at 460 V, three phases:
    # wire 47.75 A, largest branch breaker 70 A, 70 + 14 = 84, next size down 80 A.
    # ecmweb.com/national-electrical-code/qa/article/20901222
    three = "volts = 480, phase = 3"
    each = feeder(shed(big=f'hp = "20", {three}', small=f'hp = "10", {three}'), "NEC 2017")
    assert most_of(each) == 80
    by_motors = [line.result.value for line in each.worksheet.lines if line.result.unit == "A"][:2]
    assert by_motors == [27, 14]


def test_other_load_is_added_to_the_motors():
    more = shed() + 'circuits.c = { from = "shed", poles = 2 }\n' + (
        'loads.heat = { kind = "other", circuit = "c", va = 2400, volts = 240, continuous = false }\n'
    )  # fmt: skip
    each = feeder(more)
    assert each.carry.number == pytest.approx(62)  # 10 A more
    assert most_of(each) == 90  # 70 + 17 + 10 = 97


def test_one_motor_makes_no_feeder_of_motors():
    alone = shed().replace('loads.small = { kind = "motor"', 'loads.small = { kind = "water heater", va = 4500')
    alone = alone.replace(f'hp = "3", {V230}', "volts = 240")
    assert readings_of(installation(alone), "NEC 2023").motor_feeders == {}


def test_a_motor_whose_plate_nobody_read_is_asked_about_where_the_device_hangs_on_it():
    [told] = says(RULE, shed(100, small=V230))
    assert told.verdict.value == "must be asked"
    assert verdicts(RULE, shed(60, small=V230)) == []
    assert feeder(shed(100, small=V230)).assumptions[0].where == "loads.small.hp"
