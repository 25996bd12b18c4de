"""The catalogue as a whole: every rule is named, explained, cited and tested both ways."""

import re
from pathlib import Path

import pytest

from driploop.editions import edition_names, load_edition
from driploop.rules import catalogue, check_rules, section_of
from driploop.rules.catalogue import THEMES, Found, findings_of, rule
from driploop.worksheet import Verdict

from .build import installation, readings_of

RULES = catalogue()
EDITIONS = [load_edition(name) for name in edition_names()]
TESTS = {
    name
    for module in Path(__file__).parent.glob("test_*.py")
    for name in re.findall(r"^def (test_\w+)", module.read_text(encoding="utf-8"), re.M)
}
each_rule = pytest.mark.parametrize("one", RULES, ids=lambda one: one.id)


def test_there_are_at_least_a_hundred_and_twenty_rules():
    assert len(RULES) >= 120


def test_every_theme_has_rules_and_they_come_theme_by_theme():
    assert list(dict.fromkeys(one.theme for one in RULES)) == list(THEMES)


def test_ids_are_unique_and_in_the_trades_words():
    ids = [one.id for one in RULES]
    assert len(set(ids)) == len(ids)
    assert [id for id in ids if not re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)+", id)] == []


def test_a_second_rule_of_the_same_name_is_refused():
    with pytest.raises(ValueError, match="bond-once"):
        rule("bond-once", title="", why="", requirement="")(lambda r: ())


@each_rule
def test_the_rule_explains_itself_to_an_apprentice(one):
    assert one.title
    assert not one.title.endswith(".")
    assert len(one.why) >= 60
    assert one.why.endswith(".")


@each_rule
def test_the_rule_has_its_section_in_every_edition_that_has_it(one):
    for edition in EDITIONS:
        if edition.has(one.requirement):
            assert section_of(one, edition)
        else:
            assert section_of(one, edition) == "-"


@each_rule
def test_the_rule_has_a_case_that_passes_and_one_that_fails(one):
    name = one.id.replace("-", "_")
    assert {f"test_{name}_passes", f"test_{name}_fails"} <= TESTS


def test_an_edition_without_the_rule_finds_nothing():
    one = next(each for each in RULES if each.id == "emergency-disconnect-outdoors")
    house = installation(HOUSE)
    assert list(findings_of(one, readings_of(house, "NEC 2020")))
    assert not list(findings_of(one, readings_of(house, "NEC 2017")))


def test_what_an_edition_does_not_tell_becomes_a_question():
    one = next(each for each in RULES if each.id == "emergency-disconnect-label")
    device = 'equipment.panel = { kind = "panel", building = "house", role = "emergency disconnect", is_new = true }'
    told = list(findings_of(one, readings_of(installation(f"{PLACE}\n{device}"), "NEC 2026")))
    assert [finding.verdict for finding in told] == [Verdict.ASK]
    assert told[0].section == "230.70"
    assert told[0].mend.endswith("was not seen.")
    assert told[0].mend.lower().count("ask the office") == 1


def test_findings_come_gravest_first():
    gravity = [Verdict.MEND, Verdict.ASK, Verdict.KNOW]
    told = [gravity.index(finding.verdict) for finding in check_rules(readings_of(installation(HOUSE)))]
    assert told == sorted(told)
    assert set(told) == {0, 1, 2}


@pytest.mark.parametrize("edition", edition_names())
def test_every_edition_checks_a_house_of_which_nothing_is_known(edition):
    bare = installation(
        "buildings.house = {}\nequipment.box = {}\nequipment.panel = {}\n"
        'runs.drop = { from = "utility", to = "box" }\nruns.inside = { from = "box", to = "panel" }\n'
        'circuits.one = { from = "panel" }\nloads.heater = { circuit = "one" }\nelectrodes.rod = {}\nbonds.pipe = {}\n'
    )
    told = check_rules(readings_of(bare, edition))
    assert not [finding for finding in told if finding.verdict is Verdict.MEND]
    assert [finding for finding in told if finding.verdict is Verdict.ASK]


def test_a_finding_says_what_is_wrong_and_what_would_mend_it():
    for finding in check_rules(readings_of(installation(HOUSE))):
        assert finding.wrong
        assert finding.mend
        assert finding.where.split(".")[0] in {
            "buildings", "equipment", "runs", "circuits", "loads", "electrodes", "bonds", "metered", "utility", "town",
            "proposal",
        }  # fmt: skip


def test_found_takes_the_rules_own_verdict_unless_it_states_one():
    assert Found("equipment.panel", "", "").verdict is None


PLACE = 'buildings.house = { use = "dwelling" }\nruns.drop = { from = "utility", to = "panel" }'
#: A small old house with faults of every gravity.
HOUSE = """
buildings.house = { use = "dwelling", floor_area_ft2 = 900 }
equipment.panel = { kind = "panel", building = "house", outdoors = false, rating_a = 60, main = "fuses", main_a = 60, \
branch_protection = "plug fuses", fuse_in_neutral = true }
runs.drop = { from = "utility", to = "panel", overhead = true }
circuits.lights = { from = "panel", ocpd = "plug fuse", ocpd_a = 30, wire_size = "14 AWG", metal = "copper" }
"""


def test_a_finding_carries_the_readings_of_offices_that_disagree():
    one = next(each for each in RULES if each.id == "emergency-disconnect-outdoors")
    before = installation(f'{PLACE}\nequipment.panel = {{ kind = "panel", building = "house", outdoors = false, '
                          'rating_a = 100 }')  # fmt: skip
    after = installation(f'{PLACE}\nequipment.panel = {{ kind = "panel", building = "house", outdoors = false, '
                         'rating_a = 100, is_new = true }')  # fmt: skip
    # Under 2020 a replacement of the same size is read both ways; 2023 speaks of it.
    [asked] = findings_of(one, readings_of(after, "NEC 2020", found=before))
    assert (asked.verdict, len(asked.readings)) == (Verdict.ASK, 2)
    [told] = findings_of(one, readings_of(after, "NEC 2023", found=before))
    assert (told.verdict, told.readings) == (Verdict.MEND, ())
