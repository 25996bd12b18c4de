"""The room left at the service as found, in words."""

from __future__ import annotations

from collections.abc import Mapping

from driploop.documents.text import amperes
from driploop.loads import Headroom

#: So many assumed fields are named; the rest are counted.
NAMED = 4


def _places(headroom: Headroom) -> str:
    places = list(dict.fromkeys(assumption.where for assumption in headroom.assumptions))
    more = f" and {len(places) - NAMED} more" if len(places) > NAMED else ""
    return ", ".join(places[:NAMED]) + more


def headroom_words(headroom: Headroom | None, numbers: Mapping[str, str]) -> str:
    """Whether the service as found would do, and which wish would use it up.

    Args:
        headroom: None gives no words.
        numbers: worksheet id -> its number on paper, for the reference at the end.
    """
    if headroom is None:
        return ""
    sheet = numbers.get(headroom.worksheet.id, "")
    base = f"Service as found: {headroom.rating_a:g} A, calculated load {amperes(headroom.load_a)} ({headroom.method})"
    if not headroom.enough:
        words = f"{base}. It is overloaded by {amperes(-headroom.margin_a)} before any wish."
    elif headroom.used_up_by:
        used = next(step for step in headroom.steps if step.wish == headroom.used_up_by)
        words = (
            f"{base}, {amperes(headroom.margin_a)} left: enough as it is. "
            f"{used.title} would use it up ({amperes(used.load_a)})."
        )
    else:
        words = f"{base}, {amperes(headroom.margin_a)} left: no upgrade is needed for the load, wishes included."
    if headroom.assumptions:
        words += f" Assumed in it, to be settled before anything is promised: {_places(headroom)}."
    return f"{words} Worksheet {sheet}." if sheet else words
