import pytest

from driploop.editions import load_edition


def found(text, *, edition="NEC 2023"):
    return [entry.name for entry in load_edition(edition).find(text)]


def test_a_section_finds_itself_before_its_parts_and_its_whole():
    names = found("220.82")
    assert names[0] == "dwelling-optional-load"
    assert {"optional_first_tier", "heating_cooling_cases"} <= set(names[1:])
    assert found("220.82(B)")[0] == "optional_first_tier"
    assert "dwelling-optional-load" in found("220.82(B)")


def test_a_section_is_not_the_start_of_a_longer_number():
    sections = [load_edition("NEC 2023").entry(name).section for name in found("250.12")]
    assert sections == ["250.12"]


def test_the_word_table_may_be_said():
    assert found("Table 310.12(A)")[0] == "dwelling_service_conductors"
    assert found("Table 250.66")[0] == "grounding_electrode_conductor"


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("second rod", "second-rod"),
        ("emergency disconnect", "emergency-disconnect"),
        ("grounding electrode conductor", "grounding_electrode_conductor"),
        ("knob and tube", "knob-and-tube"),
        ("water meter", "water-meter-jumper"),
        ("dryers by number", "dryer_demand"),
    ],
)
def test_plain_words_find_the_thing(text, name):
    assert name in found(text)[:3]


def test_every_known_entry_is_found_by_its_own_section():
    edition = load_edition("NEC 2020")
    for name in edition.names():
        entry = edition.entry(name)
        first = entry.section.split(", ")[0]
        if entry.state == "known" and first[:1].isdigit() and "." in first:
            assert name in {hit.name for hit in edition.find(first)}, name


def test_nothing_found_is_an_empty_list():
    assert found("999.99") == []
    assert found("flying carpet") == []
    assert found("") == []


def test_where_no_entry_holds_all_of_three_words_those_that_lack_one_are_found():
    names = [entry.name for entry in load_edition("NEC 2023").find("ground rod spacing")]
    assert "rod_spacing_ft" in names
    assert load_edition("NEC 2023").find("rod zeppelin") == []
