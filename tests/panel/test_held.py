"""Places that the shop holds: they stand where they may, give way in words where they may not."""

from __future__ import annotations

from collections.abc import Callable
from random import Random

import pytest

from driploop.installation.model import Proposal
from driploop.panel import PanelProblem, illegal, solve_exact, solve_plain
from driploop.panel.held import spaces_of, spaces_words, with_places
from driploop.worksheet import Assumption
from panel.boxes import box, double, problem, random_problem, single
from panel.brute import every_layout
from panel.test_solvers_against_all_layouts import small


def held(posed: PanelProblem, **proposal: dict[str, str]) -> tuple[PanelProblem, list[Assumption]]:
    """The first problem that is tried, and what was said by then."""
    said: list[Assumption] = []
    return next(with_places(posed, Proposal(**proposal), said)), said


@pytest.mark.parametrize("seed", range(24))
def test_a_lawful_place_is_held_and_the_rest_is_laid_around_it(seed: int) -> None:
    posed = small(seed)
    layouts = list(every_layout(posed))
    if not layouts:
        assert solve_plain(posed) is None
        return
    rng = Random(seed)
    wanted = {p.circuit: spaces_words(p.spaces) for p in rng.sample(rng.choice(layouts), k=2)}
    first = next(with_places(posed, Proposal(held_places=wanted), []))
    solved = solve_plain(first)
    assert solved is not None
    assert illegal(first, solved.layout) == ()
    at = {place.circuit: spaces_words(place.spaces) for place in solved.layout}
    assert {id: at[id] for id in wanted} == wanted
    assert solved.bound <= solved.cost.total


@pytest.mark.parametrize(
    ("words", "spaces"), [("5", (5,)), ("1-3", (1, 3)), (" 3-1 ", (3, 1)), ("five", ()), ("", ()), ("1-3-5", ())]
)
def test_a_place_is_read_as_a_door_card_writes_it(words: str, spaces: tuple[int, ...]) -> None:
    assert spaces_of(words) == spaces


@pytest.mark.parametrize(
    ("words", "why"), [
        ("99", "the panel has no space 99; it has 1 to 8"),
        ("1-3", "1 poles on 2 spaces"),
        ("somewhere", "this is no space"),
    ],
)  # fmt: skip
def test_what_cannot_stand_is_given_up_in_words(words: str, why: str) -> None:
    posed = problem(box(8), single("lamp", 4.0), double("range", 20.0))
    way, said = held(posed, held_places={"lamp": words})
    assert solve_plain(way) is not None
    (told,) = said
    assert told.where == "proposal.held_places.lamp"
    assert why in told.assumed


def test_two_who_want_one_space_the_first_has_it() -> None:
    posed = problem(box(8), single("lamp", 4.0), single("well", 8.0))
    way, said = held(posed, held_places={"lamp": "4", "well": "4"})
    assert [circuit.held for circuit in way.circuits] == [(4,), ()]
    assert said[0].where == "proposal.held_places.well"


def test_what_was_only_laid_gives_way_in_silence_to_what_is_held() -> None:
    posed = problem(box(8), single("lamp", 4.0), single("well", 8.0))
    way, said = held(posed, laid_places={"lamp": "4", "well": "6"}, held_places={"well": "4"})
    assert [circuit.held for circuit in way.circuits] == [(), (4,)]
    assert said == []


def test_a_tied_pair_may_be_held_by_either_of_its_circuits() -> None:
    pair = single("left", 6.0, partner="right"), single("right", 6.0, partner="left")
    for id, space in (("left", "5"), ("right", "5"), ("left", "1"), ("right", "8")):
        solved = solve_plain(held(problem(box(8), *pair), held_places={id: space})[0])
        assert solved is not None
        at = {place.circuit: place.spaces for place in solved.layout}
        assert at[id] == (int(space),)
        assert abs(at["left"][0] - at["right"][0]) == 2


def test_a_pair_without_room_beside_the_held_place_gives_it_up() -> None:
    pair = single("left", 6.0, partner="right"), single("right", 6.0, partner="left")
    lamp = single("lamp", 1.0)
    posed = problem(box(4), *pair, lamp)  # spaces 1 and 3 stand one above the other, 2 and 4
    said: list[Assumption] = []
    ways = with_places(posed, Proposal(held_places={"lamp": "3", "left": "1"}), said)
    solved = next((found for way in ways if (found := solve_plain(way)) is not None), None)
    assert solved is not None
    assert illegal(posed, solved.layout) == ()
    assert any(each.where.startswith("proposal.held_places") for each in said)


def test_nothing_held_changes_nothing() -> None:
    posed = problem(box(8), single("lamp", 4.0))
    assert held(posed) == (posed, [])
    assert list(with_places(posed, None, [])) == [posed]


def test_the_exact_solver_holds_them_too() -> None:
    posed = problem(box(8), single("lamp", 4.0), single("well", 8.0), double("range", 20.0, second=(10.0,)))
    way = held(posed, held_places={"range": "6-4", "well": "3"})[0]
    solved = solve_exact(way)
    assert solved is not None
    assert {p.circuit: p.spaces for p in solved.layout if p.circuit != "lamp"} == {"range": (6, 4), "well": (3,)}
    assert illegal(way, solved.layout) == ()


def test_whoever_waits_for_the_exact_search_is_told_and_may_end_it() -> None:
    told: list[tuple[int, int]] = []
    stops: list[Callable[[], None]] = []

    class Waiting:
        def begun(self, stop: Callable[[], None]) -> None:
            stops.append(stop)

        def better(self, cost: int, bound: int) -> None:
            told.append((cost, bound))
            stops[0]()

    posed = random_problem(7, spaces=40, doubles=8, singles=20)
    hint = solve_plain(posed)
    solved = solve_exact(posed, hint=hint, watch=Waiting())
    assert solved is not None
    assert illegal(posed, solved.layout) == ()
    assert len(stops) == 1
    assert told
    assert all(cost >= bound for cost, bound in told)
