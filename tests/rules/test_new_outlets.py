"""What outlets that are put in or changed must have today, and what must not go dark unseen."""

import pytest

from .build import verdicts

MEND, ASK, KNOW = "must be mended", "must be asked", "worth knowing"


def house(circuit="", load="", use="dwelling"):
    text = f'buildings.house = {{ use = "{use}" }}\nruns.service = {{ from = "utility", to = "panel" }}\n'
    text += 'equipment.panel = { kind = "panel", building = "house" }\n'
    text += f'circuits.one = {{ from = "panel", serves = "one", {circuit} }}\n'
    return text + (f'loads.one = {{ circuit = "one", {load} }}\n' if load else "")


RANGE = 'kind = "range", volts = 240, is_new = true'


def test_appliance_has_ground_fault_protection_passes():
    assert verdicts("appliance-has-ground-fault-protection", house("gfci = true", RANGE)) == []
    assert verdicts("appliance-has-ground-fault-protection", house("gfci = false", RANGE), "NEC 2020") == []
    old = house("gfci = false", RANGE.replace(", is_new = true", ""))
    assert verdicts("appliance-has-ground-fault-protection", old) == []


def test_appliance_has_ground_fault_protection_fails():
    # Ranges came onto the list with 2023, dwelling dishwashers stood on it before: 210.8(D).
    assert verdicts("appliance-has-ground-fault-protection", house("gfci = false", RANGE)) == [MEND]
    assert verdicts("appliance-has-ground-fault-protection", house("", RANGE)) == [ASK]
    dishwasher = house("gfci = false", 'kind = "dishwasher", is_new = true')
    assert verdicts("appliance-has-ground-fault-protection", dishwasher, "NEC 2017") == [MEND]


def test_receptacles_of_today_passes():
    assert verdicts("receptacles-of-today", house('purpose = "general", receptacles = true, ground = "none"')) == []


def test_receptacles_of_today_fails():
    changed = 'receptacles = true, ground = "none", receptacles_replaced = 3, purpose = '
    assert verdicts("receptacles-of-today", house(changed + '"general"')) == [KNOW, KNOW]
    assert verdicts("receptacles-of-today", house(changed + '"outdoor"')) == [KNOW, KNOW, KNOW]


@pytest.mark.parametrize("circuit", ['stays_on = "nothing"', "", "receptacles = true"])
def test_not_dark_unseen_passes(circuit):
    assert verdicts("not-dark-unseen", house(circuit)) == []


def test_not_dark_unseen_fails():
    assert verdicts("not-dark-unseen", house('stays_on = "smoke alarm"')) == [KNOW]
    assert verdicts("not-dark-unseen", house("", 'kind = "freezer"')) == [KNOW]
    assert verdicts("not-dark-unseen", house("", 'kind = "ventilation fan"', use="poultry")) == [KNOW]
    # The survey said so: nothing on it must be kept on.
    assert verdicts("not-dark-unseen", house('stays_on = "nothing"', 'kind = "freezer"')) == []
