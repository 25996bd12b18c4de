"""Findings by rule, what becomes of those as found, and the change told to a crew."""

from __future__ import annotations

from dataclasses import replace

from driploop.documents.assumed import assumption_table
from driploop.documents.changes import change_tables
from driploop.documents.findings import found_tables, grouped, outcome
from driploop.documents.places import field_words, place_words
from driploop.installation import Change, Circuit, Electrode, Equipment, Installation
from driploop.planning import Plan
from driploop.worksheet import Assumption, Finding, Verdict

from .packets import example, plan_of

FOUND = Installation(
    equipment={
        "old-box": Equipment(id="old-box", name="Old fuse box", kind="panel"),
        "panel": Equipment(id="panel", name="Cellar panel", kind="panel"),
    },
    circuits={"range": Circuit(id="range", from_="old-box", serves="kitchen range")},
)
AFTER = FOUND.model_copy(
    update={
        "state": "proposed",
        "equipment": {"panel": FOUND.equipment["panel"]},
        "circuits": {"range": FOUND.circuits["range"].model_copy(update={"from_": "panel"})},
    }
)
REMOVED = (Change("equipment.old-box", "removed", "Old fuse box"),)


def finding(
    where: str, *, wrong: str = "it is wrong", rule: str = "a-rule", verdict: Verdict = Verdict.MEND
) -> Finding:
    return Finding(rule, verdict, where, wrong, "mend it", "1.1", "because")


def plan_with(found: tuple[Finding, ...], proposed: tuple[Finding, ...]) -> Plan:
    plan = example("bungalow")
    assert plan.proposed is not None
    plan = replace(
        plan,
        difference=REMOVED,
        found=replace(plan.found, installation=FOUND),
        proposed=replace(plan.proposed, installation=AFTER),
    )
    plan.__dict__.update(found_findings=found, proposed_findings=proposed)  # as if the rules had found these
    return plan


def test_a_finding_of_a_part_that_is_taken_out_is_gone() -> None:
    here = finding("equipment.old-box.condition")
    assert outcome(plan_with((here,), ()), here) == "gone with the proposal"


def test_a_finding_that_moves_with_its_circuits_is_not_called_gone() -> None:
    here = finding("equipment.old-box")
    words = outcome(plan_with((here,), (finding("equipment.panel", wrong="there now"),)), here)
    assert words == "place is taken out; see Cellar panel"


def test_a_finding_nothing_speaks_of_any_more_is_mended() -> None:
    here = finding("equipment.panel")
    assert outcome(plan_with((here,), (finding("equipment.panel", rule="another"),)), here) == "mended by the proposal"


def test_a_finding_the_rule_still_makes_stays_even_in_other_words() -> None:
    here = finding("equipment.panel.main_a", wrong="60 A")
    assert outcome(plan_with((here,), (finding("equipment.panel.main_a", wrong="70 A"),)), here) == "stays"
    ask = finding("equipment.panel", wrong="open", verdict=Verdict.ASK)
    assert outcome(plan_with((here,), (ask,)), here) == "stays, as a question"


def test_one_of_two_findings_at_a_place_can_be_mended() -> None:
    first, second = finding("equipment.panel", wrong="one"), finding("equipment.panel", wrong="two")
    plan = plan_with((first, second), (second,))
    assert [outcome(plan, f) for f in (first, second)] == ["mended by the proposal", "stays"]


def test_findings_as_found_are_told_gravest_first_with_place_and_outcome() -> None:
    plan = plan_with((finding("equipment.old-box"), finding("circuits.range", verdict=Verdict.KNOW)), ())
    mend, know = found_tables(plan)
    assert (mend.title, know.title) == ("Must be mended (1)", "Worth knowing (1)")
    assert mend.rows == (("Old fuse box", "it is wrong", "1.1", "gone with the proposal"),)
    assert know.rows[0][0] == "Circuit: kitchen range"


def test_a_rule_is_told_once_with_all_its_places() -> None:
    same = [finding("equipment.old-box"), finding("equipment.panel"), finding("circuits.range", wrong="otherwise")]
    ((group),) = grouped(same, FOUND)
    (rule,) = group["rules"]
    assert (group["verdict"], group["count"], rule["why"]) == ("must be mended", 3, "because")
    assert [[p["name"] for p in item["places"]] for item in rule["items"]] == [
        ["Old fuse box", "Cellar panel"], ["Circuit: kitchen range"],
    ]  # fmt: skip


def test_rules_of_the_catalogue_are_told_by_their_title() -> None:
    (group,) = grouped([finding("equipment.panel", rule="bond-once")], FOUND)
    assert group["rules"][0]["title"] != "bond once"
    assert group["rules"][0]["id"] == "bond-once"


def test_namesake_electrodes_are_told_apart_by_their_building() -> None:
    house = example("bungalow").found.installation.buildings
    first = next(iter(house))
    both = {id: Electrode(id=id, name="Rod", kind="rod", building=first) for id in ("a", "b")}
    installation = Installation(buildings=house, electrodes=both)
    assert place_words("electrodes.a.length_ft", installation) == f"Rod, {house[first].title}"


def test_paths_outside_the_parts_have_words_too() -> None:
    assert place_words("utility.supply", FOUND) == "Utility"
    assert place_words("wishes.heat-pump.va", FOUND) == "Wishes, heat pump"
    assert field_words("burial_depth_in") == "burial depth"
    assert field_words("mocp_a") == "maximum overcurrent device"


def test_alike_assumptions_share_a_row() -> None:
    alike = [
        Assumption(f"equipment.{id}.terminal_temperature_c", "60 C", "lower", "a label") for id in ("old-box", "panel")
    ]
    other = Assumption("circuits.range.wire_size", "14 AWG", "smallest", "the size")
    made = assumption_table(replace(plan_with((), ()), assumptions=(*alike, other)))
    assert [row[0] for row in made.rows] == [
        ("Old fuse box; Cellar panel", "equipment.*.terminal_temperature_c"),
        ("Circuit: kitchen range", "circuits.range.wire_size"),
    ]


SHED = """
format = 1
[job]
title = "Shed"
[town]
edition = "NEC 2023"
[buildings.house]
use = "dwelling"
floor_area_ft2 = 900
[equipment.meter]
kind = "meter"
building = "house"
[equipment.fuse-box]
kind = "panel"
building = "house"
rating_a = 60
main = "fuses"
main_a = 60
branch_protection = "plug fuses"
neutral_bonded = true
[runs.service]
from = "utility"
to = "meter"
owner = "utility"
[runs.entrance]
from = "meter"
to = "fuse-box"
method = "SE cable"
wires = 3
line_size = "6 AWG"
metal = "copper"
[circuits.a]
from = "fuse-box"
serves = "front room"
poles = 1
ocpd = "plug fuse"
ocpd_a = 15
wire_size = "14 AWG"
metal = "copper"
[circuits.b]
from = "fuse-box"
serves = "back room"
poles = 1
ocpd = "plug fuse"
ocpd_a = 15
wire_size = "14 AWG"
metal = "copper"
[proposal]
kind = "service disconnect outdoors"
rating_a = 200
metal = "aluminum"
panel = "fuse-box"
"""


def test_a_crew_reads_words_and_not_fields() -> None:
    (house, *_) = change_tables(plan_of(SHED))
    rows = {part: (work, words) for work, part, words in house.rows}  # type: ignore[misc]
    panel = rows["Fuse box"][1]
    assert "neutral: bonded → isolated" in panel.lower()
    assert "60 A fuses →" in panel
    assert "_" not in " ".join(words for _, words in rows.values())
    assert "Circuits: front room; back room" in rows
    assert "15 A plug fuse → 15 A breaker" in rows["Circuits: front room; back room"][1]


def test_without_a_proposal_nothing_changes() -> None:
    assert change_tables(replace(plan_with((), ()), proposed=None)) == ()


def test_both_readings_of_offices_that_disagree_are_printed():
    disputed = replace(finding("equipment.panel"), readings=("it counts", "it does not count"))
    [item] = grouped([disputed], FOUND)[0]["rules"][0]["items"]
    assert item["mend"] == "mend it Read so: it counts. Read so: it does not count."
    [table] = found_tables(plan_with((disputed,), ()))
    assert "Read so: it does not count." in str(table)
