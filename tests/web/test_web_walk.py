"""The walk: an answer changes the job file and the plan, a wrong one is told at its field, nothing is lost."""

from __future__ import annotations

import re
from typing import Any

import pytest

from driploop.survey import read_job_text
from driploop.survey.fields import keys_of
from driploop.survey.layout import BY_ID, SINGLE
from driploop.survey.syntax import parse_toml
from driploop.web.asking import NOT_ASKED, asked_of
from driploop.web.practice_jobs import practice_jobs, practice_text
from driploop.web.stations import KINDS, STATIONS, things_of, where_met
from driploop.web.typed import number, value_of
from web.hands import Shop, plain

RATING = "circuits.range.ocpd_a"


def rating_of(shop: Shop, job: str) -> float | None:
    return read_job_text(shop.stored(job).text).found.circuits["range"].ocpd_a


# --- what is asked ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("table", [table for table in (*SINGLE, *BY_ID) if table not in ("proposal", "shop")])
def test_the_walk_asks_every_field_of_the_model(table: str) -> None:
    keys = set(keys_of(SINGLE.get(table) or BY_ID[table]))
    assert set(asked_of(table)) == keys - NOT_ASKED
    assert table in KINDS
    assert any(table in (*station.singles, *station.adds) for station in STATIONS) or table == "bonds"


@pytest.mark.parametrize("practice", sorted(practice_jobs()))
def test_everything_of_a_job_is_met_somewhere(practice: str) -> None:
    tables = parse_toml(practice_text(practice), name="it")
    met = [(thing.path, where_met(thing, tables)) for thing in things_of(tables)]
    assert {where for _, where in met} <= {station.slug for station in STATIONS}
    assert {path for path, _ in met} >= {f"{table}.{id}" for table in BY_ID for id in tables.get(table, {})}


def test_things_are_met_where_a_person_walks() -> None:
    tables = parse_toml(practice_text("bungalow"), name="it")
    met = {thing.path: where_met(thing, tables) for thing in things_of(tables)}
    assert met["utility"] == met["equipment.meter"] == met["runs.lateral"] == "outside"
    assert met["equipment.fuse-box"] == met["circuits.range"] == "inside"
    assert (
        met["buildings.car-shed"] == met["equipment.car-shed-box"] == met["runs.car-shed-feeder"] == "other-buildings"
    )


@pytest.mark.parametrize("practice", sorted(practice_jobs()))
def test_every_form_of_a_job_opens(shop: Shop, practice: str) -> None:
    job = shop.begin(practice)
    tables = parse_toml(practice_text(practice), name="it")
    for station in STATIONS:
        assert shop.browser.get(f"{job}/walk/at/{station.slug}").status_code == 200
    for thing in things_of(tables):
        answer = shop.browser.get(f"{job}/walk/{thing.address}")
        assert answer.status_code == 200
        assert len(answer.content) < 150_000


# --- an answer -------------------------------------------------------------------------------------------------------


def test_an_answer_changes_the_job_file_and_the_plan(shop: Shop) -> None:
    job = shop.begin()
    before = rating_of(shop, job)
    comment = shop.stored(job).text.splitlines()[0]
    answer = shop.answer(
        job, "buildings.bungalow.floor_area_ft2", "2,900 ft2", _at(shop, job, "buildings", "bungalow", "floor_area_ft2")
    )
    assert answer.status_code == 200
    assert "Saved: 2900" in plain(answer)
    assert "moved since you looked" in plain(answer)
    assert "floor_area_ft2 = 2900" in shop.stored(job).text
    assert shop.stored(job).text.splitlines()[0] == comment
    assert rating_of(shop, job) == before
    moved = plain(shop.browser.get(f"{job}/consequence"))
    assert "2,900" in moved or "VA" in moved
    assert "I have looked" in moved


def test_what_moved_stays_marked_until_looked_at(shop: Shop) -> None:
    job = shop.begin()
    shop.answer(
        job, "buildings.bungalow.floor_area_ft2", "2900", _at(shop, job, "buildings", "bungalow", "floor_area_ft2")
    )
    assert "moved since you looked" in plain(shop.browser.get(job))
    shop.post(f"{job}/looked", revision=str(shop.stored(job).row.revision - 1))
    assert "moved since you looked" in plain(shop.browser.get(job)), "an older page was looked at"
    shop.post(f"{job}/looked", revision=str(shop.stored(job).row.revision))
    assert "moved since you looked" not in plain(shop.browser.get(job))


@pytest.mark.parametrize("words", ["forty", "-3", "1e3", "7000", "40 40", "<b>", "4" * 400, "inf", "nan"])
def test_a_wrong_answer_is_told_at_its_field_and_nothing_is_written(shop: Shop, words: str) -> None:
    job = shop.begin()
    text = shop.stored(job).text
    seen = _at(shop, job, "circuits", "range", "ocpd_a")
    answer = shop.answer(job, RATING, words, seen)
    assert answer.status_code == 422
    assert "amperes" in plain(answer)
    assert shop.stored(job).text == text
    whole = shop.post(f"{job}/field", path=RATING, value=words, seen=str(seen))
    assert whole.status_code == 422
    kept = re.search(r'id="v-circuits-range-ocpd_a" value="([^"]*)"', whole.text)
    assert kept, "what was typed stays in the field, also without a script"
    assert kept[1].replace("&lt;", "<").replace("&gt;", ">") == words


@pytest.mark.parametrize("words", ["", "unknown", "Unknown ", "   "])
def test_not_known_is_an_answer(shop: Shop, words: str) -> None:
    job = shop.begin()
    assert shop.answer(job, RATING, words, _at(shop, job, "circuits", "range", "ocpd_a")).status_code == 200
    assert rating_of(shop, job) is None


def test_two_answers_to_one_question_are_both_shown(shop: Shop) -> None:
    job = shop.begin()
    seen = _at(shop, job, "circuits", "range", "ocpd_a")
    shop.answer(job, RATING, "35", seen)
    late = shop.answer(job, RATING, "30", seen)
    assert late.status_code == 409
    assert "It says 35 , you gave 30" in plain(late)
    assert rating_of(shop, job) == 35
    assert shop.answer(job, RATING, "30", 35).status_code == 200
    assert rating_of(shop, job) == 30


def test_answers_to_different_questions_both_stand(shop: Shop) -> None:
    job = shop.begin()
    one, other = (_at(shop, job, "circuits", "range", key) for key in ("ocpd_a", "length_ft"))
    assert shop.answer(job, RATING, "35", one).status_code == 200
    assert shop.answer(job, "circuits.range.length_ft", "12' 6\"", other).status_code == 200
    assert rating_of(shop, job) == 35
    assert read_job_text(shop.stored(job).text).found.circuits["range"].length_ft == 12.5


@pytest.mark.parametrize(
    "path",
    [
        "",
        "circuits",
        "circuits.range",
        "circuits.range.colour",
        "proposal.colour",
        "proposal.runs.x",
        "format",
        "a.b.c.d",
    ],
)
def test_a_path_that_is_no_question_is_refused(shop: Shop, path: str) -> None:
    assert shop.answer(shop.begin(), path, "1").status_code == 404


def test_an_answer_to_a_thing_that_was_removed_does_not_bring_it_back(shop: Shop) -> None:
    job = shop.begin()
    shop.post(f"{job}/things", table="circuits", id="porch")
    shop.post(f"{job}/things/remove", path="circuits.porch")
    assert shop.answer(job, "circuits.porch.ocpd_a", "15").status_code == 404
    assert "porch" not in read_job_text(shop.stored(job).text).found.circuits


def test_a_form_that_is_not_whole_is_refused(shop: Shop) -> None:
    assert shop.post(f"{shop.begin()}/field", path=RATING, value="1", seen="{").status_code == 400


# --- things ----------------------------------------------------------------------------------------------------------


def test_another_like_it_has_the_same_values_in_one_tap(shop: Shop) -> None:
    job = shop.begin()
    form = shop.browser.get(f"{job}/walk/circuits/range")
    proposed = re.search(r'id="another" name="id" value="([^"]+)"', form.text)
    assert proposed
    added = shop.post(f"{job}/things", table="circuits", like="range", id=proposed[1])
    assert added.headers["location"] == f"{job}/walk/circuits/{proposed[1]}"
    circuits = read_job_text(shop.stored(job).text).found.circuits
    assert circuits[proposed[1]].wire_size == circuits["range"].wire_size
    assert circuits[proposed[1]].from_ == circuits["range"].from_
    assert circuits[proposed[1]].position is None, "two circuits never leave one place"


def test_an_id_that_is_taken_gives_way_to_the_next_free_one(shop: Shop) -> None:
    job = shop.begin()
    added = shop.post(f"{job}/things", table="circuits", id="range")
    assert re.search(r"/walk/circuits/circuit-\d+$", added.headers["location"])


def test_a_thing_may_be_called_as_a_person_calls_it(shop: Shop) -> None:
    job = shop.begin()
    added = shop.post(f"{job}/things", table="circuits", id="Back porch & steps")
    assert added.headers["location"].endswith("/walk/circuits/back-porch-steps")
    assert read_job_text(shop.stored(job).text).found.circuits["back-porch-steps"].name == "Back porch & steps"


@pytest.mark.parametrize("id", ["Upper Case", "a.b", "ünder", "../../x", 'q"uote', "a" * 500])
def test_an_id_that_no_file_may_have_is_refused_or_mended(shop: Shop, id: str) -> None:
    job = shop.begin()
    answer = shop.post(f"{job}/things", table="loads", id=id)
    assert answer.status_code == 303
    read_job_text(shop.stored(job).text)


def test_a_removed_thing_can_be_put_back(shop: Shop) -> None:
    job = shop.begin()
    shop.post(f"{job}/things", table="circuits", like="range", id="second-range")
    text = shop.stored(job).text
    removed = shop.post(f"{job}/things/remove", path="circuits.second-range")
    assert "second-range" not in shop.stored(job).text
    offered = shop.browser.get(removed.headers["location"])
    change = re.search(r'name="change" value="(\d+)"', offered.text)
    assert change
    shop.post(f"{job}/undo", change=change[1])
    assert parse_toml(shop.stored(job).text, name="it") == parse_toml(text, name="it")


def test_a_thing_that_others_name_stays_and_the_page_says_who(shop: Shop) -> None:
    job = shop.begin()
    text = shop.stored(job).text
    answer = shop.post(f"{job}/things/remove", path="equipment.fuse-box")
    assert answer.status_code == 422
    assert "fuse-box" in plain(answer)
    assert shop.stored(job).text == text


def test_a_survey_without_a_plan_stays_open(shop: Shop) -> None:
    job = shop.begin()
    shop.answer(job, "town.edition", "NEC 1923", "NEC 2020")
    for address in ("", "/walk", "/walk/town", "/readings", "/findings", "/panel", "/people", "/papers"):
        assert shop.browser.get(job + address).status_code == 200


# --- what is typed ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "unit", "value"),
    [
        ("40", "A", 40), ("40 A", "A", 40), ("40a", "A", 40), ("1,200", "VA", 1200), ("12.50", "ft", 12.5),
        ("12' 6\"", "ft", 12.5),
        ("8 ft 3 in", "ft", 8.25), ("9'", "ft", 9), ("30\"", "in", 30), (".5", "kW", 0.5), ("7-1/2", "", "7-1/2"),
        ("about 40", "A", "about 40"), ("", "A", ""), ("1e5", "A", "1e5"),
    ],
)  # fmt: skip
def test_numbers_are_read_as_the_trade_writes_them(words: str, unit: str, value: Any) -> None:
    assert number(words, unit) == value


@pytest.mark.parametrize(
    ("table", "key", "typed", "value"),
    [
        ("equipment", "outdoors", ["yes"], True),
        ("equipment", "outdoors", ["unknown"], None),
        ("runs", "wires", ["4"], 4),
        ("runs", "metal_paths", ["water pipe", "fence"], ["water pipe", "fence"]),
        ("runs", "metal_paths", ["none"], []),
        ("runs", "metal_paths", [], None),
        ("buildings", "other_sources", ["generator, solar"], ["generator", "solar"]),
        ("soil", "four_pin", ["5 14\n10, 6.5 8"],
         [{"spacing_ft": 5, "resistance_ohm": 14}, {"spacing_ft": 10, "resistance_ohm": 6.5, "probe_depth_in": 8}]),
        ("working_hours", "share_percent", ["range: 50\ndryer: 25"], {"range": 50, "dryer": 25}),
        ("circuits", "serves", ["  porch \x00\x1b light "], "porch  light"),
    ],
)  # fmt: skip
def test_each_kind_of_field_is_read(table: str, key: str, typed: list[str], value: Any) -> None:
    assert value_of(asked_of(table)[key].key, typed) == value


def _at(shop: Shop, job: str, table: str, id: str, key: str) -> Any:
    return parse_toml(shop.stored(job).text, name="it")[table][id].get(key)
