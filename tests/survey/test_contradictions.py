"""A part that says two things of which one must be wrong is refused, with place, allowed values and what to do."""

import pytest

from driploop.survey import read_job, read_job_text
from driploop.survey.faults import JobFileError
from driploop.survey.layout import FORMAT

SITE = """format = %d
[buildings.barn]
[equipment.meter]
kind = "meter"
[equipment.panel]
kind = "panel"
building = "barn"
%s
[runs.feeder]
from = "meter"
to = "panel"
%s
"""


def faults(run="", equipment="", more=""):
    try:
        read_job_text(SITE % (FORMAT, equipment, run) + more)
    except JobFileError as error:
        return error.faults
    return ()


@pytest.mark.parametrize(
    ("run", "equipment"),
    [
        # Lines by the poles of the switch at the end, one neutral, one ground wire: what is counted holds all of them.
        ('wires = 3\negc = "wire"\nneutral_size = "8 AWG"', "poles = 2"),
        ('wires = 2\nneutral_size = "8 AWG"', "poles = 2"),
        ('wires = 2\negc = "wire"\nneutral_size = "8 AWG"', ""),
        ("wires = 2", "poles = 3"),
        ('wires = 2\nmethod = "overhead triplex"', ""),
        ('wires = 4\negc = "none"', "poles = 2"),
    ],
)
def test_wires_that_do_not_add_up_are_refused(run, equipment):
    [fault] = faults(run, equipment)
    assert fault.path == "runs.feeder.wires"
    assert fault.line is not None
    assert all((fault.read, fault.allowed, fault.do))


@pytest.mark.parametrize(
    ("run", "equipment"),
    [
        ('wires = 4\negc = "wire"\nneutral_size = "8 AWG"', "poles = 2"),
        ('wires = 3\negc = "wire"\nneutral_size = "8 AWG"', "poles = 1"),  # one line of 120 V, neutral, ground
        ('wires = 3\negc = "wire"\nneutral_size = "8 AWG"', ""),
        ('wires = 2\nneutral_size = "8 AWG"', ""),
        ('wires = 3\negc = "none"', "poles = 2"),
        ('wires = 3\negc = "raceway"\nneutral_size = "8 AWG"', "poles = 2"),
        ('wires = 4\negc = "none"', "poles = 3"),
        ('egc = "wire"\nneutral_size = "8 AWG"', "poles = 2"),
    ],
)
def test_wires_that_may_add_up_are_read(run, equipment):
    assert faults(run, equipment) == ()


@pytest.mark.parametrize(
    ("run", "equipment", "more", "path"),
    [
        ('ocpd = "none"\nocpd_a = 60', "", "", "runs.feeder.ocpd_a"),
        ('egc = "none"\negc_size = "8 AWG"', "", "", "runs.feeder.egc_size"),
        ("", 'main = "none"\nmain_a = 100', "", "equipment.panel.main_a"),
        ("", "", '[circuits.one]\nfrom = "panel"\nocpd = "none"\nocpd_a = 20', "circuits.one.ocpd_a"),
        (
            "", "",
            '[circuits.one]\nfrom = "panel"\nneutral = "none"\nmultiwire_with = "two"\n[circuits.two]\nfrom = "panel"',
            "circuits.one.multiwire_with",
        ),
        ("", "", '[proposal.runs.feeder]\nocpd = "none"\nocpd_a = 60', "proposal.runs.feeder.ocpd_a"),
    ],
)  # fmt: skip
def test_what_is_told_of_a_thing_that_is_not_there_is_refused(run, equipment, more, path):
    assert [fault.path for fault in faults(run, equipment, more)] == [path]


@pytest.mark.parametrize(
    ("more", "path"),
    [
        ('[circuits.one]\nfrom = "barn-panel"', "circuits.one.from"),
        ("[equipment.box]\nrating_a = 0", "equipment.box.rating_a"),
        ('[equipment.box]\n[runs.loop]\nfrom = "box"\nto = "box"', "runs.loop.from"),
        (
            '[equipment.a]\n[equipment.b]\n[runs.ab]\nfrom = "a"\nto = "b"\n[runs.ba]\nfrom = "b"\nto = "a"',
            "runs.ab.from",
        ),
        ('[runs.second]\nfrom = "utility"\nto = "panel"', "runs.second.to"),
    ],
)
def test_a_supply_that_cannot_be_is_refused(more, path):
    assert path in [fault.path for fault in faults(more=more)]


def test_every_contradiction_is_told_at_once():
    told = faults(
        'wires = 2\negc = "wire"\nneutral_size = "8"\nocpd = "none"\nocpd_a = 60', 'main = "none"\nmain_a = 9'
    )
    assert {fault.path for fault in told} == {"runs.feeder.wires", "runs.feeder.ocpd_a", "equipment.panel.main_a"}


@pytest.mark.parametrize("hp", ["three", "1/0", "0", "0/2", "-1", "7-1", ""])
def test_a_horsepower_that_no_table_could_write_is_refused(hp):
    assert [fault.path for fault in faults(more=f'[loads.pump]\nhp = "{hp}"')] == ["loads.pump.hp"]


@pytest.mark.parametrize("hp", ["1/2", "3", "7-1/2", "7 1/2", "1.5", "0.75"])
def test_a_horsepower_as_people_write_it_is_read(hp):
    assert faults(more=f'[loads.pump]\nhp = "{hp}"') == ()


@pytest.mark.parametrize("told", ["va = 1e300", "va = 10_000_001", "count = 501", "count = 100000000000000000000"])
def test_a_number_that_no_place_holds_is_refused(told):
    assert [fault.path for fault in faults(more=f"[loads.pump]\n{told}")] == [f"loads.pump.{told.split()[0]}"]


def test_a_file_that_is_no_text_is_named_so(tmp_path):
    file = tmp_path / "job.toml"
    file.write_bytes(b"\x89PNG\x00\x01")
    with pytest.raises(JobFileError, match="no text"):
        read_job(file)
