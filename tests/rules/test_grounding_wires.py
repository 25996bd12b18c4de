"""Grounds and neutrals that run with the lines."""

from __future__ import annotations

from .build import says, verdicts
from .test_bonding import house

MEND, ASK = "must be mended", "must be asked"
LINES = ', wires = 4, egc = "wire", egc_metal = "copper"'


def test_egc_size_passes():
    # 50 A device: the 60 A row, 10 AWG copper.
    assert not says("egc-size", house(feeder=LINES + ', egc_size = "10 AWG"'))


def test_egc_size_fails():
    assert verdicts("egc-size", house(feeder=LINES + ', egc_size = "12 AWG"')) == [MEND]


def test_egc_size_asks_for_a_size_or_metal_not_known():
    assert verdicts("egc-size", house(feeder=LINES)) == [ASK]
    # 10 AWG would serve in copper, not in aluminum.
    assert verdicts("egc-size", house(feeder=', wires = 4, egc = "wire", egc_size = "10 AWG"')) == [ASK]


def test_egc_upsized_passes():
    assert not says("egc-upsized", house(feeder=LINES + ', egc_size = "10 AWG"'))


def test_egc_upsized_fails():
    # 1/0 AWG lines behind 50 A, where 8 or 6 AWG would serve: the ground of the table is then too small.
    upsized = house(feeder=LINES + ', egc_size = "10 AWG"').replace('line_size = "6 AWG"', 'line_size = "1/0 AWG"')
    assert verdicts("egc-upsized", upsized) == [ASK]
    assert not says("egc-upsized", upsized.replace('egc_size = "10 AWG"', 'egc_size = "1/0 AWG"'))


def test_grounded_conductor_minimum_passes():
    assert not says("grounded-conductor-minimum", house())


def test_grounded_conductor_minimum_fails():
    # 4 AWG copper lines: 8 AWG copper is the least.
    thin = house().replace('neutral_size = "4 AWG"', 'neutral_size = "10 AWG"')
    (found,) = says("grounded-conductor-minimum", thin)
    assert found.verdict.value == MEND
    assert "8 AWG is the least" in found.wrong


def test_grounded_conductor_minimum_asks_for_a_neutral_nobody_measured():
    unseen = house().replace('neutral_size = "4 AWG"', 'neutral_size = "unknown"')
    assert verdicts("grounded-conductor-minimum", unseen) == [ASK]


def test_se_bare_neutral_not_as_feeder_neutral_passes():
    ser = ', method = "SER cable", wires = 4, neutral_insulated = true'
    assert not says("se-bare-neutral-not-as-feeder-neutral", house(feeder=ser))
    two_lines_and_ground = ', method = "SE cable", wires = 3, egc = "wire"'
    assert not says("se-bare-neutral-not-as-feeder-neutral", house(feeder=two_lines_and_ground))


def test_se_bare_neutral_not_as_feeder_neutral_fails():
    bare = ', method = "SE cable", wires = 3, neutral_insulated = false, egc = "none"'
    assert verdicts("se-bare-neutral-not-as-feeder-neutral", house(feeder=bare)) == [MEND]


def test_se_bare_neutral_not_as_feeder_neutral_leaves_the_service_alone():
    service = ', method = "SE cable", neutral_insulated = false'
    assert not says("se-bare-neutral-not-as-feeder-neutral", house(service=service))


def test_se_bare_neutral_not_as_feeder_neutral_asks_when_not_seen():
    assert verdicts("se-bare-neutral-not-as-feeder-neutral", house(feeder=', method = "SE cable"')) == [ASK]
