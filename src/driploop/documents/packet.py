"""The service packet: a plan laid out as a PDF by typst. Same plan, same bytes."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any

from driploop.documents.cover import cover_data
from driploop.documents.found import survey_tables
from driploop.documents.pictures import pictures
from driploop.documents.schedules import (
    Numbers,
    bonding_tables,
    conductor_table,
    electrode_tables,
    fault_table,
    load_tables,
)
from driploop.documents.tables import TableData
from driploop.planning import Plan
from driploop.rules import Readings
from driploop.worksheet import DriploopError, Finding, Verdict, Worksheet

FONT = "Source Sans 3"


class PacketError(DriploopError):
    """The packet could not be laid out: a fault of the program, not of the job."""


def packet_pdf(plan: Plan) -> bytes:
    """The packet as PDF bytes.

    Raises:
        PacketError: typst refused the document or lacked a font; the message holds its words.
    """
    import typst

    fonts = files("driploop.documents") / "fonts"
    project: dict[str, bytes] = {name: svg.encode() for name, svg in pictures(plan).items()}
    project["main.typ"] = (files("driploop.documents") / "templates" / "packet.typ").read_bytes()
    project["packet.json"] = json.dumps(packet_data(plan), ensure_ascii=False, sort_keys=True).encode()
    try:
        # typst takes a project in memory; its type stubs do not say so yet.
        pdf, warnings = typst.compile_with_warnings(  # type: ignore[call-overload]
            project,
            font_paths=typst.Fonts(include_system_fonts=False, font_paths=[str(fonts)]),
            timestamp=0,
        )
    except typst.TypstError as error:
        raise PacketError(f"the packet could not be laid out: {error.message}") from error
    if warnings:
        raise PacketError("the packet was laid out with warnings: " + "; ".join(str(w.message) for w in warnings))
    assert isinstance(pdf, bytes)
    return pdf


def packet_data(plan: Plan) -> dict[str, Any]:
    """Everything the template prints, as JSON-ready data."""
    numbers = {state: _numbers(plan, state) for state in "FPH"}
    names = sorted(pictures(plan))
    return {
        "font": FONT,
        "cover": cover_data(plan, numbers["H"]),
        "cautions": _cautions(),
        "survey": [t.as_data() for t in survey_tables(plan.found.installation, plan.found.graph)],
        "assumptions": [
            {"where": a.where, "assumed": a.assumed, "why": a.why_safe, "change": a.would_change}
            for a in plan.assumptions
        ],
        "found": _reading_data(plan.found, numbers["F"]),
        "proposed": _reading_data(plan.proposed, numbers["P"]) if plan.proposed else None,
        "found_findings": _findings(plan.found_findings),
        "proposed_findings": _findings(plan.proposed_findings),
        "changes": [
            {
                "path": c.path,
                "title": c.title,
                "what": c.what,
                "fields": [
                    {"field": _field(f.field), "before": _plain(f.before), "after": _plain(f.after)} for f in c.fields
                ],
            }
            for c in plan.difference
        ],
        "labels": [
            {
                "where": label.where,
                "words": list(label.words),
                "background": label.background,
                "letters": label.letters,
                "height": label.letter_height_in,
                "section": label.section,
                "why": label.why,
            }
            for label in plan.final.labels
        ],
        "worksheets": [_sheet_data(number, sheet) for number, sheet in plan.worksheets().items()],
        "pictures": {
            stem: [name for name in names if name.rsplit("-", 1)[0] == stem]
            for stem in ("one-line-found", "one-line-proposed", "grounding", "label")
        },
    }


def _reading_data(readings: Readings, numbers: Numbers) -> dict[str, Any]:
    conductors = (conductor_table(readings, numbers), fault_table(readings))
    return {
        "loads": _shown(load_tables(readings, numbers)),
        "conductors": _shown(conductors),
        "bonding": _shown(bonding_tables(readings, numbers)),
        "grounding": _shown(electrode_tables(readings, numbers)),
    }


def _shown(tables: tuple[TableData, ...]) -> list[dict[str, Any]]:
    return [each.as_data() for each in tables if each.rows]


def _numbers(plan: Plan, state: str) -> Numbers:
    return {sheet.id: number for number, sheet in plan.worksheets().items() if number.startswith(state)}


def _findings(findings: tuple[Finding, ...]) -> list[dict[str, Any]]:
    return [
        {
            "verdict": verdict.value,
            "items": [
                {"rule": f.rule, "where": f.where, "wrong": f.wrong, "mend": f.mend, "section": f.section, "why": f.why}
                for f in findings
                if f.verdict is verdict
            ],
        }
        for verdict in Verdict
    ]


def _sheet_data(number: str, sheet: Worksheet) -> dict[str, Any]:
    marks = {"memory": "m", "carried": "c", "derived": "d"}
    return {
        "number": number,
        "title": sheet.title,
        "lines": [
            {
                "what": line.what,
                "working": line.working,
                "answer": line.result.text,
                "section": line.result.section,
                "mark": marks.get(line.result.confirmed, ""),
            }
            for line in sheet.lines
        ],
    }


def _cautions() -> list[dict[str, str]]:
    import tomllib

    text = (files("driploop.documents") / "cautions.toml").read_text(encoding="utf-8")
    return list(tomllib.loads(text)["caution"])


def _field(name: str) -> str:
    words = {"from_": "fed from", "to": "feeds", "ocpd": "overcurrent device", "ocpd_a": "overcurrent device [A]"}
    units = {"_a": "[A]", "_ft": "[ft]", "_in": "[in]", "_ohm": "[Ω]", "_c": "[°C]"}
    if name in words:
        return words[name]
    for ending, unit in units.items():
        if name.endswith(ending):
            return f"{name.removesuffix(ending).replace('_', ' ')} {unit}"
    return name.replace("_", " ").replace("egc", "equipment ground")


def _plain(value: object) -> str:
    if value is None:
        return "–"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return ", ".join(str(each) for each in value) or "none"
    return f"{value:g}" if isinstance(value, float) else str(value)
