"""The panels a shop can buy: read from a list, every fault of it at once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields
from functools import lru_cache
from importlib.resources import files
from typing import Any

from driploop.installation.sizes import canonical_size
from driploop.panel.results import PanelBox
from driploop.survey.faults import Fault, JobFileError
from driploop.survey.places import find_places
from driploop.survey.syntax import parse_toml

MOST_SPACES = 84


@dataclass(frozen=True, slots=True)
class _Key:
    """One key of a panel: what it may be, and whether it must stand there."""

    allowed: str
    must: bool = False


_AMPERES = "a number of amperes over 0"
_INCHES = "a number of inches, 0 or more"
_KEYS: Mapping[str, _Key] = {
    "title": _Key("text in quotes", must=True),
    "spaces": _Key(f"an even whole number, 2 to {MOST_SPACES}", must=True),
    "circuits_max": _Key("a whole number of poles, from 1 to twice the spaces", must=True),
    "bus_a": _Key(_AMPERES, must=True),
    "main": _Key('"breaker" or "lugs"', must=True),
    "main_a": _Key(f'{_AMPERES}; needed where main = "breaker"'),
    "tandem_spaces": _Key("a list of spaces of this panel, as [9, 10]"),
    "lugs": _Key('the smallest and the largest conductor, as ["4 AWG", "250 kcmil"]', must=True),
    "feed_through_lugs": _Key("true or false"),
    "plug_on_neutral": _Key("true or false"),
    "outdoors": _Key("true or false"),
    "stab_limit_a": _Key(_AMPERES),
    "interlock_space": _Key("a space of this panel with another of its side under it"),
    "top_to_first_row_in": _Key(_INCHES),
    "row_pitch_in": _Key(_INCHES),
    "last_row_to_bottom_in": _Key(_INCHES),
    "side_gutter_in": _Key(_INCHES),
    "across_in": _Key(_INCHES),
}


@lru_cache(maxsize=1)
def load_panels() -> tuple[PanelBox, ...]:
    """The panels of the generic list, smallest first."""
    return read_panel_list((files(__package__) / "panels.toml").read_text(encoding="utf-8"), name="panels.toml")


def read_panel_list(text: str, *, name: str) -> tuple[PanelBox, ...]:
    """The panels of a list, in the order in which one would be chosen: fewest spaces, then least rating.

    Args:
        text: TOML, as ``panels.toml`` beside this module.
        name: what to call the file in faults.

    Raises:
        JobFileError: anything in it cannot be used; all faults at once.
    """
    tables = parse_toml(text, name=name)
    places = find_places(text)
    found = list(_faults(tables))
    if found:
        raise JobFileError(
            [Fault(name, places.line(path), ".".join(path), read, allowed, do) for path, read, allowed, do in found]
        )
    boxes = (_box(id, keys) for id, keys in tables["panel"].items())
    return tuple(sorted(boxes, key=lambda box: (box.spaces, box.bus_a, box.main_a or 0, box.id)))


_Fault = tuple[tuple[str, ...], str, str, str]


def _faults(tables: Mapping[str, Any]) -> Iterator[_Fault]:
    for key in tables:
        if key != "panel":
            yield (key,), key, "[panel.ID] tables alone", "Take it away, or write it as [panel.ID]."
    panels = tables.get("panel")
    if not isinstance(panels, dict) or not panels:
        yield ("panel",), "nothing", "a [panel.ID] table for each panel", "List at least one panel."
        return
    for id, keys in panels.items():
        if not isinstance(keys, dict):
            yield ("panel", id), repr(keys), "a table", f"Write [panel.{id}] and its keys under it."
            continue
        yield from _panel_faults(id, keys)


def _panel_faults(id: str, keys: Mapping[str, Any]) -> Iterator[_Fault]:
    for key, value in keys.items():
        if key not in _KEYS:
            yield ("panel", id, key), key, f"the keys {', '.join(_KEYS)}", "Mend the key, or take it away."
        elif not _fits(key, value, keys):
            yield ("panel", id, key), repr(value), _KEYS[key].allowed, "Read the panel's label and write what it says."
    for key, rule in _KEYS.items():
        if key not in keys and (rule.must or (key == "main_a" and keys.get("main") == "breaker")):
            yield ("panel", id), f"no {key}", f"{key} = {rule.allowed}", f"Add {key}; it stands on the panel's label."


def _fits(key: str, value: Any, keys: Mapping[str, Any]) -> bool:
    spaces = keys.get("spaces")
    most = spaces if isinstance(spaces, int) else MOST_SPACES
    match key:
        case "title":
            return isinstance(value, str) and bool(value.strip())
        case "main":
            return value in ("breaker", "lugs")
        case "spaces":
            return _whole(value) and 2 <= value <= MOST_SPACES and value % 2 == 0
        case "circuits_max":
            return _whole(value) and 1 <= value <= 2 * most
        case "interlock_space":
            return _whole(value) and 1 <= value <= most - 2
        case "tandem_spaces":
            return isinstance(value, list) and all(_whole(each) and 1 <= each <= most for each in value)
        case "lugs":
            return isinstance(value, list) and len(value) == 2 and all(_size(each) for each in value)
        case "feed_through_lugs" | "plug_on_neutral" | "outdoors":
            return isinstance(value, bool)
    number = isinstance(value, int | float) and not isinstance(value, bool)
    return number and (value > 0 if key.endswith("_a") else value >= 0)


def _whole(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)


def _size(value: Any) -> bool:
    try:
        return isinstance(value, str) and bool(canonical_size(value))
    except ValueError:
        return False


def _box(id: str, keys: Mapping[str, Any]) -> PanelBox:
    smallest, largest = (canonical_size(each) for each in keys["lugs"])
    known = {field.name for field in fields(PanelBox)}
    said = {key: value for key, value in keys.items() if key in known}
    if "tandem_spaces" in said:
        said["tandem_spaces"] = tuple(sorted(set(said["tandem_spaces"])))
    return PanelBox(id=id, lugs_smallest=smallest, lugs_largest=largest, **said)
