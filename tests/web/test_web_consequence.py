"""What moved: old value, new value and why, each person for themselves, and the findings that came and went."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest

from driploop import plan, read_job_text
from driploop.store import Edit, Who
from driploop.store import jobs as stored_jobs
from driploop.survey.syntax import parse_toml
from driploop.web import plans
from driploop.web.here import Desk
from driploop.web.moved import given_between
from driploop.web.plans import Planned
from driploop.web.practice_jobs import practice_text
from driploop.what_if import answers_compared, plans_compared
from web.hands import Shop, plain

AREA = "buildings.bungalow.floor_area_ft2"


def test_an_answer_its_consequence_and_the_section(shop: Shop) -> None:
    job = shop.begin()
    shop.answer(job, AREA, "2900", 1120)
    words = plain(shop.browser.get(f"{job}/consequence"))
    assert "Bungalow: floor area : 1120 → 2900" in words
    rows = re.findall(r"<tr><th.*?</tr>", shop.browser.get(f"{job}/consequence").text, re.S)
    standard = next(row for row in rows if "Standard load" in row)
    assert "<del>22,771 VA</del>" in standard  # as the practice job's own packet has it
    assert "<ins>24,640 VA</ins>" not in standard or 'href="#a-1"' in standard
    assert "answer 1" in plain_of(standard)
    assert "220" in plain_of(standard), "and the section by which it follows"


def plain_of(text: str) -> str:
    return re.sub(r"<[^>]+>", " ", text)


def test_each_change_names_the_answer_that_moved_it(shop: Shop) -> None:
    job = shop.begin()
    shop.answer(job, AREA, "2900", 1120)
    shop.answer(job, "equipment.fuse-box.working_width_in", "20", 30)
    page = shop.browser.get(f"{job}/consequence").text
    assert re.search(r'id="a-1">.*floor area', page)
    assert re.search(r'id="a-2">.*(?:orking width)', page)
    loads = re.search(r'aria-labelledby="t-load".*?</section>', page, re.S)
    assert loads
    assert "answer 1" in loads[0]
    assert "answer 2" not in loads[0], "the width of a space has no part in the load"


def test_findings_that_came_and_went(shop: Shop) -> None:
    """A 14 AWG copper circuit on a 25 A fuse is mended by a 15 A one; a 12 AWG one on 30 A is wrong (240.4(D))."""
    job = shop.take_in(practice_text("bungalow").partition("[proposal]")[0])
    shop.answer(job, "circuits.kitchen-right.ocpd_a", "15", 25)
    shop.answer(job, "circuits.kitchen-left.ocpd_a", "30", 20)
    words = plain(shop.browser.get(f"{job}/consequence"))
    came, went = words[words.index("Findings that came") :], words[words.index("Findings that went") :]
    assert "Kitchen left" in came.partition("Findings that went")[0]
    assert "Must be mended" in came
    assert "240.4" in came.partition("Findings that went")[0]
    assert "Kitchen right" in went
    shop.post(f"{job}/looked", revision=str(shop.stored(job).row.revision))
    assert "Findings that" not in plain(shop.browser.get(f"{job}/consequence"))
    assert "Nothing moved" in plain(shop.browser.get(f"{job}/consequence"))


def test_what_one_answer_brings_back_is_not_moved(shop: Shop) -> None:
    job = shop.begin()
    shop.answer(job, AREA, "2900", 1120)
    shop.answer(job, AREA, "1120", 2900)
    assert "Nothing moved" in plain(shop.browser.get(f"{job}/consequence"))


def test_an_answer_that_moves_nothing_is_told_too(shop: Shop) -> None:
    job = shop.begin()
    shop.answer(job, "job.number", "D-9", "D-002")
    words = plain(shop.browser.get(f"{job}/consequence"))
    assert "Job: number : D-002 → D-9" in words
    assert "Nothing else moved" in words
    assert "I have looked" in words


def test_each_person_has_their_own_mark(shop: Shop) -> None:
    """Somebody else's look leaves it marked for this person."""
    job = shop.begin()
    id = job.rpartition("/")[2]
    other = Who("Crew", "crew1")
    stored_jobs.look_at(shop.store, id, shop.stored(job).text, who=other)
    stored_jobs.change_job(shop.store, id, [Edit(AREA, 2900, 1120)], who=other)
    stored_jobs.look_at(shop.store, id, shop.stored(job).text, who=other)
    assert "moved since you looked" in plain(shop.browser.get(job))


def test_a_thing_that_is_new_or_gone_is_told_whole() -> None:
    text = practice_text("bungalow")
    old = parse_toml(text, name="it")
    new = parse_toml(text.replace("[wishes.dryer]", "[wishes.tumbler]"), name="it")
    given = {each.path: each for each in given_between(old, new)}
    assert set(given) == {"wishes.dryer", "wishes.tumbler"}
    assert given["wishes.dryer"].after == "not there"
    assert "dryer" in given["wishes.tumbler"].after
    assert list(given_between(old, old)) == []


def test_not_known_and_not_written_are_the_same() -> None:
    old = parse_toml('[circuits.a]\nocpd_a = "unknown"\n', name="it")
    new = parse_toml("[circuits.a]\n", name="it")
    assert list(given_between(old, new)) == []
    (given,) = given_between(new, parse_toml("[circuits.a]\nocpd_a = 20\n", name="it"))
    assert (given.before, given.after) == ("not known", "20")


def test_a_survey_without_a_plan_still_tells_what_was_answered(shop: Shop) -> None:
    job = shop.begin()
    text = shop.stored(job).text + '\n[proposal.equipment.extra]\nname = "Extra"\n'
    shop.post(f"{job}/file", text=text, take="yes", revision=str(shop.stored(job).row.revision))
    words = plain(shop.browser.get(f"{job}/consequence"))
    assert "no plan as it stands" in words
    assert "extra" in words.lower()


def test_the_jobs_page_tells_the_difference_in_the_words_of_the_packet(shop: Shop) -> None:
    page = shop.browser.get(shop.begin())
    words = plain(page)
    difference = words[words.index("The difference") :]
    assert "taken out" in difference
    assert "Meter → Outdoor service disconnect, PVC 80, 4/0 AWG aluminum XHHW-2" in difference
    for raw in ("True", "False", "None", "neutral_bonded", "_a:", "egc"):
        assert raw not in difference


def test_an_answer_is_planned_once_however_many_jobs_are_at_work(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    desk_of(shop).plans.most = 2
    jobs = [shop.begin() for _ in range(4)]
    for job in jobs:  # from here on it is known what each was when it was last looked at
        shop.answer(job, AREA, "1400", 1120)
    made: list[str] = []

    def counted(text: str, planned: Callable[[str], Planned] = plans._planned) -> Planned:
        made.append(text)
        return planned(text)

    monkeypatch.setattr(plans, "_planned", counted)
    for job in jobs:
        assert "moved since you looked" in plain(shop.answer(job, AREA, "2900", 1400))
    assert made == [shop.stored(job).text for job in jobs]


def test_the_answers_kept_of_a_plan_are_those_of_the_plan(shop: Shop) -> None:
    job = shop.begin()
    seen = shop.stored(job).text
    shop.answer(job, AREA, "2900", 1120)
    shop.answer(job, AREA, "1400", 2900)
    id, text, cache = job.rpartition("/")[2], shop.stored(job).text, desk_of(shop).plans
    before, after = cache.answers_of(id, seen), cache.answers_of(id, text)
    assert before is not None
    assert after is not None
    whole = plans_compared(plan(read_job_text(seen)), plan(read_job_text(text)))
    assert answers_compared(before, after) == whole
    assert whole
    desk_of(shop).plans.forget(id)
    assert not cache._answers


def desk_of(shop: Shop) -> Desk:
    app: Any = shop.browser.app
    desk: Desk = app.state.desk
    return desk
