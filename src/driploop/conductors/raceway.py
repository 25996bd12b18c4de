"""How full a raceway is, and the smallest trade size that holds its conductors. Nipples and compact wire included."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from types import MappingProxyType
from typing import NamedTuple

from driploop.conductors.area import by_size
from driploop.conductors.insulation import insulation_row
from driploop.conductors.results import RacewayChoice
from driploop.editions import Edition, NotInTable
from driploop.editions.table import Row
from driploop.worksheet import Assumption, Cited, DriploopError, WorksheetWriter


class NoRacewayError(DriploopError):
    """No trade size of this raceway holds the conductors."""


class RacewayConductors(NamedTuple):
    """Some like conductors in one raceway. ``insulation`` None: not known, the thickest is taken.

    ``compact`` says the strands are compacted, as most aluminum building wire made today is.
    """

    insulation: str | None
    size: str
    number: int
    compact: bool = False


def conductor_area(conductor: RacewayConductors, *, edition: Edition) -> Cited:
    """Cross-section of one conductor with its insulation. [in2]

    A compact conductor of a type or size without compact dimensions takes the concentric ones, which are larger.

    Raises:
        NotInTable: no such insulation or size.

    Source: the edition's tables of conductor dimensions, of compact conductors and, for bare wire, of properties.
    """
    insulation, size = conductor.insulation, conductor.size
    if insulation == "bare":
        # Two rows for the small sizes: the stranded one comes last and is the larger.
        bare = by_size(edition, "conductor_properties", "area_in2")
        return bare.get(size) or edition.table("conductor_properties").cell("area_in2", size=size)
    if insulation is None:
        of_size = [area for (_, other), area in _dimensions(edition).items() if other == size]
        return max(of_size, key=lambda area: area.number, default=None) or _concentric("any", size, edition)
    row = insulation_row(insulation)
    if conductor.compact and row["compact"] is not None:
        compact = by_size(edition, "compact_conductor_dimensions", f"{row['compact']}_area_in2").get(size)
        if compact is not None:
            return compact
    return _concentric(str(row["dimensions"]), size, edition)


@lru_cache(maxsize=8)
def _dimensions(edition: Edition) -> Mapping[tuple[str, str], Cited]:
    table = edition.table("conductor_dimensions")
    return MappingProxyType(
        {(str(row["insulation"]), str(row["size"])): table.cite(row, "area_in2") for row in table.rows}
    )


def _concentric(family: str, size: str, edition: Edition) -> Cited:
    found = _dimensions(edition).get((family, size))
    return found or edition.table("conductor_dimensions").cell("area_in2", insulation=family, size=size)


def allowed_fill(conductors: int, *, nipple: bool, edition: Edition) -> Cited:
    """Share of a raceway's inside area that so many conductors may fill. [percent]

    Source: the edition's table of raceway fill.
    """
    words = "nipple" if nipple else str(conductors) if conductors <= 2 else "over 2"
    return edition.table("raceway_fill").cell("percent", conductors=words)


@lru_cache(maxsize=128)
def trade_sizes(raceway: str, *, edition: Edition) -> tuple[Row, ...]:
    """The rows of the table of raceways for one kind, smallest first.

    Raises NotInTable listing the kinds there are.
    """
    rows = tuple(row for row in edition.table("raceways").rows if _same_kind(str(row["raceway"]), raceway))
    if not rows:
        kinds = ", ".join(dict.fromkeys(str(row["raceway"]) for row in edition.table("raceways").rows))
        raise NotInTable(f"raceway {raceway!r} is not in the table of raceways of {edition.name}; there are: {kinds}.")
    return rows


def _same_kind(listed: str, asked: str) -> bool:
    # The table's names carry a hyphen and sometimes a letter of the make ("LFNC-B").
    plain = listed.replace("-", " ")
    return plain == asked.replace("-", " ") or plain.startswith(f"{asked} ")


def raceway_for(
    conductors: Sequence[RacewayConductors | tuple[str | None, str, int, bool]],
    raceway: str,
    *,
    edition: Edition,
    nipple: bool = False,
    trade_size: str | None = None,
    worksheet_id: str = "raceway",
) -> RacewayChoice:
    """Smallest trade size that holds these conductors, or how full a given trade size is.

    Args:
        conductors: (insulation, size, how many, compact strands) for each kind of conductor in it; every conductor
            counts, grounding conductors too.
        raceway: "EMT", "RMC", "IMC", "PVC 40", "PVC 80", "FMC", "LFMC", "LFNC".
        edition: the code edition to ask.
        nipple: whether it is no longer than the edition's limit between two enclosures.
        trade_size: of a raceway that is there; None: choose the smallest.
        worksheet_id: id of the worksheet.

    Returns:
        Trade size and fill [percent]. A given trade size may come out fuller than allowed: compare the two percents.

    Raises:
        NotInTable: no such raceway, trade size, insulation or size.
        NoRacewayError: not even the largest trade size holds them.

    Source: the edition's tables of raceway fill, raceways, and conductor dimensions.
    """
    kinds = [RacewayConductors(*kind) for kind in conductors]
    writer = WorksheetWriter(worksheet_id, f"Raceway fill, {raceway}")
    total_in2 = sum(_write_kind(writer, kind, edition) for kind in kinds)
    count = sum(kind.number for kind in kinds)
    writer.number("All conductors", f"{count} conductors", total_in2, "in2", key="conductors")
    allowed = allowed_fill(count, nipple=nipple, edition=edition)
    writer.cite("Allowed fill", "nipple" if nipple else f"{count} conductors", allowed, key="allowed")
    row = _row(raceway, trade_size, total_in2, allowed.number, edition=edition)
    area = edition.table("raceways").cite(row, "total_area_in2")
    writer.cite("Inside area", f"{raceway}, trade size {row['trade_size']}", area)
    fill = total_in2 / area.number * 100
    section = edition.section("raceway-fill")
    writer.number("Fill", f"{total_in2:.4f} / {area.number:g}", fill, "%", section, key="fill")
    what, working = "Raceway", f"smallest {raceway} not over {allowed.number:g} %"
    if trade_size is not None:
        what, working = "Raceway as it is", f"{fill:.1f} % against {allowed.number:g} %"
    writer.write(what, working, str(row["trade_size"]), "", area.section, key="raceway", confirmed=area.confirmed)
    return RacewayChoice(
        raceway=raceway,
        trade_size=str(row["trade_size"]),
        fill_percent=fill,
        allowed_percent=allowed.number,
        worksheet=writer.done(),
        assumptions=_assumptions(kinds),
    )


def overfull(choice: RacewayChoice) -> bool:
    """Whether the conductors fill more of the raceway than is allowed."""
    return choice.fill_percent > choice.allowed_percent


def _write_kind(writer: WorksheetWriter, kind: RacewayConductors, edition: Edition) -> float:
    area = conductor_area(kind, edition=edition)
    strands = ", compact" if kind.compact else ""
    what = f"{kind.size} {kind.insulation or 'insulation not known'}{strands}"
    total = kind.number * area.number
    working = f"{kind.number} x {area.number:.4f} in2"
    return writer.number(what, working, total, "in2", area.section, confirmed=area.confirmed)


def _row(raceway: str, trade_size: str | None, total_in2: float, percent: float, *, edition: Edition) -> Row:
    rows = trade_sizes(raceway, edition=edition)
    if trade_size is not None:
        for row in rows:
            if row["trade_size"] == trade_size:
                return row
        sizes = ", ".join(str(row["trade_size"]) for row in rows)
        raise NotInTable(f"{raceway} has no trade size {trade_size!r} in {edition.name}; there are: {sizes}.")
    for row in rows:
        if total_in2 <= _area(row) * percent / 100:
            return row
    raise NoRacewayError(
        f"No {raceway} of {edition.name} holds {total_in2:.2f} in2 of conductors at {percent:g} %. "
        "Use more raceways with parallel sets, or another kind."
    )


def _area(row: Row) -> float:
    area = row["total_area_in2"]
    return float(area) if area is not None else 0.0


def _assumptions(kinds: Sequence[RacewayConductors]) -> tuple[Assumption, ...]:
    if all(kind.insulation is not None for kind in kinds):
        return ()
    return (
        Assumption(
            "insulation",
            "the thickest insulation of the tables, for raceway fill",
            "any other insulation fills less",
            "the marking of the wire gives its own dimensions",
        ),
    )
