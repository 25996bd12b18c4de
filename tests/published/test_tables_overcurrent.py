"""Standard ratings and small conductors, typed in again from the published sources, not copied from the data files.

- 240.6(A): builders.theknowledgegardens.com (15 to 600 A), expertce.com lesson of 2023 (10 A); from 700 A up from
  memory.
- 240.4(D): encorewire.com wire size table.
"""

import pytest

from driploop.editions import NotInTable, edition_names, load_edition

BREAKERS = [
    *(15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 110, 125, 150, 175, 200, 225, 250, 300, 350, 400),
    *(450, 500, 600, 700, 800, 1000, 1200, 1600, 2000, 2500, 3000, 4000, 5000, 6000),
]


@pytest.mark.parametrize(
    ("name", "first"), [("NEC 2017", []), ("NEC 2020", []), ("NEC 2023", [10]), ("NEC 2026", [10])]
)
def test_standard_breaker_ratings(name, first):
    rows = load_edition(name).table("standard_ratings").rows
    assert [row["rating_a"] for row in rows if row["applies_to"] == "fuse and breaker"] == first + BREAKERS


@pytest.mark.parametrize("name", edition_names())
def test_fuse_only_ratings(name):
    rows = load_edition(name).table("standard_ratings").rows
    fuses = [row["rating_a"] for row in rows if row["applies_to"] == "fuse only"]
    assert fuses == ([1, 3, 6, 10, 601] if name in ("NEC 2017", "NEC 2020") else [1, 3, 6, 601])


@pytest.mark.parametrize("name", edition_names())
@pytest.mark.parametrize(
    ("size", "metal", "most_a"),
    [
        ("14 AWG", "copper", 15),
        ("12 AWG", "copper", 20),
        ("10 AWG", "copper", 30),
        ("12 AWG", "aluminum", 15),
        ("10 AWG", "aluminum", 25),
    ],
)
def test_small_conductors(name, size, metal, most_a):
    assert load_edition(name).table("small_conductors").cell("max_ocpd_a", size=size, metal=metal).value == most_a


def test_fourteen_copper_clad_came_with_2023():
    # expertce.com lesson of 2023: 14 AWG copper-clad aluminum, 10 A.
    asked = {"size": "14 AWG", "metal": "copper-clad aluminum"}
    assert load_edition("NEC 2023").table("small_conductors").cell("max_ocpd_a", **asked).value == 10
    with pytest.raises(NotInTable, match=r"240\.4\(D\), NEC 2020"):
        load_edition("NEC 2020").table("small_conductors").cell("max_ocpd_a", **asked)


@pytest.mark.parametrize("name", edition_names())
def test_a_hundred_amperes_for_a_house(name):
    # readbag.com, Milpitas permit sheet: a one-family dwelling, 100 A. The other three from memory.
    edition = load_edition(name)
    kinds = ("one_family", "one_circuit", "two_circuits", "other")
    assert [edition.number(f"minimum_service_{kind}") for kind in kinds] == [100, 15, 30, 60]
    # forums.mikeholt.com 2857619: 225.39 uses the same four.
    assert [edition.number(f"building_disconnect_{kind}") for kind in kinds] == [100, 15, 30, 60]
