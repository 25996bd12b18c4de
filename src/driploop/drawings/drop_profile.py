"""Each overhead run from the side: how it hangs as measured, hot and iced, over the height that is needed."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence

from driploop.drawings.display import (
    BODY,
    DASHED,
    HEAVY,
    LINE_HEIGHT,
    LONG_DASHED,
    MEDIUM,
    NAME,
    PORTRAIT,
    THIN,
    Drawing,
    Group,
    Item,
    Polyline,
    Text,
    shortened,
    wrap,
)
from driploop.drawings.legend import Entry
from driploop.drawings.stack import Block, stacked
from driploop.drawings.symbols import line
from driploop.installation import Installation
from driploop.service_drop import Condition, DropReading
from driploop.service_drop.sag import points

_LEFT, _ACROSS = 60.0, 400.0
_TOP, _DOWN = 18.0, 112.0
#: Heights are drawn larger than lengths, so that a foot of sag can be seen.
_MOST_STRETCH = 4.0
_STYLES = {"as measured": (THIN, ""), "hot": (MEDIUM, DASHED), "iced": (HEAVY, "")}

#: How the drawing calls a condition: what is drawn may rest on heights that nobody measured.
_WORDS = {"as measured": "as it hangs"}


def _sample(weight: float, dash: str) -> Callable[[float, float], Sequence[Item]]:
    return lambda x, y: (line((x, y), (x + 20, y), weight=weight, dash=dash),)


_KEY: tuple[Entry, ...] = (
    (_sample(*_STYLES["as measured"]), "as it hangs"),
    (_sample(*_STYLES["hot"]), "hottest"),
    (_sample(*_STYLES["iced"]), "iced"),
    (_sample(THIN, LONG_DASHED), "height needed"),
)
_NOTES = (
    "Ground is taken as level between both ends. Heights are drawn larger than lengths. The utility's own drop follows "
    "the utility's book, which may ask for more. Nothing is measured with tape, pole or ladder near the wires.",
)


def drop_profiles(drops: Mapping[str, DropReading], installation: Installation, *, title: str) -> tuple[Drawing, ...]:
    """Every overhead run in profile.

    Args:
        drops: what was read of them.
        installation: for the names.
        title: printed on top.
    """
    blocks = [_block(drop, installation) for drop in drops.values()]
    return stacked(blocks, id="drop", title=title, entries=_KEY, notes=_NOTES)


def _block(drop: DropReading, installation: Installation) -> Block:
    name = installation.runs[drop.run].title
    words = [shown for sentence in _sentences(drop) for shown in wrap(sentence, PORTRAIT.width)]
    start = _TOP + _DOWN + 24
    items: list[Item] = [Text(0, 10, shortened(name, PORTRAIT.width, size=NAME, bold=True), NAME, True)]
    items += _profile(drop)
    items += [Text(0, start + LINE_HEIGHT * number, each) for number, each in enumerate(words)]
    told = f"{name}: {' '.join(_sentences(drop))}"
    return Block((Group(f"runs/{drop.run}", name, tuple(items)),), start + LINE_HEIGHT * len(words), told)


def _profile(drop: DropReading) -> Iterator[Item]:
    sag = drop.sag
    needed = drop.clearances[0].needed.number
    top = max(sag.pole_ft, sag.attachment_ft, needed)
    across = _ACROSS / sag.span_ft
    up = min(_DOWN / (top + 2), across * _MOST_STRETCH)
    ground = _TOP + _DOWN

    def at(x_ft: float, height_ft: float) -> tuple[float, float]:
        return _LEFT + x_ft * across, ground - height_ft * up

    yield Polyline((at(-0.08 * sag.span_ft, 0), at(1.08 * sag.span_ft, 0)), MEDIUM)
    for x_ft, height in ((0.0, sag.pole_ft), (sag.span_ft, sag.attachment_ft)):
        yield Polyline((at(x_ft, 0), at(x_ft, height)), HEAVY)
    yield Polyline((at(0, needed), at(sag.span_ft, needed)), THIN, LONG_DASHED)
    for each in (sag.today, *sag.conditions):
        yield _curve(each, sag.pole_ft, at)
    left, right = _LEFT - 6, _LEFT + _ACROSS + 6
    yield Text(left, at(0, sag.pole_ft)[1] + 2.4, f"{sag.pole_ft:.1f} ft", BODY, anchor="end")
    end_y, needed_y = at(0, sag.attachment_ft)[1] + 2.4, at(0, needed)[1] + 2.4
    yield Text(right, end_y, f"held {sag.attachment_ft:.1f} ft up")
    if abs(needed_y - end_y) < LINE_HEIGHT:
        needed_y = end_y + LINE_HEIGHT * (1 if needed_y >= end_y else -1)
    yield Text(right, needed_y, f"needed {needed:g} ft")
    yield Text(_LEFT + _ACROSS / 2, ground + 11, f"span {sag.span_ft:g} ft", BODY, anchor="middle")


def _curve(each: Condition, pole_ft: float, at: Callable[[float, float], tuple[float, float]]) -> Polyline:
    weight, dash = _STYLES[each.weather.name]
    return Polyline(tuple(at(x, height) for x, height in points(each.hang, base_ft=pole_ft)), weight, dash)


def _sentences(drop: DropReading) -> Iterator[str]:
    sag = drop.sag
    basis = "" if sag.measured else " The sag is assumed: span and heights were not all measured."
    lows = "; ".join(
        f"{_WORDS.get(each.weather.name, each.weather.name)} ({each.weather.temperature_f:g} F) {each.lowest_ft:.1f} ft"
        for each in (sag.today, *sag.conditions)
    )
    yield f"Lowest over ground: {lows}; needed {drop.clearances[0].needed.text}.{basis}"
    for each in drop.clearances[1:]:
        stands = {True: "enough", False: "too near", None: "sag assumed: measure"}[each.enough]
        yield f"Clearance {each.what}: {each.worst_ft:.1f} ft at the worst, {each.needed.text} needed: {stands}."
    raised = f"{drop.attachment_needed_ft:.1f} ft" if drop.attachment_needed_ft else "more than raising one end gives"
    yield (
        f"Attachment needed: {raised}. Drip loop down to {drop.loop_lowest_ft:.1f} ft; head at {drop.head_ft:.1f} ft; "
        f"{drop.tail_in:g} in of wire left out."
    )
    yield f"Largest pull: {sag.pull.pull_lb:,.0f} lb ({sag.pull.weather.name}, {sag.pull.weather.temperature_f:g} F)."
    if drop.mast is not None:
        mast = drop.mast
        verdict = "bears it" if mast.bending_psi <= mast.allowed_psi else "does not bear it by itself"
        yield (
            f"Mast of trade size {mast.trade_size}, {mast.lever_in:g} in above the roof: {mast.bending_psi:,.0f} of "
            f"{mast.allowed_psi:,.0f} psi; rigid steel {verdict}. "
            f"Without a guy it bears {mast.longest_unguyed_in:.0f} in; a guy would carry {mast.guy_lb:,.0f} lb."
        )
        yield from (f"The place's own rule governs: {rule}" for rule in mast.local)
    yield from (f"Structural engineer or utility: {need}" for need in drop.engineer)
