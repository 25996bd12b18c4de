"""Every page of a job, found by its links: readable to a screen reader, no wider than the screen, light, quiet."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urljoin, urlsplit

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, Response
from starlette.routing import Match, Route

from driploop.store import Store, Who, jobs, open_store
from driploop.web.app import SCREENS as MODULES
from driploop.web.app import create_app
from driploop.web.practice_jobs import practice_text
from web.screen import SCREENS, answering, chromium, keep_picture, listen_to, too_wide

ROUTES: list[Route] = [route for module in MODULES for route in module.ROUTES]
#: Most that a page may weigh with all that it loads, without photographs, as it goes over the line. [bytes]
MOST_BYTES = 150_000
#: A sheet of letter paper between its margins, at the 96 to the inch in which browsers count. [px]
LETTER = {"width": 720, "height": 960}
#: What only a screen needs.
NOT_PRINTED = ("header.top", ".screens", ".skip", "nav.along", ".on-page", "button", ".button", "input[type=file]")


@dataclass
class Place:
    """A practice job, an application that shows it, and a browser."""

    store: Store
    address: str
    job: str
    browser: Browser


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Place]:
    folder: Path = tmp_path_factory.mktemp("every-page")
    store = open_store(f"sqlite:///{folder / 'jobs.sqlite'}", folder=folder)
    job = jobs.add_job(store, practice_text("orchard"), who=Who("a test")).row.id
    with chromium() as browser, answering(create_app(store)) as address:
        yield Place(store, address, job, browser)
    store.close()


def route_of(path: str) -> str:
    """The route that answers a path; ``""`` where none does."""
    for route in ROUTES:
        match, _ = route.matches({"type": "http", "method": "GET", "path": path})
        if match is Match.FULL:
            return route.path
    return ""


def kind_of(address: str) -> str:
    """What makes one page another kind than the next: its route, and of a form in the walk what it asks about."""
    path = urlsplit(address).path
    route = route_of(path)
    if route in ("/jobs/{job}/walk/{table}/{id}", "/jobs/{job}/walk/{table}", "/jobs/{job}/readings/{page}"):
        return f"{route} {path.split('/')[4]}"
    return route


def links_of(page: Page) -> list[str]:
    found: list[str] = page.eval_on_selector_all(
        "a[href]:not([download])", "all => all.map(one => one.href.baseVal ?? one.href)"
    )
    return [urljoin(page.url, each).partition("#")[0] for each in found]


def every_page(place: Place, page: Page) -> Iterator[tuple[str, Response]]:
    """One page of each kind that can be reached by links from the jobs, open in the browser."""
    waiting, met = [f"{place.address}/jobs"], {""}
    while waiting:
        address = waiting.pop(0)
        kind = kind_of(address)
        if kind in met or re.search(r"\.\w{2,4}$", urlsplit(address).path):
            continue
        met.add(kind)
        answer = page.goto(address)
        assert answer is not None
        if "text/html" not in answer.headers.get("content-type", ""):
            continue
        yield kind, answer
        waiting += [each for each in links_of(page) if each.startswith(place.address)]


def name_of(kind: str) -> str:
    return re.sub(r"\W+", "-", kind.replace("/jobs/{job}", "job")).strip("-") or "front"


@SCREENS
def test_every_page_is_in_order(place: Place, width: dict[str, int]) -> None:
    context = place.browser.new_context(viewport=width)
    page = context.new_page()
    said, loaded, wrong, met = listen_to(page), list[Response](), list[str](), list[str]()
    page.on("response", lambda response: loaded.append(response))
    context.new_cdp_session(page).send("Network.setCacheDisabled", {"cacheDisabled": True})
    for kind, answer in every_page(place, page):
        met.append(kind)
        keep_picture(page, name_of(kind))
        wrong += [f"{kind}: {words}" for words in (*troubles(page, answer, loaded), *barriers(page))]
        page.set_viewport_size(LETTER)
        page.emulate_media(media="print")
        wrong += [f"{kind}: {words}" for words in troubles_in_print(page)]
        page.emulate_media(media="screen")
        page.set_viewport_size(width)
        loaded.clear()
    context.close()
    assert not wrong, "\n".join(wrong)
    assert not said
    assert len(met) > 40, met


def troubles(page: Page, answer: Response, loaded: list[Response]) -> Iterator[str]:
    if answer.status != 200:
        yield f"answers {answer.status}"
    if too_wide(page):
        yield f"{too_wide(page)} px wider than the screen"
    photographs = re.compile(r"/photographs/")
    weight = sum(each.request.sizes()["responseBodySize"] for each in loaded if not photographs.search(each.url))
    if weight > MOST_BYTES:
        yield f"{weight} bytes with all that it loads"


def barriers(page: Page) -> Iterator[str]:
    """What keeps a person from reading or using the page, by the rules of axe-core."""
    found = Axe().run(page, options={"resultTypes": ["violations"]}).response["violations"]
    for each in found:
        for node in each["nodes"][:3]:
            yield f"{each['id']}: {node['html'][:200]} {node.get('failureSummary', '')}"


def troubles_in_print(page: Page) -> Iterator[str]:
    if too_wide(page):
        yield f"in print {too_wide(page)} px wider than the paper"
    for words in NOT_PRINTED:
        if page.locator(words).locator("visible=true").count():
            yield f"{words} is printed"
