"""Alternatives: side by side, one taken in one saving, notes kept, stages told; wishes tried before they are kept."""

from __future__ import annotations

import html
import json
import re
from concurrent.futures import ThreadPoolExecutor

import pytest
from httpx2 import Response

from driploop.alternatives import alternatives_of
from driploop.editions import load_edition
from driploop.planning import plan
from driploop.store import Who
from driploop.store import jobs as stored_jobs
from driploop.survey import read_job_text
from driploop.survey.syntax import parse_toml
from driploop.web.practice_jobs import practice_jobs, practice_text
from driploop.web.ways import about_of
from driploop.web.wishes import usual_wishes
from web.hands import Shop, plain

EDITION = load_edition("NEC 2020")


def bare() -> str:
    """The bungalow before anything was decided."""
    return practice_text("bungalow").partition("[proposal]")[0]


def ways(text: str) -> list[str]:
    return [way.id for way in alternatives_of(read_job_text(text), edition=EDITION).offered]


def digest(shop: Shop, job: str) -> str:
    found = re.search(r'name="digest" value="([^"]+)"', shop.browser.get(f"{job}/alternatives").text)
    assert found
    return found[1]


@pytest.mark.parametrize("practice", sorted(practice_jobs()))
def test_the_ways_stand_side_by_side_with_their_reasons(shop: Shop, practice: str) -> None:
    job = shop.begin(practice)
    page = shop.browser.get(f"{job}/alternatives")
    assert page.status_code == 200
    assert len(page.content) < 75_000
    words = plain(page)
    planned = plan(read_job_text(practice_text(practice)))
    compared = alternatives_of(planned.job, edition=planned.edition)
    for number, way in enumerate(compared.offered, start=1):
        assert f"{number}. {way.title}" in words
        assert all(each in words for each in way.why)
    for folded in compared.folded:
        assert folded.worse in words
    for refused in compared.refused:
        assert refused.title in words
    assert "This is what the job proposes" in words


def test_a_farm_shows_its_stages(shop: Shop) -> None:
    words = plain(shop.browser.get(f"{shop.begin('goat-dairy')}/alternatives"))
    assert "Stage 1." in words
    assert "Stage 3." in words
    assert "Built in stages" not in plain(shop.browser.get(f"{shop.begin('bungalow')}/alternatives"))


def test_a_way_is_taken_in_one_saving_and_taken_back_as_one(shop: Shop) -> None:
    text = bare()
    job = shop.take_in(text)
    id = ways(text)[0]
    taken = shop.post(f"{job}/alternatives/take", way=id, digest=digest(shop, job))
    assert taken.status_code == 303
    after = shop.stored(job)
    assert after.row.revision == 2
    expected = alternatives_of(read_job_text(text), edition=EDITION).alternative(id)
    assert read_job_text(after.text).proposal == expected.job.proposal
    assert "Taken into the job" in plain(shop.browser.get(taken.headers["location"]))
    shop.post(f"{job}/take-back", revision="2")
    assert parse_toml(shop.stored(job).text, name="it") == parse_toml(text, name="it")


def test_what_stands_is_replaced_only_when_that_is_said(shop: Shop) -> None:
    job = shop.begin()
    before = shop.stored(job)
    other = next(id for id in ways(before.text) if "as-proposed" not in id)
    form = {"way": other, "digest": digest(shop, job)}
    refused = shop.post(f"{job}/alternatives/take", **form)
    assert refused.status_code == 409
    assert shop.stored(job).text == before.text
    assert shop.post(f"{job}/alternatives/take", replace="yes", **form).status_code == 303
    expected = alternatives_of(read_job_text(before.text), edition=EDITION).alternative(other)
    assert read_job_text(shop.stored(job).text).proposal == expected.job.proposal
    shop.post(f"{job}/take-back", revision=str(before.row.revision + 1))
    assert parse_toml(shop.stored(job).text, name="it") == parse_toml(before.text, name="it")


def test_a_way_of_a_job_that_was_changed_meanwhile_is_not_taken(shop: Shop) -> None:
    job = shop.begin()
    seen = digest(shop, job)
    shop.answer(job, "buildings.bungalow.floor_area_ft2", "2900", 1120)
    text = shop.stored(job).text
    answer = shop.post(f"{job}/alternatives/take", way=ways(text)[0], digest=seen, replace="yes")
    assert answer.status_code == 409
    assert shop.stored(job).text == text


def test_of_several_who_take_a_way_at_once_one_is_heard_and_nothing_is_mixed(shop: Shop) -> None:
    text = bare()
    job = shop.take_in(text)
    compared = alternatives_of(read_job_text(text), edition=EDITION)
    every = [*compared.offered, *(each.alternative for each in compared.folded)]
    assert len(every) > 2
    form = {"token": shop.token, "digest": digest(shop, job)}

    def take(way: str) -> int:
        answer = shop.browser.post(f"{job}/alternatives/take", data={**form, "way": way}, follow_redirects=False)
        return answer.status_code

    with ThreadPoolExecutor(4) as people:
        answers = list(people.map(take, [way.id for way in every]))
    assert sorted(answers) == [303] + [409] * (len(every) - 1)
    winner = every[answers.index(303)]
    assert read_job_text(shop.stored(job).text).proposal == winner.job.proposal


@pytest.mark.parametrize("way", ["", "keep", "nothing", "x" * 5000, "<script>"])
def test_a_way_that_is_not_offered_is_not_taken(shop: Shop, way: str) -> None:
    job = shop.begin()
    text = shop.stored(job).text
    answer = shop.post(f"{job}/alternatives/take", way=way, digest=digest(shop, job), replace="yes")
    assert answer.status_code == 404
    assert shop.stored(job).text == text


# --- notes -----------------------------------------------------------------------------------------------------------


def note(shop: Shop, job: str, way: str, words: str, seen: str) -> Response:
    return shop.post(f"{job}/alternatives/note", piece=True, path=way, value=words, seen=json.dumps(seen))


def test_a_note_is_kept_with_its_way(shop: Shop) -> None:
    job = shop.begin()
    way = abouts(shop, job)[0]
    hostile = 'The customer\'s wife <b>likes</b> it "most" & so do we'
    assert note(shop, job, way, hostile, "").status_code == 200
    page = shop.browser.get(f"{job}/alternatives").text
    assert f">{html.escape(hostile).replace('&#x27;', '&#39;').replace('&quot;', '&#34;')}</textarea>" in page
    assert "<b>likes" not in page
    assert shop.stored(job).row.revision == 1, "a note is no change of the survey"
    note(shop, job, way, "  ", hostile)
    assert hostile not in html.unescape(shop.browser.get(f"{job}/alternatives").text)


def test_a_note_stays_with_its_way_when_that_is_taken(shop: Shop) -> None:
    for practice in ("bungalow", "goat-dairy"):
        job = shop.begin(practice)
        compared = alternatives_of(read_job_text(shop.stored(job).text), edition=EDITION)
        way = next(each for each in compared.offered if "as-proposed" not in each.id)
        note(shop, job, about_of(way), "asked for by the customer", "")
        assert shop.post(f"{job}/alternatives/take", way=way.id, digest=digest(shop, job), replace="yes").is_redirect
        taken = re.search(
            r'<article class="way taken".*?</article>', shop.browser.get(f"{job}/alternatives").text, re.S
        )
        assert taken
        assert "asked for by the customer" in taken[0]


def abouts(shop: Shop, job: str) -> list[str]:
    return re.findall(r'name="path" value="(alternative:[^"]+)"', shop.browser.get(f"{job}/alternatives").text)


def test_two_notes_on_one_way_are_both_shown(shop: Shop) -> None:
    job = shop.begin()
    way = abouts(shop, job)[0]
    note(shop, job, way, "mine", "")
    late = note(shop, job, way, "yours", "")
    assert late.status_code == 409
    assert "mine" in plain(late)
    assert stored_jobs.notes_of(shop.store, job.rpartition("/")[2]) == {way: "mine"}
    assert note(shop, job, way, "yours", "mine").status_code == 200


@pytest.mark.parametrize(("path", "seen", "status"), [("alternative:x", '""', 404), ("job", '""', 404), ("", "{", 400),
                                                      ("alternative:" + "x" * 500, "[[", 400)])  # fmt: skip
def test_a_note_on_nothing_is_refused(shop: Shop, path: str, seen: str, status: int) -> None:
    job = shop.begin()
    assert shop.post(f"{job}/alternatives/note", path=path, value="x", seen=seen).status_code == status
    assert stored_jobs.notes_of(shop.store, job.rpartition("/")[2]) == {}


# --- what if ---------------------------------------------------------------------------------------------------------


def test_a_wish_is_tried_and_changes_nothing(shop: Shop) -> None:
    job = shop.begin()
    before = shop.stored(job)
    page = shop.browser.get(f"{job}/what-if", params={"on": "try-charger", "m-try-charger": "48"})
    words = plain(page)
    assert "With and without" in words
    assert "What moves" in words
    assert "Keep it in the job" in words
    assert shop.stored(job) == before
    assert "moved since you looked" not in words


def test_the_plan_with_it_is_the_plan_of_the_job_with_it(shop: Shop) -> None:
    job = shop.begin()
    wish = '\n[wishes.vehicle-charger-2]\nname = "Vehicle charger"\nkind = "vehicle charger"\nwhen = "now"\n'
    wish += "current_a = 48\nvolts = 240\nphase = 1\ncontinuous = true\n"
    then = plan(read_job_text(practice_text("bungalow").replace("[proposal]", f"{wish}\n[proposal]")))
    service = next(iter(then.final.loads.nodes.values()))
    words = plain(shop.browser.get(f"{job}/what-if", params={"on": "try-charger", "m-try-charger": "48"}))
    assert re.search(rf"Load \d+ A (\w+ )?{service.current_a:.0f} A", words)


def test_what_was_tried_is_kept_and_taken_back(shop: Shop) -> None:
    job = shop.begin()
    before = shop.stored(job)
    form = {
        "on": ["try-charger", "try-machine"],
        "m-try-charger": "48 A",
        "m-try-machine": "",
        "p-try-machine": "car-shed-box",
    }
    kept = shop.post(f"{job}/what-if/keep", off="dryer", **form)
    assert kept.status_code == 303
    wishes = read_job_text(shop.stored(job).text).wishes
    assert set(wishes) == {"air-conditioner", "vehicle-charger", "vehicle-charger-2", "workshop-machine"}
    assert (wishes["vehicle-charger-2"].current_a, wishes["vehicle-charger-2"].when) == (48, "now")
    assert (wishes["workshop-machine"].hp, wishes["workshop-machine"].building) == (None, "car-shed")
    assert shop.stored(job).row.revision == before.row.revision + 1
    assert "Take it back" in plain(shop.browser.get(kept.headers["location"]))
    shop.post(f"{job}/take-back", revision=str(before.row.revision + 1))
    assert parse_toml(shop.stored(job).text, name="it") == parse_toml(before.text, name="it")


@pytest.mark.parametrize("practice", sorted(practice_jobs()))
@pytest.mark.parametrize("usual", [each.id for each in usual_wishes()])
def test_every_switch_works_on_every_job(shop: Shop, practice: str, usual: str) -> None:
    job = shop.begin(practice)
    words = plain(shop.browser.get(f"{job}/what-if", params={"on": usual}))
    assert "Keep it in the job" in words
    assert shop.post(f"{job}/what-if/keep", on=usual).status_code == 303
    assert plan(read_job_text(shop.stored(job).text))


@pytest.mark.parametrize(
    "measure", ["plenty", "-3", "1e999", "<script>alert(1)</script>", "\x00", "9" * 400, "'''", "0"]
)
def test_a_measure_that_cannot_be_is_told_and_nothing_kept(shop: Shop, measure: str) -> None:
    job = shop.begin()
    text = shop.stored(job).text
    tried = {"on": "try-charger", "m-try-charger": measure}
    page = shop.browser.get(f"{job}/what-if", params=tried)
    assert page.status_code == 200
    assert "<script>alert" not in page.text
    answer = shop.post(f"{job}/what-if/keep", **tried)
    if measure == "\x00":  # nothing is left of it: not known
        assert answer.status_code == 303
    else:
        assert answer.status_code == 422
        assert "current" in plain(answer)
        assert shop.stored(job).text == text


def test_switches_that_name_nothing_change_nothing(shop: Shop) -> None:
    job = shop.begin()
    text = shop.stored(job).text
    form = {"on": ["nothing", ""], "off": ["nothing", "../x"], "p-try-charger": "nowhere"}
    assert "as in the job" in plain(shop.browser.get(f"{job}/what-if", params=form))
    assert shop.post(f"{job}/what-if/keep", **form).status_code == 303
    assert shop.stored(job).text == text


def test_a_piece_of_the_page_is_the_outcome_alone(shop: Shop) -> None:
    job = shop.begin()
    piece = shop.browser.get(f"{job}/what-if", params={"on": "try-range"}, headers={"HX-Request": "true"}).text
    assert piece.lstrip().startswith('<section id="outcome"')


def test_without_a_plan_there_are_no_ways_and_the_page_says_why(shop: Shop) -> None:
    job = shop.take_in(practice_text("bungalow") + '\n[proposal.equipment.extra]\nname = "Extra"\n')
    for address in ("alternatives", "what-if"):
        answer = shop.browser.get(f"{job}/{address}")
        assert answer.status_code == 200
        assert "There is no plan" in plain(answer)
    assert shop.post(f"{job}/what-if/keep", on="try-range").status_code < 500
    assert shop.post(f"{job}/alternatives/take", way="x", digest="x").status_code < 500


def test_the_history_names_who_took_a_way(shop: Shop) -> None:
    job = shop.take_in(bare())
    shop.post(f"{job}/alternatives/take", way=ways(bare())[0], digest=digest(shop, job))
    past = stored_jobs.history(shop.store, job.rpartition("/")[2])
    assert {each.who for each in past if each.revision == 2} == {"the owner"}
    assert Who("a test").name == past[-1].who
