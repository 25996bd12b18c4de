import dataclasses

import pytest

from driploop.editions import (
    NotInEdition,
    NotInTable,
    UnknownEdition,
    common_table,
    edition_names,
    load_edition,
)

ALL = [load_edition(name) for name in edition_names()]


def test_the_editions_oldest_first():
    assert edition_names() == ("NEC 2017", "NEC 2020", "NEC 2023", "NEC 2026")
    assert [edition.year for edition in ALL] == [2017, 2020, 2023, 2026]


@pytest.mark.parametrize("written", ["NEC 2020", "nec 2020", "nec_2020", "2020", " 2020 "])
def test_an_edition_is_known_by_any_usual_name_and_loaded_once(written):
    assert load_edition(written) is load_edition("NEC 2020")


@pytest.mark.parametrize("written", ["NEC 2014", "2021", "", "CEC 2020", "20 20", "the newest"])
def test_an_unknown_edition_lists_those_there_are(written):
    with pytest.raises(UnknownEdition, match="NEC 2017, NEC 2020, NEC 2023, NEC 2026"):
        load_edition(written)


def test_an_edition_cannot_be_changed():
    with pytest.raises(dataclasses.FrozenInstanceError):
        load_edition("2020").name = "NEC 2099"


def test_a_value_carries_everything():
    cited = load_edition("NEC 2023").value("evse_minimum")
    assert (cited.value, cited.unit, cited.section, cited.confirmed) == (7200, "VA", "220.57", "page")


def test_one_namespace_for_sections():
    edition = load_edition("NEC 2020")
    assert edition.section("grounding_electrode_conductor") == "Table 250.66"
    assert edition.section("rod_resistance") == "250.53(A)(2) Ex."
    assert edition.section("emergency-disconnect") == "230.85"


def test_a_word_is_not_a_number():
    with pytest.raises(TypeError, match="6 AWG"):
        load_edition("NEC 2020").number("gec_to_rod_copper")


def test_a_name_misspelt_gets_its_neighbours():
    with pytest.raises(NotInEdition, match=r"no parameter named 'dweling_lighting'.*dwelling_lighting"):
        load_edition("NEC 2020").number("dweling_lighting")
    with pytest.raises(NotInEdition, match="no table named"):
        load_edition("NEC 2020").table("no_such_table")
    for ask in ("section", "has", "known", "entry"):
        with pytest.raises(NotInEdition, match="no entry named 'no-such-rule'"):
            getattr(load_edition("NEC 2020"), ask)("no-such-rule")


def test_a_table_is_no_parameter_and_a_parameter_no_table():
    edition = load_edition("NEC 2020")
    with pytest.raises(NotInEdition, match="no parameter named 'conductor_ampacity'"):
        edition.value("conductor_ampacity")
    with pytest.raises(NotInEdition, match="no table named 'dwelling_lighting'"):
        edition.table("dwelling_lighting")


@pytest.mark.parametrize("edition", ALL, ids=lambda edition: edition.name)
def test_nothing_absent_or_unknown_answers_in_silence(edition):
    silent = [name for name in edition.names() if edition.entry(name).state != "known"]
    assert silent
    for name in silent:
        kind, state = edition.entry(name).kind, edition.entry(name).state
        assert edition.has(name) == (state != "absent")
        assert edition.known(name) == (state != "unknown")
        if kind == "table":
            with pytest.raises(NotInEdition, match=edition.name):
                edition.table(name)
        else:
            with pytest.raises(NotInEdition, match=edition.name):
                edition.value(name)
        if state == "absent":
            with pytest.raises(NotInEdition, match="has no rule"):
                edition.section(name)


def test_what_2026_leaves_open_is_said_in_words():
    edition = load_edition("NEC 2026")
    unknown = {name for name in edition.names() if not edition.known(name)}
    assert unknown == {
        "dwelling_lighting_circuits",
        "emergency-disconnect-label",
        "emergency_letter_height_in",
        "evse_optional_percent",
        "existing-dwelling-load",
        "existing_first_tier",
        "existing_hvac_percent",
        "existing_remainder_percent",
        "instantaneous_water_heater_percent",
        "multifamily-load",
        "multifamily_demand",
        "water-heater-demand",
    }
    for older in ALL[:-1]:
        assert all(older.known(name) for name in older.names())


def test_a_missing_rating_reads_as_a_person_would_want_it():
    with pytest.raises(NotInTable) as caught:
        load_edition("NEC 2020").table("dwelling_service_conductors").cell("copper", rating_a=180)
    assert str(caught.value) == (
        "dwelling_service_conductors (Table 310.12, NEC 2020) has no row with rating_a 180. "
        "Rows (rating_a): 100, 110, 125, 150, 175, 200, 225, 250, 300, 350, 400."
    )


def test_the_label_of_an_outdoor_disconnect_of_2026_is_not_invented():
    for name in ("NEC 2020", "NEC 2023"):
        words = load_edition(name).table("label_words").cell("words", label="emergency-meter-disconnect").value
        # badmonkeyelectric.com 2021; captaincode2023.leviton.com node 41.
        assert words == "EMERGENCY DISCONNECT, METER DISCONNECT, NOT SERVICE EQUIPMENT"
    with pytest.raises(NotInTable, match=r"of 2026 \(230\.70\) were not seen: ask the office"):
        load_edition("NEC 2026").table("label_words").cell("words", label="service-disconnect")


def test_a_table_entry_is_as_weak_as_its_weakest_row():
    # 18 and 16 AWG of the free-air table are from memory, the rest from a page.
    assert load_edition("NEC 2020").entry("conductor_ampacity_free_air").confirmed == "memory"
    assert load_edition("NEC 2020").entry("conductor_ampacity").confirmed == "page"
    assert load_edition("NEC 2026").entry("conductor_ampacity").confirmed == "carried"


def test_common_tables_name_those_there_are():
    assert common_table("cable_ser_copper").cell("diameter_in", size="4 AWG").value == 0.8
    with pytest.raises(NotInEdition, match=r"there are: .*cable_ser_copper"):
        common_table("cable_of_gold")


def test_a_table_is_read_when_it_is_first_asked_for_and_no_sooner():
    from driploop.editions import lookup

    lookup._load.cache_clear()
    edition = load_edition("NEC 2023")
    assert set(edition._shelf.read) == set()
    edition.table("bonding_jumper")
    assert set(edition._shelf.read) == {"bonding_jumper"}
