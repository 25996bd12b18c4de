"""The smallest standard rating for a service or a building disconnect."""

from __future__ import annotations

from dataclasses import dataclass
from math import floor

from driploop.editions import Edition
from driploop.worksheet import Cited, DriploopError, Worksheet, WorksheetWriter, plain


class NoStandardRating(DriploopError):  # noqa: N818
    """The load is above the largest standard rating."""


@dataclass(frozen=True, slots=True)
class ServiceRating:
    """A standard rating [A] with the worksheet that leads to it."""

    rating: Cited
    worksheet: Worksheet


def service_rating(
    current_a: float, *, edition: Edition, dwelling: bool, circuits: int | None = None, where: str = "service"
) -> ServiceRating:
    """Smallest standard rating of a service disconnect that carries a load and meets the code's least rating.

    Args:
        current_a: calculated load. [A]
        edition: the code edition to ask.
        dwelling: the service of a one-family dwelling.
        circuits: branch circuits supplied, where that is one or two; None for more or not known.
        where: names the worksheet ``load/<where>/rating``.

    Raises:
        NoStandardRating: the load is above the largest standard rating.

    Source:
        NEC 2020: 230.79, 240.6(A), 220.5(B).
    """
    sheet = WorksheetWriter(f"load/{where}/rating", "Rating of the disconnect")
    least = least_rating(dwelling=dwelling, circuits=circuits, edition=edition)
    dropped = edition.value("ampere_fraction_dropped_below")
    whole_a = sheet.number(
        "Load, whole amperes",
        f"{plain(current_a)} A, less than {dropped.text} dropped",
        floor(round(current_a + 1 - dropped.number, 6)),
        "A",
        dropped.section,
        key="load",
        confirmed=dropped.confirmed,
    )
    sheet.cite("Least rating of this kind of service", least.text, least, key="least")
    needed = max(whole_a, least.number)
    table = edition.table("standard_ratings")
    sizes = [row for row in table.rows if row["applies_to"] != "fuse only" and float(row["rating_a"] or 0) >= needed]
    if not sizes:
        raise NoStandardRating(
            f"{plain(needed)} A is above the largest standard rating of {table.section} ({edition.name}). "
            "Split the load over several services or disconnects, or ask an engineer."
        )
    rating = table.cite(sizes[0], "rating_a")
    sheet.cite("Smallest standard rating", f"at least {plain(needed)} A", rating, key="rating")
    return ServiceRating(rating, sheet.done())


def least_rating(*, dwelling: bool, circuits: int | None, edition: Edition) -> Cited:
    """Least rating of a service disconnect: a one-family dwelling's, that of one or two circuits, any other's. [A]

    Source: the edition's rule on the rating of the service disconnect (NEC 2020: 230.79).
    """
    if dwelling:
        return edition.value("minimum_service_one_family")
    if circuits == 1:
        return edition.value("minimum_service_one_circuit")
    if circuits == 2:
        return edition.value("minimum_service_two_circuits")
    return edition.value("minimum_service_other")
