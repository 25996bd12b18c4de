"""The readings: a page each, as found and as proposed, on which every number opens its worksheet."""

from __future__ import annotations

import html
import re
from html.parser import HTMLParser

import pytest

from driploop.planning import plan
from driploop.survey import read_job_text
from driploop.web.practice_jobs import practice_jobs, practice_text
from driploop.web.reading_pages import PAGES
from driploop.web.sheets import KNOWN, all_sheets, sheet_of
from web.hands import Shop, plain

STATES = ("found", "proposed")


class Tables(HTMLParser):
    """Every cell of the tables of readings: its class, whether it says it is a fact, its words and its links."""

    def __init__(self) -> None:
        super().__init__()
        self.cells: list[dict[str, str]] = []
        self.inside = False
        self.depth = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = {name: value or "" for name, value in attrs}
        if tag in ("td", "th"):
            self.inside = True
            self.cells.append({"tag": tag, "class": said.get("class", ""), "words": "", "href": ""})
            self.cells[-1]["fact"] = "yes" if "data-fact" in said else ""
            self.cells[-1]["head"] = said.get("scope", "")
        if tag == "a" and self.inside:
            self.cells[-1]["href"] = said.get("href", "")

    def handle_endtag(self, tag: str) -> None:
        if tag in ("td", "th"):
            self.inside = False

    def handle_data(self, data: str) -> None:
        if self.inside:
            self.cells[-1]["words"] += data


def addresses(practice: str) -> list[str]:
    return [f"readings/{slug}?state={state}" for slug in PAGES for state in STATES]


@pytest.mark.parametrize("practice", sorted(practice_jobs()))
def test_every_number_on_every_page_opens_its_worksheet_or_is_a_fact(shop: Shop, practice: str) -> None:
    job = shop.begin(practice)
    leads: set[str] = set()
    numbers = 0
    for address in addresses(practice):
        answer = shop.browser.get(f"{job}/{address}")
        assert answer.status_code == 200
        assert len(answer.content) < 150_000, address
        tables = Tables()
        tables.feed(answer.text)
        for cell in tables.cells:
            if cell["class"] == "number" and not cell["head"] and re.search(r"\d", cell["words"]):
                numbers += 1
                assert cell["fact"] or "/sheets/" in cell["href"], (address, cell)
        leads |= set(re.findall(rf'href="({job}/sheets/[^"]+)"', answer.text))
    assert numbers > 100
    for lead in leads:
        assert shop.browser.get(html.unescape(lead)).status_code == 200, lead


def test_a_number_leads_to_the_line_that_says_it(shop: Shop) -> None:
    """The dairy's house panel carries 17,216 VA by the method for an existing dwelling; its own sheet ends so."""
    job = shop.begin("goat-dairy")
    page = shop.browser.get(f"{job}/readings/load").text
    found = re.search(r'href="([^"]+)">17,216 VA</a>', page)
    assert found
    sheet = shop.browser.get(html.unescape(found[1])).text
    meant = re.search(r'<tr class="meant"[^>]*>(.*?)</tr>', sheet, re.S)
    assert meant
    assert "17,216 VA" in meant[1]


def test_a_worksheet_says_formula_answer_section_edition_and_how_well_it_is_known(shop: Shop) -> None:
    job = shop.begin("goat-dairy")
    words = plain(shop.browser.get(f"{job}/sheets/proposed/load/house-panel/optional"))
    assert "Sections of NEC 2023" in words
    assert "1,680 ft2 x 3 VA/ft2 5,040 VA 220.41" in words
    assert KNOWN["page"] in words


def test_a_worksheet_opens_in_place_as_a_row_or_as_a_piece(shop: Shop) -> None:
    job = shop.begin()
    sheet = next(iter(all_sheets(plan(read_job_text(practice_text("bungalow"), name="job")))))
    address = f"{job}/sheets/proposed/{sheet}"
    row = shop.browser.get(f"{address}?line=1&as=row", headers={"HX-Request": "true"}).text
    assert row.strip().startswith('<tr class="opened">')
    assert "<html" not in row
    assert "data-cursor" in row
    piece = shop.browser.get(address, headers={"HX-Request": "true"}).text
    assert piece.strip().startswith("<details")


@pytest.mark.parametrize("practice", sorted(practice_jobs()))
def test_every_worksheet_is_found_again_by_its_id(practice: str) -> None:
    read = plan(read_job_text(practice_text(practice), name="job"))
    sheets = all_sheets(read)
    assert len(sheets) > 40
    assert all(sheet_of(read, id) == sheet for id, sheet in sheets.items())


@pytest.mark.parametrize(
    "address", ["sheets/proposed/load/nothing", "sheets/built/load/meter", "readings/nothing", "places/equipment/none",
                "places/nothing/meter", "places/wishes/meter"],
)  # fmt: skip
def test_what_is_not_there_is_said_to_be_not_there(shop: Shop, address: str) -> None:
    assert shop.browser.get(f"{shop.begin()}/{address}").status_code == 404


@pytest.mark.parametrize("line", ["", "0", "99999999999", "x", "-1", "²"])
def test_a_line_that_is_none_marks_none(shop: Shop, line: str) -> None:
    job = shop.begin()
    answer = shop.browser.get(f"{job}/readings/load")
    lead = re.search(r'href="(/jobs/[^"?]+/sheets/[^"?]+)', answer.text)
    assert lead
    page = shop.browser.get(lead[1], params={"line": line})
    assert page.status_code == 200
    assert 'class="meant"' not in page.text


@pytest.mark.parametrize("slug", sorted(PAGES))
def test_a_survey_just_begun_says_what_to_enter_first(shop: Shop, slug: str) -> None:
    job = shop.post("/jobs/new", **{"from": "starter", "title": "Mill house"}).headers["location"].removesuffix("/walk")
    answer = shop.browser.get(f"{job}/readings/{slug}")
    assert answer.status_code == 200
    assert f"{job}/walk" in answer.text


def test_the_method_that_governs_is_marked_beside_the_others(shop: Shop) -> None:
    page = shop.browser.get(f"{shop.begin('goat-dairy')}/readings/load").text
    governing = re.findall(r'<tr class="counts">(.*?)</tr>', page, re.S)
    assert len(governing) >= 6  # one for every enclosure
    assert all("governs" in row for row in governing)


def test_the_bond_and_the_paths_can_be_followed_by_links(shop: Shop) -> None:
    page = shop.browser.get(f"{shop.begin('goat-dairy')}/readings/grounding").text
    drawn = set(re.findall(r'<a href="#([^"]+)"><g', page))
    assert {"bond-new-main", "bond-barn-panel", "wires-barn-feeder", "electrode-house-rod"} <= drawn
    assert all(f'id="{anchor}"' in page for anchor in drawn)
    assert "A fault in Cheese room panel" in page
    assert "neutral and ground meet here" in page


def test_as_found_nothing_of_the_proposal_is_read(shop: Shop) -> None:
    """The dairy's pole main is there as found and gone as proposed; the isolating device the other way round."""
    job = shop.begin("goat-dairy")
    found = plain(shop.browser.get(f"{job}/readings/voltages?state=found"))
    proposed = plain(shop.browser.get(f"{job}/readings/voltages?state=proposed"))
    assert "Site-isolating device" in proposed
    assert "Site-isolating device" not in found


def test_the_list_of_readings_shows_a_figure_for_each(shop: Shop) -> None:
    job = shop.begin("goat-dairy")
    words = plain(shop.browser.get(f"{job}/readings?state=found"))
    assert "Room left" in words
    assert " apart " not in words
    page = shop.browser.get(f"{job}/readings").text
    for address in re.findall(rf'href="({job}/[^"]+)"', page):
        assert shop.browser.get(html.unescape(address)).status_code == 200


def test_a_place_leads_to_its_form_its_worksheets_and_its_findings(shop: Shop) -> None:
    job = shop.begin("goat-dairy")
    page = shop.browser.get(f"{job}/places/equipment/barn-panel").text
    assert f'href="{job}/walk/equipment/barn-panel"' in page
    assert "/sheets/proposed/fault/barn-panel" in page
    assert f"{job}/places/runs/barn-feeder" in page
    new = plain(shop.browser.get(f"{job}/places/equipment/new-main"))
    assert "comes with the proposal" in new


def test_an_old_address_of_a_worksheet_still_leads_to_it(shop: Shop) -> None:
    job = shop.begin()
    answer = shop.browser.get(f"{job}/worksheets/P1")
    assert answer.status_code == 200
    assert "/sheets/proposed/" in str(answer.url)
    assert shop.browser.get(f"{job}/worksheets/P999").status_code == 404


def test_findings_lead_to_the_field_and_to_the_readings_of_the_place(shop: Shop) -> None:
    job = shop.begin("goat-dairy")
    for state in STATES:
        page = shop.browser.get(f"{job}/findings?state={state}").text
        fields = re.findall(rf'<h3><a href="({job}/walk/[^"]+)"', page)
        places = re.findall(rf'href="({job}/places/[^"]+)"', page)
        assert len(fields) > 5
        assert len(places) > 5
        for address in {*fields, *places}:
            assert shop.browser.get(html.unescape(address)).status_code == 200, address


@pytest.mark.parametrize("query", ["state=built", "state=", "state=%00", "as=row&line=3"])
@pytest.mark.parametrize("address", ["readings", "readings/load", "circuits", "findings", "panel"])
def test_a_strange_address_of_a_reading_shows_what_will_stand(shop: Shop, address: str, query: str) -> None:
    answer = shop.browser.get(f"{shop.begin()}/{address}?{query}")
    assert answer.status_code == 200
    assert "as proposed" in plain(answer)
