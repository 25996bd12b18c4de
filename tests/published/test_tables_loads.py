"""Load values that changed from edition to edition, typed from the change summaries named beside each."""

import pytest

from driploop.editions import NotInEdition, NotInTable, load_edition

UP_TO_2023 = ("NEC 2017", "NEC 2020", "NEC 2023")


def test_lighting_and_the_optional_first_tier():
    # lightnowblog.com 2025-12 and electricallicenserenewal.com lesson 1846: 3 to 2 VA, 10 to 8 kVA in 2026.
    for name in UP_TO_2023:
        assert load_edition(name).number("dwelling_lighting") == 3
        assert load_edition(name).number("optional_first_tier") == 10_000
    assert load_edition("NEC 2026").number("dwelling_lighting") == 2
    assert load_edition("NEC 2026").number("optional_first_tier") == 8_000


def test_vehicle_charging():
    # expertce.com lesson on 220.57: 7,200 VA in 2023; forums.mikeholt.com 2585012.
    assert load_edition("NEC 2023").number("evse_minimum") == 7_200
    assert not load_edition("NEC 2020").has("evse_minimum")
    assert not load_edition("NEC 2026").has("evse_minimum")
    assert load_edition("NEC 2026").number("evse_unknown_nameplate") == 7_200


@pytest.mark.parametrize("name", UP_TO_2023)
@pytest.mark.parametrize(
    ("dryers", "percent"), [(1, 100), (4, 100), (5, 85), (6, 75), (7, 65), (8, 60), (9, 55), (10, 50), (11, 47)]
)
def test_dryers_in_print(name, dryers, percent):
    # forums.mikeholt.com 131817.
    table = load_edition(name).table("dryer_demand")
    assert table.within("dryers_from", "dryers_to", dryers)["percent"] == percent


@pytest.mark.parametrize("name", UP_TO_2023)
def test_many_dryers_follow_the_printed_formulas(name):
    # forums.mikeholt.com 131817: 12-23, 47 less 1 for each over 11; 24-42, 35 less 0.5 for each over 23; then 25.
    table = load_edition(name).table("dryer_demand")
    percent = {n: table.within("dryers_from", "dryers_to", n)["percent"] for n in range(12, 60)}
    assert percent == {
        **{n: 47 - (n - 11) for n in range(12, 24)},
        **{n: 35 - 0.5 * (n - 23) for n in range(24, 43)},
        **dict.fromkeys(range(43, 60), 25),
    }


def test_dryers_of_2026_are_silent_where_nobody_saw_the_print():
    # electricallicenserenewal.com lesson 1845: one or two 100, three to five 80, 43 and more 25; the rest not seen.
    table = load_edition("NEC 2026").table("dryer_demand")
    seen = {1: 100, 2: 100, 3: 80, 5: 80, 43: 25, 90: 25}
    assert {n: table.within("dryers_from", "dryers_to", n)["percent"] for n in seen} == seen
    for n in (6, 20, 42):
        with pytest.raises(NotInTable, match="not seen"):
            table.within("dryers_from", "dryers_to", n)


@pytest.mark.parametrize("name", UP_TO_2023)
def test_lighting_demand(name):
    # A public audit file matched to the text of 2023: 3,000 VA at 100, to 120,000 VA at 35, then 25 percent.
    rows = load_edition(name).table("lighting_demand").rows
    assert [(row["from_va"], row["to_va"], row["percent"]) for row in rows] == [
        (0, 3_000, 100),
        (3_001, 120_000, 35),
        (120_001, None, 25),
    ]


@pytest.mark.parametrize("name", UP_TO_2023)
def test_ranges(name):
    table = load_edition(name).table("range_demand")
    # charlesrmiller.com CIF April 2008 (column C of one), electrical-knowhow.com 2013/02 part 24 (columns A, B of one).
    one = table.within("appliances_from", "appliances_to", 1)
    assert (one["column_a_percent"], one["column_b_percent"], one["column_c_kw"]) == (80, 80, 8)
    # Column C of two to fifteen: public source excerpts.
    column_c = [table.within("appliances_from", "appliances_to", n)["column_c_kw"] for n in range(2, 16)]
    assert column_c == [11, 14, 17, 20, 21, 22, 23, 24, 25, 26, 27, 28, 29, 30]


def test_the_existing_dwelling_method():
    # NREL/resstock comments on 220.83: 8 kVA, 40 percent, heating or cooling at 100.
    for name in UP_TO_2023:
        edition = load_edition(name)
        asked = ("existing_first_tier", "existing_remainder_percent", "existing_hvac_percent")
        assert [edition.number(each) for each in asked] == [8_000, 40, 100]
    # electricallicenserenewal.com lesson 1846: 2026 merged the parts; the factors were not seen.
    with pytest.raises(NotInEdition, match=r"NEC 2026.*120\.83.*ask the office"):
        load_edition("NEC 2026").number("existing_first_tier")


def test_total_farm_load():
    # scribd.com/document/687690966 (print of 2014).
    table = load_edition("NEC 2020").table("farm_total_demand")
    assert [(row["rank"], row["percent"]) for row in table.rows] == [("1", 100), ("2", 75), ("3", 65), ("rest", 50)]


def test_metered_demand():
    # symmetryace.com, NEC requirement page; forums.mikeholt.com 2580398.
    edition = load_edition("NEC 2023")
    asked = ("metered_demand_percent", "metered_record_months", "metered_recording_days", "metered_interval_minutes")
    assert [edition.number(each) for each in asked] == [125, 12, 30, 15]
