"""Standard ratings of overcurrent devices, and the largest device that protects a conductor."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from functools import lru_cache

from driploop.editions import Edition, NotInTable
from driploop.installation.kinds import Metal
from driploop.worksheet import Cited


@lru_cache(maxsize=32)
def standard_ratings(edition: Edition, *, fuse: bool = False) -> tuple[Cited, ...]:
    """Standard ratings, smallest first [A]: those of breakers, with ``fuse`` also the sizes made only as fuses."""
    table = edition.table("standard_ratings")
    rows = [row for row in table.rows if fuse or row["applies_to"] == "fuse and breaker"]
    return tuple(sorted((table.cite(row, "rating_a") for row in rows), key=lambda rating: rating.number))


@lru_cache(maxsize=32)
def _numbers(edition: Edition, fuse: bool) -> tuple[float, ...]:
    return tuple(rating.number for rating in standard_ratings(edition, fuse=fuse))


def next_standard_up(current_a: float, *, edition: Edition, fuse: bool = False) -> Cited:
    """Smallest standard rating not below this current. [A] Raises NotInTable past the largest."""
    at = bisect_left(_numbers(edition, fuse), current_a)
    ratings = standard_ratings(edition, fuse=fuse)
    if at < len(ratings):
        return ratings[at]
    raise NotInTable(f"{current_a:,.0f} A is past the largest standard rating of {edition.name}.")


def next_standard_down(current_a: float, *, edition: Edition, fuse: bool = False) -> Cited:
    """Largest standard rating not above this current. [A] Raises NotInTable below the smallest."""
    at = bisect_right(_numbers(edition, fuse), current_a)
    if at:
        return standard_ratings(edition, fuse=fuse)[at - 1]
    raise NotInTable(f"{current_a:g} A is below the smallest standard rating of {edition.name}.")


def largest_device(
    ampacity_a: float, *, edition: Edition, fuse: bool = False, receptacle_circuit: bool = False
) -> Cited:
    """Largest overcurrent device that protects conductors of this ampacity.

    Args:
        ampacity_a: usable ampacity of the conductor, or of all its parallel sets. [A]
        edition: the code edition to ask.
        fuse: whether the sizes made only as fuses count.
        receptacle_circuit: a branch circuit of several receptacles for cord-and-plug loads: no next size up.

    Returns:
        The standard rating equal to the ampacity; between two, the next one up as far as the edition lets it.

    Raises:
        NotInTable: the ampacity is below the smallest standard rating and may not be rounded up.

    Source: the edition's rules on protection of conductors and on devices up to and over the limit of next size up.
    """
    if not receptacle_circuit:
        up_to = edition.value("next_size_up_to")
        at = bisect_left(_numbers(edition, fuse), ampacity_a)
        up = standard_ratings(edition, fuse=fuse)[at] if at < len(_numbers(edition, fuse)) else None
        if up is not None and ampacity_a < up.number <= up_to.number:
            return Cited(up.value, up.unit, up_to.section, up.confirmed)
    down = next_standard_down(ampacity_a, edition=edition, fuse=fuse)
    return Cited(down.value, down.unit, edition.section("breaker-matches-wire"), down.confirmed)


def next_standard_rating(current_a: float, *, edition: Edition) -> float:
    """Smallest standard breaker rating not below this current, as a plain number. [A] Raises NotInTable."""
    return next_standard_up(current_a, edition=edition).number


def small_conductor_limit(size: str, metal: Metal, *, edition: Edition) -> float | None:
    """Largest device a small conductor may have whatever its ampacity [A]; None for a size the rule leaves alone.

    Motor circuits and the like are excepted: see ``motor``. Source: the edition's table of small conductors.
    """
    limit = _small_limits(edition).get((size, metal))
    return limit.number if limit is not None else None


@lru_cache(maxsize=8)
def _small_limits(edition: Edition) -> dict[tuple[str, str], Cited]:
    table = edition.table("small_conductors")
    return {(str(row["size"]), str(row["metal"])): table.cite(row, "max_ocpd_a") for row in table.rows}


def device_for_conductor(
    size: str,
    metal: Metal,
    ampacity_a: float,
    *,
    edition: Edition,
    fuse: bool = False,
    receptacle_circuit: bool = False,
) -> Cited:
    """Largest device for a conductor: by its ampacity, and never over the limit of small conductors. [A]

    Raises NotInTable as ``largest_device``.
    """
    by_ampacity = largest_device(ampacity_a, edition=edition, fuse=fuse, receptacle_circuit=receptacle_circuit)
    limit = _small_limits(edition).get((size, metal))
    return limit if limit is not None and limit.number < by_ampacity.number else by_ampacity
