"""Every answer carries its safe headers, every change its token, and no page holds script or style of its own."""

from __future__ import annotations

import hashlib
import re
from pathlib import Path

import pytest
from starlette.routing import Route
from starlette.testclient import TestClient

from driploop.survey import starter
from driploop.web.app import SCREENS
from driploop.web.pages import STATIC, TEMPLATES
from web.hands import Shop, filled

ROUTES: list[Route] = [route for screen in SCREENS for route in screen.ROUTES]


@pytest.mark.parametrize("path", [route.path for route in ROUTES if "POST" in (route.methods or ())])
def test_a_change_without_the_token_is_refused(shop: Shop, path: str) -> None:
    shop.browser.get("/jobs")
    assert shop.browser.post(filled(path), data={"token": "guessed"}).status_code == 403
    assert shop.browser.post(filled(path)).status_code == 403


def test_the_token_of_another_browser_is_refused(shop: Shop) -> None:
    mine = shop.token
    with TestClient(shop.browser.app, client=("127.0.0.1", 1)) as other:
        other.get("/jobs")
        assert other.post("/jobs/new", data={"token": mine, "from": "starter"}).status_code == 403


def test_every_answer_is_kept_from_strangers(shop: Shop) -> None:
    job = shop.begin()
    for address in ("/jobs", job, "/nothing", "/static/driploop.css", "/jobs/nothing"):
        headers = shop.browser.get(address).headers
        policy = headers["content-security-policy"]
        for words in ("default-src 'none'", "script-src 'self'", "style-src 'self'", "frame-ancestors 'none'",
                      "base-uri 'none'", "form-action 'self'"):  # fmt: skip
            assert words in policy
        assert "unsafe" not in policy
        assert headers["x-content-type-options"] == "nosniff"


def test_the_cookie_is_out_of_reach_of_scripts(shop: Shop) -> None:
    cookie = shop.browser.get("/jobs").headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=lax" in cookie


def test_another_name_for_this_machine_is_refused(shop: Shop) -> None:
    """A page elsewhere may have its own name lead to this machine: then the name gives it away."""
    assert shop.browser.get("/jobs", headers={"Host": "elsewhere.example"}).status_code == 400


def test_another_machine_is_not_taken_for_the_owner(shop: Shop) -> None:
    with TestClient(shop.browser.app, client=("192.0.2.7", 1), raise_server_exceptions=False) as other:
        assert other.get("/jobs").status_code == 403


@pytest.mark.parametrize("template", sorted(TEMPLATES.rglob("*.html")), ids=lambda path: path.name)
def test_no_template_holds_script_or_style_of_its_own(template: Path) -> None:
    text = template.read_text(encoding="utf-8")
    assert not re.search(r"\sstyle\s*=|<style|\son\w+\s*=|hx-on|javascript:|\|\s*safe\b|autoescape", text, re.I)
    assert all("src=" in tag for tag in re.findall(r"<script[^>]*>", text))
    assert not re.search(r"(?:src|href|action)=\"(?:https?:)?//", text)


def test_hostile_names_are_shown_and_not_run(shop: Shop) -> None:
    hostile = "<script>alert('\"`&</script>"
    text = starter(title=hostile)
    job = shop.take_in(text)
    shop.answer(job, "buildings.house.name", hostile)
    shop.answer(job, "job.customer", hostile, "unknown")
    shop.post(f"{job}/things", table="circuits", id=hostile)
    shop.answer(job, "circuits.kitchen.serves", hostile, None)
    addresses = ["", "/walk", "/walk/at/inside", "/walk/buildings/house", "/consequence", "/alternatives", "/readings",
                 "/circuits", "/panel", "/findings", "/papers", "/people", "/walk/circuits/kitchen",
                 "/delete", "/questions", "/what-if", "/paste", "/file", "/proposal", "/photographs"]  # fmt: skip
    for address in addresses:
        answer = shop.browser.get(job + address)
        assert answer.status_code == 200, address
        assert "<script>alert" not in answer.text, address
    listed = shop.browser.get("/jobs", params={"search": hostile}).text
    assert "<script>alert" not in listed
    assert "&lt;script&gt;alert" in listed


def test_the_borrowed_script_is_the_one_that_was_published() -> None:
    notice = (STATIC / "htmx" / "NOTICE").read_text(encoding="utf-8")
    said = re.search(r"sha256 ([0-9a-f]{64})", notice)
    assert said
    assert hashlib.sha256((STATIC / "htmx" / "htmx.min.js").read_bytes()).hexdigest() == said[1]
    assert (STATIC / "htmx" / "LICENSE").stat().st_size > 0


def test_a_fault_of_the_program_is_told_in_plain_words(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object, **__: object) -> None:
        raise RuntimeError("secret of the works")

    monkeypatch.setattr("driploop.web.routes.jobs.stored_jobs.list_jobs", broken)
    answer = shop.browser.get("/jobs")
    assert answer.status_code == 500
    assert "secret" not in answer.text
    assert "Nothing of your jobs is lost" in answer.text
    assert "default-src 'none'" in answer.headers["content-security-policy"]
