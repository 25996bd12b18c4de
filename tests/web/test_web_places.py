"""A place that a reading names is told in words and leads to its form, to the very field where there is one."""

from __future__ import annotations

import re

import pytest

from driploop.survey.syntax import parse_toml
from driploop.web.places import address_of, place_words
from driploop.web.practice_jobs import practice_text
from web.hands import Shop, plain

TABLES = parse_toml(practice_text("bungalow"), name="it")


@pytest.mark.parametrize(
    ("where", "address", "words"),
    [
        ("equipment.fuse-box", "/walk/equipment/fuse-box", None),
        ("fuse-box", "/walk/equipment/fuse-box", None),
        ("circuits.range.ocpd_a", "/walk/circuits/range#f-circuits-range-ocpd_a", "Range: its rating"),
        ("utility.available_fault_current_a", "/walk/utility#f-utility-available_fault_current_a",
         "Utility: available fault current"),
        ("equipment.new-main", "", "New main"),
        ("equipment.new-main.rating_a", "", "New main: rating"),
        ("proposal.kind", "/proposal#f-proposal-kind", "Proposal: kind"),
        ("proposal.runs.service.wires", "/proposal?at=runs.service#f-proposal-runs-service-wires", None),
        ("", "", ""),
    ],
)  # fmt: skip
def test_a_place_leads_to_its_form(where: str, address: str, words: str | None) -> None:
    assert address_of(TABLES, where) == address
    if words is not None:
        assert place_words(TABLES, where) == words


def test_every_finding_that_leads_somewhere_leads_to_a_field_that_is_there(shop: Shop) -> None:
    job = shop.begin("bungalow")
    for state in ("found", "proposed"):
        page = shop.browser.get(f"{job}/findings", params={"state": state})
        links = re.findall(r'<h3><a href="([^"]+)">', page.text)
        assert links
        for link in set(links):
            address, _, field = link.partition("#")
            form = shop.browser.get(address)
            assert form.status_code == 200
            assert not field or f'id="{field}"' in form.text


def test_findings_are_told_with_their_reason(shop: Shop) -> None:
    words = plain(shop.browser.get(f"{shop.begin('bungalow')}/findings", params={"state": "found"}))
    assert "Must be mended" in words
    assert "Must be asked" in words
