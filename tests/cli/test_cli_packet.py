"""``driploop packet``: what it writes, what it never writes over, and its exit code."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from driploop import plan, read_job
from driploop.survey import starter

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture
def job(tmp_path: Path) -> Path:
    path = tmp_path / "starter.toml"
    path.write_text(starter(), encoding="utf-8")
    return path


def test_the_packet_lands_beside_the_job_file(run: Callable, job: Path) -> None:
    ran = run("packet", job)
    assert ran.code == 0
    assert job.with_suffix(".pdf").read_bytes().startswith(b"%PDF")
    assert "starter.pdf written." in ran.out


def test_drawings_are_written_on_wish_and_folders_made(run: Callable, job: Path) -> None:
    ran = run("packet", job, "--out", "out/packet.pdf", "--drawings", "out/drawings")
    drawings = list(Path("out/drawings").glob("*.svg"))
    assert ran.code == 0
    assert drawings
    assert f"{len(drawings)} drawings written to out" in ran.out


def test_what_must_be_mended_in_what_will_stand_gives_one_and_says_so(run: Callable) -> None:
    job = Path("bungalow.toml")
    shutil.copy(EXAMPLES / "bungalow.toml", job)
    count = len(plan(read_job(job)).must_mend)
    ran = run("packet", job)
    assert count > 0
    assert ran.code == 1
    assert f"{count} thing{'' if count == 1 else 's'} must be mended in the installation as proposed." in ran.out
    assert "Listed by: driploop check bungalow.toml" in ran.out
    assert Path("bungalow.pdf").exists()


def test_a_packet_is_never_written_over_the_survey(run: Callable, job: Path) -> None:
    before = job.read_bytes()
    ran = run("packet", job, "--out", job)
    assert ran.code == 2
    assert "is no PDF; it is left as it is" in ran.err
    assert job.read_bytes() == before


def test_an_older_packet_is_written_over(run: Callable, job: Path) -> None:
    Path("packet.pdf").write_bytes(b"%PDF-1.7 older")
    assert run("packet", job, "--out", "packet.pdf").code == 0
    assert len(Path("packet.pdf").read_bytes()) > 1000


@pytest.mark.parametrize(
    ("argv", "said"),
    [
        (("--out", "."), "a folder. Name a file in it"),
        (("--out", "starter.toml/packet.pdf"), "in the way of the folder"),
        (("--drawings", "starter.toml"), "in the way of the folder"),
    ],
)
def test_a_place_that_cannot_be_is_refused_before_anything_is_written(
    run: Callable, job: Path, argv: tuple[str, str], said: str
) -> None:
    ran = run("packet", job, *argv)
    assert ran.code == 2
    assert said in ran.err
    assert not list(job.parent.glob("*.pdf"))
