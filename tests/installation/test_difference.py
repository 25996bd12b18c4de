"""The difference of two installations, from which work and price are read."""

from driploop.installation import Installation, difference
from driploop.installation.model import Equipment, Run


def test_nothing_differs_from_itself() -> None:
    same = Installation(equipment={"main": Equipment(id="main", rating_a=100)})
    assert difference(same, same) == ()


def test_added_removed_and_changed_parts_are_told_apart_with_their_fields() -> None:
    before = Installation(
        equipment={"old": Equipment(id="old", name="Old switch"), "panel": Equipment(id="panel", main_a=60)},
        runs={"in": Run(id="in", wires=3)},
    )
    after = Installation(
        equipment={"panel": Equipment(id="panel", main_a=200), "new": Equipment(id="new")},
        runs={"in": Run(id="in", wires=4, line_size="2/0")},
    )
    changes = {change.path: change for change in difference(before, after)}
    assert {path: change.what for path, change in changes.items()} == {
        "equipment.old": "removed",
        "equipment.panel": "changed",
        "equipment.new": "added",
        "runs.in": "changed",
    }
    assert changes["equipment.old"].title == "Old switch"
    assert [(f.field, f.before, f.after) for f in changes["runs.in"].fields] == [
        ("wires", 3, 4),
        ("line_size", None, "2/0 AWG"),
    ]
