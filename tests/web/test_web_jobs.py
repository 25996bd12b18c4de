"""The jobs' list, a new job, and the job's own page."""

from __future__ import annotations

from pathlib import Path

import pytest

from driploop.web.pages import JOB_SCREENS
from driploop.web.practice_jobs import practice_jobs, practice_text
from web.hands import Shop, plain

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"


def test_an_empty_list_says_what_to_do_first(shop: Shop) -> None:
    assert "No job is here yet" in plain(shop.browser.get("/jobs"))


def test_the_practice_jobs_are_the_examples() -> None:
    assert set(practice_jobs()) == {path.stem for path in EXAMPLES.glob("*.toml")}
    for name in practice_jobs():
        assert practice_text(name) == (EXAMPLES / f"{name}.toml").read_text(encoding="utf-8")


@pytest.mark.parametrize("practice", sorted(practice_jobs()))
@pytest.mark.parametrize("screen", [slug for slug, _ in JOB_SCREENS if slug != "alternatives"])
def test_every_screen_of_every_practice_job_opens(shop: Shop, practice: str, screen: str) -> None:
    job = shop.begin(practice)
    answer = shop.browser.get(f"{job}/{screen}" if screen else job)
    assert answer.status_code == 200
    assert len(answer.content) < 150_000
    assert practice_jobs()[practice].split()[-1] in answer.text


@pytest.mark.parametrize("screen", [slug for slug, _ in JOB_SCREENS])
def test_every_screen_of_a_survey_just_begun_opens(shop: Shop, screen: str) -> None:
    job = shop.post("/jobs/new", **{"from": "starter", "title": "Mill house"}).headers["location"]
    assert job.endswith("/walk")
    answer = shop.browser.get(job.removesuffix("/walk") + (f"/{screen}" if screen else ""))
    assert answer.status_code == 200
    assert "Mill house" in answer.text


def test_a_search_finds_words_in_any_order(shop: Shop) -> None:
    shop.begin("bungalow")
    shop.begin("orchard")
    found = plain(shop.browser.get("/jobs", params={"search": "thimble bungalow"}))
    assert "Thimble Row" in found
    assert "Fernhollow" not in found
    assert "No job has all of these words" in plain(shop.browser.get("/jobs", params={"search": "zeppelin"}))


def test_a_job_file_is_taken_in_as_it_is(shop: Shop) -> None:
    text = practice_text("bungalow")
    sent = shop.browser.post(
        "/jobs/new", data={"token": shop.token, "from": "file"}, files={"file": ("a.toml", text.encode())},
        follow_redirects=False,
    )  # fmt: skip
    assert sent.status_code == 303
    assert shop.stored(sent.headers["location"]).text == text


def test_a_file_that_is_no_job_file_is_refused_with_the_reason(shop: Shop) -> None:
    sent = shop.browser.post(
        "/jobs/new", data={"token": shop.token, "from": "file"}, files={"file": ("a.toml", b"format = 1\n[jobb]\n")}
    )
    assert sent.status_code == 422
    assert "jobb" in plain(sent)
    assert "No job is here yet" in plain(shop.browser.get("/jobs"))


@pytest.mark.parametrize("content", [b"", b"\xff\xfe\x00", b"\x00" * 100, b"format = 99\n", b"[" * 5000])
def test_no_file_breaks_the_program(shop: Shop, content: bytes) -> None:
    sent = shop.browser.post(
        "/jobs/new", data={"token": shop.token, "from": "file"}, files={"file": ("a.toml", content)}
    )
    assert sent.status_code == 422


def test_found_and_proposed_stand_side_by_side(shop: Shop) -> None:
    page = shop.browser.get(shop.begin("bungalow"))
    assert page.text.count("<svg") == 2
    words = plain(page)
    assert "As found" in words
    assert "As proposed" in words
    assert "Nothing is recorded as built" in words


def test_a_part_in_the_drawing_leads_to_its_form(shop: Shop) -> None:
    job = shop.begin("bungalow")
    assert f'<a href="{job}/walk/equipment/fuse-box">' in shop.browser.get(job).text
    assert shop.browser.get(f"{job}/walk/equipment/fuse-box").status_code == 200


def test_what_a_job_has_reached_is_noted(shop: Shop) -> None:
    job = shop.begin()
    assert shop.post(f"{job}/stage", stage="permit", waits_on="town").status_code == 303
    row = shop.stored(job).row
    assert (row.stage, row.waits_on) == ("permit", "town")
    assert shop.post(f"{job}/stage", stage="flown").status_code == 422


def test_a_deleted_job_is_gone(shop: Shop) -> None:
    job = shop.begin()
    assert "for good" in plain(shop.browser.get(f"{job}/delete"))
    shop.post(f"{job}/delete")
    gone = shop.browser.get(job)
    assert gone.status_code == 404
    assert "To the jobs" in plain(gone)


def test_the_job_file_comes_out_as_it_stands(shop: Shop) -> None:
    job = shop.begin()
    answer = shop.browser.get(f"{job}/papers/job.toml")
    assert answer.text == practice_text("bungalow")
    assert answer.headers["content-disposition"].startswith("attachment")


def test_another_job_file_is_put_in_place_only_of_the_one_that_was_seen(shop: Shop) -> None:
    job = shop.begin()
    seen = shop.stored(job).row.revision
    shop.answer(job, "job.number", "D-9", "D-002")
    form = {"token": shop.token, "revision": str(seen)}
    file = {"file": ("a.toml", practice_text("orchard").encode())}
    assert shop.browser.post(f"{job}/papers/job-file", data=form, files=file).status_code == 422
    form["revision"] = str(shop.stored(job).row.revision)
    shop.browser.post(f"{job}/papers/job-file", data=form, files=file)
    assert shop.stored(job).text == practice_text("orchard")
