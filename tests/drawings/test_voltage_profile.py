"""The voltage along each feeder: every far end once, nothing on top of anything, figures as the model gives them."""

from __future__ import annotations

import pytest

from drawings.collisions import collisions, ids
from driploop.drawings import to_svg, voltage_profiles
from driploop.drawings.display import PORTRAIT, Text, flat
from network.places import EXAMPLES, example, made


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_nothing_collides_in_the_examples(path) -> None:
    for drawing in voltage_profiles(example(path), title="Voltage"):
        assert not collisions(drawing)
        assert drawing.width <= PORTRAIT.width
        assert drawing.height <= PORTRAIT.height


@pytest.mark.parametrize("seed", [0, 7, 14, 21, 28, 35])
def test_nothing_collides_whatever_the_tree(seed: int) -> None:
    for drawing in voltage_profiles(made(seed), title="Voltage"):
        assert not collisions(drawing)


def test_every_far_end_has_its_plot_and_every_enclosure_its_figures() -> None:
    r = example(EXAMPLES[0])
    drawings = voltage_profiles(r, title="Voltage")
    ends = [id for id in r.voltages.calculated.at if not r.graph.runs_out.get(id)]
    plots = [id.removeprefix("voltage/") for id in ids(drawings) if id.startswith("voltage/")]
    assert sorted(plots) == sorted(ends)
    words = {item.words for drawing in drawings for item in flat(drawing.items) if isinstance(item, Text)}
    for at in r.voltages.calculated.at.values():
        assert f"{at.across_v:.1f} V" in words


def test_the_same_readings_give_the_same_bytes() -> None:
    first, second = (voltage_profiles(made(2), title="Voltage") for _ in range(2))
    assert [to_svg(each) for each in first] == [to_svg(each) for each in second]
