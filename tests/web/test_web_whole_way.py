"""A new user's whole way by clicks and keys: from an empty folder to the packet, on a phone and a laptop."""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from web.screen import SCREENS, chromium, keep_picture, listen_to, served, too_wide


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as found:
        yield found


@dataclass
class Hand:
    """A person's hand on the pages; every step leaves a picture."""

    page: Page
    steps: int = 0
    too_wide: list[str] = field(default_factory=list)

    def look(self, name: str) -> None:
        """Keep a picture of where the way has come to."""
        self.steps += 1
        keep_picture(self.page, f"way-{self.steps:02d}-{name}")
        if too_wide(self.page):
            self.too_wide.append(name)

    def go(self, name: str) -> None:
        """Follow a link of the page's content by its words."""
        self.page.locator("main").get_by_role("link", name=name).first.click()

    def screen(self, name: str) -> None:
        """Go to a screen of the job by the row of screens."""
        self.page.get_by_label("This job").get_by_role("link", name=name, exact=True).click()
        expect(self.page.locator(".screens [aria-current=page]")).to_have_text(name)

    def of(self, label: str) -> Locator:
        """The form that asks for something."""
        named = self.page.locator("label, legend").filter(has_text=re.compile(rf"^{label}( \S+)?$"))  # with its unit
        found = self.page.locator("form.field").filter(has=named).first
        if not found.is_visible():
            self.page.locator("details.more > summary").click()
        return found

    def types(self, **answers: str) -> None:
        """Type into fields, each left by the Tab key, and see each saved."""
        for label, words in answers.items():
            asks = self.of(label.replace("_", " "))
            asks.locator("input[name=value]").fill(words)
            asks.locator("input[name=value]").press("Tab")
            expect(asks.locator(".saved")).to_contain_text("Saved")

    def chooses(self, **answers: str) -> None:
        """Choose from lists or open choices, and see each saved."""
        for label, words in answers.items():
            asks = self.of(label.replace("_", " "))
            if asks.locator("select").count():
                asks.locator("select").select_option(label=words)
            else:
                asks.locator(".taps label").get_by_text(words, exact=True).click()
            expect(asks.locator(".saved")).to_contain_text("Saved")

    def adds(self, kind: str, called: str) -> None:
        """Add a thing at a station of the walk."""
        asked = self.page.get_by_label(f"{kind}, called")
        asked.fill(called)
        asked.press("Enter")
        expect(self.page.get_by_role("heading", level=1)).to_have_text(called)


@SCREENS
def test_from_an_empty_folder_to_the_packet(browser: Browser, tmp_path: Path, width: dict[str, int]) -> None:
    with served(tmp_path / "shop") as address:
        context = browser.new_context(viewport=width, has_touch=width["width"] < 500, accept_downloads=True)
        page = context.new_page()
        page.set_default_timeout(10_000)
        said, hand = listen_to(page), Hand(page)
        page.goto(address)
        begin(hand)
        survey(hand)
        consequence(hand)
        alternatives(hand)
        readings(hand)
        panel(hand)
        findings(hand)
        packet = tmp_path / "packet.pdf"
        papers(hand, packet)
        job_file = tmp_path / "job.toml"
        with page.expect_download() as download:
            hand.go("Job file")
        download.value.save_as(job_file)
        context.close()
    held = packet.read_bytes()
    assert held.startswith(b"%PDF")
    assert pages_in(held) > 10
    checked = subprocess.run(
        [sys.executable, "-m", "driploop.cli.main", "check", str(job_file)], capture_output=True, text=True, check=False
    )
    assert checked.returncode in (0, 1), checked.stdout + checked.stderr
    assert "back porch" in job_file.read_text(encoding="utf-8")
    assert not said
    assert not hand.too_wide


def begin(hand: Hand) -> None:
    expect(hand.page.get_by_text("No job is here yet")).to_be_visible()
    hand.look("no-jobs")
    hand.go("begin one")
    hand.look("new-job")
    hand.page.get_by_label("What to call it").fill("Larch Street 14, new service")
    hand.page.get_by_role("button", name="Begin the walk").click()


def survey(hand: Hand) -> None:
    expect(hand.page.get_by_role("heading", name="The walk")).to_be_visible()
    hand.look("walk")
    hand.go("Before you go")
    hand.look("before-you-go")
    hand.go("Town")
    hand.chooses(Edition="NEC 2023")
    hand.look("town")
    hand.page.get_by_label("Along the walk").get_by_role("link").last.click()
    hand.screen("Walk")
    hand.go("Outside")
    hand.look("outside")
    hand.go("Utility")
    hand.chooses(Supply="overhead", System="120/240 V single-phase")
    hand.screen("Walk")
    hand.go("Outside")
    hand.go("Meter")
    hand.chooses(Outdoors="yes")
    hand.types(Rating="100", Location="east wall")
    hand.look("meter")
    hand.screen("Walk")
    hand.go("Inside")
    hand.look("inside")
    hand.go("House")
    hand.types(Floor_area="1450", Year_built="1948")
    hand.chooses(Gas_or_other_heat="yes", Laundry="in unit")
    hand.look("house")
    hand.screen("Walk")
    hand.go("Inside")
    hand.go("Service Cable")
    hand.chooses(Method="SE cable", Line_size="4 AWG", Metal="copper")
    hand.types(Length="22")
    hand.look("service-cable")
    hand.screen("Walk")
    hand.go("Inside")
    hand.go("Main Panel")
    hand.chooses(Main="fuses", Branch_protection="plug fuses")
    hand.types(Rating="60", Spaces="6")
    hand.look("fuse-box")
    circuits(hand)
    hand.screen("Walk")
    hand.go("Inside")
    hand.adds("Appliance or motor", "Range")
    hand.chooses(Kind="range", Panel="Main panel")
    hand.types(Kilowatts="12")
    hand.look("load")
    hand.screen("Walk")
    hand.go("Wishes")
    hand.adds("Wish", "Car charger")
    hand.chooses(Kind="vehicle charger", When="now", Volts="240")
    hand.types(Kilowatts="7.7")
    hand.look("wish")


def circuits(hand: Hand) -> None:
    """The first by its form, each further one in two taps: next, and where it differs."""
    hand.page.get_by_role("link", name="Kitchen").first.click()
    hand.chooses(Poles="1", Fuse_or_breaker="plug fuse", Wire_size="14 AWG", Metal="copper")
    hand.types(Its_rating="15", Position="1", Serves="kitchen receptacles")
    hand.look("circuit")
    for serves in ("front rooms", "back porch"):
        hand.go("Main Panel")
        hand.page.get_by_role("button", name="Next circuit").click()
        expect(hand.of("Its rating").locator("input[name=value]")).to_have_value("15")
        hand.types(Serves=serves)
    hand.chooses(Wire_size="not known")
    hand.look("third-circuit")


def consequence(hand: Hand) -> None:
    hand.page.locator(".job-title a").click()
    expect(hand.page.locator(".states svg").first).to_be_visible()
    hand.look("job-page")


def alternatives(hand: Hand) -> None:
    hand.screen("Alternatives")
    hand.look("alternatives")
    hand.page.get_by_role("button", name="Take this way").first.click()
    expect(hand.page.get_by_text("Taken into the job as its proposal")).to_be_visible()
    hand.look("way-taken")
    hand.go("What moved")
    expect(hand.page.get_by_role("heading", name="What moved")).to_be_visible()
    hand.look("what-moved")
    hand.page.get_by_role("button", name="I have looked at this").click()
    hand.look("looked")


def readings(hand: Hand) -> None:
    hand.screen("Readings")
    hand.look("readings")
    hand.page.locator(".figures a").first.click()
    hand.look("a-reading")
    number = hand.page.locator(".reading td.number a, .reading td a").first
    number.click()
    opened = hand.page.locator(".opened-sheet")
    expect(opened.locator("tr").nth(1)).to_be_visible()
    hand.look("worksheet-opened")
    opened.locator("summary").first.press("Enter")
    expect(opened).to_have_count(0)


def panel(hand: Hand) -> None:
    hand.screen("Panel")
    hand.look("panels")
    hand.page.locator("main section h2 a").first.click()
    expect(hand.page.locator("table.face")).to_be_visible()
    hand.look("panel")


def findings(hand: Hand) -> None:
    """Each leads to its place; one of those that ask leads to the very field."""
    hand.screen("Findings")
    hand.look("findings")
    to_field = hand.page.locator(".finding h3 a[href*='#f-']").first
    to_field.click()
    expect(hand.page.locator("form.field :focus")).to_be_visible()
    hand.look("field-of-a-finding")


def papers(hand: Hand, packet: Path) -> None:
    hand.screen("Papers")
    hand.look("papers")
    hand.go("Packet")
    take = hand.page.get_by_role("link", name="Take the packet")
    expect(take).to_be_visible(timeout=60_000)
    hand.look("packet")
    with hand.page.expect_download() as download:
        take.click()
    download.value.save_as(packet)
    hand.go("Papers")


def pages_in(pdf: bytes) -> int:
    """How many pages a packet has, by the root of its tree of pages."""
    return max(int(count) for count in re.findall(rb"/Count (\d+)", pdf))
