"""What stock feels of a farm's neutral: the rule, and what soil and wires have to do with it."""

from __future__ import annotations

import pytest

from .build import installation, says, verdicts

RULE = "neutral-to-earth-where-animals-stand"
MEND, ASK, KNOW = "must be mended", "must be asked", "worth knowing"

#: A long feeder of three wires, the neutral joined to the barn's metal; the blanks are further facts.
BARN = """
utility = {{ transformer_kva = 50, transformer_impedance_percent = 2.0 }}
buildings.pole = {{ use = "yard pole" }}
buildings.barn = {{ use = "{use}" }}
equipment.main = {{ kind = "panel", building = "pole", rating_a = 200, main = "breaker", main_a = 200, neutral_bonded = true }}
equipment.box = {{ kind = "panel", building = "barn", rating_a = 100, main = "breaker", main_a = 100, neutral_bonded = {bonded} }}
runs.drop = {{ from = "utility", to = "main", owner = "utility", length_ft = 20, wires = 3, line_size = "4/0 AWG", \
neutral_size = "4/0 AWG", metal = "aluminum" }}
runs.feeder = {{ from = "main", to = "box", owner = "customer", length_ft = 400, {wires}, line_size = "2 AWG", \
neutral_size = "2 AWG", metal = "aluminum", ocpd = "breaker", ocpd_a = 90 }}
circuits.lamps = {{ from = "box", poles = 1, ocpd_a = 20 }}
loads.lamps = {{ kind = "lighting", circuit = "lamps", va = {va}, volts = 120, continuous = false }}
electrodes.rod = {{ kind = "rod", building = "barn", connected = true, conductor_to = "box", resistance_ohm = {ohm} }}
"""  # noqa: E501
THREE, FOUR = 'wires = 3, egc = "none"', 'wires = 4, egc = "wire", egc_size = "6 AWG", egc_metal = "copper"'


def barn(use="livestock", bonded="true", wires=THREE, va=2400, ohm=100):
    return installation(BARN.format(use=use, bonded=bonded, wires=wires, va=va, ohm=ohm), site_kind="farm")


def test_neutral_to_earth_where_animals_stand_passes():
    assert not says(RULE, barn(va=60))  # half an ampere of neutral current


def test_neutral_to_earth_where_animals_stand_fails():
    # 2,400 VA on one leg is 20 A; 400 ft of 2 AWG aluminum lose 20 x 0.4 x 0.31 = 2.5 V, most of it over the 100 ohm.
    (found,) = says(RULE, barn())
    assert (found.verdict.value, found.where) == (KNOW, "buildings.barn")
    assert "Wisconsin" in found.wrong
    assert "cow contact" in found.wrong


def test_what_electrodes_leave_open_is_a_question():
    (found,) = says(RULE, barn(ohm='"unknown"'))
    assert found.verdict.value == ASK
    assert "soil" in found.wrong


@pytest.mark.parametrize("use", ["storage", "workshop", "agricultural"])
def test_no_word_of_animals_where_none_stand(use):
    assert not says(RULE, barn(use=use))


def test_a_ground_beside_the_neutral_takes_the_drop_away():
    assert verdicts(RULE, barn()) == [KNOW]
    assert not says(RULE, barn(bonded="false", wires=FOUR))
