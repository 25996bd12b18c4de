"""What must hold whatever the numbers: more never gives less, an unknown is never less safe, editions answer."""

from typing import get_args

import pytest
from conductor_jobs import EDITIONS, NEC_2020, NEC_2023, feeder, house, reading
from hypothesis import given, settings
from hypothesis import strategies as st

from driploop.conductors import (
    conductor_for_rating,
    equipment_grounding_conductor,
    grounded_minimum,
    insulation_class,
    largest_device,
    next_standard_rating,
    raceway_for,
)
from driploop.editions import common_table, load_edition
from driploop.installation import rank
from driploop.installation.kinds import Insulation
from driploop.worksheet import DriploopError

QUICK = settings(max_examples=60, deadline=None)
metals = st.sampled_from(["copper", "aluminum"])
insulations = st.sampled_from(["TW", "THW", "XHHW-2", "THWN-2", None])
amperes = st.floats(1, 350)
editions = st.sampled_from(EDITIONS)


def size(rating_a, load_a, **more):
    """Rank of the size chosen; refusing is larger than any size."""
    fixed = {"metal": "copper", "insulation": "THW", "edition": NEC_2023}
    try:
        return rank(conductor_for_rating(rating_a, load_a, **(fixed | more)).size)
    except DriploopError:
        return 1000


@QUICK
@given(amperes, amperes, metals, insulations, st.booleans(), editions)
def test_more_load_or_a_larger_device_never_gives_a_smaller_wire(one, other, metal, insulation, whole, name):
    edition = load_edition(name)
    less, more = sorted((one, other))
    fixed = {"metal": metal, "insulation": insulation, "whole_dwelling": whole, "edition": edition}
    rating = next_standard_rating(less, edition=edition)
    larger = next_standard_rating(more, edition=edition)
    assert rating <= larger
    # Above the limit of 110.14(C)(1) unmarked terminals go by a higher column: the code's own step downward.
    limit = edition.number("small_terminal_limit")
    if rating > limit or larger <= limit:
        assert size(larger, more, **fixed) >= size(rating, less, **fixed)
    assert size(larger, more, **fixed) >= size(larger, less, **fixed)


@QUICK
@given(amperes, metals, insulations, st.floats(-10, 55), st.floats(-10, 55), st.integers(1, 30), st.integers(1, 30))
def test_hotter_or_more_together_never_gives_a_smaller_wire(load_a, metal, insulation, one_c, other_c, few, many):
    rating = next_standard_rating(load_a, edition=NEC_2020)
    cool, hot = sorted((one_c, other_c))
    few, many = sorted((few, many))
    fixed = {"metal": metal, "insulation": insulation, "edition": NEC_2020}
    assert size(rating, load_a, ambient_c=hot, **fixed) >= size(rating, load_a, ambient_c=cool, **fixed)
    assert size(rating, load_a, current_carrying=many, **fixed) >= size(rating, load_a, current_carrying=few, **fixed)


@QUICK
@given(amperes, metals, st.sampled_from(get_args(Insulation)), st.booleans())
def test_an_unknown_insulation_is_never_less_safe(load_a, metal, insulation, wet):
    rating = next_standard_rating(load_a, edition=NEC_2020)
    fixed = {"metal": metal, "wet": wet, "edition": NEC_2020}
    assert size(rating, load_a, insulation=None, **fixed) >= size(rating, load_a, insulation=insulation, **fixed)


@QUICK
@given(st.floats(1, 1500), st.floats(1, 1500), editions)
def test_more_ampacity_never_allows_a_smaller_device(one, other, name):
    edition = load_edition(name)
    less, more = sorted((one, other))
    assert largest_device(less, edition=edition).number <= largest_device(more, edition=edition).number


@QUICK
@given(st.floats(1, 6000), st.floats(1, 6000), metals, editions)
def test_a_larger_device_never_gives_a_smaller_ground(one, other, metal, name):
    edition = load_edition(name)
    less, more = sorted((one, other))
    sizes = [rank(equipment_grounding_conductor(a, metal, edition=edition).size) for a in (less, more)]
    assert sizes == sorted(sizes)


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("metal", ["copper", "aluminum"])
def test_larger_lines_never_give_a_smaller_neutral(edition, metal):
    edition = load_edition(edition)
    lines = [row["size"] for row in edition.table("conductor_ampacity").rows if rank(row["size"]) >= rank("8 AWG")]
    floors = [rank(grounded_minimum(line, line_metal=metal, metal=metal, edition=edition).value) for line in lines]
    assert floors == sorted(floors)


@QUICK
@given(st.integers(1, 6), st.sampled_from(["6 AWG", "1 AWG", "2/0 AWG", "4/0 AWG"]), insulations, st.booleans())
def test_more_conductors_never_fill_less(number, wire, insulation, nipple):
    def area(count):
        wires = [(insulation, wire, count, False)]
        answer = raceway_for(wires, "RMC", trade_size="4", nipple=nipple, edition=NEC_2020)
        return answer.fill_percent

    assert area(number + 1) > area(number)


def test_every_insulation_of_the_survey_has_a_class():
    named = {row["insulation"] for row in common_table("insulation_types").rows}
    assert named == set(get_args(Insulation))
    assert all(insulation_class(name, wet=True) <= insulation_class(name, wet=False) for name in named)


# --- whole readings --------------------------------------------------------------------------------------------------

ANSWERS = {
    "metal": ["copper", "aluminum"],
    "insulation": ["TW", "THW", "XHHW-2", "RHH", "rubber and cloth"],
    "buried": [True, False],
    "neutral_size": ["6 AWG", "1 AWG", "4/0 AWG"],
    "egc_size": ["10 AWG", "8 AWG", "4 AWG"],
    "egc_metal": ["copper", "aluminum"],
    "ocpd_a": [60.0, 100.0, 200.0],
    "line_size": ["6 AWG", "1 AWG", "3/0 AWG"],
}
SAFE = {True: 2, None: 1, False: 0}


@settings(max_examples=80, deadline=None)
@given(st.fixed_dictionaries({field: st.sampled_from(values) for field, values in ANSWERS.items()}), st.data())
def test_an_unknown_never_calls_a_kept_feeder_better_than_an_answer_could(answers, data):
    """Where an unknown field is read as serving, every answer to that field must serve as well."""
    field = data.draw(st.sampled_from(sorted(ANSWERS)))
    fixed = {"is_new": False, "egc": "wire", "ambient_c": 30.0, **answers}

    def verdict(**change):
        job = feeder(run={**fixed, **change})
        return reading(job, {"panel": (150, 70), "shed-panel": (55, 20)})["shed-feeder"].adequate

    unknown = verdict(**{field: None})
    answered = [verdict(**{field: value}) for value in ANSWERS[field]]
    assert SAFE[unknown] <= min(SAFE[each] for each in answered) or unknown is None
    # And it is not condemned while some answer could still save it.
    if any(each is True for each in answered):
        assert unknown is not False


@settings(max_examples=60, deadline=None)
@given(amperes, amperes, st.sampled_from([100, 150, 200, 400]), metals, editions)
def test_more_load_never_gives_a_smaller_new_service(one, other, rating_a, metal, name):
    edition = load_edition(name)
    less, more = sorted((one, other))
    for use in ("dwelling", "agricultural"):
        runs = [
            reading(house(rating_a, run={"metal": metal}, use=use), {"panel": (a, a / 2)}, edition)["service"]
            for a in (less, more)
        ]
        for of in ("line_size", "neutral_size"):
            small, large = (getattr(run, of) for run in runs)
            assert large is None or rank(small) <= rank(large)


@pytest.mark.parametrize("edition", EDITIONS)
def test_every_edition_answers_a_whole_installation(edition):
    runs = reading(feeder(run={"method": "PVC 80", "buried": True}), {"panel": (150, 70), "shed-panel": (55, 20)},
                   load_edition(edition))  # fmt: skip
    for run in ("service", "shed-feeder"):
        assert runs[run].line_size
        assert all(line.result.section for line in runs[run].worksheet.lines if line.key in ("line_size", "load"))


def test_the_order_of_the_survey_changes_nothing():
    job = feeder(run={"method": "EMT"})
    turned = job.model_copy(
        update={kind: dict(reversed(getattr(job, kind).items())) for kind in ("equipment", "runs", "circuits")}
    )
    loads = {"panel": (150, 70), "shed-panel": (55, 20)}
    assert reading(job, loads) == reading(turned, loads)
