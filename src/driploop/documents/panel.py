"""Panel layouts on paper and as data: why this panel, its balance, the door card, where each circuit goes, the crew
sheet."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import asdict
from typing import Any

from driploop.documents.as_data import assumption_data, worksheet_data
from driploop.documents.schedules import Cite
from driploop.documents.tables import TableData, table
from driploop.drawings.panel_face import panel_faces
from driploop.panel import PanelReading, Solved
from driploop.panel.directory import spaces_words
from driploop.panel.geometry import rows_of
from driploop.panel.results import DirectoryLine
from driploop.planning import Plan

NOT_KNOWN = "not known"
#: How many layouts that are as good are told in words; the data hold all.
SHOWN = 4
CREW_LEAD = (
    "In the order in which the wires are landed: the largest and stiffest first while the gutters are empty, then row "
    "by row from the end farther from the main. The panel is dead, locked out and tested before a wire is touched, "
    "and stays so; what feeds it stays live until the utility has opened it."
)


def panel_pages(plan: Plan, cite: Cite) -> list[dict[str, Any]]:
    """What the packet shows of each panel, in the order of supply."""
    faces = iter(range(1, len(panel_faces(plan.panels)) + 1))
    section = plan.edition.section("directory")
    pages = [_page(each, cite, f"panel-face-{next(faces)}.svg" if each.solved else "") for each in plan.panels]
    return [page | {"section": section} for page in pages]


def _page(reading: PanelReading, cite: Cite, face: str) -> dict[str, Any]:
    tables = [each for each in (balance_table(reading, cite), _as_good(reading), _passed_over(reading)) if each.rows]
    return {
        "title": reading.title,
        "box": reading.problem.box.title if reading.problem else "",
        "why": list(reading.choice.why) if reading.choice else [],
        "refused": list(reading.refused),
        "quality": quality_words(reading.solved) if reading.solved else "",
        "sheet": cite(reading.worksheet, "cost", "bound", place=reading.title) if reading.solved else "",
        "face": face,
        "tables": [each.as_data() for each in tables],
        "card": _card(reading),
        "traces": _shown(_traces(reading)),
        "steps": _shown(_steps(reading)),
    }


def quality_words(solved: Solved) -> str:
    """How good a layout is, in a sentence."""
    cost = solved.cost
    parts = f"{cost.difference_a} A between the lines at worst, rooms over {cost.rows} rows in all"
    if cost.moved:
        parts += f", {cost.moved} {'circuit leaves its' if cost.moved == 1 else 'circuits leave their'} space"
    if solved.proven:
        proof = "Nothing better exists"
    else:
        proof = f"At most {solved.gap_percent:.1f} % over the best that could be"
    return f"{parts}. {proof}: cost {cost.total}, and no layout can cost less than {solved.bound}."


def as_good_words(reading: PanelReading) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """What else is exactly as good: what differs, and the neutral in each hour then."""
    if reading.problem is None or reading.solved is None:
        return ()
    words = {circuit.id: circuit.words for circuit in reading.problem.circuits}
    at = {place.circuit: place for place in reading.solved.layout}

    def names(ids: Iterable[str]) -> str:
        *most, last = (f"{words[id]} ({spaces_words(at[id])})" for id in ids)
        return f"{', '.join(most)} and {last}" if most else last

    told = []
    for each in reading.as_good:
        differs = f"{names(each.circuits)} {'change places' if each.swap else 'on the other line'}"
        told.append((differs, tuple(_amperes(current) for current in each.neutral_a)))
    return tuple(told)


def _shown(one: TableData) -> dict[str, Any] | None:
    return one.as_data() if one.rows else None


def _amperes(value: float | None) -> str:
    return NOT_KNOWN if value is None else f"{value:.1f} A"


def balance_table(reading: PanelReading, cite: Cite) -> TableData:
    """Both lines and the neutral of a panel, hour by hour."""
    return table(
        "Both lines, hour by hour",
        ["Working hour", ("Line A", True), ("Line B", True), ("Neutral", True), ("Neutral before", True),
         "Worksheet lines"],
        reading.balance,
        lambda hour: (
            hour.title, _amperes(hour.line_a_a), _amperes(hour.line_b_a), _amperes(hour.neutral_a),
            _amperes(hour.neutral_before_a),
            cite(reading.worksheet, f"{hour.id}/a", f"{hour.id}/b", f"{hour.id}/neutral", f"{hour.id}/before",
                 place=reading.title),
        ),
    )  # fmt: skip


def _as_good(reading: PanelReading) -> TableData:
    told = as_good_words(reading)
    more = len(told) - SHOWN
    hours = [hour.title for hour in reading.balance]
    rows = [(differs, *neutral) for differs, neutral in told[:SHOWN]]
    if more > 0:
        rows.append((f"and {more} more", *("" for _ in hours)))
    heads: list[str | tuple[str, bool]] = ["What differs", *((hour, True) for hour in hours)]
    return table("Exactly as good, and the neutral then", heads, rows, lambda each: each)


def _passed_over(reading: PanelReading) -> TableData:
    reasons: dict[str, list[str]] = {}
    for panel, why in reading.choice.refused if reading.choice is not None else ():
        reasons.setdefault(why, []).append(panel)
    return table(
        "Panels not chosen", ["Why not", "Panels"], reasons.items(), lambda each: (each[0], "; ".join(each[1]))
    )


def _traces(reading: PanelReading) -> TableData:
    return table(
        "Where each circuit was found, and where it goes",
        ["Circuit", "Found", "Goes to"],
        reading.traces,
        lambda each: (each.words, each.found, f"{each.proposed}{' (stays)' if each.stays else ''}"),
    )


def _steps(reading: PanelReading) -> TableData:
    numbered = list(enumerate(reading.steps, start=1))
    return table(
        "",
        [("No.", True), "Space", "Circuit", "Wires", "Breaker", "See to it", "Landed, torqued"],
        numbered,
        lambda each: (
            str(each[0]), each[1].space, each[1].words, each[1].wires, each[1].breaker, each[1].check, "____",
        ),
    )  # fmt: skip


def _card(reading: PanelReading) -> list[list[str]]:
    """The door card row by row: number, words and amperes on the left, then on the right."""
    if reading.problem is None or not reading.directory:
        return []
    at: dict[int, list[DirectoryLine]] = {}
    for line in reading.directory:
        at.setdefault(line.first_space, []).append(line)
    box = reading.problem.box
    return [
        [*_cell(2 * row + 1, at), *_cell(2 * row + 2, at)]
        for row in range(rows_of(box))
    ]  # fmt: skip


def _cell(space: int, at: dict[int, list[DirectoryLine]]) -> Sequence[str]:
    lines = at.get(space)
    if lines is None:
        return str(space), f"with {space - 2}", ""
    words = " / ".join(line.words for line in lines)
    return str(space), words, " / ".join(dict.fromkeys(line.amperes for line in lines if line.amperes))


def panel_data(reading: PanelReading) -> dict[str, Any]:
    """One panel as JSON-ready data."""
    problem, solved = reading.problem, reading.solved
    return {
        "equipment": reading.equipment,
        "title": reading.title,
        "panel": asdict(problem.box) if problem is not None else None,
        "why": list(reading.choice.why) if reading.choice else [],
        "not_chosen": [{"panel": panel, "why": why} for panel, why in reading.choice.refused] if reading.choice else [],
        "refused": list(reading.refused),
        "layout": _layout_data(reading, solved) if solved is not None else None,
        "balance": [asdict(hour) for hour in reading.balance],
        "directory": [asdict(line) for line in reading.directory],
        "traces": [asdict(each) for each in reading.traces],
        "crew_sheet": [asdict(each) for each in reading.steps],
        "worksheet": worksheet_data(reading.worksheet),
        "assumptions": [assumption_data(each) for each in reading.assumptions],
    }


def _layout_data(reading: PanelReading, solved: Solved) -> dict[str, Any]:
    return {
        "solver": solved.solver,
        "places": [asdict(place) for place in solved.layout],
        "cost": asdict(solved.cost),
        "bound": solved.bound,
        "proven": solved.proven,
        "gap_percent": round(solved.gap_percent, 2),
        "as_good": [
            {
                "circuits": list(each.circuits),
                "differs": differs,
                "swap": each.swap,
                "neutral_a": list(each.neutral_a),
                "places": [asdict(place) for place in each.layout],
            }
            for each, (differs, _) in zip(reading.as_good, as_good_words(reading), strict=True)
        ],
    }
