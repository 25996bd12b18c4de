"""A drawing as SVG: words stay words, the same drawing always gives the same bytes."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from typing import assert_never

from driploop.drawings.display import Arc, Circle, Drawing, Group, Item, Polyline, Rect, Text

#: Safety colours after the open safety-sign standards, from memory; dark enough for white letters.
COLOURS = {
    "": "none", "black": "#000000", "white": "#ffffff", "red": "#b3131b", "orange": "#f08a00", "yellow": "#f7c600",
    "blue": "#0b4ea2", "green": "#00703c",
}  # fmt: skip
#: What XML 1.0 cannot hold, escaped or not.
_FORBIDDEN = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")

#: The shipped font, whose widths the layout was made with; then whatever sans the reader has.
FONT_FAMILY = "'Source Sans 3', sans-serif"

Link = Callable[[str], str | None]


def to_svg(drawing: Drawing, *, font_family: str = FONT_FAMILY, link: Link | None = None) -> str:
    """The drawing as one SVG document.

    Only a ``viewBox`` is given, in points, so that whoever places it sets its size.

    Args:
        drawing: what to write.
        font_family: the family all words are set in.
        link: given a group's id, the address it leads to, or None for none; left out, nothing is linked.

    Returns:
        The document. Every group has ``id="<drawing id>-<group id>"``, strokes of its path written as hyphens.
    """
    name = _attribute_id(drawing.id)
    role = "group" if link else "img"  # a picture has no links inside, to whoever cannot see it
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_n(drawing.width)} {_n(drawing.height)}" role="{role}" '
        f'aria-labelledby="{name}-title {name}-desc" font-family="{_escape(font_family)}" fill="none" stroke="none" '
        'stroke-linecap="round" stroke-linejoin="round">'
    )
    body = [
        head,
        f'<title id="{name}-title">{_escape(drawing.title)}</title>',
        f'<desc id="{name}-desc">{_escape(drawing.description)}</desc>',
        *_lines(drawing.items, name, link),
        "</svg>",
    ]
    return "\n".join(body) + "\n"


def _lines(items: Iterable[Item], drawing: str, link: Link | None) -> list[str]:
    lines: list[str] = []
    for item in items:
        if isinstance(item, Group):
            lines += _group(item, drawing, link)
        else:
            lines.append(_mark(item))
    return lines


def _group(group: Group, drawing: str, link: Link | None) -> list[str]:
    address = link(group.id) if link else None
    opening, closing = (f'<a href="{_escape(address)}">', "</a>") if address else ("", "")
    return [
        f'{opening}<g id="{drawing}-{_attribute_id(group.id)}"><title>{_escape(group.title)}</title>',
        *_lines(group.items, drawing, link),
        f"</g>{closing}",
    ]


def _mark(item: Polyline | Rect | Circle | Arc | Text) -> str:
    match item:
        case Text():
            return _text(item)
        case Polyline():
            points = " ".join(f"{_n(x)},{_n(y)}" for x, y in item.points)
            fill = ' fill="#000000"' if item.filled else ""
            return f'<polyline points="{points}"{fill}{_stroke(item.weight, item.dash)}/>'
        case Rect():
            corner = f' rx="{_n(item.radius)}"' if item.radius else ""
            place = f'x="{_n(item.x)}" y="{_n(item.y)}" width="{_n(item.width)}" height="{_n(item.height)}"'
            return f'<rect {place}{corner} fill="{COLOURS[item.fill]}"{_stroke(item.weight, item.dash)}/>'
        case Circle():
            place = f'cx="{_n(item.x)}" cy="{_n(item.y)}" r="{_n(item.radius)}"'
            return f'<circle {place} fill="{COLOURS[item.fill]}"{_stroke(item.weight, item.dash)}/>'
        case Arc():
            (x0, y0), (x1, y1) = item.point(item.start), item.point(item.end)
            large = int(item.end - item.start > 180)
            turn = f"{_n(item.radius)} {_n(item.radius)} 0 {large} 1"
            return f'<path d="M {_n(x0)} {_n(y0)} A {turn} {_n(x1)} {_n(y1)}"{_stroke(item.weight, "")}/>'
        case _:
            assert_never(item)


def _text(text: Text) -> str:
    anchor = f' text-anchor="{text.anchor}"' if text.anchor != "start" else ""
    weight = ' font-weight="700"' if text.bold else ""
    style = f'font-size="{_n(text.size)}" fill="{COLOURS[text.colour]}"'
    return f'<text x="{_n(text.x)}" y="{_n(text.y)}" {style}{weight}{anchor}>{_escape(text.words)}</text>'


def _stroke(weight: float, dash: str) -> str:
    if not weight:
        return ""
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    return f' stroke="#000000" stroke-width="{_n(weight)}"{dashes}'


def _n(number: float) -> str:
    """A length with at most two decimals; never a minus zero."""
    text = f"{number:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _attribute_id(words: str) -> str:
    return re.sub(r"[^A-Za-z0-9_.-]+", "-", words).strip("-") or "drawing"


def _escape(words: str) -> str:
    cleaned = _FORBIDDEN.sub("\ufffd", words)
    for sign, entity in (("&", "&amp;"), ("<", "&lt;"), (">", "&gt;"), ('"', "&quot;")):
        cleaned = cleaned.replace(sign, entity)
    return cleaned
