"""The packet's drawings as SVG files, by file name. The same files can be saved beside the PDF."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from driploop.drawings import Drawing, grounding_drawings, label_drawings, one_lines, to_svg
from driploop.planning import Plan

STEMS = ("one-line-found", "one-line-proposed", "grounding", "label")


def pictures(plan: Plan) -> dict[str, str]:
    """Every drawing of a plan: ``one-line-found-1.svg``, ``one-line-proposed-1.svg``, ``grounding-1.svg``, labels."""
    return {name: to_svg(drawing) for name, drawing in drawn(plan).items()}


def drawn(plan: Plan) -> dict[str, Drawing]:
    """Every drawing of a plan by the name of its file."""
    sets = {
        "one-line-found": one_lines(plan.found, title="One-line as found"),
        "one-line-proposed": one_lines(plan.proposed, title="One-line as proposed") if plan.proposed else (),
        "grounding": grounding_drawings(plan.final),
        "label": label_drawings(plan.final.labels),
    }
    return {f"{stem}-{n}.svg": each for stem in STEMS for n, each in enumerate(sets[stem], start=1)}


def picture_data(drawings: Mapping[str, Drawing]) -> dict[str, list[dict[str, Any]]]:
    """File, size and words of each drawing, set by set, as JSON-ready data. [pt]"""
    return {
        stem: [
            {"file": name, "width": each.width, "height": each.height, "words": f"{each.title}. {each.description}"}
            for name, each in drawings.items()
            if name.rpartition("-")[0] == stem
        ]
        for stem in STEMS
    }
