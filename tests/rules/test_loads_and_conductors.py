"""Whether lines, neutrals and raceways serve the calculated load."""

from __future__ import annotations

import pytest

from .build import installation, says, verdicts

MEND, ASK, KNOW = "must be mended", "must be asked", "worth knowing"

#: A workshop fed from its own service; heat of ``kw`` on a panel behind a feeder. No dwelling: no reduction.
SHOP = """
buildings.shop = {{ use = "workshop" }}
equipment.main = {{ kind = "panel", building = "shop", outdoors = false, rating_a = 200, terminal_temperature_c = 75, \
main = "breaker", main_a = 200{main} }}
equipment.box = {{ kind = "panel", building = "shop", outdoors = false, rating_a = 100, main = "none", \
terminal_temperature_c = 75 }}
runs.service = {{ from = "utility", to = "main", owner = "customer", wires = 3, line_size = "3/0 AWG", \
metal = "copper", neutral_size = "3/0 AWG", insulation = "THWN", ambient_c = 30, current_carrying = 3{service} }}
runs.feeder = {{ from = "main", to = "box", owner = "customer", wires = 4, line_size = "6 AWG", metal = "copper", \
neutral_size = "6 AWG", insulation = "THWN", egc = "wire", egc_size = "10 AWG", egc_metal = "copper", ambient_c = 30, \
current_carrying = 3, ocpd = "breaker", ocpd_a = 60{feeder} }}
circuits.heat = {{ from = "box", poles = 2, ocpd_a = 60 }}
loads.heat = {{ kind = "electric heat", circuit = "heat", kw = {kw}, volts = 240, phase = 1, continuous = false }}
"""


def shop(kw=12, main="", service="", feeder="", more=""):
    return SHOP.format(kw=kw, main=main, service=service, feeder=feeder) + more


def feeder_without(fact, instead=""):
    """The shop with one fact of its feeder taken out or changed."""
    head, _, rest = shop().partition("runs.feeder")
    assert fact in rest
    return f"{head}runs.feeder{rest.replace(fact, instead, 1)}"


def test_calculated_load_fits_feeder_passes():
    # 14.4 kW / 240 V = 60 A behind 60 A.
    assert not says("calculated-load-fits-feeder", shop(kw=14.4))


def test_calculated_load_fits_feeder_fails():
    # 15.6 kW / 240 V = 65 A behind 60 A.
    (found,) = says("calculated-load-fits-feeder", shop(kw=15.6))
    assert found.verdict.value == MEND
    assert "65 A" in found.wrong


def test_calculated_load_fits_feeder_asks_for_the_device():
    assert verdicts("calculated-load-fits-feeder", feeder_without("ocpd_a = 60", 'ocpd_a = "unknown"')) == [ASK]


def test_conductor_carries_the_load_passes():
    # 6 AWG copper carries 65 A at 75 C.
    assert not says("conductor-carries-the-load", shop(kw=15.6))


def test_conductor_carries_the_load_fails():
    # 72 A on 65 A.
    (found,) = says("conductor-carries-the-load", shop(kw=17.3))
    assert (found.verdict.value, found.where) == (MEND, "runs.feeder.line_size")


def test_conductor_carries_the_load_asks_for_a_size_nobody_read():
    assert verdicts("conductor-carries-the-load", feeder_without('line_size = "6 AWG", ')) == [ASK]


def test_conductor_carries_the_load_is_open_where_a_better_answer_would_serve():
    # 60 A on 6 AWG copper: 65 A with 75 C insulation, 55 A with one nobody could read.
    unread = feeder_without('insulation = "THWN", ').replace("kw = 12", "kw = 14.4")
    assert verdicts("conductor-carries-the-load", unread) == [ASK]


#: A house whose feeder past a main is sized by the dwelling table though a barn circuit leaves ahead of it.
HOUSE = """
buildings.house = { use = "dwelling", floor_area_ft2 = 1500 }
buildings.barn = { use = "agricultural", dusty = true }
equipment.main = { kind = "panel", building = "house", outdoors = false, rating_a = 200, main = "breaker", \
main_a = 200, terminal_temperature_c = 75 }
runs.service = { from = "utility", to = "main", owner = "customer", wires = 3, line_size = "2/0 AWG", \
metal = "copper", neutral_size = "2/0 AWG", insulation = "THWN", ambient_c = 30 }
circuits.lights = { from = "main", poles = 1 }
"""
BARN = 'circuits.barn = { from = "main", building = "barn", poles = 1 }\n'


def test_dwelling_table_only_for_whole_dwelling_passes():
    assert not says("dwelling-table-only-for-whole-dwelling", HOUSE)


def test_dwelling_table_only_for_whole_dwelling_fails():
    # 2/0 AWG copper, 175 A, behind 200 A: the next standard size above 175 A is 175 A itself.
    (found,) = says("dwelling-table-only-for-whole-dwelling", HOUSE + BARN)
    assert found.verdict.value == MEND
    assert "175 A at most" in found.mend


def test_old_conductor_reused_with_old_insulation_passes():
    assert not says("old-conductor-reused-with-old-insulation", shop())


def test_old_conductor_reused_with_old_insulation_fails():
    assert verdicts("old-conductor-reused-with-old-insulation", shop(feeder=", damaged = true")) == [MEND]


@pytest.mark.parametrize(("insulation", "expected"), [("TW", [KNOW]), ("rubber and cloth", [KNOW]), ("unknown", [ASK])])
def test_old_conductor_reused_with_old_insulation_says_what_it_is(insulation, expected):
    old = feeder_without('insulation = "THWN"', f'insulation = "{insulation}"')
    assert verdicts("old-conductor-reused-with-old-insulation", old) == expected


def test_raceway_fill_passes():
    assert not says("raceway-fill", shop(feeder=', method = "EMT", trade_size = "1-1/4", length_ft = 20'))


def test_raceway_fill_fails():
    # Three 6 AWG and a 10 AWG THWN, 0.0507 x 3 + 0.0211 = 0.173 in2; EMT 1/2 in holds 0.122 in2 at 40 percent.
    full = ', method = "EMT", trade_size = "1/2", length_ft = 20'
    assert verdicts("raceway-fill", shop(feeder=full)) == [MEND]


RANGE = 'circuits.range = { from = "box", poles = 2, cable = "SE cable", ocpd_a = 40, metal = "aluminum"'


def test_se_cable_in_insulation_passes():
    large = RANGE + ', wire_size = "8 AWG", in_thermal_insulation = true }\n'
    assert not says("se-cable-in-insulation", shop(more=large))
    free = RANGE + ', wire_size = "10 AWG", in_thermal_insulation = false }\n'
    assert not says("se-cable-in-insulation", shop(more=free))


def test_se_cable_in_insulation_fails():
    # 10 AWG aluminum, 60 C: 25 A; 40 A ahead of it.
    inside = RANGE + ', wire_size = "10 AWG", in_thermal_insulation = true }\n'
    assert verdicts("se-cable-in-insulation", shop(more=inside)) == [MEND]
    assert verdicts("se-cable-in-insulation", shop(more=RANGE + ', wire_size = "10 AWG" }\n')) == [ASK]


def test_next_size_up_passes():
    assert not says("next-size-up", shop())


def test_next_size_up_fails():
    # 6 AWG copper, 65 A, behind 70 A.
    assert verdicts("next-size-up", feeder_without("ocpd_a = 60", "ocpd_a = 70")) == [KNOW]


LAMPS = """circuits.lamps = { from = "box", poles = 1 }
loads.lamps = { kind = "lighting", circuit = "lamps", va = 3600, volts = 120, continuous = false }
"""


def test_neutral_carries_its_load_passes():
    assert not says("neutral-carries-its-load", shop(more=LAMPS))


def test_neutral_carries_its_load_fails():
    # 3,600 VA on one line is 30 A of neutral load; 14 AWG copper carries 20 A at most.
    thin = feeder_without('neutral_size = "6 AWG"', 'neutral_size = "14 AWG"') + LAMPS
    (found,) = says("neutral-carries-its-load", thin)
    assert (found.verdict.value, found.where) == (MEND, "runs.feeder.neutral_size")
    assert verdicts("neutral-carries-its-load", feeder_without('neutral_size = "6 AWG", ')) == [ASK]


def test_a_new_run_that_no_wire_serves_must_be_built_another_way():
    found = installation(shop())
    new = installation(shop(kw=300, feeder=", is_new = true, sets = 1"))
    assert MEND in verdicts("conductor-carries-the-load", new, found=found)


def service_in(method, fields=""):
    return (
        'buildings.house = { use = "dwelling" }\nequipment.meter = { kind = "meter" }\n'
        'equipment.main = { kind = "panel", building = "house", rating_a = 100 }\n'
        'runs.drop = { from = "utility", to = "meter", owner = "utility" }\n'
        f'runs.lines = {{ from = "meter", to = "main", owner = "customer", method = "{method}", {fields} }}\n'
    )


# From memory of NEC 230.43: house cable is not in its list, flexible metal conduit to 6 ft is.
def test_service_wiring_method_passes():
    for method, fields in (("SE cable", ""), ("RMC", ""), ("MC cable", ""), ("FMC", "length_ft = 6")):
        assert verdicts("service-wiring-method", service_in(method, fields)) == []


def test_service_wiring_method_fails():
    assert verdicts("service-wiring-method", service_in("NM cable")) == ["worth knowing"]
    assert verdicts("service-wiring-method", service_in("UF cable", "is_new = true")) == ["must be mended"]
    assert verdicts("service-wiring-method", service_in("LFMC", "length_ft = 7, is_new = true")) == ["must be mended"]
