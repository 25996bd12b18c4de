"""Duties that the change awakens, alike ones told together: for paper, terminal and data."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from driploop.circuits import Duty
from driploop.documents.as_data import assumption_data, worksheet_data
from driploop.documents.places import place_words
from driploop.documents.schedules import Cite
from driploop.documents.tables import TableData, table
from driploop.installation import Installation
from driploop.rules import Readings

#: The answers in the order of the paper.
ANSWERS = ("yes", "ask the office", "no")
LEAD = (
    "What today's code asks of old wiring because of this change. A yes that says what was not seen is a yes for want "
    "of knowing better; what is to be bought is told for every duty, so that it can be priced with and without."
)


@dataclass(frozen=True, slots=True)
class DutyGroup:
    """One duty with one answer and one reason, and every part that it is about."""

    first: Duty
    duties: tuple[Duty, ...]

    def names(self, installation: Installation, *others: Installation | None) -> str:
        """The parts by name, as one list of words."""
        words = (place_words(duty.where, installation, *others).removeprefix("Circuit: ") for duty in self.duties)
        return ", ".join(dict.fromkeys(words))

    @property
    def answer(self) -> str:
        """The answer in words; a yes for want of knowing says so."""
        return "yes, until seen" if self.first.answer == "yes" and self.first.assumptions else self.first.answer

    @property
    def needs(self) -> str:
        """What is to be bought or done, with the count over all parts."""
        counts: dict[str, int] = {}
        for duty in self.duties:
            for need in duty.needs:
                counts[need.what] = counts.get(need.what, 0) + need.count
        return "; ".join(f"{count} x {what}" for what, count in counts.items())

    @property
    def unseen(self) -> str:
        """What was not seen, each fact once."""
        return "; ".join(dict.fromkeys(a.would_change for duty in self.duties for a in duty.assumptions))


def grouped_duties(duties: Iterable[Duty]) -> tuple[DutyGroup, ...]:
    """Alike duties together, in their order; what is awakened before what is not."""
    groups: dict[tuple[Any, ...], list[Duty]] = {}
    for duty in duties:
        alike = (duty.id, duty.answer, duty.reason, duty.section, duty.do, duty.readings, bool(duty.assumptions))
        groups.setdefault(alike, []).append(duty)
    made = [DutyGroup(each[0], tuple(each)) for each in groups.values()]
    return tuple(sorted(made, key=lambda group: ANSWERS.index(group.first.answer)))


def duty_tables(readings: Readings, cite: Cite) -> list[TableData]:
    """The duties on paper: those awakened, those to ask about, and those that are not awakened."""
    groups = grouped_duties(readings.duties)
    installation, found = readings.installation, readings.found
    heads = ["Duty", "Of", "Why, and what to do", "To buy or do", "Section", "Worksheet lines"]

    def row(group: DutyGroup) -> tuple[Any, ...]:
        first = group.first
        both = f"Read both ways: {'; or: '.join(first.readings)}." if first.readings else ""
        small = " ".join(part for part in (first.do if first.answer != "no" else "", _unseen(group), both) if part)
        sheets = (
            cite(duty.worksheet, "answer", place=place_words(duty.where, installation, found))
            for duty in group.duties
            if duty.worksheet is not None
        )
        return (
            (first.title, group.answer), group.names(installation, found),
            (first.reason, small) if small else first.reason, group.needs, first.section or "common practice",
            "; ".join(dict.fromkeys(sheet for sheet in sheets if sheet)),
        )  # fmt: skip

    titles = {"yes": "Awakened", "ask the office": "To ask the office", "no": "Not awakened by this change"}
    return [
        table(titles[answer], heads, [group for group in groups if group.first.answer == answer], row)
        for answer in ANSWERS
    ]


def _unseen(group: DutyGroup) -> str:
    return f"Settled by: {group.unseen}." if group.unseen else ""


def duty_data(duty: Duty) -> dict[str, Any]:
    """A duty as JSON-ready data."""
    return {
        "where": duty.where,
        "duty": duty.id,
        "title": duty.title,
        "answer": duty.answer,
        "reason": duty.reason,
        "section": duty.section,
        "do": duty.do,
        "needs": [{"what": need.what, "count": need.count} for need in duty.needs],
        "readings": list(duty.readings),
        "assumptions": [assumption_data(assumption) for assumption in duty.assumptions],
        "worksheet": worksheet_data(duty.worksheet) if duty.worksheet is not None else None,
    }
