"""Conductors that carry the whole load of one dwelling: the code's share of the rating, its table, its conditions."""

from __future__ import annotations

from dataclasses import dataclass

from driploop.conductors.ampacity import Conditions, Figures
from driploop.editions import Edition
from driploop.installation.kinds import Metal
from driploop.worksheet import Cited


@dataclass(frozen=True, slots=True)
class Condition:
    """One condition of the dwelling rule: what it asks, whether it holds, and by what."""

    asks: str
    holds: bool
    why: str


def rule_conditions(
    rating_a: float | None, *, whole_dwelling: bool, single_phase: bool = True, edition: Edition
) -> tuple[Condition, ...]:
    """The conditions under which dwelling conductors may be sized by a share of the rating, one by one.

    Args:
        rating_a: rating of the one service or feeder device; None when not known or when there are several. [A]
        whole_dwelling: whether the conductors carry the entire load of one dwelling and nothing else.
        single_phase: whether the system is 120/240 V single-phase, or a kind the edition treats alike.
        edition: the code edition to ask.

    Source: the edition's rule on dwelling services and feeders.
    """
    low, high = edition.number("dwelling_table_from"), edition.number("dwelling_table_to")
    rated = rating_a is not None and low <= rating_a <= high
    return (
        Condition("single phase", single_phase, "single phase" if single_phase else "not a system the rule covers"),
        Condition(
            f"one rating of {low:g} to {high:g} A", rated, "no single rating" if rating_a is None else f"{rating_a:g} A"
        ),
        Condition(
            "the whole load of one dwelling",
            whole_dwelling,
            "all of one dwelling and nothing else" if whole_dwelling else "other load, another building, or part only",
        ),
    )


def table_conditions(conditions: Conditions, figures: Figures, *, sets: int, edition: Edition) -> tuple[Condition, ...]:
    """What the table of sizes asks on top of the rule: no reduction, large-column wire and terminals, one set."""
    large = edition.number("large_terminal_temperature_c")
    warm = conditions.insulation_c >= large and figures.end_c >= large
    return (
        Condition("no correction or adjustment", not figures.reduced, "none" if not figures.reduced else "reduced"),
        Condition(
            f"{large:g} C wire and terminals", warm, f"{conditions.insulation_c} C wire, {figures.end_c} C at its ends"
        ),
        Condition("one conductor a line", sets == 1, f"{sets} set{'s' if sets > 1 else ''}"),
    )


def required_ampacity(rating_a: float, *, edition: Edition) -> Cited:
    """Least ampacity of conductors that carry the whole load of one dwelling. [A]

    Source: the edition's share of the rating for dwelling services and feeders.
    """
    share = edition.value("dwelling_service_percent")
    return Cited(rating_a * share.number / 100, "A", share.section, share.confirmed)


def dwelling_service_conductor(rating_a: float, metal: Metal, *, edition: Edition) -> Cited:
    """Size that the code's table gives for a dwelling service or feeder.

    Args:
        rating_a: marked rating of the service or feeder disconnect. [A] One of the table's rows.
        metal: "copper" or "aluminum".
        edition: the code edition to ask.

    Returns:
        The size with the table it came from. It holds only where ``rule_conditions`` and ``table_conditions`` do.

    Raises:
        NotInTable: the rating is not a row; the message lists the rows.

    Source: the edition's table of dwelling service conductors.
    """
    return edition.table("dwelling_service_conductors").cell(metal, rating_a=_whole(rating_a))


def table_has(rating_a: float, *, edition: Edition) -> bool:
    """Whether the rating is a row of the table of dwelling service conductors."""
    return _whole(rating_a) in edition.table("dwelling_service_conductors").column("rating_a")


def wye_is_covered(edition: Edition) -> bool:
    """Whether the edition's dwelling rule also covers three wires taken off a 208Y/120 V system."""
    return edition.has("dwelling-rule-on-wye") and edition.known("dwelling-rule-on-wye")


def _whole(rating_a: float) -> float:
    return int(rating_a) if float(rating_a).is_integer() else rating_a
