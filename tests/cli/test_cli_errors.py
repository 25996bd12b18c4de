"""Wrong things typed: always exit code 2, on standard error, with the place and what to do."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

EXAMPLES = Path(__file__).parents[2] / "examples"
READERS = ("check", "loads", "packet", "migrate")


def _refused(ran: Any, *words: str) -> None:
    assert ran.code == 2
    assert ran.out == ""
    for each in words:
        assert each in ran.err


@pytest.mark.parametrize("command", READERS)
def test_a_missing_file_names_its_neighbour(run: Callable, command: str) -> None:
    Path("ranch.toml").write_text("format = 1\n", encoding="utf-8")
    _refused(run(command, "rnach.toml"), "rnach.toml", "no such file", "Did you mean ranch.toml?")


@pytest.mark.parametrize("command", READERS)
def test_a_folder_a_picture_and_an_empty_file_are_told_apart(run: Callable, command: str) -> None:
    Path("folder").mkdir()
    Path("picture.toml").write_bytes(b"\x89PNG\r\n\x1a\n\xff\xfe\x00")
    Path("empty.toml").write_bytes(b"")
    _refused(run(command, "folder"), "a folder")
    _refused(run(command, "picture.toml"), "picture.toml, line ", "no text: a picture")
    _refused(run(command, "empty.toml"), "Write format = 1 as the first line.")


def test_every_fault_is_told_at_once_with_its_line(run: Callable) -> None:
    Path("job.toml").write_text(
        "\n".join(
            [
                "format = 1",
                "[job]",
                'titel = "x"',
                "[town]",
                'edition = "NEC 2019"',
                "[buildings.house]",
                'use = "dweling"',
                'floor_area_ft2 = "1200"',
                "[equipment.a]",
                'kind = "panel"',
                'building = "hous"',
                "[equipment.b]",
                "rating_a = -5",
                "[runs.x]",
                'from = "a"',
                'to = "b"',
                "[runs.y]",
                'from = "b"',
                'to = "a"',
                "[circuits.c]",
                'from = "bb"',
            ]
        ),
        encoding="utf-8",
    )
    ran = run("check", "job.toml")
    _refused(
        ran,
        "line 3: job.titel",
        "Did you mean title",
        "line 5: town.edition",
        '"NEC 2017", "NEC 2020", "NEC 2023", "NEC 2026"',
        "line 7: buildings.house.use",
        'Did you mean use = "dwelling" ?',
        "line 8: buildings.house.floor_area_ft2",
        "Leave the quotes off: floor_area_ft2 = 1200",
        "line 11: equipment.a.building",
        "line 13: equipment.b.rating_a",
        "line 15: runs.x.from",
        "never comes back to itself",
        "line 21: circuits.c.from",
    )
    assert ran.err.startswith("8 faults in job.toml")


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("nowhere.toml", "nowhere.toml"),
        (".", "folder"),
        ("a\\u0000b", "null"),
        ("job.toml", "not a part of an overlay"),
    ],
)
def test_an_overlay_that_cannot_be_read_names_the_job_s_field(run: Callable, written: str, said: str) -> None:
    Path("job.toml").write_text(f'format = 1\n[town]\noverlay = "{written}"\n', encoding="utf-8")
    _refused(run("check", "job.toml"), "job.toml: town.overlay = ", said, "leave the overlay out")


def test_an_unknown_id_at_loads_lists_the_ids_and_the_nearest(run: Callable) -> None:
    job = EXAMPLES / "orchard.toml"
    _refused(run("loads", job, "--at", "kitchn-panel"), '--at "kitchn-panel"', "Did you mean kitchen-panel?", "meter")
    _refused(run("loads", job, "--at", ""), '--at ""', "There are: meter")


@pytest.mark.parametrize("command", ["code", "rules"])
def test_an_unknown_edition_lists_the_editions(run: Callable, command: str) -> None:
    _refused(run(command, "rod", "--edition", "NEC 2O20"), "'NEC 2O20'", "NEC 2017, NEC 2020, NEC 2023, NEC 2026")


def test_nothing_to_look_up_says_what_to_write(run: Callable) -> None:
    _refused(run("code"), "Say what to look up", "dwelling service")
    _refused(run("code", "  "), "Say what to look up")
    _refused(run("code", "electrod"), "Did you mean electrode?")
    _refused(run("rules", "zebra"), "'zebra'", "driploop rules  prints them all")


def test_a_starter_is_written_over_nothing_and_into_no_missing_folder(run: Callable) -> None:
    Path("mine.toml").write_text("my own words", encoding="utf-8")
    Path("folder").mkdir()
    _refused(run("new", "mine.toml"), "is there already and is left as it is")
    assert Path("mine.toml").read_text(encoding="utf-8") == "my own words"
    _refused(run("new", "folder"), "a folder", "my-job.toml")
    _refused(run("new", "jobs/mine.toml"), "there is no folder jobs")
    _refused(run("new", ""), "Name the file to write")


def test_what_cannot_be_written_names_the_file_and_not_a_temporary_one(
    run: Callable, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> int:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.replace", full)
    ran = run("new", "mine.toml")
    _refused(ran, "mine.toml: cannot be read or written: No space left on device")
    assert ".tmp" not in ran.err
    assert list(Path().iterdir()) == []


def test_stopping_a_command_is_no_traceback(run: Callable, monkeypatch: pytest.MonkeyPatch) -> None:
    def stopped(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("driploop.survey.read_job", stopped)
    _refused(run("check", EXAMPLES / "orchard.toml"), "Stopped. No file is half written.")
