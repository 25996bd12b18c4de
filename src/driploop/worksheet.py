"""The words every stage speaks: a cited value, a worksheet line, a worksheet, an assumption, a finding.

Nothing here computes anything of the trade. A number that reaches paper is a ``Cited`` inside a ``Line`` of a
``Worksheet``; a reading that met an unknown carries an ``Assumption``; a rule yields a ``Finding``.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from enum import StrEnum
from functools import lru_cache

Value = float | int | str

#: How well a published value is known, weakest last. "carried" is a value of the edition before, taken over because
#: the newer print was not seen.
CONFIRMED = ("page", "derived", "memory", "carried")


@dataclass(frozen=True, slots=True)
class Cited:
    """A value with its unit, the section it comes from and how well that is known.

    ``unit`` is "" for a trade size or a word; ``section`` is "" for arithmetic that no section orders;
    ``confirmed`` is "" for a computed value, else one of ``CONFIRMED``.
    """

    value: Value
    unit: str = ""
    section: str = ""
    confirmed: str = ""

    @property
    def number(self) -> float:
        """The value as a number. Raises TypeError when it is a word."""
        if isinstance(self.value, str):
            raise TypeError(f"{self.value!r} is not a number")
        return float(self.value)

    @property
    def text(self) -> str:
        """The value as the trade writes it: ``34,560 VA``, ``144 A``, ``2/0 AWG``."""
        return f"{plain(self.value)} {self.unit}".rstrip()


@lru_cache(maxsize=4096)
def plain(value: Value) -> str:
    """A number with thousands separators and no needless decimals; a word unchanged."""
    if isinstance(value, str):
        return value
    rounded = round(float(value), 4)
    if rounded == int(rounded):
        return f"{int(rounded):,}"
    if abs(rounded) >= 1000:
        return f"{rounded:,.0f}"
    return f"{rounded:,.4f}".rstrip("0").rstrip(".") if abs(rounded) < 1 else f"{rounded:,.2f}".rstrip("0").rstrip(".")


@dataclass(frozen=True, slots=True)
class Line:
    """One line a licensed person would write by hand: what, the formula with its numbers, the answer.

    ``key`` names the line for whoever must point at it (a schedule, a test); it is unique in its worksheet.
    """

    what: str
    working: str
    result: Cited
    key: str = ""


@dataclass(frozen=True, slots=True)
class Worksheet:
    """An ordered set of lines. ``id`` is stable for one plan, e.g. ``load/house-panel/standard``."""

    id: str
    title: str
    lines: tuple[Line, ...] = ()

    def line(self, key: str) -> Line:
        """The line with this key. Raises KeyError naming the worksheet and its keys."""
        for line in self.lines:
            if line.key == key:
                return line
        keys = ", ".join(line.key for line in self.lines if line.key)
        raise KeyError(f"worksheet {self.id!r} has no line {key!r}; it has: {keys}")

    def number_of(self, key: str) -> int:
        """The line's place in the worksheet, counted from 1, as printed on paper."""
        return self.lines.index(self.line(key)) + 1

    def as_text(self) -> str:
        """The worksheet as aligned plain text."""
        rows = [(line.what, line.working, line.result.text, line.result.section) for line in self.lines]
        widths = [max((len(row[i]) for row in rows), default=0) for i in range(3)]
        body = (
            f"{what:<{widths[0]}}  {working:<{widths[1]}}  = {answer:<{widths[2]}}  {section}".rstrip()
            for what, working, answer, section in rows
        )
        return "\n".join([self.title, *body])


@dataclass(slots=True)
class WorksheetWriter:
    """Builds a worksheet line by line; every ``write`` hands back the value so that working and answer cannot part."""

    id: str
    title: str
    lines: list[Line] = field(default_factory=list)

    def write(
        self,
        what: str,
        working: str,
        value: Value,
        unit: str = "",
        section: str = "",
        *,
        key: str = "",
        confirmed: str = "",
    ) -> Value:
        """Add one line and return ``value`` unchanged."""
        self.lines.append(Line(what, working, Cited(value, unit, section, confirmed), key))
        return value

    def number(
        self,
        what: str,
        working: str,
        value: float,
        unit: str = "",
        section: str = "",
        *,
        key: str = "",
        confirmed: str = "",
    ) -> float:
        """As ``write``, for numbers."""
        self.write(what, working, value, unit, section, key=key, confirmed=confirmed)
        return value

    def cite(self, what: str, working: str, cited: Cited, *, key: str = "") -> Cited:
        """Add one line whose answer is a value of the code, and return it."""
        self.lines.append(Line(what, working, cited, key))
        return cited

    def done(self) -> Worksheet:
        """The finished worksheet."""
        return Worksheet(self.id, self.title, tuple(self.lines))


@dataclass(frozen=True, slots=True)
class Assumption:
    """What was assumed because the survey does not know, and what answer would change the outcome.

    ``where`` is the path in the job file, ids not indexes: ``circuits.range.wire_size``.
    """

    where: str
    assumed: str
    why_safe: str
    would_change: str


class Verdict(StrEnum):
    """What a finding asks of the reader. Passing is not a finding."""

    MEND = "must be mended"
    ASK = "must be asked"
    KNOW = "worth knowing"


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing a rule has to say about one place.

    ``readings`` are the ways in which offices read the section, in words, where they disagree; empty where they agree.
    """

    rule: str
    verdict: Verdict
    where: str
    wrong: str
    mend: str
    section: str
    why: str
    readings: tuple[str, ...] = ()


class DriploopError(Exception):
    """A fault in what the program was given, worded for the person who gave it."""


def unique(assumptions: Iterable[Assumption]) -> tuple[Assumption, ...]:
    """The assumptions in their order, each once."""
    return tuple(dict.fromkeys(assumptions))


def gathered(assumptions: Iterable[Assumption]) -> tuple[tuple[tuple[str, ...], Assumption], ...]:
    """Assumptions that say the same of several places, once each: the places, and the first of them."""
    groups: dict[tuple[str, str, str, str], list[Assumption]] = {}
    for each in assumptions:
        field_name = ".".join(each.where.split(".")[2:])  # a path of two words means the whole part
        groups.setdefault((field_name, each.assumed, each.why_safe, each.would_change), []).append(each)
    return tuple((tuple(each.where for each in group), group[0]) for group in groups.values())


def carried(worksheets: Iterable[Worksheet]) -> Iterator[Line]:
    """Lines whose value was carried over from an older edition because the newer print was not seen."""
    for worksheet in worksheets:
        yield from (line for line in worksheet.lines if line.result.confirmed == "carried")
