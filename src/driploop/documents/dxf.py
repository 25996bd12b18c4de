"""A drawing as DXF, for whoever goes on drawing in a program of their own. Words stay words, one layer a kind of thing.

The library that writes the format is loaded only here, and only when a drawing is asked for.
"""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator
from importlib.util import find_spec
from typing import TYPE_CHECKING, Any, assert_never

from driploop.drawings.display import (
    POINTS_PER_INCH,
    Arc,
    Circle,
    Drawing,
    Group,
    Item,
    Polyline,
    Rect,
    Text,
)
from driploop.drawings.svg import COLOURS
from driploop.worksheet import DriploopError

if TYPE_CHECKING:
    from ezdxf.document import Drawing as DxfDocument
    from ezdxf.layouts.layout import Modelspace

#: Capitals of the shipped font, as a part of its type size; the format sizes letters by their capitals.
CAPITAL = 0.66
FONTS = {False: ("PLAIN", "SourceSans3-Regular.otf"), True: ("BOLD", "SourceSans3-Bold.otf")}
#: The line weights of the format, in hundredths of a millimetre.
WEIGHTS = (0, 5, 9, 13, 15, 18, 20, 25, 30, 35, 40, 50, 53, 60, 70, 80, 90, 100, 106, 120, 140, 158, 200, 211)
_MM_PER_POINT = 25.4 / POINTS_PER_INCH
_INCHES = 1


class DxfMissingError(DriploopError):
    """The optional library for DXF is missing."""


def to_dxf(drawing: Drawing) -> bytes:
    """The drawing as a DXF file, at its true size in inches, y upwards. The same drawing always gives the same bytes.

    Args:
        drawing: what to write.

    Returns:
        The file. Layers are the kinds of the groups in capitals (``EQUIPMENT``, ``RUN``, ``KEY``...); what stands in no
        group is on ``LINES``.

    Raises:
        DxfMissingError: the optional library is missing; the message says how to get it.
    """
    if find_spec("ezdxf") is None:
        raise DxfMissingError(
            "DXF needs the library ezdxf, which is not installed.\n"
            '  do       Install it with  pip install "driploop[dxf]"  or leave --dxf out: SVG needs nothing more.'
        )
    import ezdxf
    from ezdxf.filemanagement import new

    options = ezdxf.options  # type: ignore[attr-defined]  # exported, though its types do not say so
    before, out = options.write_fixed_meta_data_for_testing, io.StringIO(newline="\n")
    options.write_fixed_meta_data_for_testing = True  # no clock and no random id in the file
    try:
        document = new("R2010", units=_INCHES)
        _Writer(document, drawing).write()
        document.write(out)
    finally:
        options.write_fixed_meta_data_for_testing = before
    return out.getvalue().encode("utf-8")


class _Writer:
    """Puts one drawing into a document."""

    def __init__(self, document: DxfDocument, drawing: Drawing) -> None:
        self.document, self.drawing = document, drawing
        self.space: Modelspace = document.modelspace()

    def write(self) -> None:
        """Every mark of the drawing."""
        for name, font in FONTS.values():
            self.document.styles.add(name, font=font)
        self.document.header["$LTSCALE"] = 1.0
        self.document.header["$EXTMIN"] = (0, 0, 0)
        self.document.header["$EXTMAX"] = (_inch(self.drawing.width), _inch(self.drawing.height), 0)
        for item, layer in layered(self.drawing.items):
            if layer not in self.document.layers:
                self.document.layers.add(layer)
            self._mark(item, layer)

    def _mark(self, item: Polyline | Rect | Circle | Arc | Text, layer: str) -> None:
        match item:
            case Text():
                self._text(item, layer)
            case Polyline():
                points = [self._at(x, y) for x, y in item.points]
                if item.filled:
                    self._fill(points, "black", layer)
                if item.weight:
                    self.space.add_lwpolyline(points, dxfattribs=self._stroke(item.weight, item.dash, layer))
            case Rect():
                self._rect(item, layer)
            case Circle():
                self._circle(item, layer)
            case Arc():
                # What turns clockwise on paper, y downwards, turns the other way here.
                self.space.add_arc(
                    self._at(item.x, item.y), _inch(item.radius), -item.end, -item.start,
                    dxfattribs=self._stroke(item.weight, "", layer),
                )  # fmt: skip
            case _:
                assert_never(item)

    def _rect(self, rect: Rect, layer: str) -> None:
        corners = [(rect.x, rect.y), (rect.x + rect.width, rect.y), (rect.x + rect.width, rect.y + rect.height),
                   (rect.x, rect.y + rect.height)]  # fmt: skip
        points = [self._at(x, y) for x, y in corners]
        if rect.fill not in ("", "white"):
            self._fill(points, rect.fill, layer)
        if rect.weight:
            self.space.add_lwpolyline(points, close=True, dxfattribs=self._stroke(rect.weight, rect.dash, layer))

    def _circle(self, circle: Circle, layer: str) -> None:
        (x, y), radius = self._at(circle.x, circle.y), _inch(circle.radius)
        if circle.fill not in ("", "white"):
            self._fill([(x - radius, y, 1.0), (x + radius, y, 1.0)], circle.fill, layer)
        if circle.weight:
            self.space.add_circle((x, y), radius, dxfattribs=self._stroke(circle.weight, circle.dash, layer))

    def _fill(self, points: list[tuple[float, ...]], colour: str, layer: str) -> None:
        """A filled outline; a third number bulges the side that follows into an arc."""
        hatch = self.space.add_hatch(dxfattribs={"layer": layer, **_colour(colour)})
        hatch.paths.add_polyline_path(points, is_closed=True)

    def _text(self, text: Text, layer: str) -> None:
        from ezdxf.enums import TextEntityAlignment

        places = {
            "start": TextEntityAlignment.LEFT, "middle": TextEntityAlignment.CENTER, "end": TextEntityAlignment.RIGHT,
        }  # fmt: skip
        attributes = {"layer": layer, "style": FONTS[text.bold][0], **_colour(text.colour)}
        words = self.space.add_text(_escaped(text.words), height=_inch(text.size * CAPITAL), dxfattribs=attributes)
        words.set_placement(self._at(text.x, text.y), align=places[text.anchor])

    def _stroke(self, weight: float, dash: str, layer: str) -> dict[str, Any]:
        hundredths = weight * _MM_PER_POINT * 100
        nearest = min(WEIGHTS, key=lambda known: abs(known - hundredths))
        return {"layer": layer, "lineweight": nearest, "linetype": self._linetype(dash)}

    def _linetype(self, dash: str) -> str:
        if not dash:
            return "CONTINUOUS"
        name = "DASH_" + "_".join(dash.replace(".", "P").split())
        if name not in self.document.linetypes:
            lengths = [_inch(float(part)) for part in dash.split()]
            pattern = [sum(lengths), *(length if n % 2 == 0 else -length for n, length in enumerate(lengths))]
            self.document.linetypes.add(name, pattern, description=f"dashes and gaps in points: {dash}")
        return name

    def _at(self, x: float, y: float) -> tuple[float, ...]:
        return _inch(x), _inch(self.drawing.height - y)


def layered(items: Iterable[Item], layer: str = "LINES") -> Iterator[tuple[Polyline | Rect | Circle | Arc | Text, str]]:
    """Every mark with its layer: the kind of the outermost group it stands in."""
    for item in items:
        if isinstance(item, Group):
            kind = item.id.partition("/")[0].upper() or "LINES"
            yield from layered(item.items, kind if layer == "LINES" else layer)
        else:
            yield item, layer


def _inch(points: float) -> float:
    return round(points / POINTS_PER_INCH, 6)


def _colour(name: str) -> dict[str, int]:
    """The ink of the reader's own paper for black; a colour of its own for the others."""
    return {"color": 7} if name == "black" else {"color": 7, "true_color": int(COLOURS[name][1:], 16)}


def _escaped(words: str) -> str:
    """Words so that the format's own signs, a doubled percent and a caret, stand for themselves."""
    return words.replace("^", "^ ").replace("%%", "%%%%%%")
