"""The words and answers of ``answers.toml`` fit the job file, and nothing that is assumed goes unasked."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from driploop import plan, read_job_text
from driploop.editions import edition_names
from driploop.installation import Load
from driploop.questions.answers import subject_of, subjects
from driploop.survey.fields import keys_of
from driploop.survey.layout import BY_ID, SINGLE

ROOT = Path(__file__).parents[2]
JOBS = sorted([*(ROOT / "examples").glob("*.toml"), *(ROOT / "tests" / "cases").glob("*.toml")])
#: What is assumed but is no fact of the site: the shop decides it, or it is words for a label or a name of a part.
DECIDED = {"overlay", "marked", "rating_a", "role", "panel", "from", "to"}


@pytest.mark.parametrize("name", sorted(subjects()))
def test_every_answer_may_stand_in_a_job_file(name: str) -> None:
    table, _, field = name.partition(".")
    model = BY_ID.get(table) or SINGLE[table]
    assert field in keys_of(model)
    answers = subjects()[name].answers
    for value, words in answers:
        told = model.model_validate({field: list(value) if isinstance(value, tuple) else value})
        assert getattr(told, "from_" if field == "from" else field) == value
        assert words
    assert len({words for _, words in answers}) == len(answers)
    assert len(answers) > 1 or len(subjects()[name].shares) > 1


@pytest.mark.parametrize("name", sorted(subjects()))
def test_every_question_says_why_where_how_and_what_if(name: str) -> None:
    subject = subjects()[name]
    for words in (subject.why, subject.where_to_look, subject.how_safely, subject.if_nobody_knows):
        assert words[0].isupper() or words[0].isdigit()
        assert words.endswith((".", "?"))


def test_what_is_behind_a_cover_is_left_to_a_qualified_person() -> None:
    for name in ("equipment.neutral_bonded", "equipment.fuse_in_neutral", "equipment.neutrals_under_one_screw"):
        assert "Only a qualified person" in subjects()[name].how_safely
        assert "tested dead" in subjects()[name].how_safely


def test_all_editions_on_the_shelf_are_answers() -> None:
    assert [value for value, _ in subjects()["town.edition"].answers] == list(edition_names())


def test_a_nameplate_is_tried_in_shares_of_the_upper_one_of_its_kind() -> None:
    # common practice, as the table of upper nameplates says: a range of 14 kW
    subject = subject_of("wishes", "va")
    assert subject is not None
    assert [value for value, _ in subject.answers_for(Load(id="r", kind="range"))] == [3500, 7000, 14000]
    assert not subject.is_asked_of(Load(id="g", kind="generator"))  # it is no load


def test_a_buried_cable_is_not_asked_whether_it_lies_in_a_hot_attic() -> None:
    subject = subject_of("runs", "ambient_c")
    assert subject is not None
    model = BY_ID["runs"]
    assert subject.is_asked_of(model.model_validate({"method": "RMC"}))
    assert not subject.is_asked_of(model.model_validate({"method": "RMC", "buried": True}))


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
def test_nothing_assumed_goes_unasked(path: Path) -> None:
    job = read_job_text(path.read_text(encoding="utf-8").partition("\n[expected")[0] + "\n")
    for assumption in plan(job).assumptions:
        table, *_, field = assumption.where.split(".")
        assert field in DECIDED or subject_of(table, field) is not None, assumption.where


def test_the_file_holds_nothing_that_is_never_read() -> None:
    source = (ROOT / "src" / "driploop" / "questions" / "answers.toml").read_text(encoding="utf-8")
    keys = {"title", "why", "where", "safely", "nobody", "answers", "words", "shares", "unless"}
    document = tomllib.loads(source)
    looks = document.pop("safely")
    entries = [entry for fields in document.values() for entry in fields.values()]
    assert all(set(entry) <= keys for entry in entries)
    assert {entry["safely"] for entry in entries} == set(looks)
