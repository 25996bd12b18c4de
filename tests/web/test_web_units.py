"""Numbers, sizes and what comes next, as the trade writes and counts them (common practice)."""

from __future__ import annotations

import re
from typing import Any

import pytest

from driploop.survey import read_job_text
from driploop.survey.syntax import parse_toml
from driploop.web.numbering import id_after, next_space, next_words
from driploop.web.typed import number, size
from web.hands import Shop, plain


@pytest.mark.parametrize(
    ("words", "unit", "value"),
    [
        ("6'-8\"", "in", 80), ("6 ft 8 in", "in", 80), ("6'-8\"", "ft", 6.6667), ("6' 8 1/2\"", "in", 80.5),
        ("6\u2032\u20138\u2033", "in", 80), ("1-1/2", "in", 1.5), ("3/4\"", "in", 0.75), ("80\"", "ft", 6.6667),
        ("12 feet 6 inches", "ft", 12.5), ("2.5'", "in", 30), ("18", "in", 18), ("18", "ft", 18),
        ("5.5 kVA", "VA", 5500), ("10 kA", "A", 10_000), ("22 kA", "kA", 22), ("5,500 W", "kW", 5.5),
        ("40 amps", "A", 40),
        ("1/0", "in", "1/0"), ("-3", "in", -3), ("6 8", "ft", "6 8"), ("'", "ft", "'"), ("6'8'", "ft", "6'8'"),
        ("1e3", "ft", "1e3"), ("9" * 300, "in", "9" * 300),
    ],
)  # fmt: skip
def test_feet_inches_and_thousands(words: str, unit: str, value: Any) -> None:
    assert number(words, unit) == value


@pytest.mark.parametrize(
    ("words", "value"),
    [("4/0", "4/0 AWG"), ("#6", "6 AWG"), ("6 ga", "6 AWG"), ("0000", "4/0 AWG"), ("00 AWG", "2/0 AWG"),
     ("250 MCM", "250 kcmil"), ("12", "12 AWG"), ("thick", "thick"), ("5", "5"), ("00000", "00000")],
)  # fmt: skip
def test_sizes(words: str, value: str) -> None:
    assert size(words) == value


def test_a_size_is_written_in_the_spelling_of_the_file(shop: Shop) -> None:
    job = shop.begin()
    assert shop.answer(job, "circuits.range.wire_size", "#6", "8 AWG").status_code == 200
    assert 'wire_size = "6 AWG"' in shop.stored(job).text


def test_feet_and_inches_are_taken_by_a_field_in_feet(shop: Shop) -> None:
    job = shop.begin()
    assert shop.answer(job, "circuits.range.length_ft", "30'-6\"", 18).status_code == 200
    assert read_job_text(shop.stored(job).text).found.circuits["range"].length_ft == 30.5


@pytest.mark.parametrize(
    ("words", "taken", "value"),
    [("Circuit 7", {"Circuit 7"}, "Circuit 8"), ("kitchen-1", {"kitchen-2"}, "kitchen-3"), ("F09", set(), "F10"),
     ("left 2 top", set(), "left 3 top"), ("porch", set(), ""), ("", set(), "")],
)  # fmt: skip
def test_the_next_name(words: str, taken: set[str], value: str) -> None:
    assert next_words(words, taken) == value


def test_the_next_id_is_free() -> None:
    assert id_after("range", {"range"}) == "range-2"
    assert id_after("range", {"range", "range-2"}) == "range-3"
    assert id_after("kitchen-1", {"kitchen-1", "kitchen-2"}) == "kitchen-3"


def tables(*spaces: str, last: int | None = None) -> dict[str, Any]:
    panel = {"kind": "panel"} | ({"spaces": last} if last else {})
    circuits = {f"c{number}": {"from": "p", "position": space} for number, space in enumerate(spaces)}
    return {"equipment": {"p": panel}, "circuits": circuits}


@pytest.mark.parametrize(
    ("spaces", "last", "value"),
    [
        (["1"], None, "2"),  # a fuse box counts on
        (["1", "3"], None, "5"),  # down the left side of a panel
        (["2", "4", "6"], None, "8"),
        (["1", "2-4"], None, "6-8"),  # two poles take two spaces of a side
        (["1", "3", "5-7", "9"], None, "10"),
        (["3", "4"], 4, "1"),  # past the last space: the first that is free
        (["1", "2"], 2, ""),  # full
        (["pullout"], None, ""),
        (["unknown"], None, ""),
        (["11", "5"], None, "6"),
    ],
)
def test_the_next_space(spaces: list[str], last: int | None, value: str) -> None:
    made = tables(*spaces, last=last)
    assert next_space(made, f"c{len(spaces) - 1}") == value


# --- two taps --------------------------------------------------------------------------------------------------------


def forms(page: str) -> list[dict[str, str]]:
    found = re.findall(r'<form class="add[^>]*>.*?</form>', page, re.S)
    return [dict(re.findall(r'name="(\w+)" value="([^"]*)"', form)) for form in found]


def test_the_next_circuit_of_a_panel_has_the_last_ones_values_and_the_next_space(shop: Shop) -> None:
    job = shop.begin("goat-dairy")
    page = shop.browser.get(f"{job}/walk/equipment/house-panel")
    assert "What leaves it" in plain(page)
    (form,) = (form for form in forms(page.text) if "from" in form)
    form.pop("token")
    added = shop.post(f"{job}/things", **form)  # first tap; the second opens the panel
    assert added.status_code == 303
    id = added.headers["location"].rpartition("/")[2]
    made = read_job_text(shop.stored(job).text).found.circuits
    last = made[form["like"]]
    assert (made[id].from_, made[id].ocpd_a, made[id].wire_size) == ("house-panel", last.ocpd_a, last.wire_size)
    assert made[id].position == "13", "the panel is filled to 12 down both sides, the last one stands on the left"
    assert made[id].serves is None


def test_the_next_of_a_kind_is_offered_where_one_walks(shop: Shop) -> None:
    job = shop.begin()
    offered = [form for form in forms(shop.browser.get(f"{job}/walk/at/inside").text) if "like" in form]
    assert {form["table"] for form in offered} >= {"circuits", "loads", "equipment"}
    circuits = next(form for form in offered if form["table"] == "circuits")
    answer = shop.post(f"{job}/things", table="circuits", like=circuits["like"])
    assert answer.headers["location"].endswith(f"/walk/circuits/{circuits['like']}-2")


def test_a_box_without_circuits_begins_its_list(shop: Shop) -> None:
    job = shop.begin()
    shop.post(f"{job}/things", table="equipment", id="new-box")
    answer = shop.post(f"{job}/things", **{"table": "circuits", "from": "new-box"})
    id = answer.headers["location"].rpartition("/")[2]
    assert parse_toml(shop.stored(job).text, name="it")["circuits"][id] == {"from": "new-box"}
    assert shop.post(f"{job}/things", **{"table": "circuits", "from": "nowhere"}).status_code == 303
    read_job_text(shop.stored(job).text)


def test_each_station_counts_what_is_known(shop: Shop) -> None:
    job = shop.begin()
    before = re.findall(r"(\d+) of (\d+) known", plain(shop.browser.get(f"{job}/walk")))
    assert len(before) == 5
    held = parse_toml(shop.stored(job).text, name="it")["circuits"]["range"]["ocpd_a"]
    shop.answer(job, "circuits.range.ocpd_a", "unknown", held)
    after = re.findall(r"(\d+) of (\d+) known", plain(shop.browser.get(f"{job}/walk")))
    assert [int(n) for n, _ in before] == [int(n) + (place == 2) for place, (n, _) in enumerate(after)]
    assert [of for _, of in before] == [of for _, of in after]
