"""Conductor sizes as the trade writes them: one spelling inside, many accepted from the survey."""

from __future__ import annotations

import re

#: Every size the tables know, smallest first.
SIZES: tuple[str, ...] = (
    *(f"{n} AWG" for n in (18, 16, 14, 12, 10, 8, 6, 4, 3, 2, 1)),
    *(f"{n}/0 AWG" for n in (1, 2, 3, 4)),
    *(f"{n} kcmil" for n in (250, 300, 350, 400, 500, 600, 700, 750, 800, 900, 1000, 1250, 1500, 1750, 2000)),
)
_RANK = {size: rank for rank, size in enumerate(SIZES)}
_LOOSE = re.compile(r"^#?\s*(\d+(?:/0)?)\s*(awg|ga|gauge|kcmil|mcm)?\.?$", re.IGNORECASE)


def canonical_size(text: str) -> str:
    """The one spelling of a conductor size: ``"#8"``, ``"8"`` and ``"8 awg"`` all give ``"8 AWG"``.

    Raises:
        ValueError: not a size of the tables.
    """
    match = _LOOSE.match(text.strip())
    if match:
        number = match.group(1)
        unit = "kcmil" if "/" not in number and int(number) >= 250 else "AWG"
        if f"{number} {unit}" in _RANK:
            return f"{number} {unit}"
    raise ValueError("not a conductor size; write it as 14 AWG, 2/0 AWG or 250 kcmil")


def rank(size: str) -> int:
    """Place of a size in the order from small to large. Raises KeyError for a spelling that is not canonical."""
    return _RANK[size]


def larger(first: str, second: str) -> str:
    """The larger of two sizes."""
    return first if rank(first) >= rank(second) else second


def sizes_from(smallest: str) -> tuple[str, ...]:
    """All sizes from this one up, smallest first."""
    return SIZES[rank(smallest) :]
