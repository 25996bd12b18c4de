"""How pages say things: a title from an id, a moment, a value of the job file as a person writes it."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import Any

from driploop.installation.kinds import UNKNOWN
from driploop.survey import JobFileError
from driploop.web.asking import label_of
from driploop.worksheet import DriploopError

#: So many faults of a file are told where they stand in one sentence.
_MOST_FAULTS = 3

#: What was changed so long ago was changed "a moment ago". [s]
JUST_S = 90


def title_words(id: str) -> str:
    """An id as a title: ``main-panel`` is "Main panel"."""
    words = id.replace("-", " ").replace("_", " ").strip()
    return words[:1].upper() + words[1:]


def moment_words(moment: datetime.datetime) -> str:
    """A moment as the machine's own clock shows it."""
    return moment.astimezone().strftime("%Y-%m-%d %H:%M")


def ago_words(moment: datetime.datetime, now: datetime.datetime) -> str:
    """How long ago a moment was, while that matters; else the clock's time, with the day where it is another."""
    if (now - moment).total_seconds() < JUST_S:
        return "a moment ago"
    here, today = moment.astimezone(), now.astimezone().date()
    return here.strftime("at %H:%M") if here.date() == today else here.strftime("on %Y-%m-%d at %H:%M")


def value_words(value: Any) -> str:
    """A value of a job file in a person's words; "" where it is not known."""
    if value is None or value == UNKNOWN:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.10g}"
    if isinstance(value, datetime.date | datetime.time):
        return value.isoformat()
    if isinstance(value, list | tuple):
        return ", ".join(value_words(item) for item in value) if value else "none"
    if isinstance(value, Mapping):
        return ", ".join(f"{_in_line(key)}: {value_words(item)}" for key, item in value.items())
    return str(value)


def _in_line(key: str) -> str:
    """A key of the job file in the trade's words, as within a sentence."""
    words = label_of(key)
    return words[:1].lower() + words[1:]


def faults_words(error: DriploopError) -> str:
    """Why something could not be written, in a sentence or a few."""
    if not isinstance(error, JobFileError):
        return str(error)
    return " ".join(f"{fault.path}: {fault.read}. {fault.do}" for fault in error.faults[:_MOST_FAULTS])
