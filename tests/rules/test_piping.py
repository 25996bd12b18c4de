"""Piping, steel and communication grounds."""

from __future__ import annotations

import pytest

from .build import installation, says, verdicts
from .test_bonding import house

MEND, ASK, KNOW = "must be mended", "must be asked", "worth knowing"


def with_bond(kind, more, **facts):
    return house(**facts) + f'bonds.pipe = {{ kind = "{kind}", building = "house"{more} }}\n'


def test_water_piping_bonded_passes():
    # 4 AWG copper lines: 8 AWG copper, 6 AWG aluminum.
    good = ', present = true, size = "8 AWG", metal = "copper"'
    assert not says("water-piping-bonded", with_bond("metal water piping", good))


def test_water_piping_bonded_fails():
    assert verdicts("water-piping-bonded", with_bond("metal water piping", ", present = false")) == [MEND]
    thin = ', present = true, size = "8 AWG", metal = "aluminum"'
    assert verdicts("water-piping-bonded", with_bond("metal water piping", thin)) == [MEND]


@pytest.mark.parametrize("facts", ["", ", present = true"])
def test_water_piping_bonded_asks_for_a_bond_or_size_not_seen(facts):
    assert verdicts("water-piping-bonded", with_bond("metal water piping", facts)) == [ASK]


def test_water_piping_bonded_asks_where_the_survey_is_silent_and_no_pipe_is_joined():
    assert verdicts("water-piping-bonded", house()) == [ASK]
    joined = 'electrodes.pipe = { kind = "metal water pipe", building = "house", connected = true }\n'
    assert not says("water-piping-bonded", house() + joined)


def test_a_bond_that_the_change_makes_is_not_gauged():
    found = installation(with_bond("metal water piping", ", present = false"))
    assert not says("water-piping-bonded", with_bond("metal water piping", ", present = true"), found=found)


def test_water_piping_is_asked_about_behind_a_site_isolating_device():
    isolated = house(main=', role = "site-isolating device"')
    assert [f.where for f in says("water-piping-bonded", isolated)] == ["equipment.main"]


CIRCUIT = 'circuits.furnace = { from = "main", ocpd_a = 20, poles = 1 }\n'


def test_gas_piping_bonded_passes():
    good = with_bond("gas piping", ', present = true, size = "12 AWG", metal = "copper"')
    assert not says("gas-piping-bonded", good + CIRCUIT)


def test_gas_piping_bonded_fails():
    assert verdicts("gas-piping-bonded", with_bond("gas piping", ", present = false") + CIRCUIT) == [MEND]


def test_a_bond_of_unread_metal_is_asked_about_where_aluminum_would_be_too_small():
    # 4 AWG copper lines: 8 AWG copper, 6 AWG aluminum (NEC Table 250.102(C)(1)).
    told = says("water-piping-bonded", with_bond("metal water piping", ', present = true, size = "8 AWG"'))
    assert [(f.verdict, f.where.rpartition(".")[2]) for f in told] == [(ASK, "metal")]
    assert not says("water-piping-bonded", with_bond("metal water piping", ', present = true, size = "6 AWG"'))


def test_bond_names_what_it_joins_passes():
    assert verdicts("bond-names-what-it-joins", with_bond("gas piping", ", present = true")) == []


def test_bond_names_what_it_joins_fails():
    nameless = with_bond("gas piping", ", present = true").replace('kind = "gas piping", ', "")
    assert "gas piping" not in nameless
    assert verdicts("bond-names-what-it-joins", nameless) == [ASK]


def test_corrugated_gas_tubing_by_its_maker_passes():
    measured = ', present = true, size = "6 AWG", metal = "copper"'
    assert not says("corrugated-gas-tubing-by-its-maker", with_bond("corrugated gas tubing", measured))
    assert not says("corrugated-gas-tubing-by-its-maker", with_bond("gas piping", ", present = true"))


def test_corrugated_gas_tubing_by_its_maker_fails():
    unmeasured = with_bond("corrugated gas tubing", ", present = true")
    assert verdicts("corrugated-gas-tubing-by-its-maker", unmeasured) == [ASK]


def test_structural_steel_bonded_passes():
    good = ', present = true, size = "8 AWG", metal = "copper"'
    assert not says("structural-steel-bonded", with_bond("structural steel", good))


def test_structural_steel_bonded_fails():
    assert verdicts("structural-steel-bonded", with_bond("structural steel", ", present = false")) == [MEND]


def test_intersystem_termination_present_passes():
    there = with_bond("intersystem termination", ", present = true", main=", is_new = true")
    assert not says("intersystem-termination-present", there)
    no_wires = house(main=", is_new = true").replace("communications = true", "communications = false")
    assert not says("intersystem-termination-present", no_wires)


def test_intersystem_termination_present_fails():
    assert verdicts("intersystem-termination-present", house(main=", is_new = true")) == [MEND]


def test_intersystem_termination_present_is_worth_knowing_at_old_equipment_and_asked_where_not_known():
    assert verdicts("intersystem-termination-present", house()) == [KNOW]
    unknown = house(main=", is_new = true").replace("communications = true", 'communications = "unknown"')
    assert verdicts("intersystem-termination-present", unknown) == [ASK]


def test_intersystem_termination_has_terminals_passes():
    three = ", present = true, terminals = 3"
    assert not says("intersystem-termination-has-terminals", with_bond("intersystem termination", three))


def test_intersystem_termination_has_terminals_fails():
    two = ", present = true, terminals = 2"
    new = with_bond("intersystem termination", two, main=", is_new = true")
    assert verdicts("intersystem-termination-has-terminals", new) == [MEND]
    assert verdicts("intersystem-termination-has-terminals", with_bond("intersystem termination", two)) == [KNOW]
