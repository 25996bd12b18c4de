"""Labels at their true size, each with the words under it that tell where it goes and in which colours."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from driploop.drawings.display import (
    BODY,
    CAPITAL,
    LINE_HEIGHT,
    MEDIUM,
    POINTS_PER_INCH,
    PORTRAIT,
    Colour,
    Drawing,
    Group,
    Item,
    Rect,
    Text,
    text_width,
    wrap,
)
from driploop.marking.results import Label

#: Height of letters where the code sets none: easy to read from arm's length (the drawing says that it is a choice).
CHOSEN_HEIGHT_IN = 0.25
PADDING = 0.15 * POINTS_PER_INCH
CAPTION_GAP = 6.0
COLOURS: dict[str, Colour] = {
    "black": "black", "white": "white", "red": "red", "orange": "orange", "yellow": "yellow", "blue": "blue",
    "green": "green",
}  # fmt: skip
DARK = frozenset({"black", "red", "blue", "green"})


def label_drawings(labels: Iterable[Label]) -> tuple[Drawing, ...]:
    """Each label as a drawing of its own, at true size: a point of the drawing is a point on paper.

    Args:
        labels: what must be read on the enclosures.

    Returns:
        One drawing a label, in the same order. Words too wide for a letter page stand on more lines; a single word
        that is too wide makes the drawing wider than the page.
    """
    return tuple(_drawing(label) for label in labels)


def _drawing(label: Label) -> Drawing:
    height_in = label.letter_height_in or CHOSEN_HEIGHT_IN
    size = height_in * POINTS_PER_INCH / CAPITAL
    lines = [part for words in label.words for part in _whole_words(words, PORTRAIT.width - 2 * PADDING - 2, size=size)]
    across = max((text_width(line, size, bold=True) for line in lines), default=0.0) + 2 * PADDING
    pitch = height_in * POINTS_PER_INCH * 1.55
    down = 2 * PADDING + height_in * POINTS_PER_INCH + pitch * (len(lines) - 1)
    background, letters = _colours(label)
    items: list[Item] = [Rect(1, 1, across, down, MEDIUM, fill=background, radius=5)]
    baseline = 1 + PADDING + height_in * POINTS_PER_INCH
    for number, line in enumerate(lines):
        items.append(Text(1 + across / 2, baseline + number * pitch, line, size, True, "middle", letters))
    caption = _caption(label, height_in)
    level = down + 1 + CAPTION_GAP
    for number, line in enumerate(part for words in caption for part in wrap(words, PORTRAIT.width)):
        level += LINE_HEIGHT
        items.append(Text(1, level - 2, line, BODY, number == 0))
    words = " ".join(label.words)
    return Drawing(
        f"label-{label.id}".replace("/", "-"), f"Label: {words}", f"{words}. {' '.join(caption)}",
        max(PORTRAIT.width, across + 2), level + 3,
        (Group(f"label/{label.id}", words, tuple(items)),),
    )  # fmt: skip


def _whole_words(words: str, width: float, *, size: float) -> Sequence[str]:
    """Lines that break only between words, for a letter height is never made smaller and a word never torn."""
    lines: list[str] = []
    for word in words.split():
        joined = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(joined, size, bold=True) <= width:
            lines[-1] = joined
        else:
            lines.append(word)
    return lines


def _colours(label: Label) -> tuple[Colour, Colour]:
    background = COLOURS.get(label.background, "white")
    return background, COLOURS.get(label.letters, "white" if background in DARK else "black")


def _caption(label: Label, height_in: float) -> tuple[str, ...]:
    """What a printer without colours cannot show, and where the label goes."""
    colours = "colors are the shop's choice"
    if label.background or label.letters:
        colours = f"{label.letters or 'plain'} letters on a {label.background or 'plain'} background"
    height = f"letters at least {_inches(height_in)} high"
    if label.letter_height_in is None:
        height = f"letters drawn {_inches(height_in)} high; no height is set"
    at = label.at or label.equipment.replace("-", " ")
    place = f"For {at}: {label.where}" if at else label.where
    section = f" ({label.section})" if label.section else ""
    return place, f"{colours[:1].upper()}{colours[1:]}; {height}.", f"{label.why[:1].upper()}{label.why[1:]}{section}"


def _inches(height_in: float) -> str:
    """``1/2 in`` and the like, as the trade writes it; a decimal where no even fraction fits."""
    sixteenths = height_in * 16
    if sixteenths != int(sixteenths) or height_in >= 1:
        return f"{height_in:g} in"
    top, bottom = int(sixteenths), 16
    while top % 2 == 0:
        top, bottom = top // 2, bottom // 2
    return f"{top}/{bottom} in"
