"""What is proposed, field by field, and its parts."""

from __future__ import annotations

import pytest

from driploop.survey import read_job_text
from driploop.survey.fields import keys_of
from driploop.survey.layout import BY_ID, SINGLE
from driploop.web.asking import asked_of
from driploop.web.practice_jobs import practice_jobs
from driploop.web.proposals import BY_ID_PROPOSED
from web.hands import Shop, plain


def test_every_field_of_a_proposal_is_asked() -> None:
    keys = keys_of(SINGLE["proposal"])
    assert set(asked_of("proposal")) == {name for name, key in keys.items() if key.shape.kind != "parts"}
    assert set(BY_ID_PROPOSED) == {name for name, key in keys.items() if key.shape.kind == "parts"}
    for table in BY_ID_PROPOSED:
        assert set(asked_of(f"proposal.{table}")) == set(keys_of(BY_ID[table])) - {"is_new"}


@pytest.mark.parametrize("practice", sorted(practice_jobs()))
def test_the_forms_open_with_what_is_said(shop: Shop, practice: str) -> None:
    job = shop.begin(practice)
    page = shop.browser.get(f"{job}/proposal")
    assert page.status_code == 200
    assert len(page.content) < 75_000
    proposal = read_job_text(shop.stored(job).text).proposal
    assert proposal is not None
    assert str(proposal.kind) in plain(page)
    for table in BY_ID_PROPOSED:
        for id in getattr(proposal, table):
            assert shop.browser.get(f"{job}/proposal", params={"at": f"{table}.{id}"}).status_code == 200


def test_a_field_of_the_proposal_is_changed(shop: Shop) -> None:
    job = shop.begin()
    assert shop.answer(job, "proposal.rating_a", "150 A", 200).status_code == 200
    proposal = read_job_text(shop.stored(job).text).proposal
    assert proposal is not None
    assert proposal.rating_a == 150
    assert shop.answer(job, "proposal.rating_a", "plenty", 150).status_code == 422
    assert shop.answer(job, "proposal.rating_a", "175", 200).status_code == 409


def test_a_part_that_will_stand_is_told_about(shop: Shop) -> None:
    job = shop.begin()
    page = shop.browser.get(f"{job}/proposal", params={"at": "runs.service"})
    assert 'id="f-proposal-runs-service-current_carrying"' in page.text
    assert shop.answer(job, "proposal.runs.service.current_carrying", "3").status_code == 200
    proposal = read_job_text(shop.stored(job).text).proposal
    assert proposal is not None
    assert proposal.runs["service"].current_carrying == 3


def test_without_a_script_one_comes_back_to_the_field(shop: Shop) -> None:
    job = shop.begin()
    answer = shop.post(f"{job}/field", path="proposal.runs.service.wires", value="3", seen="null")
    assert answer.headers["location"] == f"{job}/proposal?at=runs.service#f-proposal-runs-service-wires"
    assert shop.post(f"{job}/field", path="proposal.rating_a", value="x", seen="200").status_code == 422


@pytest.mark.parametrize(
    "path",
    ["proposal.runs.nowhere.wires", "proposal.shop.x.name", "proposal.kind.x", "proposal..x.y",
     "proposal.equipment.new-main"],
)  # fmt: skip
def test_what_will_not_stand_is_not_asked(shop: Shop, path: str) -> None:
    job = shop.begin()
    text = shop.stored(job).text
    assert shop.answer(job, path, "3").status_code == 404
    assert shop.stored(job).text == text


@pytest.mark.parametrize("at", ["runs.nowhere", "nothing", "nothing.x", "runs", "proposal.kind"])
def test_a_part_that_is_not_there_is_not_shown(shop: Shop, at: str) -> None:
    assert shop.browser.get(f"{shop.begin()}/proposal", params={"at": at}).status_code == 404


def test_where_nothing_is_proposed_the_kind_comes_first(shop: Shop) -> None:
    job = shop.post("/jobs/new", **{"from": "starter", "title": "Mill house"}).headers["location"].removesuffix("/walk")
    page = shop.browser.get(f"{job}/proposal")
    assert page.text.count('class="field"') == 1
    assert shop.answer(job, "proposal.kind", "service disconnect outdoors").status_code == 200
    assert 'kind = "service disconnect outdoors"' in shop.stored(job).text
