"""What mendings may not propose, and what they put in its place."""

from __future__ import annotations

import driploop
from alternatives.houses import HEAD, HOUSE, changed
from driploop.alternatives import alternatives_of
from driploop.editions import load_edition, read_overlay
from driploop.rules.branch_circuits import needed_device
from driploop.survey import read_job_text

#: A water heater of 4.5 kW, 23.4 A with its quarter more, on a wire that takes 20 A, behind a 30 A fuse.
TANK = """
circuits.tank = { from = "box", poles = 2, ocpd = "cartridge fuse", ocpd_a = 30, wire_size = "12 AWG", \
metal = "copper", insulation = "TW", ground = "none" }
loads.tank = { kind = "water heater", circuit = "tank", kw = 4.5, volts = 240, phase = 1 }
"""


def test_no_way_puts_a_breaker_ahead_of_an_appliance_that_it_does_not_carry():
    job = read_job_text(HEAD.format(edition="2023") + HOUSE + TANK, name="a job")
    comparison = alternatives_of(job, edition=load_edition("2023"))
    ways = [*comparison.offered, *(folded.alternative for folded in comparison.folded)]
    assert ways
    for each in ways:
        circuit = each.readings.installation.circuits["tank"]
        needed = needed_device(each.readings, circuit)
        assert needed is not None
        assert circuit.ocpd_a is not None
        assert circuit.ocpd_a >= needed.number
        assert circuit.is_new
        assert any(words.startswith("tank: run a new circuit") for words in each.mendings)
        assert not driploop.plan(each.job).must_mend


TOWN = """
[overlay]
name = "An invented hill town"
who_said_so = "its inspector, by letter"
date = 2026-03-02
kind = "town"
[requirement.meter]
title = "Meter"
requires = "The centre of the meter is 48 to 60 in above grade."
check = "meter height"
least_in = 48
most_in = 60
[requirement.gas]
title = "Gas"
requires = "10 ft from gas."
check = "clearance from gas"
least_ft = 10
[requirement.rods]
title = "Rods"
requires = "Five rods."
check = "rods"
least_count = 5
[requirement.mast]
title = "Mast"
requires = "Trade size 2-1/2."
check = "mast trade size"
least_trade_size = "2-1/2"
[requirement.tails]
title = "Tails"
requires = "36 in left out."
check = "tail length"
least_in = 36
[requirement.hook]
title = "Hook"
requires = "The drop is held 15 to 20 ft up."
check = "attachment height"
least_ft = 15
most_ft = 20
"""


def test_what_a_town_asks_of_the_new_parts_is_done_in_every_way_and_bars_none():
    survey = changed(HOUSE, "equipment.meter", meter_height_in=75, from_gas_ft=2)
    survey = changed(
        survey, "runs.drop", overhead=True, mast_trade_size="2", tail_length_in=18, attachment_height_ft=11
    )
    job = read_job_text(HEAD.format(edition="2023") + survey, name="a job")
    edition = load_edition("2023", overlays=(read_overlay(TOWN),))
    comparison = alternatives_of(job, edition=edition)
    ways = [*comparison.offered, *(folded.alternative for folded in comparison.folded)]
    renewed = [each for each in ways if each.readings.installation.equipment["meter"].is_new]
    assert renewed
    for each in renewed:
        built = each.readings.installation
        assert built.equipment["meter"].meter_height_in == 48
        assert built.equipment["meter"].from_gas_ft == 10
        assert built.runs["drop"].mast_trade_size == "2-1/2"
        assert built.runs["drop"].tail_length_in == 36
        assert built.runs["drop"].attachment_height_ft == 15
        assert sum(electrode.kind == "rod" for electrode in built.electrodes.values()) >= 5
        assert not driploop.plan(each.job, edition=edition).must_mend
