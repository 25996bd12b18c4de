"""What a job file gives when it reads, and that two ways of writing one thing give the same."""

from __future__ import annotations

from pathlib import Path

import pytest

from driploop.survey import JobFileError, read_job, read_job_text

HOUSE = """
format = 1

[job]
title = "Alder Lane 4"
date = 2026-11-25

[town]
edition = "NEC 2020"

[site]
kind = "residence"

[buildings.house]
use = "dwelling"
floor_area_ft2 = 1500
communications = "yes"
gas_or_other_heat = "no"

[equipment.meter]
kind = "meter"
building = "house"

[equipment.main-panel]
kind = "panel"
building = "house"
mains_count = 2.0

[runs.drop]
from = "utility"
to = "meter"
metal_paths = "none"

[runs.service]
from = "meter"
to = "main-panel"
line_size = "#4"

[circuits]
range = { from = "main-panel", poles = 2, ocpd_a = 40, wire_size = "8", ground = "unknown" }

[loads.range]
kind = "range"
circuit = "range"
kw = 8

[wishes.charger]
kind = "vehicle charger"
when = "now"
panel = "new-main"

[proposal]
kind = "service disconnect outdoors"
rating_a = 200
moves = { range = "new-main" }

[proposal.equipment.new-main]
poles = 2
"""


def test_a_job_file_becomes_a_job() -> None:
    job = read_job_text(HOUSE)
    assert job.header.title == "Alder Lane 4"
    assert job.town.edition == "NEC 2020"
    assert job.found.site_kind == "residence"
    assert job.found.state == "found"
    assert job.found.runs["drop"].from_ == "utility"
    assert job.found.circuits["range"].id == "range"
    assert job.wishes["charger"].when == "now"
    assert job.proposal is not None
    assert job.proposal.moves == {"range": "new-main"}
    assert job.proposal.equipment["new-main"].poles == 2
    assert job.proposal.equipment["new-main"].id == "new-main"


def test_the_smallest_job_file_is_its_format() -> None:
    job = read_job_text("format = 1")
    assert job.proposal is None
    assert job.found.equipment == {}


def test_yes_and_no_are_read_as_true_and_false() -> None:
    house = read_job_text(HOUSE).found.buildings["house"]
    assert house.communications is True
    assert house.gas_or_other_heat is False


def test_yes_stays_a_word_where_text_is_asked() -> None:
    assert read_job_text('format = 1\n[job]\nnumber = "yes"').header.number == "yes"


def test_a_bare_date_is_read_as_its_text() -> None:
    assert read_job_text(HOUSE).header.date == "2026-11-25"


def test_a_whole_number_may_have_a_decimal_point() -> None:
    assert read_job_text(HOUSE).found.equipment["main-panel"].mains_count == 2
    assert read_job_text("format = 1\n[equipment.a]\npoles = 2.0").found.equipment["a"].poles == 2


def test_none_is_an_empty_list_and_not_an_unknown_one() -> None:
    assert read_job_text(HOUSE).found.runs["drop"].metal_paths == ()
    assert read_job_text(HOUSE).found.runs["service"].metal_paths is None


def test_a_size_has_one_spelling_inside() -> None:
    job = read_job_text(HOUSE)
    assert job.found.runs["service"].line_size == "4 AWG"
    assert job.found.circuits["range"].wire_size == "8 AWG"


def test_a_header_and_braces_and_dotted_keys_are_the_same() -> None:
    header = '[equipment.p]\n[circuits.fan]\nfrom = "p"\npoles = 1'
    braces = '[equipment.p]\n[circuits]\nfan = { from = "p", poles = 1 }'
    dotted = '[equipment.p]\n[circuits]\nfan.from = "p"\nfan.poles = 1'
    jobs = [read_job_text(f"format = 1\n{text}") for text in (header, braces, dotted)]
    assert jobs[0] == jobs[1] == jobs[2]


@pytest.mark.parametrize(
    ("known", "left_out"),
    [
        ('[circuits.fan]\npoles = "unknown"\nocpd_a = 20', "[circuits.fan]\nocpd_a = 20"),
        ('[runs.feeder]\nsets = "unknown"\nmetal_paths = "unknown"', "[runs.feeder]"),
        ('[circuits]\nfan = "unknown"', "[circuits.fan]"),
        ('proposal = "unknown"', ""),
        ('[proposal]\ndisconnect_ratings_a = { shed = "unknown" }', "[proposal]\ndisconnect_ratings_a = {}"),
    ],
)
def test_unknown_equals_left_out(known: str, left_out: str) -> None:
    assert read_job_text(f"format = 1\n{known}") == read_job_text(f"format = 1\n{left_out}")


def test_unknown_in_a_proposed_part_states_that_it_is_not_known() -> None:
    text = 'format = 1\n[proposal.runs.feeder]\nmethod = "unknown"\nwires = 4'
    proposal = read_job_text(text).proposal
    assert proposal is not None
    # Only what is stated is laid over what was found: a fact left out stays, one that is unknown goes.
    assert proposal.runs["feeder"].model_fields_set == {"wires", "method", "id"}
    assert proposal.runs["feeder"].method is None


def test_a_load_without_circuit_or_panel_and_a_circuit_without_start_are_unknown_not_wrong() -> None:
    job = read_job_text('format = 1\n[loads.fan]\nkind = "motor"\n[circuits.fan]\nocpd_a = 15')
    assert job.found.loads["fan"].circuit is None
    assert job.found.circuits["fan"].from_ is None


def test_the_order_of_the_survey_is_kept() -> None:
    job = read_job_text("format = 1\n[buildings.shed]\n[buildings.house]\n[buildings.barn]")
    assert list(job.found.buildings) == ["shed", "house", "barn"]


@pytest.mark.parametrize("edition", ["NEC 2017", "nec_2020", "2023", "nec 2026"])
def test_an_edition_may_be_named_in_each_usual_way(edition: str) -> None:
    assert read_job_text(f'format = 1\n[town]\nedition = "{edition}"').town.edition == edition


def test_a_file_reads_as_its_text_with_windows_line_ends_and_byte_order_mark(tmp_path: Path) -> None:
    file = tmp_path / "house.toml"
    file.write_bytes(b"\xef\xbb\xbf" + HOUSE.replace("\n", "\r\n").encode())
    assert read_job(file) == read_job_text(HOUSE)


def test_a_missing_file_is_told_with_the_nearest_name(tmp_path: Path) -> None:
    (tmp_path / "house.toml").write_text("format = 1")
    with pytest.raises(JobFileError) as error:
        read_job(tmp_path / "hosue.toml")
    assert error.value.faults[0].read == "no such file"
    assert error.value.faults[0].do == "Did you mean house.toml?"


def test_a_missing_file_with_nothing_near_is_told_with_what_is_there(tmp_path: Path) -> None:
    with pytest.raises(JobFileError, match="driploop new writes a new one"):
        read_job(tmp_path / "house.toml")
    (tmp_path / "barn-service.toml").write_text("format = 1")
    with pytest.raises(JobFileError, match=r"Job files there: barn-service\.toml\."):
        read_job(tmp_path / "q.toml")


def test_a_folder_is_not_a_job_file(tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text("format = 1")
    with pytest.raises(JobFileError, match="a folder") as error:
        read_job(tmp_path)
    assert "job.toml" in error.value.faults[0].do


def test_a_file_below_a_file_cannot_be_opened(tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text("format = 1")
    with pytest.raises(JobFileError, match="cannot be opened"):
        read_job(tmp_path / "job.toml" / "more.toml")


def test_a_file_that_is_not_utf_8_names_the_line(tmp_path: Path) -> None:
    file = tmp_path / "house.toml"
    file.write_bytes('format = 1\n[job]\ntitle = "Caf\xe9"\n'.encode("latin-1"))
    with pytest.raises(JobFileError) as error:
        read_job(file)
    (fault,) = error.value.faults
    assert (fault.line, fault.read) == (3, "a character that is not UTF-8")
    assert fault.do == 'Save the file again as "UTF-8".'


def test_working_hours_name_what_runs_together() -> None:
    job = read_job_text(
        'format = 1\n[equipment.main]\n[circuits.pump]\nfrom = "main"\n[working_hours.evening]\ncircuits = ["pump"]\n'
        "share_percent = { pump = 40 }\n"
    )
    assert job.found.working_hours["evening"].circuits == ("pump",)
    assert job.found.working_hours["evening"].share_percent == {"pump": 40}


def test_a_circuit_of_the_working_hours_must_stand_in_the_file() -> None:
    with pytest.raises(JobFileError) as caught:
        read_job_text('format = 1\n[circuits.pump]\n[working_hours.evening]\ncircuits = ["pmup"]\n')
    assert "working_hours.evening.circuits" in str(caught.value)
    assert "Did you mean" in str(caught.value)
