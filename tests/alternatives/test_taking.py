"""A way that is taken: the job file then proposes it, and a plan of that file gives the very installation promised."""

from __future__ import annotations

from pathlib import Path

import pytest

from driploop import plan
from driploop.alternatives import Alternative, alternatives_of
from driploop.editions import Edition, load_edition, read_overlay
from driploop.installation import Job
from driploop.survey import changes_between, read_job_text
from driploop.survey.write import changed_text

from .bare import EXAMPLES, TESTS, bare_text

CASES = [
    *sorted(EXAMPLES.glob("*.toml")),
    *(TESTS / "cases" / "alternatives" / f"{name}.toml" for name in (
        "a_charger_held_back_keeps_the_old_service_under_2023", "a_farm_whose_barn_wires_may_not_wait",
        "six_mains_in_one_enclosure_stay_where_they_are", "the_meter_socket_alone_under_2023",
        "the_range_of_three_wires_after_the_main_moves_outdoors", "two_mains_lose_the_dwelling_table",
        "two_meters_two_mains",
    )),
]  # fmt: skip


def edition_of(job: Job, path: Path) -> Edition:
    named = [name for name in (job.town.overlay, job.found.utility.overlay) if name]
    assert job.town.edition is not None
    return load_edition(job.town.edition, overlays=[read_overlay(path.parent / name) for name in named])


def every_way(job: Job, edition: Edition) -> tuple[Alternative, ...]:
    ways = alternatives_of(job, edition=edition)
    return (*ways.offered, *(folded.alternative for folded in ways.folded))


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_the_written_file_gives_what_the_way_promised(path: Path) -> None:
    text = bare_text(path)
    job = read_job_text(text)
    edition = edition_of(job, path)
    ways = every_way(job, edition)
    assert ways
    for way in ways:
        taken = read_job_text(changed_text(text, changes_between(job, way.job)))
        planned = plan(taken, edition=edition)
        assert planned.proposed is not None
        assert planned.proposed.installation == way.readings.installation, way.id
        assert not changes_between(taken, way.job), way.id


@pytest.mark.parametrize("path", CASES[:4], ids=lambda path: path.stem)
def test_a_way_takes_the_place_of_another(path: Path) -> None:
    """From the proposal that an example states to each of its lawful ways."""
    text = path.read_text(encoding="utf-8")
    job = read_job_text(text)
    edition = edition_of(job, path)
    for way in every_way(job, edition):
        taken = read_job_text(changed_text(text, changes_between(job, way.job)))
        planned = plan(taken, edition=edition)
        assert planned.proposed is not None
        assert planned.proposed.installation == way.readings.installation, way.id


def test_a_way_that_was_taken_is_offered_again_as_it_is() -> None:
    text = bare_text(EXAMPLES / "bungalow.toml")
    job = read_job_text(text)
    edition = edition_of(job, EXAMPLES / "bungalow.toml")
    way = alternatives_of(job, edition=edition).offered[0]
    taken = read_job_text(changed_text(text, changes_between(job, way.job)))
    again = {each.id: each for each in every_way(taken, edition)}[f"{way.id.removesuffix('-100')}-as-proposed"]
    assert again.readings.installation == way.readings.installation
    assert again.figures.headroom_a == way.figures.headroom_a
