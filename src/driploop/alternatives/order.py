"""The order by which alternatives are ranked; the shop may set its own."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterable, Mapping

from driploop.alternatives.results import Alternative
from driploop.worksheet import DriploopError

#: What each word of an order sorts by; the smaller comes first.
KEYS: Mapping[str, Callable[[Alternative], float]] = {
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

DEFAULT_ORDER = (
    "wishes carried", "three-wire circuits lost", "circuits extended", "circuits touched", "lawful without questions",
    "power off", "headroom", "new enclosures", "conductor",
)  # fmt: skip


class OrderError(DriploopError):
    """An order that names something alternatives are not ranked by."""


def parse_order(text: str) -> tuple[str, ...]:
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


def checked_order(words: Iterable[object]) -> tuple[str, ...]:
    """The words as an order. Raises OrderError at one that is not known or stands there twice."""
    order: list[str] = []
    for word in words:
        if not isinstance(word, str) or word not in KEYS:
            raise OrderError(f"shop.order: {word!r} is not known; there are: {', '.join(KEYS)}.")
        if word in order:
            raise OrderError(f"shop.order: {word!r} stands there twice; name it once.")
        order.append(word)
    return tuple(order)


def rank_key(alternative: Alternative, order: Iterable[str]) -> tuple[float | str, ...]:
    """What to sort an alternative by; the id settles what the order leaves open."""
    return (*(KEYS[word](alternative) for word in order), alternative.id)
