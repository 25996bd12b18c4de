"""The service packet: a plan laid out as a PDF by typst. Same plan, same bytes."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from functools import partial
from importlib.resources import files
from typing import Any

from driploop.closeout import pre_inspection
from driploop.documents.asked import question_data
from driploop.documents.assumed import assumption_table, assumption_tables
from driploop.documents.changes import change_tables
from driploop.documents.circuits import circuit_tables
from driploop.documents.cover import cover_data
from driploop.documents.decision import decision_data
from driploop.documents.duties import LEAD as DUTIES_LEAD
from driploop.documents.duties import duty_tables
from driploop.documents.electrical import (
    electrical_assumptions,
    fault_current_table,
    neutral_to_earth_table,
    open_neutral_data,
    start_table,
    trip_table,
    voltage_drop_table,
    voltage_table,
)
from driploop.documents.findings import found_tables, grouped
from driploop.documents.found import survey_tables
from driploop.documents.inspection import inspection_data
from driploop.documents.old_disconnects import LEAD as DISCONNECTS_LEAD
from driploop.documents.old_disconnects import old_disconnect_table
from driploop.documents.panel import CREW_LEAD, panel_pages
from driploop.documents.picture_files import drawn, picture_data
from driploop.documents.register import SHEET_COLUMNS, Register, State, entries_data
from driploop.documents.schedules import (
    Cite,
    conductor_table,
    electrode_conductor_table,
    fault_table,
    jumper_table,
    load_table,
    method_table,
    motor_feeder_table,
    neutral_table,
    raceway_table,
    system_table,
    wire_table,
)
from driploop.documents.soil_and_drop import clearance_table, drop_table, earth_table
from driploop.documents.tables import TableData
from driploop.documents.text import for_paper
from driploop.drawings import Drawing, to_svg
from driploop.planning import Plan
from driploop.worksheet import DriploopError

FONT = "Source Sans 3"


class PacketError(DriploopError):
    """The packet could not be laid out: a fault of the program, not of the job."""


def packet_pdf(plan: Plan, *, with_questions: bool = False, with_alternatives: bool | None = None) -> bytes:
    """The packet as PDF bytes.

    Args:
        plan: the plan.
        with_questions: also which unknowns of the survey decide most; that tries every plausible answer, and takes
            as long again as the rest.
        with_alternatives: also the ways to build it, compared; left out, where nothing is proposed yet.

    Raises:
        PacketError: typst refused the document or lacked a font; the message holds its words.
    """
    import typst

    fonts = files("driploop.documents") / "fonts"
    try:
        # typst takes a project in memory; its type stubs do not say so yet.
        pdf, warnings = typst.compile_with_warnings(  # type: ignore[call-overload]
            packet_files(plan, with_questions=with_questions, with_alternatives=with_alternatives),
            font_paths=typst.Fonts(include_system_fonts=False, font_paths=[str(fonts)]),
            timestamp=0,
        )
    except typst.TypstError as error:
        raise PacketError(f"the packet could not be laid out: {error.message}") from error
    if warnings:
        raise PacketError("the packet was laid out with warnings: " + "; ".join(str(w.message) for w in warnings))
    assert isinstance(pdf, bytes)
    return pdf


def packet_files(
    plan: Plan, *, with_questions: bool = False, with_alternatives: bool | None = None
) -> dict[str, bytes]:
    """What typst lays out: ``main.typ`` with its parts, ``packet.json``, the drawings."""
    drawings = drawn(plan)
    data = _data(plan, drawings, with_questions=with_questions, with_alternatives=with_alternatives)
    return {
        "main.typ": _template("packet.typ"),
        "panel.typ": _template("panel.typ"),
        "worksheets.typ": _template("worksheets.typ"),
        "packet.json": json.dumps(data, ensure_ascii=False, sort_keys=True).encode(),
        **{name: to_svg(drawing).encode() for name, drawing in drawings.items()},
    }


def _template(name: str) -> bytes:
    return (files("driploop.documents") / "templates" / name).read_bytes()


def packet_data(plan: Plan, *, with_questions: bool = False, with_alternatives: bool | None = None) -> dict[str, Any]:
    """Everything the template prints, as JSON-ready data."""
    return _data(plan, drawn(plan), with_questions=with_questions, with_alternatives=with_alternatives)


def _data(
    plan: Plan, drawings: Mapping[str, Drawing], *, with_questions: bool, with_alternatives: bool | None
) -> dict[str, Any]:
    questions = None
    if with_questions:
        from driploop.questions import LawfulWays, questions_of

        # Where the ways are on paper, so is what makes them lawful or not.
        more = {"lawful": LawfulWays(plan.edition)} if with_alternatives else {}
        questions = question_data(questions_of(plan.job, edition=plan.edition, **more))
    register = Register()
    headroom = register.cite("H", plan.headroom.worksheet) if plan.headroom else ""
    final: State = "P" if plan.proposed else "F"
    found, proposed = plan.found.installation, plan.proposed.installation if plan.proposed else None
    data = {
        "font": FONT,
        # The schedules of what will stand come first, so that its worksheets are numbered in their order.
        "schedules": _schedules(plan, partial(register.cite, final)),
        "circuits": _shown(circuit_tables(plan, partial(register.cite, final))),
        "panels": panel_pages(plan, partial(register.cite, final)),
        "crew_lead": CREW_LEAD,
        "electrical": _electrical(plan, partial(register.cite, final)),
        "open_neutral": open_neutral_data(plan.final, partial(register.cite, final)),
        "cover": cover_data(plan, partial(register.cite, final), headroom_sheet=headroom),
        "cautions": _cautions(),
        "state": "proposed" if plan.proposed else "found",
        "findings": grouped(
            plan.proposed_findings if plan.proposed else plan.found_findings, plan.final.installation, found
        ),
        "decision": decision_data(plan),
        "compared": _compared(plan, partial(register.cite, "A"), wanted=with_alternatives),
        "questions": questions,
        "duties": {"lead": DUTIES_LEAD, "tables": _shown(duty_tables(plan.final, partial(register.cite, final)))},
        "disconnects": {
            "lead": DISCONNECTS_LEAD,
            "tables": _shown([old_disconnect_table(plan.final, partial(register.cite, final))]),
        },
        "inspection": inspection_data(pre_inspection(plan)),
        "changes": _shown(change_tables(plan)),
        "assumptions": _shown(assumption_tables(plan)),
        "survey": _shown(survey_tables(found, plan.found.graph)),
        "found_schedules": _found_schedules(plan, partial(register.cite, "F")) if proposed else [],
        "found_findings": _shown(found_tables(plan)) if proposed else [],
    }
    worksheets = entries_data(register.entries())
    return {
        **for_paper(data),
        "worksheets": for_paper(worksheets),
        "sheet_columns": SHEET_COLUMNS,
        "pictures": picture_data(drawings),
    }


def _schedules(plan: Plan, cite: Cite) -> list[dict[str, Any]]:
    """The schedules in the order of the paper, each group under its head."""
    readings = plan.final
    groups = (
        ("Loads", (load_table(readings, cite), method_table(readings, cite))),
        ("Conductors, overcurrent devices and raceways",
         (conductor_table(readings, cite), motor_feeder_table(readings, cite), fault_table(readings),
          raceway_table(readings, cite))),
        ("Bonding", (neutral_table(readings), wire_table(readings), jumper_table(readings, cite))),
        ("Grounding electrodes", (system_table(readings), electrode_conductor_table(readings, cite),
          earth_table(plan, cite))),
        ("Overhead runs", (drop_table(plan, cite), clearance_table(plan))),
    )  # fmt: skip
    return [{"title": title, "tables": shown} for title, tables in groups if (shown := _shown(tables))]


def _compared(plan: Plan, cite: Cite, *, wanted: bool | None) -> dict[str, Any] | None:
    """The ways to build it, by default where nothing is proposed; None where nothing is listed yet."""
    if not plan.found.installation.equipment or not (plan.proposed is None if wanted is None else wanted):
        return None
    # Loaded where they are asked for: the search for ways, and their pages.
    from driploop.alternatives import alternatives_of, staged_of
    from driploop.documents.compared import compared_data

    comparison = alternatives_of(plan.job, edition=plan.edition)
    farm = plan.job.found.site_kind == "farm"
    return compared_data(comparison, staged_of(plan.job, edition=plan.edition) if farm else None, plan, cite)


def _electrical(plan: Plan, cite: Cite) -> list[dict[str, Any]]:
    """Fault currents and voltages of what will stand, and what they rest on."""
    readings = plan.final
    if not readings.faults.largest:
        return []
    rests_on = [a for a in electrical_assumptions(readings) if a not in plan.assumptions]
    groups = (
        ("Fault current", (fault_current_table(readings, cite), trip_table(readings))),
        ("Voltage",
         (*(voltage_table(readings, each) for each in readings.voltages.scenarios), voltage_drop_table(readings, cite),
          start_table(readings, cite), neutral_to_earth_table(readings))),
        ("What fault currents and voltages rest on", (assumption_table(plan, rests_on),)),
    )  # fmt: skip
    return [{"title": title, "tables": shown} for title, tables in groups if (shown := _shown(tables))]


def _found_schedules(plan: Plan, cite: Cite) -> list[dict[str, Any]]:
    """The figures on which the findings of the installation as found rest."""
    return _shown([load_table(plan.found, cite), conductor_table(plan.found, cite), fault_table(plan.found)])


def _shown(tables: Iterable[TableData]) -> list[dict[str, Any]]:
    return [each.as_data() for each in tables if each.rows]


def _cautions() -> list[dict[str, str]]:
    import tomllib

    text = (files("driploop.documents") / "cautions.toml").read_text(encoding="utf-8")
    return list(tomllib.loads(text)["caution"])
