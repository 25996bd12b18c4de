"""What becomes of each old disconnect: for paper, terminal and data."""

from __future__ import annotations

from typing import Any

from driploop.circuits import OldDisconnect
from driploop.documents.as_data import assumption_data, worksheet_data
from driploop.documents.schedules import Cite
from driploop.documents.tables import TableData, table
from driploop.documents.text import sentence
from driploop.rules import Readings

LEAD = (
    "Nothing comes down before it is opened, locked and tested dead. What may be the switch that a rule asks for stays "
    "until somebody has seen which loads are in sight of it."
)


def outcome_words(each: OldDisconnect) -> str:
    """The fate, and the other lawful way where there is one."""
    return f"{each.outcome}, or {each.instead}" if each.instead else each.outcome


def settled_by(each: OldDisconnect) -> str:
    """What would settle what was assumed, as one list of words."""
    return "; ".join(dict.fromkeys(assumption.would_change for assumption in each.assumptions))


def old_disconnect_table(readings: Readings, cite: Cite) -> TableData:
    """One row an old enclosure."""

    def row(each: OldDisconnect) -> tuple[Any, ...]:
        settled = f"Settled by: {settled_by(each)}." if each.assumptions else ""
        both = f"Read both ways: {'; or: '.join(each.readings)}." if each.readings else ""
        small = " ".join(part for part in (each.do, settled, both) if part)
        state = ""
        if each.wrong:
            state = f"{'To be mended' if each.must_mend else 'To be asked'}: {each.wrong}"
        sheets = (cite(room.worksheet, "answer", "left", place=each.title) for room in each.rooms)
        becomes = outcome_words(each)
        told = (becomes, f"the survey said: {each.stated}") if each.stated not in (None, becomes) else becomes
        return (
            sentence(each.title), told,
            (f"{each.reason} {state}".strip(), small), each.section, "; ".join(sheet for sheet in sheets if sheet),
        )  # fmt: skip

    heads = ["Old enclosure", "Becomes", "Why, and what to do", "Section", "Worksheet lines"]
    return table("", heads, readings.old_disconnects, row)


def old_disconnect_data(each: OldDisconnect) -> dict[str, Any]:
    """An old enclosure's fate as JSON-ready data."""
    return {
        "where": each.where,
        "title": each.title,
        "outcome": each.outcome,
        "instead": each.instead,
        "reason": each.reason,
        "section": each.section,
        "do": each.do,
        "stated": each.stated,
        "fault": each.fault,
        "wrong": each.wrong,
        "must_mend": each.must_mend,
        "required_for": [
            {"of": r.of, "words": r.words, "section": r.section, "sure": r.sure, "breaker_will_do": r.breaker_will_do}
            for r in each.required_for
        ],
        "rooms": [
            {"enough": room.enough, "section": room.section, "worksheet": worksheet_data(room.worksheet)}
            for room in each.rooms
        ],
        "readings": list(each.readings),
        "assumptions": [assumption_data(assumption) for assumption in each.assumptions],
    }
