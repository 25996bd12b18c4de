"""What mendings may not propose, and what they put in its place."""

from __future__ import annotations

import driploop
from alternatives.houses import HEAD, HOUSE
from driploop.alternatives import alternatives_of
from driploop.editions import load_edition
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
