"""Fault currents and voltages as JSON-ready data."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from driploop.documents.as_data import assumption_data, worksheet_data
from driploop.fault_current import FaultCurrents
from driploop.rules import Readings
from driploop.voltage import OpenNeutral, Scenario, WireChoice


def faults_data(readings: Readings) -> dict[str, Any]:
    """Every enclosure's fault currents by model and by hand, ratings and trips, with worksheets and assumptions."""
    faults = readings.faults
    sheets = {sheet.id.removeprefix("fault/"): sheet for sheet in faults.worksheets}
    enclosures = {}
    for id, largest in faults.largest.items():
        check = faults.rating(readings.graph.equipment(id))
        by_hand = faults.by_hand[id]
        enclosures[id] = {
            "largest": _currents(largest),
            "smallest": _currents(faults.smallest[id]),
            "available_a": round(faults.available_a(id), 1),
            "by_hand": {
                "line_to_line_a": round(by_hand.line_to_line_a, 1),
                "line_to_neutral_a": round(by_hand.line_to_neutral_a, 1),
            },
            "rating": asdict(check) if check is not None else None,
            "worksheet": worksheet_data(sheets[id]),
        }
    return {
        "supply": {"strongest": faults.strong[0].supply.words, "weakest": faults.weak[0].supply.words},
        "supply_known": faults.supply_known,
        "motors_feed_in_a": round(faults.motor_share_a, 1),
        "enclosures": enclosures,
        "trips": {id: asdict(trip) for id, trip in faults.trips.items()},
        "assumptions": [assumption_data(a) for a in faults.assumptions],
    }


def _currents(found: FaultCurrents) -> dict[str, float | None]:
    kinds = ("line_to_line_a", "line_to_neutral_a", "line_to_ground_a")
    values = {kind: getattr(found, kind) for kind in kinds}
    return {kind: None if value is None else round(value, 1) for kind, value in values.items()}


def voltages_data(
    readings: Readings,
    *,
    limit_percent: float | None = None,
    opened: OpenNeutral | None = None,
    electrodes: Mapping[str, float] | None = None,
) -> dict[str, Any]:
    """Voltages in every scenario, starts, advice, neutral to earth; if asked, wires under a limit, an open neutral,
    neutral to earth with given electrodes. [ohm by id]"""
    voltages = readings.voltages
    data: dict[str, Any] = {
        "supply": voltages.built.supply.words,
        "scenarios": [_scenario(each) for each in voltages.scenarios],
        "starts": [
            {**{k: v for k, v in asdict(each).items() if k not in ("worksheet", "assumptions")},
             "worksheet": worksheet_data(each.worksheet)}
            for each in voltages.starts
        ],
        "advice": [asdict(each) for each in voltages.advice],
        "neutral_to_earth": [asdict(each) for each in voltages.earth_voltages],
        "assumptions": [assumption_data(a) for a in voltages.assumptions],
    }  # fmt: skip
    if electrodes:
        data["electrodes"] = dict(electrodes)
        data["neutral_to_earth_with_them"] = [asdict(each) for each in voltages.earth_voltages_with(electrodes)]
    if limit_percent is not None:
        data["limit_percent"] = limit_percent
        data["wires"] = {id: [asdict(c) for c in found] for id, found in under_limit(readings, limit_percent).items()}
    if opened is not None:
        data["open_neutral"] = {
            **{k: v for k, v in asdict(opened).items() if k != "worksheet"},
            "worksheet": worksheet_data(opened.worksheet),
        }
    return data


def under_limit(readings: Readings, limit_percent: float) -> dict[str, tuple[WireChoice, ...]]:
    """The wires that bring each of the customer's runs under a limit, for those that lose more."""
    voltages = readings.voltages
    over = {
        id: drop
        for id, drop in voltages.calculated.runs.items()
        if drop.drop_percent > limit_percent and readings.installation.runs[id].owner != "utility"
    }
    return {id: voltages.wires_for(id, limit_percent) for id in over}


def _scenario(scenario: Scenario) -> dict[str, Any]:
    return {
        "id": scenario.id,
        "title": scenario.title,
        "at": {id: asdict(at) for id, at in scenario.at.items()},
        "runs": {id: asdict(drop) for id, drop in scenario.runs.items()},
    }
