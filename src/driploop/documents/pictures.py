"""The packet's drawings as SVG files, by file name. The same files can be saved beside the PDF."""

from __future__ import annotations

from driploop.drawings import grounding_drawings, label_drawings, one_lines, to_svg
from driploop.planning import Plan


def pictures(plan: Plan) -> dict[str, str]:
    """Every drawing of a plan: ``one-line-found-1.svg``, ``one-line-proposed-1.svg``, ``grounding-1.svg``, labels."""
    sets = {
        "one-line-found": one_lines(plan.found, title="One-line as found"),
        "one-line-proposed": one_lines(plan.proposed, title="One-line as proposed") if plan.proposed else (),
        "grounding": grounding_drawings(plan.final),
        "label": label_drawings(plan.final.labels),
    }
    return {f"{stem}-{n}.svg": to_svg(each) for stem, all in sets.items() for n, each in enumerate(all, start=1)}
