"""What lies in the earth, and what comes out of it."""

import pytest

from .build import installation, says, verdicts

MEND, ASK, KNOW = "must be mended", "must be asked", "worth knowing"
PLACE = """
buildings.house = { use = "dwelling" }
equipment.main = { kind = "panel", building = "house" }
equipment.box = { kind = "panel", building = "house" }
runs.drop = { from = "utility", to = "main" }
"""


def buried(fields):
    return PLACE + f'runs.feeder = {{ from = "main", to = "box", buried = true, {fields} }}\n'


# Cover in inches, NEC Table 300.5: up.codes underground-installation-requirements.
@pytest.mark.parametrize(
    ("method", "ground", "inches"),
    [
        ("UF cable", "pedestrian", 24), ("PVC 40", "pedestrian", 18), ("RMC", "pedestrian", 6),
        ("UF cable", "residential drive", 18), ("PVC 40", "street or truck or farm", 24),
        ("RMC", "street or truck or farm", 24),
    ],
)  # fmt: skip
def test_cover_by_method_and_place(method, ground, inches):
    run = f'method = "{method}", ground_below = "{ground}", burial_depth_in = '
    assert verdicts("buried-deep-enough", buried(f"{run}{inches}")) == []
    assert verdicts("buried-deep-enough", buried(f"{run}{inches - 1}")) == [KNOW]


def test_buried_deep_enough_passes():
    assert verdicts("buried-deep-enough", buried('method = "UF cable", burial_depth_in = 24')) == []
    assert verdicts("buried-deep-enough", buried('method = "UF cable", owner = "utility"')) == []


def test_buried_deep_enough_fails():
    shallow = 'method = "UF cable", ground_below = "pedestrian", burial_depth_in = 12'
    assert verdicts("buried-deep-enough", buried(shallow)) == [KNOW]
    new = buried(f"{shallow}, is_new = true")
    assert verdicts("buried-deep-enough", new, found=installation(PLACE)) == [MEND]
    # 20 in of cable serves under a drive of a dwelling, and not elsewhere.
    assert verdicts("buried-deep-enough", buried('method = "UF cable", burial_depth_in = 20')) == [ASK]
    assert verdicts("buried-deep-enough", buried('method = "UF cable"')) == [ASK]
    unsettled = buried('method = "UF cable", is_new = true')
    assert verdicts("buried-deep-enough", unsettled, found=installation(PLACE)) == [KNOW]


def test_underground_entry_sealed_passes():
    assert verdicts("underground-entry-sealed", buried('method = "PVC 40", entry_sealed = true')) == []
    assert verdicts("underground-entry-sealed", buried('method = "UF cable"')) == []


def test_underground_entry_sealed_fails():
    assert verdicts("underground-entry-sealed", buried('method = "PVC 40", entry_sealed = false')) == [KNOW]
    new = buried('method = "PVC 40", entry_sealed = false, is_new = true')
    assert verdicts("underground-entry-sealed", new, found=installation(PLACE)) == [MEND]
    assert verdicts("underground-entry-sealed", buried('method = "PVC 40"')) == [ASK]


def two_sets(one, two, buildings=""):
    return f"""
buildings.house = {{ use = "dwelling" }}
{buildings}
equipment.meter = {{ kind = "meter", building = "house" }}
equipment.one = {{ kind = "disconnect", {one} }}
equipment.two = {{ kind = "disconnect", {two} }}
runs.drop = {{ from = "utility", to = "meter" }}
runs.one = {{ from = "meter", to = "one" }}
runs.two = {{ from = "meter", to = "two" }}
"""


def test_one_set_of_service_conductors_passes():
    together = 'building = "house", location = "north wall"'
    assert verdicts("one-set-of-service-conductors", two_sets(together, together)) == []
    barn = 'buildings.barn = { use = "storage" }'
    apart = two_sets('building = "house"', 'building = "barn"', barn)
    assert verdicts("one-set-of-service-conductors", apart) == []


def test_one_set_of_service_conductors_fails():
    corner = two_sets('building = "house", location = "north wall"', 'building = "house", location = "cellar"')
    assert verdicts("one-set-of-service-conductors", corner) == [ASK]
    assert [f.where for f in says("one-set-of-service-conductors", corner)] == ["equipment.meter"]
