"""What the work changes of a building: stated by hand, or laid by a mending."""

from __future__ import annotations

import pytest

import driploop
from alternatives.houses import FARM, HEAD, build, changed, proposal
from driploop.alternatives import alternatives_of
from driploop.documents.changes import change_tables
from driploop.editions import load_edition
from driploop.installation import difference
from driploop.survey import JobFileError, read_job_text
from driploop.worksheet import Verdict

#: A cow barn with a concrete floor, metal stalls and no plane under them.
COWS = changed(FARM, "buildings.barn", use="livestock", concrete_confinement=True, equipotential_plane=False)
DISTRIBUTION = proposal(
    "farm distribution point", outdoor_place="pole", feeder_method="direct-buried conductors", feeder_length_ft=90
)
PLANE = "proposal.buildings.barn = { equipotential_plane = true }\n"


def farm(survey: str, proposed: str = ""):
    text = HEAD.format(edition="2023").replace("residence", "farm") + survey + proposed
    return read_job_text(text, name="a job")


def test_what_a_proposal_changes_of_a_building_stands_in_the_end_and_in_the_difference():
    job = farm(COWS, DISTRIBUTION + PLANE)
    built = build(COWS, DISTRIBUTION + PLANE)
    barn = built.installation.buildings["barn"]
    assert barn.equipotential_plane is True
    assert barn.use == "livestock"
    [change] = [each for each in difference(job.found, built.installation) if each.path == "buildings.barn"]
    assert [(f.field, f.before, f.after) for f in change.fields] == [("equipotential_plane", False, True)]


def test_the_crew_reads_the_change_of_a_building_under_that_building():
    plan = driploop.plan(farm(COWS, DISTRIBUTION + PLANE))
    [barn] = [each for each in change_tables(plan) if each.title.lower() == "barn"]
    assert any("Equipotential plane: no → yes" in " ".join(row) for row in barn.rows), barn.rows


def test_a_missing_plane_is_laid_in_every_way_and_bars_none():
    comparison = alternatives_of(farm(COWS), edition=load_edition("2023"))
    ways = [*comparison.offered, *(folded.alternative for folded in comparison.folded)]
    assert ways
    for each in ways:
        assert each.proposal.buildings["barn"].equipotential_plane is True
        assert "barn: lay an equipotential plane where animals stand" in each.mendings
        assert "lay the equipotential plane of barn" in each.figures.steps
        again = driploop.plan(each.job)
        assert not again.must_mend
        assert set(again.proposed_findings) == set(each.findings)
    assert "equipotential-plane" in {each.rule for each in comparison.shared}
    assert not any(bar.rule == "equipotential-plane" for way in comparison.refused for bar in way.findings)


def test_a_plane_nobody_asked_about_is_asked_not_laid():
    unknown = changed(FARM, "buildings.barn", use="livestock", concrete_confinement=True)
    comparison = alternatives_of(farm(unknown), edition=load_edition("2023"))
    for each in comparison.offered:
        assert "barn" not in each.proposal.buildings
        asked = {f.where for f in each.findings if f.verdict is Verdict.ASK}
        assert "buildings.barn.equipotential_plane" in asked


def test_a_building_that_is_not_there_is_a_fault_of_the_file():
    with pytest.raises(JobFileError) as error:
        farm(COWS, DISTRIBUTION + "proposal.buildings.barns = { equipotential_plane = true }\n")
    [fault] = error.value.faults
    assert fault.path == "proposal.buildings.barns"
    assert fault.allowed == "an id of [buildings]: pole, house, barn"
    assert fault.do == 'Did you mean "barn"? If not: add [buildings.barns]: what is to be built stands there too.'


def test_a_building_of_a_changed_building_must_be_there_too():
    with pytest.raises(JobFileError) as error:
        farm(COWS, DISTRIBUTION + 'proposal.buildings.barn = { part_of = "castle" }\n')
    assert [fault.path for fault in error.value.faults] == ["proposal.buildings.barn.part_of"]


def test_a_proposal_made_by_hand_may_not_change_a_building_that_is_not_there():
    job = farm(COWS, DISTRIBUTION + PLANE)
    barn = job.proposal.buildings["barn"]
    wrong = job.model_copy(update={"proposal": job.proposal.model_copy(update={"buildings": {"castle": barn}})})
    with pytest.raises(driploop.worksheet.DriploopError, match="no building of the survey; there are: pole"):
        driploop.plan(wrong)
