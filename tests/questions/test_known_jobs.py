"""Jobs of which it is known by hand what an answer decides."""

from __future__ import annotations

from pathlib import Path

import pytest

from driploop import read_job_text
from driploop.installation import Job
from driploop.questions import Answer, Gravity, Outcome, Question, questions_of, settle_most

CASES = Path(__file__).parents[1] / "cases"


def job(case: str, **instead: str) -> Job:
    """A case with some of its lines written otherwise: ``was`` and ``now`` in turns."""
    text = (CASES / f"{case}.toml").read_text(encoding="utf-8").partition("\n[expected")[0] + "\n"
    for was, now in instead.items():
        assert was in text, was
        text = text.replace(was, now)
    return read_job_text(text)


def by_path(asked: tuple[Question, ...]) -> dict[str, Question]:
    return {question.path: question for question in asked}


def changes(question: Question) -> dict[str, str]:
    return dict(question.answers)


def test_an_unknown_metal_path_decides_an_old_three_wire_feeder() -> None:
    # 250.32(B)(1) Ex. 1 of NEC 2017: every other condition is shown in this case, so the pipe alone decides.
    asked = questions_of(job("a_lawful_three_wire_feeder_stays", **{'metal_paths = "none"': 'metal_paths = "unknown"'}))
    question = by_path(asked)["runs.shop-feeder.metal_paths"]
    assert Outcome(Gravity.GROUND, "wires", "runs.shop-feeder") in question.settles
    assert Outcome(Gravity.GROUND, "neutral", "equipment.shop-panel") in question.settles
    told = changes(question)
    assert "may stay as it is" in told["no metal joins them"]
    assert "may stay" not in told["a metal water pipe"]
    assert question.if_nobody_knows.startswith("Assumed: a metal path between the buildings.")
    assert question == asked[0]
    assert question in settle_most(asked)


def test_the_year_of_an_old_feeder_decides_nothing() -> None:
    # The exception is for what is there, whenever it was laid: no condition asks for the year.
    asked = questions_of(
        job("a_lawful_three_wire_feeder_stays", **{"year_installed = 1982": 'year_installed = "unknown"'})
    )
    assert not [path for path in by_path(asked) if "year" in path]


def test_an_unread_range_decides_nothing_where_the_load_is_far_below() -> None:
    # At most 4,890 + 8,800 VA (14 kW range, Table 220.55 note 1) on a service of 200 A: 57 A.
    asked = questions_of(
        job("a_shed_on_three_wires_with_a_water_pipe_between", **{"kw = 12, volts": 'kw = "unknown", volts'})
    )
    assert not [path for path in by_path(asked) if path.startswith("loads.")]


def test_an_unread_range_decides_where_the_main_is_small() -> None:
    # House 4,890 VA. Range of 14 kW: 8,800 -> 13,690 VA, 57 A, over a main of 50 A. Range of 3.5 kW: 80 % (Table
    # 220.55, column B) 2,800 -> 7,690 VA, 32 A. Range of 7 kW: 80 % 5,600 -> 10,490 VA, 44 A. Shed lamps: 600 VA more.
    found = job(
        "a_shed_on_three_wires_with_a_water_pipe_between",
        **{"kw = 12, volts": 'kw = "unknown", volts', "rating_a = 100\npoles = 2\nmain = \"breaker\"\nmain_a = 100":
           "rating_a = 100\npoles = 2\nmain = \"breaker\"\nmain_a = 50"},
    ).model_copy(update={"proposal": None})  # fmt: skip
    asked = questions_of(found)
    question = by_path(asked)["loads.range-nameplate.va"]
    told = changes(question)
    assert question.settles[0].gravity is Gravity.SERVICE
    assert "House panel of 50 A carries the load" in told["3,500 VA"].replace("house panel", "House panel")
    assert "carries the load" in told["7,000 VA"]
    assert "carries the load" not in told["14,000 VA"]


def test_an_unknown_wire_size_decides_whether_the_feeder_serves() -> None:
    # feeder-b, copper USE behind 60 A fuses: 6 AWG carries 65 A at 75 C and 55 A at 60 C, 10 AWG 35 A (Table 310.16).
    question = by_path(questions_of(job("an_unknown_wire_is_taken_as_the_weakest")))["runs.feeder-b.line_size"]
    told = changes(question)
    assert "does not serve" in told["10 AWG"]
    assert "must be mended" in told["10 AWG"]
    assert "settled: feeder b: The size of the line conductors is not known" in told["2 AWG"]
    assert "does not serve" not in told["2 AWG"]
    assert "must be mended" not in told["2 AWG"]


def test_an_unknown_edition_decides_the_outdoor_disconnect() -> None:
    # 230.85: an outdoor emergency disconnect of dwellings since 2020; 230.70(A) of 2017 lets the main stay inside.
    unknown = job("a_lawful_three_wire_feeder_stays", **{'edition = "NEC 2017"': 'edition = "unknown"'})
    question = by_path(questions_of(unknown))["town.edition"]
    assert [answer.answer for answer in question.answers] == ["NEC 2017", "NEC 2020", "NEC 2023", "NEC 2026"]
    assert "must be mended" not in changes(question)["NEC 2017"]
    settled = {outcome.what for outcome in question.settles}
    assert [what for what in settled if "disconnect" in what]


def test_a_job_without_unknowns_that_matter_has_no_question_about_loads() -> None:
    # Its wires are followed: through ordinary rooms, each alone. What an attic would change is the next test's.
    # Its range has a ground, and its frame was seen to be off the neutral.
    found = job("a_fuse_box_becomes_200_a_with_an_inside_main")
    followed = {"hot_place": "none", "current_carrying": 2, "frame_grounded_by_neutral": False}
    circuits = {id: each.model_copy(update=followed) for id, each in found.found.circuits.items()}
    known = found.model_copy(update={"found": found.found.model_copy(update={"circuits": circuits})})
    assert not [q for q in questions_of(known) if q.path.startswith(("loads.", "circuits."))]


def test_the_ways_of_a_panels_wires_are_one_question() -> None:
    # 60 C wire in an attic of 50 C: factor 0.58 (Table 310.15(B)(1)(1)), so breakers come out smaller.
    asked = [q for q in questions_of(job("a_fuse_box_becomes_200_a_with_an_inside_main")) if "hot_place" in q.path]
    assert len(asked) == 1
    assert "circuits of" in asked[0].title
    assert any("device of" in words for words in changes(asked[0]).values())


@pytest.mark.parametrize("case", ["a_lawful_three_wire_feeder_stays", "an_unknown_wire_is_taken_as_the_weakest"])
def test_the_same_job_gives_the_same_questions(case: str) -> None:
    assert questions_of(job(case)) == questions_of(job(case))


# --- ranking -------------------------------------------------------------------------------------------------------


def question(path: str, *settles: Outcome, score: int = 0) -> Question:
    return Question(path, path, "", "", "", "", (Answer("yes", "something"),), score, settles)


RATING, SIZE, VERDICT, LABEL = (
    Outcome(gravity, gravity.name, "here")
    for gravity in (Gravity.SERVICE, Gravity.SIZE, Gravity.VERDICT, Gravity.LABEL)
)


def test_the_three_settle_most_together_and_not_the_same_thrice() -> None:
    first, same = question("a", RATING, SIZE, score=9), question("b", RATING, SIZE, score=8)
    small, least = question("c", VERDICT), question("d", LABEL)
    assert settle_most([first, same, small, least]) == (first, small, least)
    assert settle_most([first, same]) == (first,)
    assert settle_most([least, small, first], count=2) == (first, small)
    assert settle_most([]) == ()


def test_a_service_outweighs_any_number_of_verdicts() -> None:
    many = [Outcome(Gravity.VERDICT, str(number), "here") for number in range(40)]
    assert settle_most([question("many", *many), question("one", RATING)], count=1)[0].path == "one"


def test_questions_stand_by_score_then_by_path() -> None:
    asked = questions_of(job("an_unknown_wire_is_taken_as_the_weakest"))
    assert len(asked) > 3
    assert [(-q.score, q.path) for q in asked] == sorted((-q.score, q.path) for q in asked)
    assert all(any(answer.changes for answer in q.answers) for q in asked)


def test_what_may_lawfully_be_built_counts_where_it_is_told() -> None:
    from driploop.questions.outcomes import State

    unknown = job("a_lawful_three_wire_feeder_stays", **{'metal_paths = "none"': 'metal_paths = "unknown"'})
    outdoors = Outcome(Gravity.LAWFUL, "lawful", "service disconnect outdoors")

    def lawful(told: Job, turned: object) -> dict[Outcome, State]:
        joined = told.found.runs["shop-feeder"].metal_paths != ()
        return {outdoors: State(not joined, "the main may move outdoors")}

    question = by_path(questions_of(unknown, lawful=lawful))["runs.shop-feeder.metal_paths"]
    assert question.settles[0] == outdoors
    assert "the main may move outdoors" in changes(question)["no metal joins them"]


# --- what is asked of the utility and of the soil ---------------------------------------------------------------------

MAST = """format = 1
[town]
edition = "NEC 2023"
[utility]
supply = "overhead"
[buildings.house]
use = "dwelling"
[equipment.panel]
kind = "panel"
building = "house"
[runs.drop]
from = "utility"
to = "panel"
owner = "customer"
line_size = "2 AWG"
span_ft = 100
measured_temperature_f = 60
pole_attachment_height_ft = 22
attachment_height_ft = 16
lowest_over_ground_ft = 14
ground_below = "residential drive"
mast_trade_size = "2"
mast_above_roof_in = 36
"""


def test_the_ice_the_utility_reckons_with_decides_whether_a_mast_bears() -> None:
    asked = by_path(questions_of(read_job_text(MAST)))
    told = changes(asked["utility.loading_district"])
    assert "settled" in told["light"]
    assert not told["heavy"]  # as was assumed
    known = MAST.replace('supply = "overhead"', 'supply = "overhead"\nloading_district = "heavy"')
    assert "utility.loading_district" not in by_path(questions_of(read_job_text(known)))


FEW_KA = """format = 1
[town]
edition = "NEC 2023"
[utility]
supply = "underground"
transformer_kva = 50
transformer_impedance_percent = 2.0
[buildings.shop]
use = "workshop"
[equipment.main]
kind = "panel"
building = "shop"
main = "breaker"
main_a = 200
rating_a = 200
neutral_bonded = true
interrupting_rating_a = 10000
[runs.lateral]
from = "utility"
to = "main"
owner = "utility"
length_ft = 20
wires = 3
line_size = "4/0 AWG"
neutral_size = "4/0 AWG"
metal = "aluminum"
"""


def test_the_transformer_decides_whether_a_rating_is_enough() -> None:
    # At 2 percent, 15 kVA draw 3.1 kA line to line and half as much again to the neutral; 100 kVA 21 kA and more.
    asked = by_path(questions_of(read_job_text(FEW_KA.replace("transformer_kva = 50", 'transformer_kva = "unknown"'))))
    told = changes(asked["utility.transformer_kva"])
    assert _RATING in told["15 kVA"]
    assert _RATING not in told["100 kVA"]
    percent = FEW_KA.replace("transformer_impedance_percent = 2.0", 'transformer_impedance_percent = "unknown"')
    told = changes(by_path(questions_of(read_job_text(percent)))["utility.transformer_impedance_percent"])
    assert _RATING in told["5 %"]
    assert _RATING not in told["1.5 %"]


_RATING = "settled: main: It can interrupt 10,000 A"


STOCK = """
[site]
kind = "farm"
[buildings.barn]
use = "livestock"
concrete_confinement = false
[equipment.box]
kind = "panel"
building = "barn"
main = "breaker"
main_a = 100
rating_a = 100
neutral_bonded = true
[runs.feeder]
from = "main"
to = "box"
owner = "customer"
length_ft = 400
wires = 3
egc = "none"
line_size = "2 AWG"
neutral_size = "2 AWG"
metal = "aluminum"
ocpd = "breaker"
ocpd_a = 90
[circuits.lamps]
from = "box"
poles = 1
ocpd_a = 20
[loads.lamps]
kind = "lighting"
circuit = "lamps"
va = 2400
volts = 120
[electrodes.rod]
kind = "rod"
building = "barn"
connected = true
conductor_to = "box"
length_ft = 8
diameter_in = 0.625
"""


def test_the_soil_decides_what_stock_feels_of_the_neutral() -> None:
    # The rod reads 235 to 1,830 ohm in gravel and 1.4 to 65 in clay, beside 1 to 25 ohm of the utility's own.
    asked = by_path(questions_of(read_job_text(FEW_KA + STOCK)))
    told = changes(asked["soil.description"])
    assert "worth knowing: barn: Calculated load: the metal there" in told["gravel or sand with little clay"]
    assert not told["clay, shale or loam"]
    known = FEW_KA + STOCK + '[soil]\ndescription = "clay, shale or loam"\n'
    assert "soil.description" not in by_path(questions_of(read_job_text(known)))
