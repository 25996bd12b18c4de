"""Words for a door card: clear, specific, and nothing that hangs on who lives there."""

from __future__ import annotations

import pytest

from driploop.installation import Building, Circuit, Installation
from driploop.panel import depends_on_who
from driploop.panel.words import NAME_THE_ROOM, NOT_TRACED, circuit_words, told_apart

PLACE = Installation(
    buildings={
        "house": Building(id="house", name="House", use="dwelling"),
        "barn": Building(id="barn", use="livestock"),
    }
)


def words(at: str = "house", **said: object) -> str:
    return circuit_words(Circuit.model_validate({"id": "c", **said}), PLACE, at_building=at)


@pytest.mark.parametrize("said", ["kids' room", "Anna's room", "guest of grandma", "my shop", "owner apartment"])
def test_words_that_hang_on_a_person(said: str) -> None:
    assert depends_on_who(said)


@pytest.mark.parametrize("said", ["north bedroom", "kitchen counter", "bench receptacles", "lights over the door"])
def test_words_that_do_not(said: str) -> None:
    assert not depends_on_who(said)


def test_a_kid_is_a_goat_where_animals_are_kept() -> None:
    assert words("barn", serves="heat lamps, kid pens") == "Heat lamps, kid pens"
    assert NAME_THE_ROOM in words("house", serves="kid pens")


def test_room_and_purpose_stand_together_once() -> None:
    assert words(serves="counter, left of the sink", room="kitchen") == "Kitchen: counter, left of the sink"
    assert words(serves="kitchen range", room="kitchen") == "Kitchen range"
    assert words(serves="water heater", building="barn").startswith("Barn: ")


def test_the_room_stands_for_words_that_name_a_person() -> None:
    assert words(serves="Anna's room", room="north bedroom") == "North bedroom"
    assert words(serves="Anna's room") == NAME_THE_ROOM
    assert "Anna" not in words(serves="lamp", room="Anna's room")


def test_what_nobody_traced_is_said_to_be_so() -> None:
    assert words() == NOT_TRACED


def test_words_that_would_stand_twice_are_told_apart() -> None:
    told = told_apart({"a": "Lights", "b": "lights", "c": "Freezer"}, ["a", "b", "c"])
    assert told == {"a": "Lights (1 of 2)", "b": "lights (2 of 2)", "c": "Freezer"}
