"""What makes a thing in the ground an electrode.

Footing 20 ft: constructioninspectiontips.com; water pipe, ring and plate from memory of NEC 250.52 and 250.53.
"""

import pytest

from .build import says, verdicts

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


# 45 degrees, 30 in: forums.mikeholt.com 1241812, an older print with its 250.53(G).
def test_rod_driven_upright_passes():
    for fields in ('laid = "upright"', "length_ft = 8", 'laid = "at an angle", angle_degrees = 45, rock_struck = true'):
        assert verdicts("rod-driven-upright", electrode("rod", fields)) == []


def test_rod_driven_upright_fails():
    slanted = 'laid = "at an angle", angle_degrees = 46, rock_struck = true'
    [told] = says("rod-driven-upright", electrode("rod", slanted))
    assert (told.verdict.value, told.section) == (MEND, "250.53(A)(4)")
    assert says("rod-driven-upright", electrode("rod", slanted), "NEC 2017")[0].section == "250.53(G)"
    no_rock = 'laid = "flat in a trench", rock_struck = false'
    assert verdicts("rod-driven-upright", electrode("pipe", no_rock)) == [MEND]
    assert verdicts("rod-driven-upright", electrode("rod", 'laid = "at an angle"')) == [ASK, ASK]


def test_rod_laid_deep_enough_passes():
    assert verdicts("rod-laid-deep-enough", electrode("rod", 'laid = "flat in a trench", depth_in = 30')) == []
    assert verdicts("rod-laid-deep-enough", electrode("rod", "depth_in = 2")) == []


def test_rod_laid_deep_enough_fails():
    assert verdicts("rod-laid-deep-enough", electrode("rod", 'laid = "flat in a trench", depth_in = 29')) == [MEND]
    assert verdicts("rod-laid-deep-enough", electrode("rod", 'laid = "flat in a trench"')) == [ASK]


def test_an_old_rod_that_need_not_count_is_told_and_bars_nothing():
    two = "".join(
        f'electrodes.new-{n} = {{ kind = "rod", building = "house", connected = true, conductor_to = "main", '
        "length_ft = 8, is_new = true }\n"
        for n in (1, 2)
    )
    for rule, fields in (("rod-length", "length_ft = 6"), ("rod-diameter", "diameter_in = 0.4"),
                         ("rod-laid-deep-enough", 'laid = "flat in a trench", depth_in = 6')):  # fmt: skip
        assert verdicts(rule, electrode("rod", fields)) == [MEND], rule
        assert verdicts(rule, electrode("rod", fields) + two) == [KNOW], rule
