"""Lists of panels: the generic one, a shop's own, and every fault of a bad one at once."""

from __future__ import annotations

import pytest

from driploop.panel import load_panels, read_panel_list
from driploop.survey import JobFileError

GOOD = """
[panel.ours]
title = "Our usual panel"
spaces = 30
circuits_max = 30
bus_a = 200
main = "breaker"
main_a = 200
lugs = ["4 AWG", "250 kcmil"]
"""


def test_the_generic_list_is_sound_and_names_no_maker() -> None:
    boxes = load_panels()
    assert len({box.id for box in boxes}) == len(boxes) > 10
    for box in boxes:
        assert box.spaces % 2 == 0
        assert box.circuits_max <= box.spaces + len(box.tandem_spaces)
        assert all(1 <= space <= box.spaces for space in box.tandem_spaces)
        assert box.main == "lugs" or (box.main_a is not None and box.main_a <= box.bus_a)
        assert set(box.title.replace(",", "").split()) <= {
            *map(str, (60, 100, 125, 150, 200, 225, 400, 8, 12, 20, 24, 30, 40, 42)), "A", "spaces", "main", "lugs",
            "breaker", "outdoors", "feed-through",
        }  # fmt: skip
    assert [box.spaces for box in boxes] == sorted(box.spaces for box in boxes)


def test_a_shop_lists_its_own() -> None:
    (box,) = read_panel_list(GOOD, name="ours.toml")
    assert (box.id, box.title, box.spaces, box.lugs_largest) == ("ours", "Our usual panel", 30, "250 kcmil")
    assert not box.tandem_spaces


def test_every_fault_is_told_with_its_line_what_is_allowed_and_what_to_do() -> None:
    bad = GOOD.replace("spaces = 30\n", "spaces = 31\n").replace(
        'main = "breaker"\nmain_a = 200\n', 'main = "breaker"\n'
    )
    bad += 'colour = "grey"\ntandem_spaces = [99]\n[panel.other]\ntitle = ""\n[shop]\nname = "x"\n'
    with pytest.raises(JobFileError) as refused:
        read_panel_list(bad, name="ours.toml")
    told = str(refused.value)
    for part in ("ours.toml, line 4: panel.ours.spaces", "an even whole number", "panel.ours.colour", "no main_a",
                 "panel.other.title", "no spaces", "[panel.ID] tables alone", "panel.ours.tandem_spaces"):  # fmt: skip
        assert part in told
    assert all(fault.do and fault.allowed for fault in refused.value.faults)


@pytest.mark.parametrize("text", ["", "panel = 3\n", "[panel]\nours = 3\n"])
def test_an_empty_list_is_refused(text: str) -> None:
    with pytest.raises(JobFileError):
        read_panel_list(text, name="ours.toml")
