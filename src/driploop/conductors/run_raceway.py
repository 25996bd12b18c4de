"""The conductors of one run as they lie in its raceway."""

from __future__ import annotations

from dataclasses import dataclass, replace

from driploop.conductors.raceway import NoRacewayError, RacewayConductors, overfull, raceway_for
from driploop.conductors.results import RacewayChoice
from driploop.editions import Edition, NotInTable
from driploop.installation.kinds import RACEWAYS, Metal
from driploop.installation.model import Run
from driploop.worksheet import WorksheetWriter

_INCHES_IN_A_FOOT = 12


@dataclass(frozen=True, slots=True)
class RunWires:
    """Sizes of one set of a run. ``neutral`` or ``egc`` None: no such wire."""

    line: str
    metal: Metal
    insulation: str | None
    neutral: str | None
    egc: str | None
    egc_metal: Metal | None


def judge_raceway(
    writer: WorksheetWriter, run: Run, wires: RunWires, *, edition: Edition
) -> tuple[RacewayChoice | None, tuple[str, ...]]:
    """Smallest raceway for one set of a run, or the fill of the one it has, and what is wrong with it in words.

    None where the run has no raceway to judge. Writes the line ``raceway``. Aluminum bought today is taken as compact,
    as it is commonly made; old aluminum as concentric, which fills more.
    """
    if run.method not in RACEWAYS or (run.trade_size is None and not run.is_new):
        return None, ()
    inches = run.length_ft * _INCHES_IN_A_FOOT if run.length_ft is not None else None
    try:
        raceway = raceway_for(
            _inside(run, wires),
            run.method,
            edition=edition,
            nipple=inches is not None and inches <= edition.number("nipple_length_in"),
            trade_size=run.trade_size,
            worksheet_id=f"raceway/{run.id}",
        )
    except (NoRacewayError, NotInTable) as refusal:
        return None, (str(refusal),)
    said = tuple(replace(each, where=f"runs.{run.id}.insulation") for each in raceway.assumptions)
    raceway = replace(raceway, assumptions=said)
    percents = f"{raceway.fill_percent:.1f} % full, {raceway.allowed_percent:g} % allowed"
    section = edition.section("raceway-fill")
    writer.write(
        "Raceway", f"{raceway.raceway}, {percents}", raceway.trade_size, "in trade size", section, key="raceway"
    )
    if not overfull(raceway):
        return raceway, ()
    return raceway, (f"{raceway.raceway} of trade size {raceway.trade_size} is too full: {percents}",)


def _inside(run: Run, wires: RunWires) -> list[RacewayConductors]:
    compact = run.is_new and wires.metal == "aluminum"
    inside = [RacewayConductors(wires.insulation, wires.line, 2, compact)]
    if wires.neutral is not None:
        insulation = "bare" if run.neutral_insulated is False else wires.insulation
        inside.append(RacewayConductors(insulation, wires.neutral, 1, compact))
    if wires.egc is not None:
        # Covered or bare is the installer's choice where nobody stated it; covered fills more.
        insulation = "bare" if run.egc_insulated is False else wires.insulation
        inside.append(RacewayConductors(insulation, wires.egc, 1, run.is_new and wires.egc_metal == "aluminum"))
    return inside
