"""Writing a method's worksheet: the same last lines everywhere, the same shape of a refusal."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import fsum

from driploop.editions import Edition
from driploop.loads.inputs import DwellingInputs
from driploop.loads.results import LoadResult, Method, Permission
from driploop.worksheet import Assumption, WorksheetWriter, plain, unique


def sheet_for(method: Method, title: str, *, where: str) -> WorksheetWriter:
    """An empty worksheet named ``load/<where>/<method>``."""
    return WorksheetWriter(f"load/{where}/{method.replace(' ', '-')}", title)


def total_of(parts: Iterable[float]) -> float:
    """The sum, the same whatever the order."""
    return fsum(parts)


def sum_words(parts: Sequence[float]) -> str:
    """``1,500 + 4,500``; a long list is cut to its count."""
    shown = [plain(part) for part in parts if part]
    if not shown:
        return "none"
    return " + ".join(shown) if len(shown) <= 8 else f"sum of {len(shown)}"


def nameplate_lines(inputs: DwellingInputs, *, sheet: WorksheetWriter) -> None:
    """How each load of a dwelling was found, one line each; the lines below take them up."""
    for number, line in enumerate(inputs.nameplates, start=1):
        sheet.number(line.name, line.working, line.va, "VA", key=f"nameplate_{number}")


def finish(
    sheet: WorksheetWriter,
    *,
    method: Method,
    section: str,
    parts: Sequence[float],
    volts: float,
    continuous_va: float,
    edition: Edition,
    assumptions: Iterable[Assumption] = (),
    permitted: Permission = "yes",
    why: str = "",
) -> LoadResult:
    """The last lines of every method: total, current, and the current that conductors must carry.

    Args:
        parts: what adds up to the load. [VA]
        volts: line to line. [V]
        continuous_va: the continuous part as it stands in the total, not yet raised. [VA]
    """
    load_va = sheet.number("Calculated load", sum_words(parts), total_of(parts), "VA", section, key="total")
    current_a = current_line(sheet, load_va, volts=volts, edition=edition)
    conductor_line(sheet, current_a, continuous_va=continuous_va, volts=volts, edition=edition)
    return LoadResult(
        method=method,
        title=sheet.title,
        section=section,
        permitted=permitted,
        why=why,
        load_va=load_va,
        current_a=current_a,
        worksheet=sheet.done(),
        assumptions=unique(assumptions),
    )


def current_line(sheet: WorksheetWriter, load_va: float, *, volts: float, edition: Edition) -> float:
    """The load as a current. [A]"""
    working = f"{plain(load_va)} VA / {plain(volts)} V"
    return sheet.number("Current", working, load_va / volts, "A", edition.section("load-voltage"), key="current")


def conductor_line(
    sheet: WorksheetWriter, current_a: float, *, continuous_va: float, volts: float, edition: Edition
) -> float:
    """The current with its continuous part raised, for conductors and overcurrent devices. [A]"""
    percent = edition.value("continuous_percent")
    added = continuous_va * (percent.number / 100 - 1) / volts
    working = f"{plain(current_a)} A + {plain(percent.number - 100)} % x {plain(continuous_va)} VA / {plain(volts)} V"
    if not added:
        working = f"{plain(current_a)} A, nothing continuous to raise"
    return sheet.number(
        "For conductors and overcurrent devices",
        working,
        current_a + added,
        "A",
        percent.section,
        key="conductor_current",
        confirmed=percent.confirmed,
    )


def conductor_current_of(result: LoadResult) -> float:
    """The current that conductors must carry, from a computed result. [A]"""
    return result.worksheet.line("conductor_current").result.number


def refused(
    method: Method, title: str, *, where: str, section: str, why: str, assumptions: Iterable[Assumption] = ()
) -> LoadResult:
    """A method that cannot be computed, with the reason in plain words."""
    sheet = sheet_for(method, title, where=where)
    sheet.write("Not computed", why, "-", "", section, key="refused")
    return LoadResult(method, title, section, "no", why, None, None, sheet.done(), unique(assumptions))
