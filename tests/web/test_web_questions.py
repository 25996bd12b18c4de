"""The open questions: never in the way of the walk, ranked, each leading to its field; and late work in general."""

from __future__ import annotations

import re
import time
from collections.abc import Callable
from threading import Event

import pytest

from driploop.questions import questions_of, settle_most
from driploop.survey import read_job_text
from driploop.web.kept import Kept, key_of
from driploop.web.practice_jobs import practice_jobs, practice_text
from driploop.worksheet import DriploopError
from web.hands import Shop, plain


def wait_for(known: Callable[[], object]) -> None:
    until = time.monotonic() + 30
    while not known():
        assert time.monotonic() < until
        time.sleep(0.02)


def settled(shop: Shop, job: str, about: str = "") -> str:
    """The side of a walk's page once the questions are known."""

    def answer() -> str:
        return shop.browser.get(f"{job}/questions", params={"about": about}, headers={"HX-Request": "true"}).text

    wait_for(lambda: "is being tried" not in answer())
    return answer()


def test_a_page_of_the_walk_does_not_wait_and_looks_again_by_itself(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    held = Event()
    monkeypatch.setattr("driploop.questions.questions_of", lambda *_, **__: held.wait(20) and ())
    page = shop.browser.get(f"{shop.begin()}/walk/circuits/range").text
    aside = re.search(r'<section id="questions".*?</section>', page, re.S)
    assert aside
    assert "load delay" in aside[0]
    assert "Wait for it" in aside[0], "without a script a link leads on"
    held.set()


def test_the_questions_are_those_of_the_survey_in_their_order(shop: Shop) -> None:
    job = shop.begin()
    expected = questions_of(read_job_text(practice_text("bungalow")))
    settled(shop, job)
    words = plain(shop.browser.get(f"{job}/questions"))
    places = [words.index(f"{number}. {each.title}") for number, each in enumerate(expected, start=1)]
    assert places == sorted(places)
    assert words.count("settles most") == len(settle_most(expected))
    assert expected[0].if_nobody_knows in words, "what it costs that it is not known"


@pytest.mark.parametrize("practice", sorted(practice_jobs()))
def test_every_question_leads_to_its_field(shop: Shop, practice: str) -> None:
    job = shop.begin(practice)
    settled(shop, job)
    page = shop.browser.get(f"{job}/questions").text
    headings = re.findall(r'<h2 id="q-\d+">(.*?)</h2>', page, re.S)
    assert headings
    for heading in headings:
        link = re.search(r'href="([^"]+)"', heading)
        assert link, heading
        address, _, field = link[1].partition("#")
        assert field
        assert f'id="{field}"' in shop.browser.get(address.replace("&amp;", "&")).text


def test_questions_about_a_thing_stand_first_beside_it(shop: Shop) -> None:
    job = shop.begin()
    side = settled(shop, job, "circuits.range")
    assert side.index("<h3>Here</h3>") < side.index("/walk/circuits/range#f-circuits-range-hot_place")


def test_an_answer_makes_what_stands_beside_look_again(shop: Shop) -> None:
    job = shop.begin()
    assert shop.answer(job, "job.number", "D-9", "D-002").headers["HX-Trigger"] == "answered"
    assert "HX-Trigger" not in shop.answer(job, "circuits.range.ocpd_a", "forty", 40).headers


def test_without_a_plan_the_questions_say_so(shop: Shop) -> None:
    job = shop.take_in(practice_text("bungalow") + '\n[proposal.equipment.extra]\nname = "Extra"\n')
    assert "no plan" in plain(shop.browser.get(f"{job}/questions"))


# --- late work -------------------------------------------------------------------------------------------------------


def test_late_work_is_done_once_and_kept() -> None:
    kept, made = Kept(), list[str]()
    key = key_of("it", "job", "text")

    def work(pause: Callable[[], None]) -> str:
        made.append("once")
        return "answer"

    wait_for(lambda: kept.late(key, work))
    found = kept.late(key, work)
    assert found is not None
    assert found.value == "answer"
    assert made == ["once"]


def test_late_work_for_an_older_text_is_dropped() -> None:
    kept, begun, dropped = Kept(), Event(), Event()

    def slow(pause: Callable[[], None]) -> str:
        begun.set()
        try:
            while True:
                pause()
                time.sleep(0.001)
        finally:
            dropped.set()

    assert kept.late(key_of("it", "job", "old"), slow) is None
    assert begun.wait(5)
    found = kept.late(key_of("it", "job", "new"), lambda pause: "new", wait_s=5)
    assert found is not None
    assert found.value == "new"
    assert dropped.wait(5)


def test_late_work_that_fails_tells_why_and_does_not_end_the_worker() -> None:
    kept = Kept()

    def unfit(pause: Callable[[], None]) -> None:
        raise DriploopError("the survey says two things")

    def broken(pause: Callable[[], None]) -> None:
        raise RuntimeError("secret of the works")

    found = kept.late(key_of("it", "one", ""), unfit, wait_s=5)
    assert found is not None
    assert found.trouble == "the survey says two things"
    found = kept.late(key_of("it", "two", ""), broken, wait_s=5)
    assert found is not None
    assert "secret" not in found.trouble
    assert "fault of this program" in found.trouble
    found = kept.late(key_of("it", "three", ""), lambda pause: 3, wait_s=5)
    assert found is not None
    assert found.value == 3


def test_late_work_waits_while_pages_are_made() -> None:
    kept, steps = Kept(), []

    def work(pause: Callable[[], None]) -> str:
        for _ in range(4):
            pause()
            steps.append(time.monotonic())
        return "done"

    with kept.page():
        begun = time.monotonic()
        kept.late(key_of("it", "job", ""), work)
        wait_for(lambda: len(steps) == 4)
    assert steps[-1] - begun >= 4 * 0.2, "each step gives way for a while, and goes on in the end"


def test_late_work_does_not_wait_while_nobody_asks(shop: Shop) -> None:
    """The application's own life is no page that is being made."""
    kept: Kept = shop.browser.app.state.desk.kept  # type: ignore[attr-defined]
    begun = time.monotonic()

    def work(pause: Callable[[], None]) -> str:
        for _ in range(100):
            pause()
        return "done"

    assert kept.late(key_of("it", "job", ""), work, wait_s=10)
    assert time.monotonic() - begun < 100 * 0.2 / 4


def test_what_is_asked_for_at_once_is_made_once(shop: Shop) -> None:
    kept, made = Kept(most=2), []
    for text in ("a", "a", "b", "a"):
        assert kept.now(key_of("it", "job", text), lambda text=text: made.append(text) or text) == text  # type: ignore[misc]
    assert made == ["a", "b"]
    kept.forget("job")
    kept.now(key_of("it", "job", "a"), lambda: made.append("again"))
    assert made == ["a", "b", "again"]
