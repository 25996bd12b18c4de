"""By keys alone: the way past what stands on every page, every field in its order, always seen where one is."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from driploop.store import Store, Who, jobs, open_store
from driploop.web.app import create_app
from driploop.web.practice_jobs import practice_text
from web.screen import SCREENS, answering, chromium

PANEL = "panel/at/barn-panel"
#: What can be reached by keys, but for those a closed part hides and all but one of a row of radio buttons.
REACHABLE = """() => {
  const all = [...document.querySelectorAll("a[href], button, input:not([type=hidden]), select, textarea, summary")];
  const rows = new Set();
  return all.filter((one) => {
    const shut = one.closest("details:not([open])");
    if (one.disabled || !one.getClientRects().length) return false;
    if (shut && !(one.tagName === "SUMMARY" && one.parentElement === shut)) return false;
    if (one.type !== "radio") return true;
    const row = one.form.id + one.name;
    return !rows.has(row) && rows.add(row);
  }).length;
}"""
#: What the cursor of the keyboard stands on: its place in the page's order, and whether that can be seen.
STANDS_ON = """() => {
  const one = document.activeElement;
  if (!one || one === document.body) return null;
  const shown = one.matches(".taps input") ? one.nextElementSibling : one;
  const style = getComputedStyle(shown);
  const control = one.matches("a[href], button, input, select, textarea, summary");
  return { place: [...document.querySelectorAll("*")].indexOf(one), control, words: one.outerHTML.slice(0, 120),
           seen: style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2 };
}"""


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as found:
        yield found


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    opened = open_store(f"sqlite:///{tmp_path / 'jobs.sqlite'}", folder=tmp_path)
    yield opened
    opened.close()


def added(store: Store, practice: str = "orchard") -> str:
    return jobs.add_job(store, practice_text(practice), who=Who("a test")).row.id


@SCREENS
@pytest.mark.parametrize(
    ("practice", "path"),
    [("orchard", "walk"), ("orchard", "walk/at/inside"), ("orchard", "walk/runs/drop"), ("goat-dairy", PANEL)],
)
def test_tab_leads_through_the_whole_page_in_its_order(
    browser: Browser, store: Store, width: dict[str, int], practice: str, path: str
) -> None:
    with answering(create_app(store)) as address:
        page = browser.new_context(viewport=width).new_page()
        page.goto(f"{address}/jobs/{added(store, practice)}/{path}")
        page.wait_for_load_state("networkidle")
        wanted, met, unseen = page.evaluate(REACHABLE), [], []
        for _ in range(wanted + 60):
            page.keyboard.press("Tab")
            here = page.evaluate(STANDS_ON)
            if here is None or (met and here["place"] <= met[-1][0]):
                break
            met.append((here["place"], here["control"]))
            if not here["seen"]:
                unseen.append(here["words"])
        page.context.close()
    assert not unseen
    assert sum(control for _, control in met) >= wanted


def test_the_first_key_leads_past_what_stands_on_every_page(browser: Browser, store: Store) -> None:
    with answering(create_app(store)) as address:
        page = browser.new_context().new_page()
        page.goto(f"{address}/jobs/{added(store)}/walk")
        page.keyboard.press("Tab")
        expect(page.locator(".skip")).to_be_focused()
        expect(page.locator(".skip")).to_be_in_viewport()
        page.keyboard.press("Enter")
        page.keyboard.press("Tab")
        expect(page.locator("main :focus")).to_be_visible()
        page.context.close()


def tab_to(page: Page, words: str) -> None:
    for _ in range(200):
        page.keyboard.press("Tab")
        if page.evaluate("words => document.activeElement.matches(words)", words):
            return
    pytest.fail(f"the Tab key never comes to {words}")


def test_a_circuit_of_the_panel_is_placed_by_keys(browser: Browser, store: Store) -> None:
    with answering(create_app(store)) as address:
        page = browser.new_context().new_page()
        page.goto(f"{address}/jobs/{added(store, 'goat-dairy')}/{PANEL}")
        tab_to(page, "a.circuit")
        page.keyboard.press("Enter")
        expect(page.locator(".choosing")).to_be_visible()
        tab_to(page, "button.here")
        page.keyboard.press("Enter")
        expect(page.locator(".held").first).to_be_visible()
        page.context.close()
