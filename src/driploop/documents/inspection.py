"""The pre-inspection list on paper: one table a stop of the walk, each line with a box to tick."""

from __future__ import annotations

from typing import Any

from driploop.closeout import STOPS, Check
from driploop.documents.text import sentence

#: How a line stands today, where it is not as planned: told beside its box.
OPEN = {"as planned": "", "to be mended": "to be mended", "to be asked": "to be asked"}


def inspection_data(checks: tuple[Check, ...]) -> list[dict[str, Any]]:
    """The list as JSON-ready data, stop by stop; at one place, lines follow one another under its name."""
    stops = []
    for stop in STOPS:
        here = [check for check in checks if check.stop == stop]
        if not here:
            continue
        places: dict[str, list[Check]] = {}
        for check in here:
            places.setdefault(check.place, []).append(check)
        stops.append({"stop": stop, "places": [_place(place, lines) for place, lines in places.items()]})
    return stops


def _place(place: str, lines: list[Check]) -> dict[str, Any]:
    return {
        "place": sentence(place),
        "lines": [[sentence(line.see), line.section, sentence(line.photograph), OPEN[line.standing]] for line in lines],
    }
