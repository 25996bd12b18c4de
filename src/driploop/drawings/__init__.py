"""The drawings of an installation: one-line, riser, site, grounding, labels. First a display list, then SVG from it.

Public: ``one_lines``, ``risers``, ``sites``, ``grounding_drawings``, ``label_drawings``,
``deciding_device``, ``decision_drawing``, ``to_svg``, ``Drawing`` and
its parts in ``display``.
"""

from driploop.drawings.decision import deciding_device, decision_drawing
from driploop.drawings.display import Drawing
from driploop.drawings.grounding_drawing import grounding_drawings
from driploop.drawings.label_sheet import label_drawings
from driploop.drawings.one_line import one_lines
from driploop.drawings.riser import risers
from driploop.drawings.site import sites
from driploop.drawings.svg import to_svg

__all__ = [
    "Drawing", "deciding_device", "decision_drawing", "grounding_drawings", "label_drawings", "one_lines", "risers",
    "sites", "to_svg",
]  # fmt: skip
