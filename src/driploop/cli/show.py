"""Findings and loads on a terminal."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import groupby

from rich.console import Console

from driploop.cli.columns import put, put_rows
from driploop.documents.headroom import headroom_words
from driploop.documents.places import part_path, place_words
from driploop.documents.text import amperes, sentence
from driploop.loads.results import LoadResult, NodeLoad
from driploop.planning import Plan
from driploop.rules import Readings
from driploop.worksheet import Assumption, Finding, Verdict, Worksheet

STYLES = {Verdict.MEND: "bold red", Verdict.ASK: "bold yellow", Verdict.KNOW: "bold blue"}
CAUTION = (
    "Line-side conductors stay live until the utility opens them. De-energize, lock out, test before touch. "
    "The authority having jurisdiction and a licensed electrician decide."
)
#: So that the figures of all enclosures stand in line.
NODE_WIDTHS = (len("not permitted"), len("100 A"), len("100,000 VA"))
EMPTY = "The survey lists no meter, disconnect or panel yet: enter what hangs on the wall under [equipment]."


def findings(plan: Plan) -> None:
    """Every finding, gravest first and place by place, then the assumptions, then the count."""
    console = Console(highlight=False)
    head(console, plan)
    if plan.proposed is not None:
        finding_list(console, "In the installation as proposed", plan, plan.proposed, plan.proposed_findings)
    finding_list(console, "In the installation as found", plan, plan.found, plan.found_findings)
    assumed = plan.all_assumptions
    if assumed:
        console.print()
        title = f"Assumed on the safe side, because the survey does not know ({len(assumed)})"
        put(console, title, style="bold underline")
        for places, assumption in _alike(assumed):
            _assumption(console, places, assumption)
    console.print()
    if plan.proposed is not None:
        put(console, f"As proposed: {_counts(plan.proposed_findings)}.", hang=2)
    put(console, f"As found: {_counts(plan.found_findings)}.", hang=2)
    if plan.must_mend:
        put(console, must_mend_words(plan), style=STYLES[Verdict.MEND])
    console.print()
    put(console, CAUTION)


def must_mend_words(plan: Plan) -> str:
    """How many findings must be mended in what will stand, in a sentence."""
    count, where = len(plan.must_mend), "proposed" if plan.proposed else "found"
    return f"{count} {'thing' if count == 1 else 'things'} must be mended in the installation as {where}."


def head(console: Console, plan: Plan) -> None:
    """Whose job this is, and under which edition; a word where the survey lists nothing yet."""
    town = plan.job.town
    edition = plan.edition.name + ("" if town.edition else " (assumed)")
    put(console, plan.job.header.title, style="bold")
    put(console, f"{edition}, {town.name or 'town not named'}")
    if not plan.found.installation.equipment:
        console.print()
        put(console, EMPTY, style="bold")


def _counts(found: tuple[Finding, ...]) -> str:
    return ", ".join(f"{sum(f.verdict is verdict for f in found)} {verdict.value}" for verdict in Verdict)


def finding_list(console: Console, title: str, plan: Plan, readings: Readings, found: tuple[Finding, ...]) -> None:
    """Findings, the gravest first, place by place."""
    console.print()
    put(console, title, style="bold underline")
    if not found:
        put(console, "No rule of the catalogue has anything to say about what is listed.", 2)
    for verdict in Verdict:
        group = [f for f in found if f.verdict is verdict]
        if group:
            console.print()
            put(console, f"{verdict.value.capitalize()} ({len(group)})", 2, style=STYLES[verdict])
        places = dict.fromkeys(_part(f) for f in group)
        for place in places:
            words = place_words(place, readings.installation, plan.found.installation)
            put(console, words, 4, style="bold")
            for f in group:
                if _part(f) == place:
                    _finding(console, f)


def _part(finding: Finding) -> str:
    return part_path(finding.where)


def _finding(console: Console, f: Finding) -> None:
    put(console, f"- {f.wrong}", 6, hang=2)
    put(console, f.mend, 8)
    for reading in f.readings:
        put(console, f"Read so: {reading}", 8, hang=2)
    put(console, f"{f.section} · {f.rule} · {f.where}", 8, style="dim")


def _assumption(console: Console, places: list[str], a: Assumption) -> None:
    put(console, f"- {', '.join(places)}", 2, hang=2, style="bold")
    put(console, f"assumed: {a.assumed}", 4)
    put(console, f"safe because {a.why_safe}", 4, style="dim")
    put(console, f"what would change it: {a.would_change}", 4, style="dim")


def _alike(assumptions: Iterable[Assumption]) -> list[tuple[list[str], Assumption]]:
    """Assumptions that say the same, once each, with all their places."""
    groups: dict[tuple[str, str, str], tuple[list[str], Assumption]] = {}
    for a in assumptions:
        places, _ = groups.setdefault((a.assumed, a.why_safe, a.would_change), ([], a))
        places.append(a.where)
    return list(groups.values())


def loads(plan: Plan, *, at: str | None, worksheets: bool) -> None:
    """The load of every enclosure and building; with ``at``, of one with its worksheets."""
    console = Console(highlight=False)
    head(console, plan)
    for title, readings in (("As found", plan.found), ("As proposed", plan.proposed)):
        if readings is not None:
            _reading(console, title, readings, at=at, worksheets=worksheets)
    words = headroom_words(plan.headroom, {})
    if words and plan.headroom is not None:
        console.print()
        put(console, words)
    if plan.headroom is not None and at is None:
        _steps(console, plan)
    if plan.assumptions and at is None:
        count = len(plan.assumptions)
        facts = "1 fact was" if count == 1 else f"{count} facts were"
        console.print()
        put(console, f"{facts} assumed on the safe side: driploop check lists them.")


def _reading(console: Console, title: str, readings: Readings, *, at: str | None, worksheets: bool) -> None:
    buildings, nodes = readings.loads.buildings, readings.loads.nodes
    installation = readings.installation
    places = [(installation.equipment[id].title, id, node) for id, node in nodes.items() if at in (None, id)]
    by_itself = [(f"{installation.buildings[id].title if id in installation.buildings else id}, by itself", id, node)
                 for id, node in buildings.items() if at in (None, id)]  # fmt: skip
    if not places and not by_itself:
        return
    full = worksheets or at is not None
    console.print()
    put(console, title, style="bold underline")
    # What carries the same load one after another is printed once.
    for _, same in groupby([*places, *by_itself], key=lambda place: place[2] if full else _figures(place[2])):
        alike = list(same)
        names = [f"{sentence(name)} ({id})" for name, id, _ in alike]
        put(console, "; ".join(names), hang=2, style="bold")
        _node(console, alike[0][2], full=full)
    if full:
        for sheet in _sheets([node for _, _, node in (*places, *by_itself)]):
            worksheet(console, sheet)


def _figures(node: NodeLoad) -> tuple[object, ...]:
    methods = tuple((r.title, r.load_va, r.permitted, r.why) for r in node.results)
    return (methods, node.neutral.load_va, node.conductor_current_a)


def _node(console: Console, node: NodeLoad, *, full: bool) -> None:
    rows = list(_rows(node, full=full))
    put_rows(console, [row for row, _ in rows], 2, right=(1, 2), styles=[style for _, style in rows], least=NODE_WIDTHS)


def _rows(node: NodeLoad, *, full: bool) -> Iterator[tuple[tuple[str, str, str, str], str]]:
    for result in sorted(node.results, key=lambda r: r is not node.governing):
        governs = result is node.governing
        load = "–" if result.load_va is None else f"{result.load_va:,.0f} VA"
        words = f"{result.title}, {result.section}"
        if result.why and (full or result.permitted != "yes"):
            words += f": {result.why}"
        yield (_standing(result, governs), amperes(result.current_a), load, words), "bold" if governs else ""
    if round(node.conductor_current_a) > round(node.current_a):
        yield ("conductors", amperes(node.conductor_current_a), "", "continuous loads raised"), ""
    neutral = node.neutral
    yield ("neutral", amperes(neutral.current_a), f"{neutral.load_va:,.0f} VA", ""), ""


def _standing(result: LoadResult, governs: bool) -> str:
    return "governs" if governs else {"yes": "permitted", "no": "not permitted", "ask": "ask first"}[result.permitted]


def _sheets(nodes: Iterable[NodeLoad]) -> list[Worksheet]:
    sheets = [s for n in nodes for s in (*(r.worksheet for r in n.results), n.worksheet, n.neutral.worksheet)]
    return list({sheet.id: sheet for sheet in sheets if sheet.lines}.values())


def worksheet(console: Console, sheet: Worksheet) -> None:
    """A worksheet: what, the formula with its numbers, the answer, the section."""
    console.print()
    put(console, sheet.title, style="bold")
    put_rows(console, [(x.what, x.working, x.result.text, x.result.section) for x in sheet.lines], 2, right=(2,))


def _steps(console: Console, plan: Plan) -> None:
    assert plan.headroom is not None
    for step in plan.headroom.steps:
        fits = "fits" if step.fits else "does not fit"
        put(console, f"with {step.title}: {amperes(step.load_a)}, {fits}", 2, hang=2)
