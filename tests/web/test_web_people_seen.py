"""The pages of people and safety in a real browser: by keys alone, at both widths, the console silent."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from driploop.store import Edit, Store, Who, jobs, open_store, people
from driploop.web.app import create_app
from driploop.web.practice_jobs import practice_text
from web.screen import LAPTOP, PHONE, answering, chromium


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as found:
        yield found


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    opened = open_store(f"sqlite:///{tmp_path / 'jobs.sqlite'}", folder=tmp_path)
    yield opened
    opened.close()


def test_a_shop_opens_and_somebody_joins_by_keys_alone(browser: Browser, store: Store) -> None:
    with answering(create_app(store)) as address:
        owner = browser.new_context(viewport=PHONE).new_page()
        owner.goto(f"{address}/shop")
        owner.get_by_label("Your name").focus()
        for words in ("Ada Quill", "ada", "a kettle of geese"):
            owner.keyboard.type(words)
            owner.keyboard.press("Tab")
        owner.keyboard.press("Enter")
        expect(owner.get_by_role("heading", name="Invite somebody")).to_be_visible()
        owner.get_by_role("radio", name="crew").focus()
        owner.keyboard.press("ArrowDown")
        owner.keyboard.press("Tab")
        owner.keyboard.press("Enter")
        expect(owner.get_by_role("heading", name="Invitation as view")).to_be_visible()
        link = owner.get_by_label("The link").input_value()

        joining = browser.new_context(viewport=LAPTOP).new_page()
        joining.goto(link)
        for _ in range(2):  # past the link to the content and the mark
            joining.keyboard.press("Tab")
        for words in ("Ben", "ben", "nine wet otters"):
            joining.keyboard.press("Tab")
            joining.keyboard.type(words)
        joining.keyboard.press("Enter")
        expect(joining.get_by_role("heading", name="Jobs")).to_be_visible()
        expect(joining.get_by_role("link", name="Ben")).to_be_visible()
        for page in (owner, joining):
            page.context.close()
    assert [(each.name, each.role) for each in people.everybody(store)] == [("Ada Quill", "owner"), ("Ben", "view")]


@pytest.mark.parametrize("width", [PHONE, LAPTOP], ids=["phone", "laptop"])
def test_no_page_is_wider_than_the_screen_or_breaks_its_own_rules(
    browser: Browser, store: Store, width: dict[str, int]
) -> None:
    owner = people.add_person(store, name="Ada Quill", sign_in="ada", password="a kettle of geese", role="owner")
    ben = people.add_person(
        store, name="Benjamin Longname-Whittlesworth", sign_in="b" * 60, password="nine wet otters", role="crew"
    )
    id = jobs.add_job(store, practice_text("bungalow"), who=Who("Ben", ben.id)).row.id
    jobs.change_job(store, id, [Edit("circuits.range.serves", "x" * 300, "range")], who=Who("Ben", ben.id))
    invitation = people.invite(store, role="crew", by=owner.id)
    pages = ("/shop", "/shop/history", "/shop/files", "/account", f"/people/{ben.id}/remove", f"/jobs/{id}/people",
             f"/jobs/{id}/delete", f"/invitation/{invitation}")  # fmt: skip
    with answering(create_app(store)) as address:
        context = browser.new_context(viewport=width)
        context.add_cookies(
            [{"name": "driploop_session", "value": people.new_session(store, owner.id), "url": address}]
        )
        page = context.new_page()
        said: list[str] = []
        page.on("console", lambda message: said.append(message.text))
        page.on("pageerror", lambda error: said.append(str(error)))
        for path in pages:
            answer = page.goto(address + path)
            assert answer
            assert answer.status == 200, path
            too_wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
            assert too_wide <= 0, path
        context.close()
    assert said == []
