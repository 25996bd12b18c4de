"""The job file out and in: what it changes is shown first, what is no job file is told, nothing is half taken."""

from __future__ import annotations

import html
import re

import pytest
from httpx2 import Response

from driploop.web.practice_jobs import practice_text
from web.hands import Shop, plain

TEXT = practice_text("bungalow")
OTHER = TEXT.replace('number = "D-002"', 'number = "D-99"')
NO_FILES = [
    b"", b" \n", b"\x00" * 100, b"\xff\xfe\x00", b"\x89PNG\r\n\x1a\n", b"[" * 5000, b"format = 99\n", b"PK\x03\x04zip",
    TEXT.replace("bungalow", "caf\u00e9").encode("cp1252"), b"a" * 3_000_000, b"format = 1\n[jobb]\n", b"\xef\xbb\xbf",
]  # fmt: skip


def send(shop: Shop, job: str, content: bytes) -> Response:
    return shop.browser.post(f"{job}/file", data={"token": shop.token}, files={"file": ("a.toml", content)})


def put(shop: Shop, job: str, text: str, revision: int) -> Response:
    return shop.post(f"{job}/file", text=text, take="yes", revision=str(revision))


def test_what_a_file_changes_is_shown_and_nothing_taken(shop: Shop) -> None:
    job = shop.begin()
    answer = send(shop, job, OTHER.encode())
    assert answer.status_code == 200
    assert "Job: number: D-002 → D-99" in plain(answer)
    assert shop.stored(job).text == TEXT


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_a_file_is_put_in_place_after_it_was_shown(shop: Shop, encoding: str) -> None:
    job = shop.begin()
    shown = send(shop, job, OTHER.encode(encoding))
    held = re.search(r"<textarea[^>]*>\n(.*?)</textarea>", shown.text, re.S)
    assert held
    revision = shop.stored(job).row.revision
    answer = put(shop, job, html.unescape(held[1]), revision)
    assert answer.status_code == 303
    assert shop.stored(job).text.lstrip("\ufeff").rstrip() == OTHER.rstrip()
    assert "Put back" in plain(shop.browser.get(answer.headers["location"]))
    shop.post(f"{job}/file/take-back", revision=str(revision + 1))
    assert shop.stored(job).text == TEXT


def test_the_file_of_the_job_itself_changes_nothing(shop: Shop) -> None:
    assert "it is the file of this job" in plain(send(shop, shop.begin(), TEXT.encode()))


def test_a_job_that_was_changed_meanwhile_is_not_run_over(shop: Shop) -> None:
    job = shop.begin()
    revision = shop.stored(job).row.revision
    shop.answer(job, "job.number", "D-3", "D-002")
    answer = put(shop, job, OTHER, revision)
    assert answer.status_code == 422
    assert "D-3 → D-99" in plain(answer), "what differs now is shown again"
    assert "D-3" in shop.stored(job).text


@pytest.mark.parametrize("content", NO_FILES, ids=range(len(NO_FILES)))
def test_what_is_no_job_file_is_told(shop: Shop, content: bytes) -> None:
    job = shop.begin()
    answer = send(shop, job, content)
    assert answer.status_code == 422
    assert "The file was not taken" in plain(answer)
    assert shop.stored(job).text == TEXT
    added = shop.browser.post("/jobs/new", data={"token": shop.token, "from": "file"}, files={"file": ("a", content)})
    assert added.status_code == 422


@pytest.mark.parametrize("text", ["", "x", "[" * 5000, "\x00", "format = 1\n[jobb]\n"])
def test_a_form_that_was_tampered_with_takes_nothing(shop: Shop, text: str) -> None:
    job = shop.begin()
    assert put(shop, job, text, shop.stored(job).row.revision).status_code == 422
    assert shop.stored(job).text == TEXT


@pytest.mark.parametrize("revision", ["", "1", "x", "99"])
def test_only_a_file_that_was_taken_is_put_back(shop: Shop, revision: str) -> None:
    assert shop.post(f"{shop.begin()}/file/take-back", revision=revision).status_code == 404
