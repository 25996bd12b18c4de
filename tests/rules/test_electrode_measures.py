"""What makes a thing in the ground an electrode.

Footing 20 ft: constructioninspectiontips.com; water pipe, ring and plate from memory of NEC 250.52 and 250.53.
"""

import pytest

from .build import verdicts

MEND, ASK, KNOW = "must be mended", "must be asked", "worth knowing"


def electrode(kind, fields):
    return (
        'buildings.house = { use = "dwelling" }\nequipment.main = { kind = "panel", building = "house" }\n'
        'runs.drop = { from = "utility", to = "main" }\n'
        f'electrodes.it = {{ kind = "{kind}", building = "house", connected = true, '
        f'conductor_to = "main", {fields} }}\n'
    )


RING = 'ring_size = "2 AWG", length_ft = 20, depth_in = 30'
#: rule, kind, what serves, and each way in which it falls short.
MEASURES = [
    ("ring-long-deep-and-thick-enough", "ground ring", RING, [
        RING.replace("2 AWG", "4 AWG"),
        RING.replace("length_ft = 20", "length_ft = 19"),
        RING.replace("depth_in = 30", "depth_in = 29"),
    ]),
    ("plate-large-enough", "plate", "area_ft2 = 2", ["area_ft2 = 1.9"]),
    ("concrete-encased-long-enough", "concrete-encased", "length_ft = 20", ["length_ft = 19"]),
    ("water-pipe-long-enough-in-the-earth", "metal water pipe", "earth_contact_ft = 10", ["earth_contact_ft = 9"]),
]  # fmt: skip


@pytest.mark.parametrize(("rule", "kind", "good", "bad"), MEASURES)
def test_measures_at_and_below_the_least(rule, kind, good, bad):
    assert verdicts(rule, electrode(kind, good)) == []
    for fields in bad:
        assert verdicts(rule, electrode(kind, fields)) == [KNOW]
        assert verdicts(rule, electrode(kind, f"{fields}, is_new = true")) == [MEND]


@pytest.mark.parametrize(("rule", "kind", "good", "bad"), MEASURES)
def test_a_measure_nobody_knows_is_asked(rule, kind, good, bad):
    assert set(verdicts(rule, electrode(kind, 'name = "it"'))) == {ASK}


def test_ring_long_deep_and_thick_enough_passes():
    assert verdicts("ring-long-deep-and-thick-enough", electrode("ground ring", RING)) == []


def test_ring_long_deep_and_thick_enough_fails():
    assert verdicts("ring-long-deep-and-thick-enough", electrode("ground ring", RING.replace("30", "18"))) == [KNOW]


def test_plate_large_enough_passes():
    assert verdicts("plate-large-enough", electrode("plate", "area_ft2 = 2")) == []


def test_plate_large_enough_fails():
    assert verdicts("plate-large-enough", electrode("plate", "area_ft2 = 1, is_new = true")) == [MEND]


def test_concrete_encased_long_enough_passes():
    assert verdicts("concrete-encased-long-enough", electrode("concrete-encased", "length_ft = 20")) == []


def test_concrete_encased_long_enough_fails():
    assert verdicts("concrete-encased-long-enough", electrode("concrete-encased", "length_ft = 12")) == [KNOW]


def test_water_pipe_long_enough_in_the_earth_passes():
    assert verdicts("water-pipe-long-enough-in-the-earth", electrode("metal water pipe", "earth_contact_ft = 10")) == []


def test_water_pipe_long_enough_in_the_earth_fails():
    assert verdicts("water-pipe-long-enough-in-the-earth", electrode("metal water pipe", "earth_contact_ft = 4")) == [
        KNOW
    ]
