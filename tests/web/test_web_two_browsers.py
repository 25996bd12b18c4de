"""Two people, each at a browser, on one job: different things both stand, the same thing is asked about."""

from __future__ import annotations

from pathlib import Path

from playwright.sync_api import Page, expect

from driploop.store import Who, jobs, open_store
from driploop.web.app import create_app
from driploop.web.practice_jobs import practice_text
from web.screen import LAPTOP, PHONE, answering, chromium


def give(page: Page, key: str, words: str) -> None:
    box = page.locator(f"#f-circuits-range-{key} input[name=value]")
    box.fill(words)
    box.press("Tab")


def test_both_changes_stand_and_the_same_one_is_asked_about(tmp_path: Path) -> None:
    store = open_store(f"sqlite:///{tmp_path / 'jobs.sqlite'}", folder=tmp_path)
    id = jobs.add_job(store, practice_text("bungalow"), who=Who("a test")).row.id
    with chromium() as browser, answering(create_app(store)) as address:
        cellar, kitchen = (browser.new_context(viewport=size).new_page() for size in (PHONE, LAPTOP))
        for page in (cellar, kitchen):
            page.goto(f"{address}/jobs/{id}/walk/circuits/range")
        give(cellar, "length_ft", "41")
        expect(cellar.locator("#f-circuits-range-length_ft .saved")).to_be_visible()
        give(kitchen, "ocpd_a", "35")
        expect(kitchen.locator("#f-circuits-range-ocpd_a .saved")).to_be_visible()
        expect(kitchen.locator("#f-circuits-range-length_ft input[name=value]")).to_have_value("41", timeout=15_000)
        expect(cellar.locator("#f-circuits-range-ocpd_a input[name=value]")).to_have_value("35", timeout=15_000)

        cellar.context.set_offline(True)  # so that the news of the other's change cannot come first
        give(cellar, "ocpd_a", "30")
        expect(cellar.locator("#line")).to_contain_text("No connection")
        give(kitchen, "ocpd_a", "25")
        expect(kitchen.locator("#f-circuits-range-ocpd_a .saved")).to_contain_text("25")
        cellar.context.set_offline(False)
        asked = cellar.locator("#f-circuits-range-ocpd_a .asks")
        expect(asked).to_contain_text("25", timeout=20_000)
        expect(asked).to_contain_text("30")
        cellar.get_by_role("button", name="Keep theirs").click()
        expect(cellar.locator("#f-circuits-range-ocpd_a input[name=value]")).to_have_value("25")
    text = jobs.read_stored(store, id).text
    store.close()
    assert "length_ft = 41" in text
    assert "ocpd_a = 25" in text
