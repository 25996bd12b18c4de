"""The packet's drawings by file name. The same ones, and more, can be saved beside the PDF as SVG or DXF."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from driploop.drawings import (
    Drawing,
    deciding_device,
    decision_drawing,
    drop_profiles,
    grounding_drawings,
    label_drawings,
    one_lines,
    panel_faces,
    risers,
    rod_layouts,
    sites,
    to_svg,
    voltage_profiles,
)
from driploop.planning import Plan

STEMS = (
    "decision", "one-line-found", "one-line-proposed", "riser", "site", "drop", "panel-face", "grounding", "voltage",
    "rods", "label",
)  # fmt: skip


def pictures(plan: Plan) -> dict[str, str]:
    """Every drawing of the packet: ``one-line-found-1.svg``, ``riser-1.svg``, ``site-1.svg`` and so on."""
    return {name: to_svg(drawing) for name, drawing in drawn(plan).items()}


def drawn(plan: Plan) -> dict[str, Drawing]:
    """Every drawing of the packet by the name of its file."""
    return dict(_numbered(_packet_sets(plan)))


def all_drawings(plan: Plan) -> dict[str, Drawing]:
    """Every drawing of the packet, and riser, site and grounding as found besides, by the names of their files."""
    sets = _packet_sets(plan)
    if plan.proposed is not None:
        sets |= {
            "riser-found": risers(plan.found, title="Riser as found"),
            "site-found": sites(plan.found, title="Site as found"),
            "grounding-found": grounding_drawings(plan.found, title="Grounding and bonding as found"),
        }
    return dict(_numbered(sets))


def _packet_sets(plan: Plan) -> dict[str, Sequence[Drawing]]:
    final, state = plan.final, "proposed" if plan.proposed else "found"
    device = deciding_device(final)
    return {
        "decision": (decision_drawing(final, device),) if device is not None else (),
        "one-line-found": one_lines(plan.found, title="One-line as found"),
        "one-line-proposed": one_lines(plan.proposed, title="One-line as proposed") if plan.proposed else (),
        "riser": risers(final, title=f"Riser as {state}"),
        "site": sites(final, title=f"Site as {state}"),
        "drop": drop_profiles(plan.drops, final.installation, title=f"Overhead runs as {state}"),
        "panel-face": panel_faces(plan.panels),
        "grounding": grounding_drawings(final),
        "voltage": voltage_profiles(final, title=f"Voltage along each feeder, as {state}"),
        "rods": rod_layouts(plan.earth, final.installation, title=f"Electrodes in the soil, as {state}"),
        "label": label_drawings(final.labels),
    }


def _numbered(sets: Mapping[str, Sequence[Drawing]]) -> Iterator[tuple[str, Drawing]]:
    for stem, drawings in sets.items():
        for number, drawing in enumerate(drawings, start=1):
            yield f"{stem}-{number}.svg", drawing


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
