"""The load of an existing installation from a metered peak, its conditions checked one by one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from driploop.editions import Edition
from driploop.loads.inputs import MeteredRecord, NewLoad
from driploop.loads.results import LoadResult, Permission
from driploop.loads.writing import finish, refused, sheet_for, sum_words, total_of
from driploop.worksheet import Assumption, WorksheetWriter, plain

TITLE = "Existing load by metered peak"


@dataclass(frozen=True, slots=True)
class Condition:
    """One condition of the method: met (yes), broken (no) or not known (ask), in words."""

    what: str
    met: Permission
    because: str


def metered_existing(
    record: MeteredRecord,
    *,
    edition: Edition,
    new_loads: Sequence[NewLoad] = (),
    rating_a: float | None = None,
    volts: float = 240.0,
    where: str = "metered",
    assumptions: Sequence[Assumption] = (),
) -> LoadResult:
    """Load from a metered peak: the peak raised, the missing season and the new loads added in full.

    Args:
        record: the peak and how it was taken.
        edition: the code edition to ask.
        new_loads: what is added to the installation. [VA]
        rating_a: rating of the service or feeder. [A]
        volts: line to line. [V]
        where: names the worksheet.
        assumptions: what was assumed of the new loads.

    Source:
        NEC 2020: 220.87.
    """
    section = edition.entry("metered-load").section
    if record.peak_kw is None:
        why = "no peak demand was given; ask the utility for the highest demand of the last year"
        return refused("metered", TITLE, where=where, section=section, why=why)
    sheet = sheet_for("metered", TITLE, where=where)
    peak_va = _peak_line(record, record.peak_kw, sheet=sheet, edition=edition)
    percent = edition.value("metered_demand_percent")
    raised_va = sheet.number(
        "Peak raised",
        f"{plain(peak_va)} VA x {percent.text}",
        peak_va * percent.number / 100,
        "VA",
        percent.section,
        key="raised",
        confirmed=percent.confirmed,
    )
    added = sorted(load.va for load in new_loads)
    new_va = sheet.number("New loads, in full", sum_words(added), total_of(added), "VA", section, key="new")
    load_va = raised_va + new_va
    conditions = conditions_of(record, load_a=load_va / volts, rating_a=rating_a, edition=edition)
    for number, condition in enumerate(conditions, start=1):
        sheet.write(condition.what, condition.because, condition.met, "", section, key=f"condition_{number}")
    permitted, why = _verdict(conditions)
    return finish(
        sheet,
        method="metered",
        section=section,
        parts=[raised_va, new_va],
        volts=volts,
        continuous_va=total_of(load.va for load in new_loads if load.continuous),
        edition=edition,
        assumptions=(*assumptions, *_interval_assumptions(record, edition=edition)),
        permitted=permitted,
        why=why,
    )


def _peak_line(record: MeteredRecord, peak_kw: float, *, sheet: WorksheetWriter, edition: Edition) -> float:
    interval = edition.value("metered_interval_minutes")
    peak_va = sheet.number("Metered peak", f"{plain(peak_kw)} kW, taken as kVA", peak_kw * 1000, "VA", key="peak")
    if record.interval_minutes is not None and record.interval_minutes > interval.number:
        factor = record.interval_minutes / interval.number
        working = f"{plain(record.interval_minutes)} min / {interval.text} x {plain(peak_va)} VA"
        peak_va = sheet.number(
            f"The most it can have been over {interval.text}",
            working,
            factor * peak_va,
            "VA",
            interval.section,
            key="peak_bound",
        )
    if record.season_added_va:
        working = f"{plain(peak_va)} + {plain(record.season_added_va)}"
        section = edition.section("metered-load-recording")
        peak_va = sheet.number(
            "With the missing season", working, peak_va + record.season_added_va, "VA", section, key="season"
        )
    return peak_va


def conditions_of(
    record: MeteredRecord, *, load_a: float, rating_a: float | None, edition: Edition
) -> tuple[Condition, ...]:
    """The conditions of the method for this record, each with its verdict."""
    months = edition.number("metered_record_months")
    if record.record_months is not None and record.record_months >= months:
        taken = _year_conditions(record, edition=edition)
    else:
        taken = _recording_conditions(record, edition=edition)
    return (*taken, _within_rating(load_a, rating_a), _protected())


def _year_conditions(record: MeteredRecord, *, edition: Edition) -> tuple[Condition, ...]:
    months = edition.value("metered_record_months")
    return (
        Condition("A year of demand data", "yes", f"{plain(record.record_months or 0)} months, {months.text} needed"),
        _interval(record, edition=edition, strict=False),
        _sources(record, barred="ask", because="the meter then shows net demand: ask the office"),
    )


def _recording_conditions(record: MeteredRecord, *, edition: Edition) -> tuple[Condition, ...]:
    days = edition.value("metered_recording_days")
    return (
        _recorded(record, days=days.number, words=days.text),
        _interval(record, edition=edition, strict=True),
        _answer("Taken on the most loaded phase", record.highest_phase),
        _answer("Building occupied meanwhile", record.occupied),
        Condition(
            "Heating or cooling of the other season added",
            "ask" if record.season_added_va is None else "yes",
            "not stated" if record.season_added_va is None else f"{plain(record.season_added_va)} VA",
        ),
        _sources(record, barred="no", because="barred for a recording in place of a year"),
    )


def _recorded(record: MeteredRecord, *, days: float, words: str) -> Condition:
    what = "A recording in place of a year"
    if record.record_days is None:
        return Condition(what, "ask", f"length of the record not known; {words} needed, without a break")
    met: Permission = "yes" if record.record_days >= days else "no"
    return Condition(what, met, f"{plain(record.record_days)} days, {words} needed")


def _interval(record: MeteredRecord, *, edition: Edition, strict: bool) -> Condition:
    limit, what = edition.value("metered_interval_minutes"), "Demand interval"
    if record.interval_minutes is None:
        return Condition(what, "ask", f"not known; {limit.text} is the usual")
    if record.interval_minutes <= limit.number:
        return Condition(what, "yes", f"{plain(record.interval_minutes)} minutes")
    hides = (
        f"{plain(record.interval_minutes)} minutes hide the peak of {limit.text}; the most it can have been is taken"
    )
    return Condition(what, "no" if strict else "ask", hides)


def _sources(record: MeteredRecord, *, barred: Permission, because: str) -> Condition:
    what = "No solar, wind or peak shaving"
    if record.solar_wind_or_peak_shaving is None:
        return Condition(what, "ask", "not known")
    return Condition(what, barred, because) if record.solar_wind_or_peak_shaving else Condition(what, "yes", "none")


def _answer(what: str, answer: bool | None) -> Condition:
    if answer is None:
        return Condition(what, "ask", "not known")
    return Condition(what, "yes", "so stated") if answer else Condition(what, "no", "stated that it was not")


def _within_rating(load_a: float, rating_a: float | None) -> Condition:
    what = "Within the rating of the service or feeder"
    if rating_a is None:
        return Condition(what, "ask", "its rating is not known")
    met: Permission = "yes" if load_a <= rating_a else "no"
    return Condition(what, met, f"{plain(load_a)} A, rating {plain(rating_a)} A")


def _protected() -> Condition:
    return Condition("Conductors protected at their ampacity", "yes", "held by the conductors' own check")


def _verdict(conditions: Sequence[Condition]) -> tuple[Permission, str]:
    for verdict in ("no", "ask"):
        held = [condition for condition in conditions if condition.met == verdict]
        if held:
            words = "; ".join(f"{condition.what.lower()}: {condition.because}" for condition in held)
            return held[0].met, words
    return "yes", "all conditions of the method are met"


def _interval_assumptions(record: MeteredRecord, *, edition: Edition) -> tuple[Assumption, ...]:
    limit = edition.value("metered_interval_minutes")
    if record.interval_minutes is None or record.interval_minutes <= limit.number:
        return ()
    return (
        Assumption(
            where=f"{record.where}.interval_minutes",
            assumed=f"all energy of the interval fell into {limit.text}",
            why_safe=f"demand over {limit.text} cannot have been more",
            would_change=f"a record by {limit.text}",
        ),
    )
