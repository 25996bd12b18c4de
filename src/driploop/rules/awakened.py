"""What the duties of a change say, as findings: yes has the rule's verdict, yes for want of knowing is a question."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.rules.catalogue import Found
from driploop.rules.facts import asks
from driploop.rules.readings import Readings
from driploop.worksheet import Verdict


def awakened(r: Readings, id: str, *, only_new: bool = False) -> Iterator[Found]:
    """Findings out of the duties of one id; with ``only_new``, of circuits that are new."""
    for duty in r.duties:
        if duty.id != id or duty.answer == "no" or (only_new and not r.installation.circuits[duty.part].is_new):
            continue
        if duty.sure:
            yield Found(duty.where, duty.reason, duty.do, section=duty.section, readings=duty.readings)
        elif asks(r):
            yield Found(duty.where, duty.reason, duty.do, Verdict.ASK, section=duty.section, readings=duty.readings)
