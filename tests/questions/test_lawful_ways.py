"""Which ways are lawful counts among what an answer turns, and the ways are found anew only where it can reach them."""

from __future__ import annotations

import pytest

from alternatives.bare import EXAMPLES, bare_text
from driploop.alternatives import alternatives_of
from driploop.editions import load_edition
from driploop.installation import Job
from driploop.questions import Gravity, LawfulWays, Question, questions_of, ways
from driploop.survey import read_job_text


def _questions(job: Job) -> dict[str, Question]:
    assert job.town.edition is not None
    edition = load_edition(job.town.edition)
    return {each.path: each for each in questions_of(job, edition=edition, lawful=LawfulWays(edition))}


def test_an_answer_that_no_way_survives_says_so() -> None:
    """A metal frame in the earth that nobody joins bars every way that keeps the shed fed."""
    question = _questions(read_job_text(bare_text(EXAMPLES / "bungalow.toml")))[
        "buildings.car-shed.metal_frame_in_earth"
    ]
    turned = {outcome.where for outcome in question.settles if outcome.gravity is Gravity.LAWFUL}
    assert {"everything-outdoors", "service-disconnect-outdoors"} <= turned
    assert any("not lawful: Main and circuits in one outdoor enclosure" in each.changes for each in question.answers)


@pytest.mark.parametrize("name", ["bungalow", "orchard"])
def test_the_ways_are_found_anew_for_few_answers(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    text = "\n".join(
        line for line in (EXAMPLES / f"{name}.toml").read_text(encoding="utf-8").splitlines()
        if not line.startswith("overlay =")
    )  # fmt: skip
    found: list[Job] = []

    def counted(job: Job, **more: object) -> object:
        found.append(job)
        return alternatives_of(job, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(ways, "alternatives_of", counted)
    questions = _questions(read_job_text(text + "\n"))
    answers = sum(len(each.answers) for each in questions.values())
    assert len(found) <= max(2, answers // 8)
