"""In a real browser: what is typed while the line is down, while somebody else types, or while the session ends."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Dialog, Page, expect

from driploop.store import Edit, Store, Who, jobs, open_store, people
from driploop.store.edits import value_at
from driploop.survey.syntax import parse_toml
from driploop.web.app import create_app
from driploop.web.practice_jobs import practice_text
from web.screen import PHONE, answering, chromium

RATING, LENGTH, SERVES = (f"circuits.range.{key}" for key in ("ocpd_a", "length_ft", "serves"))
AREA = "buildings.bungalow.floor_area_ft2"
BEN = Who("Ben", "0123456789abcdef")


class Place:
    """A job in a database, an application on it, and a person's browser."""

    def __init__(self, store: Store, address: str, context: BrowserContext) -> None:
        self.store, self.address, self.context = store, address, context
        self.id = jobs.add_job(store, practice_text("bungalow"), who=Who("a test")).row.id
        self.page = self.open()

    def open(self, path: str = "walk/circuits/range") -> Page:
        page = self.context.new_page()
        page.goto(f"{self.address}/jobs/{self.id}/{path}")
        return page

    def stored(self, path: str) -> Any:
        return value_at(parse_toml(jobs.read_stored(self.store, self.id).text, name="it"), path)

    def ben_writes(self, path: str, value: Any) -> None:
        saved = jobs.change_job(self.store, self.id, [Edit(path, value, self.stored(path))], who=BEN)
        assert saved.written == (path,)


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as found:
        yield found


@pytest.fixture
def place(browser: Browser, tmp_path: Path) -> Iterator[Place]:
    store = open_store(f"sqlite:///{tmp_path / 'jobs.sqlite'}", folder=tmp_path)
    with answering(create_app(store)) as address:
        context = browser.new_context(viewport=PHONE)
        yield Place(store, address, context)
        context.close()
    store.close()


def field(page: Page, path: str) -> Any:
    return page.locator(f"#f-{path.replace('.', '-')}")


def type_in(page: Page, path: str, words: str) -> None:
    box = field(page, path).locator("input[name=value], textarea[name=value]")
    box.fill(words)
    box.blur()


def nothing_waits(page: Page) -> None:
    for _ in range(300):
        if page.evaluate("localStorage.length") == 0:
            return
        page.wait_for_timeout(100)
    pytest.fail(f"still waiting: {page.evaluate('JSON.stringify(localStorage)')}")


def test_an_answer_is_saved_by_itself(place: Place) -> None:
    type_in(place.page, RATING, "35")
    expect(field(place.page, RATING)).to_contain_text("Saved: 35 A")
    assert place.stored(RATING) == 35
    nothing_waits(place.page)
    type_in(place.page, RATING, "30")
    expect(field(place.page, RATING)).to_contain_text("Saved: 30 A")


def test_what_is_typed_without_a_line_is_kept_said_and_sent_in_order(place: Place) -> None:
    sent: list[str] = []
    place.page.on("request", lambda request: sent.append(request.post_data or "") if request.method == "POST" else None)
    place.context.set_offline(True)
    type_in(place.page, RATING, "35")
    expect(place.page.locator("#line")).to_contain_text("No connection. 1 answer is kept on this device")
    expect(field(place.page, RATING)).to_contain_text("Not saved yet")
    type_in(place.page, LENGTH, "41")
    type_in(place.page, SERVES, "Range and clock")
    type_in(place.page, LENGTH, "42")
    assert place.stored(RATING) == 40
    sent.clear()
    place.context.set_offline(False)
    expect(field(place.page, SERVES)).to_contain_text("Saved", timeout=20_000)
    expect(place.page.locator("#line")).to_be_hidden()
    assert (place.stored(RATING), place.stored(LENGTH), place.stored(SERVES)) == (35, 42, "Range and clock")
    paths = [re.findall(r"path=([\w.-]+)", each)[0] for each in sent]
    assert list(dict.fromkeys(paths)) == [RATING, LENGTH, SERVES]


def test_what_was_kept_is_sent_from_another_page_after_the_first_was_closed(place: Place) -> None:
    place.context.set_offline(True)
    type_in(place.page, RATING, "35")
    expect(place.page.locator("#line")).to_contain_text("No connection")
    place.page.close()
    place.context.set_offline(False)
    later = place.open("walk")
    expect(later.locator("#moved")).to_be_attached()
    nothing_waits(later)
    assert place.stored(RATING) == 35


def test_closing_the_page_warns_while_something_is_unsent(place: Place) -> None:
    asked: list[str] = []

    def hear(dialog: Dialog) -> None:
        asked.append(dialog.type)
        dialog.dismiss()

    place.page.on("dialog", hear)
    place.context.set_offline(True)
    type_in(place.page, RATING, "35")
    expect(place.page.locator("#line")).to_contain_text("No connection")
    place.page.close(run_before_unload=True)
    place.page.wait_for_timeout(500)
    assert asked == ["beforeunload"]


def test_somebody_who_changed_the_same_meanwhile_is_shown_and_one_is_asked(place: Place) -> None:
    place.context.set_offline(True)
    type_in(place.page, RATING, "35")
    expect(place.page.locator("#line")).to_contain_text("No connection")
    place.ben_writes(RATING, 50)
    place.context.set_offline(False)
    asked = field(place.page, RATING)
    expect(asked).to_contain_text("Ben changed this", timeout=20_000)
    expect(asked).to_contain_text("50")
    assert place.stored(RATING) == 50
    asked.get_by_role("button", name="Put mine").click()
    expect(asked).to_contain_text("Saved: 35 A")
    assert place.stored(RATING) == 35
    nothing_waits(place.page)


def test_one_may_keep_what_the_other_wrote(place: Place) -> None:
    place.ben_writes(RATING, 50)
    type_in(place.page, RATING, "35")
    asked = field(place.page, RATING)
    expect(asked).to_contain_text("Ben changed this")
    asked.get_by_role("button", name="Keep theirs").click()
    expect(asked.locator("input[name=value]")).to_have_value("50")
    assert place.stored(RATING) == 50
    nothing_waits(place.page)


def test_a_question_left_open_is_still_asked_when_one_comes_back(place: Place) -> None:
    place.ben_writes(RATING, 50)
    type_in(place.page, RATING, "35")
    expect(field(place.page, RATING)).to_contain_text("Ben changed this")
    place.page.goto(f"{place.address}/jobs")
    expect(place.page.locator("#line")).to_contain_text("you typed “35”")
    place.page.locator("#line").get_by_role("link", name="Go there").click()
    expect(field(place.page, RATING)).to_contain_text("Ben changed this")
    expect(field(place.page, RATING).locator("input[name=value]")).to_have_value("35")


def test_what_is_half_typed_is_there_again_after_the_page_was_lost(place: Place) -> None:
    field(place.page, SERVES).locator("input[name=value]").press("End")
    field(place.page, SERVES).locator("input[name=value]").press_sequentially(" in the sum")
    place.page.reload()
    expect(field(place.page, SERVES).locator("input[name=value]")).to_have_value("range in the sum")
    expect(field(place.page, SERVES)).to_contain_text("did not save it")
    field(place.page, SERVES).get_by_role("button", name="Save it").click()
    expect(field(place.page, SERVES)).to_contain_text("Saved")
    assert place.stored(SERVES) == "range in the sum"


def test_what_the_program_refuses_stays_in_the_field_and_is_told_elsewhere(place: Place) -> None:
    type_in(place.page, RATING, "forty")
    expect(field(place.page, RATING)).to_contain_text("cannot be used here")
    place.page.goto(f"{place.address}/jobs")
    told = place.page.locator("#line")
    expect(told).to_contain_text("it was not taken: Range")
    told.get_by_role("button", name="Forget it").click()
    expect(told).to_be_hidden()
    nothing_waits(place.page)


def test_what_others_change_appears_while_one_looks(place: Place) -> None:
    page = place.open("walk/buildings/bungalow")
    before = place.stored(AREA)
    place.ben_writes(AREA, 2900)
    told = f"{before} ft2 → 2900 ft2, changed by Ben a moment ago"
    expect(page.locator("#others")).to_contain_text(told, timeout=15_000)
    expect(field(page, AREA).locator("input[name=value]")).to_have_value("2900")
    expect(field(page, AREA)).to_contain_text("Changed by Ben a moment ago")
    expect(page.locator("#moved")).to_contain_text("moved since you looked")


def test_what_others_change_does_not_run_over_what_one_types(place: Place) -> None:
    box = field(place.page, RATING).locator("input[name=value]")
    box.fill("35")
    box.focus()
    place.ben_writes(RATING, 50)
    expect(field(place.page, RATING)).to_contain_text("When you save yours, you are asked", timeout=15_000)
    expect(box).to_have_value("35")
    box.dispatch_event("change")
    expect(field(place.page, RATING)).to_contain_text("Nothing of yours was written")


def test_ones_own_changes_are_no_news(place: Place) -> None:
    type_in(place.page, RATING, "35")
    expect(field(place.page, RATING)).to_contain_text("Saved: 35 A")
    with place.page.expect_response(lambda answer: "/others" in answer.url, timeout=15_000):
        pass
    expect(place.page.locator("#others li")).to_have_count(0)


def test_a_session_that_ended_keeps_what_is_typed_and_asks_to_sign_in(place: Place) -> None:
    ada = people.add_person(place.store, name="Ada", sign_in="ada", password="a kettle of geese", role="owner")
    page = place.page
    page.goto(f"{place.address}/jobs/{place.id}/walk/circuits/range")

    def sign_in() -> None:
        page.get_by_label("What you sign in with").fill("ada")
        page.get_by_label("Password").fill("a kettle of geese")
        page.get_by_role("button", name="Sign in").click()

    sign_in()
    expect(page.get_by_role("heading", name="Range")).to_be_visible()
    people.set_password(place.store, ada.id, "a kettle of geese")
    type_in(page, RATING, "35")
    expect(page.locator("#line")).to_contain_text("You are not signed in any more. 1 answer is kept")
    page.once("dialog", lambda dialog: dialog.accept())
    page.locator("#line").get_by_role("link", name="Sign in").click()
    sign_in()
    expect(page.get_by_role("heading", name="Range")).to_be_visible()
    nothing_waits(page)
    assert place.stored(RATING) == 35


def test_who_may_only_look_finds_the_forms_closed(place: Place) -> None:
    people.add_person(place.store, name="Ada", sign_in="ada", password="a kettle of geese", role="owner")
    look = people.add_person(place.store, name="Cy", sign_in="cy", password="nine wet otters", role="view")
    word = people.new_session(place.store, look.id)
    place.context.add_cookies([{"name": "driploop_session", "value": word, "url": place.address}])
    page = place.open()
    expect(field(page, RATING).locator("input[name=value]")).to_be_disabled()
    page.goto(f"{place.address}/account")
    expect(page.get_by_role("button", name="Sign out")).to_be_enabled()
