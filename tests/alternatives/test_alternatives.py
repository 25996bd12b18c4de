"""What holds of every comparison: nothing offered is left to be mended, wishes cost room, the same gives the same."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from pathlib import Path

import pytest

import driploop
from alternatives.houses import FARM, HEAD, HOUSE
from driploop.alternatives import Alternative, Comparison, OrderError, alternatives_of, parse_order, staged_of
from driploop.alternatives.frames import frames_of, keep_frame, needs_of
from driploop.alternatives.judge import judge
from driploop.alternatives.load_management import set_point
from driploop.alternatives.order import KEYS
from driploop.alternatives.search import _judged
from driploop.editions import load_edition, read_overlay
from driploop.installation import Job, Wish
from driploop.survey import read_job_text
from driploop.worksheet import Verdict

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.toml"))
YEARS = ("2017", "2020", "2023", "2026")
EV = 'wishes.ev = { kind = "vehicle charger", when = "later", panel = "box", current_a = 40, volts = 240, phase = 1 }\n'

NO_SERVICE_CABLE = """
[overlay]
name = "An invented shore town"
who_said_so = "its inspector, by letter"
date = 2026-03-02
kind = "town"
[forbidden.se-cable]
reason = "salt air"
"""


def job_of(survey: str, *, edition: str = "2023", site: str = "residence") -> Job:
    head = HEAD.format(edition=edition).replace("residence", site)
    return read_job_text(head + survey, name="a job")


def compared(job: Job, *, order: tuple[str, ...] | None = None) -> Comparison:
    assert job.town.edition is not None
    return alternatives_of(job, edition=load_edition(job.town.edition), order=order)


def lawful(comparison: Comparison) -> Iterator[Alternative]:
    yield from comparison.offered
    yield from (folded.alternative for folded in comparison.folded)


@pytest.mark.parametrize("bare", [False, True], ids=["with its proposal", "with none"])
@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_nothing_offered_is_left_to_be_mended_when_it_is_planned_anew(path: Path, bare: bool) -> None:
    job = driploop.read_job(path)
    if bare:
        job = job.model_copy(update={"proposal": None})
    comparison = compared(job)
    assert comparison.offered
    for each in lawful(comparison):
        assert not [f for f in each.findings if f.verdict is Verdict.MEND]
        again = driploop.plan(each.job, edition=load_edition(job.town.edition or ""))
        assert not again.must_mend, each.id
        assert set(again.proposed_findings) == set(each.findings), each.id


@pytest.mark.parametrize("year", YEARS)
@pytest.mark.parametrize(("survey", "site"), [(HOUSE, "residence"), (FARM, "farm")], ids=["house", "farm"])
def test_small_jobs_leave_nothing_to_mend_in_any_edition(survey: str, site: str, year: str) -> None:
    for each in lawful(compared(job_of(survey, edition=year, site=site))):
        assert not [f for f in each.findings if f.verdict is Verdict.MEND]


def test_the_same_job_gives_the_same_comparison() -> None:
    job = job_of(HOUSE)
    one, other = compared(job), compared(job)
    assert [a.id for a in one.offered] == [a.id for a in other.offered]
    assert [(a.figures, a.findings) for a in lawful(one)] == [(a.figures, a.findings) for a in lawful(other)]
    assert [(r.id, r.reasons) for r in one.refused] == [(r.id, r.reasons) for r in other.refused]


def test_a_wish_never_adds_room() -> None:
    job = job_of(HOUSE)
    for amperes in (10.0, 24.0, 48.0):
        wish = Wish(id="ev", kind="vehicle charger", when="now", panel="box", current_a=amperes, volts=240, phase=1)
        wished = job.model_copy(update={"wishes": {"ev": wish}})
        before = {each.id: each.figures.headroom_a for each in lawful(compared(job))}
        after = {each.id: each.figures.headroom_a for each in lawful(compared(wished))}
        same = before.keys() & after.keys()
        assert same
        assert all(after[id] <= before[id] for id in same)


def test_each_later_wish_leaves_no_more_room_than_the_one_before() -> None:
    more = EV + EV.replace("wishes.ev", "wishes.spa").replace("vehicle charger", "spa")
    for each in lawful(compared(job_of(HOUSE + more))):
        left = [each.figures.headroom_a, *(step.headroom_a for step in each.figures.wish_steps)]
        assert len(left) == 3
        assert left == sorted(left, reverse=True)


def test_a_repair_read_quickly_is_the_same_as_one_built_anew() -> None:
    # The bungalow's outdoor main needs an arc-fault breaker and a new range circuit.
    job = driploop.read_job(next(path for path in EXAMPLES if path.stem == "bungalow"))
    edition = load_edition("2020")
    kept = judge(keep_frame(job), job, edition=edition)
    frames, _ = frames_of(job, kept.readings, needs_of(kept.readings, edition=edition), edition=edition)
    for frame in frames:
        judged = _judged(frame, job, edition=edition)
        again = driploop.plan(judged.job, edition=edition)
        assert again.proposed is not None
        assert again.proposed.installation == judged.readings.installation, frame.id
        assert again.proposed.loads == judged.readings.loads, frame.id
        assert again.proposed.grounding == judged.readings.grounding, frame.id


def test_the_set_point_counts_as_continuous() -> None:
    # 125 percent of a continuous load: 100 A / 1.25 = 80 A; 60 A / 1.25 = 48 A; 225 A / 1.25 = 180 A.
    edition = load_edition("2023")
    assert [set_point(a, edition=edition)[0] for a in (60, 100, 225)] == [48, 80, 180]


def test_the_set_point_is_whole_amperes_below() -> None:
    # 99 A / 1.25 = 79.2 A
    assert set_point(99, edition=load_edition("2023"))[0] == 79


def test_no_farm_is_built_in_stages() -> None:
    assert "no farm" in staged_of(job_of(HOUSE), edition=load_edition("2023")).refused[0]


def test_every_stage_of_the_examples_farms_is_lawful_and_service_conductors_are_bought_once() -> None:
    for name in ("orchard", "goat-dairy"):
        job = driploop.read_job(next(path for path in EXAMPLES if path.stem == name))
        staging = staged_of(job, edition=load_edition(job.town.edition or ""))
        assert not staging.refused
        assert len(staging.stages) > 1
        for stage in staging.stages:
            assert not [f for f in stage.findings if f.verdict is Verdict.MEND]
        sizes = {stage.readings.installation.runs["service"].line_size for stage in staging.stages}
        assert len(sizes) == 1


def test_the_shop_sets_the_order() -> None:
    job = job_of(HOUSE + EV)
    by_room = compared(job, order=("headroom",)).offered
    assert [a.figures.headroom_a for a in by_room] == sorted((a.figures.headroom_a for a in by_room), reverse=True)
    by_conductor = compared(job, order=("conductor",)).offered
    feet = [round(a.figures.conductor_total_ft, 1) for a in by_conductor]
    assert feet == sorted(feet)


def test_an_order_is_read_from_the_shops_settings() -> None:
    assert parse_order('[shop]\norder = ["headroom", "circuits touched"]\n') == ("headroom", "circuits touched")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('[shop]\norder = ["price"]\n', "'price' is not known"),
        ('[shop]\norder = ["headroom", "headroom"]\n', "twice"),
        ("[shop]\n", "left out"),
        ("[shop", "not readable"),
    ],
)
def test_an_order_that_cannot_be_followed_is_refused(text: str, says: str) -> None:
    with pytest.raises(OrderError, match=says):
        parse_order(text)


def test_every_word_of_an_order_reads_a_figure() -> None:
    each = compared(job_of(HOUSE)).offered[0]
    assert all(isinstance(key(each), float) for key in KEYS.values())


def test_a_folded_way_is_better_in_nothing() -> None:
    comparison = compared(job_of(HOUSE))
    assert comparison.folded
    for folded in comparison.folded:
        by, beaten = comparison.alternative(folded.by).figures, folded.alternative.figures
        assert by.headroom_a >= beaten.headroom_a - 0.05
        assert len(by.circuits_touched) <= len(beaten.circuits_touched)
        assert len(by.three_wire_lost) <= len(beaten.three_wire_lost)
        assert by.enclosures_new <= beaten.enclosures_new


def test_every_figure_is_a_line_of_its_worksheet() -> None:
    for each in lawful(compared(job_of(HOUSE + EV))):
        figures, sheet = each.figures, each.figures.worksheet
        lines = {
            "rating": figures.rating_a, "headroom": figures.headroom_a, "enclosures_new": figures.enclosures_new,
            "enclosures_total": figures.enclosures_total, "circuits_touched": len(figures.circuits_touched),
            "circuits_extended": len(figures.circuits_extended), "three_wire_lost": len(figures.three_wire_lost),
            "steps": len(figures.steps), "power_off_steps": len(figures.power_off_steps),
            "power_off_share": figures.power_off_share, "wish_1": figures.wish_steps[0].headroom_a,
        }  # fmt: skip
        assert {key: sheet.line(key).result.number for key in lines} == pytest.approx(lines)


def test_a_method_that_the_town_forbids_is_neither_taken_nor_silently_left_out() -> None:
    overlay = read_overlay(NO_SERVICE_CABLE)
    job = job_of(HOUSE)
    comparison = alternatives_of(job, edition=load_edition("2023", overlays=(overlay,)))
    for each in lawful(comparison):
        choices = [choice for choice in each.choices if choice.method == "SE cable"]
        assert not any(choice.chosen for choice in choices)
        assert all("salt air" in " ".join(choice.why_not) for choice in choices)


def test_short_notice_and_a_meter_pulled_without_leave_bar_no_way_but_are_told(tmp_path: Path) -> None:
    overlay = """
        [overlay]
        name = "An invented wire company"
        who_said_so = "its desk, by telephone"
        date = 2026-03-02
        kind = "utility"
        [requirement.pulled]
        title = "Who pulls the meter"
        requires = "The company pulls the meter."
        section = "part 2"
        check = "who pulls the meter"
        who = "utility"
        [requirement.notice]
        title = "Notice"
        requires = "Five days ahead."
        section = "part 2"
        check = "notice"
        least_days = 5
    """
    days = 'cutover_date = "2026-12-10", notice_date = "2026-12-09", meter_work_by = "contractor by written leave", '
    survey = HEAD.format(edition="2023").replace("utility = { ", f"utility = {{ {days}") + HOUSE
    assert days in survey
    path = tmp_path / "wire-company.toml"
    path.write_text(textwrap.dedent(overlay), encoding="utf-8")
    edition = load_edition("2023", overlays=[read_overlay(path)])
    plain, barred = (alternatives_of(read_job_text(text, name="a job"), edition=edition)
                     for text in (HEAD.format(edition="2023") + HOUSE, survey))  # fmt: skip
    assert plain.offered
    assert [each.id for each in barred.offered] == [each.id for each in plain.offered]
    told = {each.rule for each in barred.shared}
    assert {"local-notice", "local-who-pulls-the-meter"} <= told
    assert not {"local-notice", "local-who-pulls-the-meter"} & {each.rule for each in plain.shared}
