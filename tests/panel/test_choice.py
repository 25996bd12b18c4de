"""Which box hangs where, and why."""

from __future__ import annotations

from driploop.panel import PanelNeed, choose_panel, load_panels, share_out
from panel.boxes import box, double, single


def test_the_smallest_with_room_for_all_and_the_spares() -> None:
    # 16 in use + 2 for a wish = 18, a fifth of that spare is 4 (common practice): 22 spaces, so 20 are too few.
    need = PanelNeed(poles=16, reserved=2, rating_a=200, main="breaker", main_a=200)
    choice = choose_panel(need, load_panels())
    assert choice is not None
    assert choice.box.spaces == 30
    assert "16 in use + 2 kept for later wishes + 4 spare = 22 spaces" in choice.why[0]
    reasons = dict(choice.refused)
    assert reasons["100 A, 20 spaces, main breaker"] == "its bus is rated 125 A"
    assert reasons["200 A, 40 spaces, main breaker"] == "it is larger than this place needs"


def test_main_place_wire_and_interlock_are_asked() -> None:
    boxes = [
        box(8),
        box(8, id="lugs", main="lugs", main_a=None),
        box(8, id="outdoors", outdoors=True),
        box(8, id="interlock", interlock_space=2),
    ]
    lugs = box(8, lugs_smallest="4 AWG", lugs_largest="2/0 AWG")

    def chosen(**said: object) -> object:
        choice = choose_panel(PanelNeed(poles=4, **said), boxes)  # type: ignore[arg-type]
        return choice.box if choice is not None else None

    assert chosen(main="none") is boxes[1]
    assert chosen(outdoors=True) is boxes[2]
    assert chosen(interlock=True) is boxes[3]
    assert choose_panel(PanelNeed(poles=4, largest_a=150), [box(8, stab_limit_a=140)]) is None
    assert choose_panel(PanelNeed(poles=4, line_size="4/0 AWG"), [lugs]) is None
    assert choose_panel(PanelNeed(poles=4, line_size="1/0 AWG"), [lugs]) is not None


def test_a_place_that_no_box_holds_is_refused_and_one_that_is_tight_is_said_to_be() -> None:
    assert choose_panel(PanelNeed(poles=9), [box(8)]) is None
    tight = choose_panel(PanelNeed(poles=8), [box(8)])
    assert tight is not None
    assert "10 spaces would be wanted" in tight.why[0]


def test_circuits_of_a_large_place_are_dealt_to_several_panels_room_by_room() -> None:
    circuits = [single(f"s{n}", 1.0, room=f"room {n // 6}") for n in range(36)] + [double("d", 1.0, room="yard")]
    parts = share_out(circuits, [box(20)])
    assert sorted(c.id for part in parts for c in part) == sorted(c.id for c in circuits)
    # 16 in use leave 4 spare, a fifth and more; 17 would want 4 and leave 3.
    assert all(sum(c.poles for c in part) <= 16 for part in parts)
    assert sum(c.poles for c in parts[0]) + 2 * (len(parts) - 1) <= 16  # the feeders of the others start there
    homes = {c.room: {n for n, part in enumerate(parts) if c in part} for c in circuits}
    assert all(len({n for c in circuits if c.room == room for n in homes[c.room]}) == 1 for room in homes)


def test_a_pair_that_shares_a_neutral_is_not_parted() -> None:
    circuits = [single(f"s{n}", 1.0, room="barn") for n in range(7)]
    circuits += [single("one", 1.0, room="barn", partner="two"), single("two", 1.0, room="barn", partner="one")]
    parts = share_out(circuits, [box(8)])
    assert any({"one", "two"} <= {c.id for c in part} for part in parts)


def test_a_run_without_a_device_of_its_own_asks_for_feed_through_lugs() -> None:
    boxes = [box(8), box(8, id="through", feed_through_lugs=True)]
    plain, through = (choose_panel(PanelNeed(poles=4, feed_through=each), boxes) for each in (False, True))
    assert plain is not None
    assert through is not None
    assert (plain.box, through.box) == (boxes[0], boxes[1])
    assert dict(through.refused)["Test panel"] == "it has no feed-through lugs, and a run leaves it without a device"


def test_the_spaces_that_are_asked_for_are_told_as_such() -> None:
    choice = choose_panel(PanelNeed(poles=4, spaces=12), [box(8), box(12, id="twelve")])
    assert choice is not None
    assert choice.why[0].startswith("the smallest of the 12 spaces or more that are asked for with room for all")
