"""Tandem breakers of a panel that stays: where its label lists them they stay, where nobody says so there are none."""

from __future__ import annotations

import pytest

from driploop import plan, read_job_text
from driploop.panel import PanelReading, illegal
from driploop.panel.inputs import first_number, half_of
from driploop.planning import Plan

JOB = """
format = 1
town.edition = "NEC 2023"
buildings.house = {{ use = "dwelling" }}
runs.service = {{ from = "utility", to = "panel" }}
[equipment.panel]
kind = "panel"
building = "house"
main = "breaker"
main_a = 100
rating_a = 100
branch_protection = "breakers"
spaces = 8
circuits_max = {most}
{label}
[circuits]
a = {{ from = "panel", position = "1a", serves = "hall", poles = 1, ocpd_a = 15, {wire} }}
b = {{ from = "panel", position = "1b", serves = "stairs", poles = 1, ocpd_a = 15, {wire} }}
c = {{ from = "panel", position = "3", serves = "porch", poles = 1, ocpd_a = 15, {wire} }}
"""
WIRE = 'ocpd = "breaker", wire_size = "14 AWG", metal = "copper", insulation = "THHN", cable = "NM cable"'


def read(label: str, *, most: int = 16, solver: str = "plain") -> tuple[PanelReading, Plan]:
    text = JOB.format(label=label, most=most, wire=WIRE)
    made = plan(read_job_text(text, name="job.toml"), panel_solver=solver)  # type: ignore[arg-type]
    (reading,) = made.panels
    assert reading.problem is not None
    assert reading.solved is not None
    assert illegal(reading.problem, reading.solved.layout) == ()
    return reading, made


def asked(reading: PanelReading) -> list[str]:
    return [each.assumed for each in reading.assumptions if each.where == "equipment.panel.tandem_spaces"]


@pytest.mark.parametrize("solver", ["plain", "exact"])
@pytest.mark.parametrize("label", ["tandem_spaces = [1, 2]", 'tandem_breakers = "listed positions"'])
def test_a_tandem_that_the_label_lists_stays_with_both_its_halves(label: str, solver: str) -> None:
    reading, _ = read(label, solver=solver)
    spaces = {line.circuit: line.spaces for line in reading.directory if line.circuit}
    assert spaces == {"a": "1 upper half", "b": "1 lower half", "c": "3"}
    assert reading.solved is not None
    assert reading.solved.cost.moved == 0
    assert all(trace.stays for trace in reading.traces)
    assert asked(reading) == []


@pytest.mark.parametrize("solver", ["plain", "exact"])
@pytest.mark.parametrize(
    "label", ["", "tandem_spaces = [2]", 'tandem_spaces = "none"', 'tandem_breakers = "elsewhere"']
)
def test_any_other_tandem_is_given_a_space_of_its_own(label: str, solver: str) -> None:
    reading, made = read(label, solver=solver)
    assert not any("half" in line.spaces for line in reading.directory)
    assert reading.solved is not None
    assert reading.solved.cost.moved == 1
    said = asked(reading)
    assert bool(said) == ("tandem_spaces" not in label)
    if said:
        assert said == ["no space of it takes a tandem breaker; what shares space 1 today is moved"]
        assert "equipment.panel.tandem_spaces" in {each.where for each in made.panel_assumptions}


def test_a_panel_that_takes_no_more_poles_than_spaces_is_not_asked_of_tandems() -> None:
    text = JOB.format(label="", most=8, wire=WIRE).replace('position = "1b"', 'position = "2"')
    (reading,) = plan(read_job_text(text, name="job.toml")).panels
    assert asked(reading) == []


def test_positions_as_labels_number_them() -> None:
    assert [first_number(each) for each in ("12a", "5-7", "12 (tandem)", "pullout", None)] == [12, 5, 12, None, None]
    assert [half_of(each) for each in ("12a", "12 B", "12", "12 bath", None)] == ["upper", "lower", "", "", ""]


def test_a_generator_breaker_found_at_its_interlock_stays_there() -> None:
    text = JOB.format(label="", most=8, wire=WIRE).replace('position = "1b"', 'position = "2"')
    inlet = 'from = "panel", position = "5-7", serves = "inlet", poles = 2, interlocked = true, ocpd_a = 30'
    text += f"g = {{ {inlet}, {WIRE} }}\n"
    (reading,) = plan(read_job_text(text, name="job.toml")).panels
    assert reading.refused == ()
    (line,) = (line for line in reading.directory if line.circuit == "g")
    assert (line.spaces, line.words) == ("5/7", "Inlet, interlocked with the main")
