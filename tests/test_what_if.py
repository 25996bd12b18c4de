"""One job under two editions."""

from pathlib import Path

import pytest

from driploop.editions import OverlayFault, UnknownEdition, read_overlay
from driploop.survey import read_job, read_job_text
from driploop.what_if import editions_compared

EXAMPLES = Path(__file__).parents[1] / "examples"
ORCHARD = read_job(EXAMPLES / "orchard.toml")
BUNGALOW = read_job(EXAMPLES / "bungalow.toml")

#: A house of 1,000 ft2 with a 12 kW range. Optional load of 2023: 3 VA/ft2 x 1,000 = 3,000, two small-appliance
#: circuits and one laundry circuit 4,500, range 12,000: 19,500; 10,000 + 40 percent of 9,500 = 13,800 VA.
#: Of 2026: 2 VA/ft2 makes 18,500; 8,000 + 40 percent of 10,500 = 12,200 VA.
HOUSE = """
format = 1
[site]
kind = "residence"
[buildings.house]
use = "dwelling"
floor_area_ft2 = 1000
garage_area_ft2 = 0
laundry = "in unit"
[equipment.panel]
kind = "panel"
building = "house"
outdoors = false
rating_a = 100
main = "breaker"
main_a = 100
[runs.drop]
from = "utility"
to = "panel"
[circuits.range]
from = "panel"
[loads.range]
kind = "range"
circuit = "range"
kw = 12
"""


def test_an_edition_against_itself_differs_in_nothing():
    same = editions_compared(ORCHARD, "NEC 2023", "2023")
    assert same.changes == ()
    assert same.before.edition == same.after.edition


def test_the_lighting_load_of_2026_is_smaller():
    found = editions_compared(read_job_text(HOUSE, name="house.toml"), "NEC 2023", "NEC 2026")
    optional = [change for change in found.of("load") if change.what.startswith("Optional")]
    assert [(change.before, change.after) for change in optional] == [("13,800 VA", "12,200 VA")]
    assert optional[0].section_after.startswith("120.82")


def test_what_is_not_known_of_2026_is_refused_in_words():
    found = editions_compared(read_job_text(HOUSE, name="house.toml"), "NEC 2023", "NEC 2026")
    existing = [each for each in found.not_known if each.section.startswith("120.83")]
    assert existing
    assert all("not" in each.why for each in existing)
    assert any("NEC 2026" in each.what and "edition before" in each.what for each in found.not_known)
    assert editions_compared(BUNGALOW, "NEC 2020", "NEC 2023").not_known == ()


def test_findings_come_and_go_with_the_edition():
    older = editions_compared(read_job_text(HOUSE, name="house.toml"), "NEC 2017", "NEC 2020")
    came = {change.what for change in older.of("finding") if not change.before}
    assert "emergency-disconnect-outdoors" in came
    back = editions_compared(read_job_text(HOUSE, name="house.toml"), "NEC 2020", "NEC 2017")
    went = {change.what for change in back.of("finding") if not change.after}
    assert came == went


def test_the_label_gets_its_colours_in_2023():
    [label] = editions_compared(BUNGALOW, "NEC 2020", "NEC 2023").of("label")
    assert label.before == "EMERGENCY DISCONNECT / SERVICE DISCONNECT"
    assert label.after == f"{label.before}, white on red, letters of 0.5 in"
    assert (label.section_before, label.section_after) == ("230.85, 110.21(B)", "230.85(E)")


def test_local_rules_are_laid_over_both_editions():
    overlay = read_overlay(EXAMPLES / "overlays" / "upper-quillby.toml")
    found = editions_compared(ORCHARD, "NEC 2020", "NEC 2023", overlays=[overlay])
    for plan in (found.before, found.after):
        assert plan.edition.number("rod_spacing_ft") == 8
        assert "local-notice" in {finding.rule for finding in plan.proposed_findings}


def test_an_edition_that_is_not_there_is_refused():
    with pytest.raises(UnknownEdition, match="NEC 2029"):
        editions_compared(BUNGALOW, "NEC 2020", "NEC 2029")


def test_a_local_rule_that_does_not_fit_is_refused():
    odd = read_overlay(
        '[overlay]\nname = "T"\nwho_said_so = "w"\ndate = 2026-01-01\nkind = "town"\n'
        "[parameter.no_such_value]\nvalue = 1\n"
    )
    with pytest.raises(OverlayFault, match="no parameter of that name"):
        editions_compared(BUNGALOW, "NEC 2020", "NEC 2023", overlays=[odd])
