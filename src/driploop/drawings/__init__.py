"""The drawings of an installation: one-line, riser, site, panel face, grounding, labels.

First a display list, then SVG from it.

Public: ``one_lines``, ``risers``, ``sites``, ``grounding_drawings``, ``label_drawings``, ``deciding_device``,
``decision_drawing``, ``rod_layouts``, ``drop_profiles``, ``voltage_profiles``, ``panel_faces``, ``to_svg``,
``Drawing`` and its parts in ``display``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from driploop.drawings.decision import deciding_device, decision_drawing
    from driploop.drawings.display import Drawing
    from driploop.drawings.drop_profile import drop_profiles
    from driploop.drawings.grounding_drawing import grounding_drawings
    from driploop.drawings.label_sheet import label_drawings
    from driploop.drawings.one_line import one_lines
    from driploop.drawings.panel_face import panel_faces
    from driploop.drawings.riser import risers
    from driploop.drawings.rod_layout import rod_layouts
    from driploop.drawings.site import sites
    from driploop.drawings.svg import to_svg
    from driploop.drawings.voltage_profile import voltage_profiles

__all__ = [
    "Drawing", "deciding_device", "decision_drawing", "drop_profiles", "grounding_drawings", "label_drawings",
    "one_lines", "panel_faces", "risers", "rod_layouts", "sites", "to_svg", "voltage_profiles",
]  # fmt: skip

_HOMES = {
    "deciding_device": "decision", "decision_drawing": "decision", "Drawing": "display",
    "drop_profiles": "drop_profile", "rod_layouts": "rod_layout",
    "grounding_drawings": "grounding_drawing", "label_drawings": "label_sheet", "one_lines": "one_line",
    "panel_faces": "panel_face", "risers": "riser", "sites": "site", "to_svg": "svg",
    "voltage_profiles": "voltage_profile",
}  # fmt: skip


def __getattr__(name: str) -> Any:
    # Loaded on first use: a command that only measures words needs none of the drawings.
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)
