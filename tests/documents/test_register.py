"""Worksheets numbered as they are cited, alike ones once."""

from __future__ import annotations

from driploop.documents.register import Register, entries_data
from driploop.worksheet import Cited, Line, Worksheet

LOAD = (
    Line("Load", "given", Cited(100.0, "A"), "load"),
    Line("Size", "table", Cited("1 AWG", "", "1.1", "memory"), "size"),
)
OTHER = (Line("Load", "given", Cited(60.0, "A"), "load"),)


def test_a_worksheet_is_numbered_when_it_is_first_cited() -> None:
    register = Register()
    assert register.cite("P", Worksheet("a", "A", LOAD)) == "P1"
    assert register.cite("P", Worksheet("b", "B", OTHER)) == "P2"
    assert register.cite("P", Worksheet("a", "A", LOAD), "size") == "P1.2"


def test_lines_are_cited_in_the_order_asked_and_missing_ones_left_out() -> None:
    assert Register().cite("F", Worksheet("a", "A", LOAD), "size", "none", "load") == "F1.2, .1"


def test_the_same_lines_keep_their_number_and_gather_their_places() -> None:
    register = Register()
    register.cite("P", Worksheet("p", "Farm load", LOAD), place="New main")
    assert register.cite("F", Worksheet("f", "Farm load", LOAD), "load", place="Pole switch") == "P1.1"
    (entry,) = register.entries()
    assert list(entry.places) == ["New main", "Pole switch"]


def test_a_title_that_names_the_place_does_not_repeat_it() -> None:
    register = Register()
    register.cite("P", Worksheet("p", "Conductors of shed feeder", LOAD), place="Shed feeder")
    assert not register.entries()[0].places


def test_a_worksheet_without_lines_is_not_cited() -> None:
    register = Register()
    assert register.cite("P", Worksheet("a", "A")) == ""
    assert register.entries() == ()


def test_paper_lists_headroom_then_proposed_then_found() -> None:
    register = Register()
    for number in range(11):
        register.cite("P", Worksheet(f"p{number}", "P", (Line("n", "", Cited(number)),)))
    register.cite("F", Worksheet("f", "F", OTHER))
    register.cite("H", Worksheet("h", "H", LOAD))
    assert [e.number for e in register.entries()] == ["H1", *(f"P{n}" for n in range(1, 12)), "F1"]


def test_a_value_known_from_memory_carries_its_mark() -> None:
    register = Register()
    register.cite("P", Worksheet("a", "A", LOAD))
    assert [line["mark"] for line in entries_data(register.entries())[0]["lines"]] == ["", "m"]
