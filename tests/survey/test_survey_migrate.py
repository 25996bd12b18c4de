"""Older job files: read as they are, and rewritten with their comments."""

from __future__ import annotations

from pathlib import Path

import pytest

from driploop.survey import JobFileError, migrate_job, read_job_text
from driploop.survey.layout import FORMAT
from driploop.survey.migrate import STEPS
from driploop.survey.write import migrated_text

DRAFT = """\
# A draft from the first days.
format = 0   # old

[job]
title = "Alder Lane 4"
edition = "NEC 2020"   # the clerk said so
number = "12"

[switches.pole-switch]   # on the pole
kind = "disconnect"

[circuits.range]
from = "pole-switch"

[switches.main-panel]
kind = "panel"
"""
TODAY = """\
# A draft from the first days.
format = 1   # old

[job]
title = "Alder Lane 4"
number = "12"

[equipment.pole-switch]   # on the pole
kind = "disconnect"

[circuits.range]
from = "pole-switch"

[equipment.main-panel]
kind = "panel"

[town]
edition = "NEC 2020"   # the clerk said so
"""


def test_there_is_a_step_from_every_older_format() -> None:
    assert sorted(STEPS) == list(range(FORMAT))


def test_a_draft_reads_like_todays_file() -> None:
    assert read_job_text(DRAFT) == read_job_text(TODAY)


def test_a_draft_is_rewritten_with_its_comments() -> None:
    assert migrated_text(DRAFT) == TODAY
    assert migrated_text(TODAY) == TODAY
    assert migrated_text("\ufeff" + DRAFT.replace("\n", "\r\n")) == "\ufeff" + TODAY.replace("\n", "\r\n")


@pytest.mark.parametrize(
    ("draft", "today"),
    [
        ('format = 0\njob = { edition = "NEC 2020" }', 'format = 1\njob = {  }\n\n[town]\nedition = "NEC 2020"\n'),
        (
            'format = 0\ntown = {}\n[job]\nedition = "2020"  # said',
            'format = 1\ntown = { edition = "2020" }\n[job]\n',
        ),
        ("format = 0\nswitches = { a = {} }", "format = 1\nequipment = { a = {} }"),
        ("format = 0\nswitches.a.kind = 'panel'", "format = 1\nequipment.a.kind = 'panel'"),
        ('format = 0\n["switches".a]\n[ switches.b ]', "format = 1\n[equipment.a]\n[ equipment.b ]"),
        ("format = 0\n[switches]\na = { note = 'switches' }", "format = 1\n[equipment]\na = { note = 'switches' }"),
        ("format = 0\n[buildings.house]", "format = 1\n[buildings.house]"),
    ],
)
def test_a_draft_in_other_spellings_is_rewritten(draft: str, today: str) -> None:
    assert migrated_text(draft) == today


def test_a_draft_that_uses_both_names_keeps_the_fault() -> None:
    with pytest.raises(JobFileError) as error:
        read_job_text("format = 0\n[switches.a]\n[equipment.b]")
    assert [(fault.line, fault.path) for fault in error.value.faults] == [(2, "switches")]


def test_faults_of_a_draft_are_told_under_its_own_names_and_lines() -> None:
    with pytest.raises(JobFileError) as error:
        read_job_text(DRAFT.replace('"NEC 2020"', '"NEC 1999"').replace('"disconnect"', '"disconect"'))
    assert [(fault.line, fault.path) for fault in error.value.faults] == [
        (6, "job.edition"),
        (10, "switches.pole-switch.kind"),
    ]


def test_a_draft_without_its_format_number_is_known_by_its_names() -> None:
    with pytest.raises(JobFileError) as error:
        read_job_text(DRAFT.replace("format = 0   # old\n", ""))
    assert [fault.do for fault in error.value.faults] == ["Write format = 0 as the first line."]


def test_the_file_is_rewritten_and_says_so(tmp_path: Path) -> None:
    file = tmp_path / "draft.toml"
    file.write_text(DRAFT)
    assert migrate_job(file) == f"{file}: rewritten in format 1; comments and order kept."
    assert file.read_text() == TODAY
    assert migrate_job(file) == f"{file}: is in format 1 already; left as it is."
    assert file.read_text() == TODAY


def test_a_draft_with_faults_is_not_rewritten(tmp_path: Path) -> None:
    file = tmp_path / "draft.toml"
    file.write_text(DRAFT + "poles = 9\n")
    with pytest.raises(JobFileError, match="poles"):
        migrate_job(file)
    assert file.read_text() == DRAFT + "poles = 9\n"
