"""The order by which alternatives are ranked; the shop may set its own."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterable, Mapping

from driploop.alternatives.results import Alternative
from driploop.installation import Job
from driploop.installation.model import RankedBy
from driploop.worksheet import DriploopError

#: What each word of an order sorts by; the smaller comes first.
KEYS: Mapping[RankedBy, Callable[[Alternative], float]] = {
    "lawful without questions": lambda a: float(len(a.needs_answers)),
    "wishes carried": lambda a: float(sum(not step.fits for step in a.figures.wish_steps)),
    "headroom": lambda a: -round(a.figures.headroom_a, 1),
    "circuits touched": lambda a: float(len(a.figures.circuits_touched)),
    "circuits extended": lambda a: float(len(a.figures.circuits_extended)),
    "three-wire circuits lost": lambda a: float(len(a.figures.three_wire_lost)),
    "conductor": lambda a: round(a.figures.conductor_total_ft, 1),
    "new enclosures": lambda a: float(a.figures.enclosures_new),
    "power off": lambda a: float(len(a.figures.power_off_steps)),
}

DEFAULT_ORDER: tuple[RankedBy, ...] = (
    "wishes carried", "three-wire circuits lost", "circuits extended", "circuits touched", "lawful without questions",
    "power off", "headroom", "new enclosures", "conductor",
)  # fmt: skip


class OrderError(DriploopError):
    """An order that names something alternatives are not ranked by."""


def parse_order(text: str) -> tuple[RankedBy, ...]:
    """The order in a shop's own settings: ``[shop] order = ["headroom", ...]``.

    Raises:
        OrderError: it is no TOML, has no order, or names a word that is not known.
    """
    try:
        document = tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        raise OrderError(f"shop: not readable as TOML: {fault}") from fault
    shop = document.get("shop")
    words = shop.get("order") if isinstance(shop, dict) else None
    if not isinstance(words, list):
        raise OrderError('shop.order: left out; write [shop] and order = ["headroom", ...].')
    return checked_order(words)


def checked_order(words: Iterable[object], *, where: str = "shop.order") -> tuple[RankedBy, ...]:
    """The words as an order.

    Args:
        words: weightiest first.
        where: what to call the order in a fault.

    Raises:
        OrderError: a word is not known or stands there twice.
    """
    order: list[RankedBy] = []
    for word in words:
        known = next((key for key in KEYS if key == word), None)
        if known is None:
            raise OrderError(f"{where}: {word!r} is not known; there are: {', '.join(KEYS)}.")
        if known in order:
            raise OrderError(f"{where}: {word!r} stands there twice; name it once.")
        order.append(known)
    return tuple(order)


def order_of(job: Job) -> tuple[RankedBy, ...]:
    """The order a job's shop has stated; ``DEFAULT_ORDER`` where it states none."""
    return job.shop.order or DEFAULT_ORDER


def rank_key(alternative: Alternative, order: Iterable[RankedBy]) -> tuple[float | str, ...]:
    """What to sort an alternative by; the id settles what the order leaves open."""
    return (*(KEYS[word](alternative) for word in order), alternative.id)
