"""The plan: both installations read, their difference, every worksheet by its number."""

from __future__ import annotations

import pytest

from alternatives.houses import HEAD, HOUSE, KINDS, changed, proposal
from driploop import plan
from driploop.alternatives import ProposalError
from driploop.editions import load_edition, read_overlay
from driploop.installation import GraphError, Job
from driploop.planning import FALLBACK_EDITION, Plan, worksheets_of
from driploop.survey import read_job_text
from driploop.worksheet import Verdict

OUTDOORS = proposal("service disconnect outdoors")


def job(text: str, *, edition: str = "2023") -> Job:
    return read_job_text(HEAD.format(edition=edition) + text, name="a job")


def planned(text: str, *, edition: str = "2023") -> Plan:
    return plan(job(text, edition=edition))


def test_nothing_proposed_leaves_what_was_found():
    found = planned(HOUSE)
    assert (found.proposed, found.difference, found.proposed_findings) == (None, (), ())
    assert found.final is found.found
    assert {f.verdict for f in found.must_mend} == {Verdict.MEND}


def test_what_must_be_mended_is_that_of_what_will_stand():
    both = planned(HOUSE + OUTDOORS)
    assert both.final is both.proposed
    rules = {finding.rule for finding in both.must_mend}
    # The 30 A fuse on 14 AWG goes with the old box; the range's bare neutral now starts past the service disconnect.
    assert "breaker-protects-the-old-wire" in {finding.rule for finding in both.found_findings}
    assert "breaker-protects-the-old-wire" not in rules
    assert "three-wire-range-or-dryer" in rules


@pytest.mark.parametrize("kind", KINDS)
def test_every_new_run_has_the_sizes_chosen_for_it(kind: str):
    proposed = planned(HOUSE + proposal(kind)).proposed
    assert proposed is not None
    new = [run for run in proposed.installation.runs.values() if run.is_new]
    assert new
    for run in new:
        sizing = proposed.conductors.runs[run.id]
        assert (run.line_size, run.neutral_size, run.egc_size) == (
            sizing.line_size, sizing.neutral_size, sizing.egc_size,
        )  # fmt: skip
        assert run.line_size is not None
        assert (run.wires == 4) is (run.egc == "wire")


def test_a_service_and_a_feeder_of_two_hundred_amperes_are_the_sizes_of_the_trade():
    """Common practice: 4/0 aluminum for a 200 A dwelling service, with 4 AWG aluminum to ground the feeder."""
    proposed = planned(HOUSE + OUTDOORS).proposed
    assert proposed is not None
    service, feeder = proposed.installation.runs["service"], proposed.installation.runs["main-feeder"]
    assert (service.line_size, feeder.line_size, feeder.egc_size) == ("4/0 AWG", "4/0 AWG", "4 AWG")


def test_the_difference_names_each_part_that_changes_and_no_other():
    shelf = 'equipment.far = { kind = "panel", building = "house", role = "subpanel", neutral_bonded = false }\n'
    scope = 'proposal = { scope = "panel only", panel = "box", rating_a = 100 }\n'
    paths = [change.path for change in planned(HOUSE + shelf + scope).difference]
    assert paths == ["equipment.box", "circuits.range", "circuits.rooms", "circuits.cellar"]


def test_the_difference_of_a_new_meter_is_what_is_new_of_it():
    meter = next(c for c in planned(HOUSE + OUTDOORS).difference if c.path == "equipment.meter")
    assert {field.field for field in meter.fields} == {"rating_a", "neutral_bonded", "terminal_temperature_c"}


def test_worksheets_are_numbered_by_installation_and_each_stands_once():
    both = planned(HOUSE + OUTDOORS)
    assert both.proposed is not None
    numbered = both.worksheets()
    assert {number[0] for number in numbered} == {"F", "P", "H"}
    for letter, readings in (("F", both.found), ("P", both.proposed)):
        ids = [sheet.id for number, sheet in numbered.items() if number[0] == letter]
        assert len(ids) == len(set(ids))
        assert set(ids) == {sheet.id for sheet in worksheets_of(readings) if sheet.lines}


def test_the_edition_is_the_jobs_and_a_missing_one_is_said_aloud():
    assert planned(HOUSE, edition="2017").edition.name == "NEC 2017"
    unnamed = read_job_text(HEAD.format(edition="2023").replace('town.edition = "NEC 2023"', "") + HOUSE, name="a job")
    without = plan(unnamed)
    assert without.edition.name == FALLBACK_EDITION
    assert "town.edition" in {each.where for each in without.assumptions}


def test_each_assumption_is_said_once():
    said = planned(HOUSE + proposal("service disconnect inside", rating_a=None)).assumptions
    assert len(said) == len(set(said))
    assert "proposal.rating_a" in {each.where for each in said}


def test_a_plan_is_the_same_whenever_it_is_made():
    assert planned(HOUSE + OUTDOORS).proposed_findings == planned(HOUSE + OUTDOORS).proposed_findings
    first, second = planned(HOUSE + OUTDOORS), planned(HOUSE + OUTDOORS)
    assert (first.assumptions, first.difference) == (second.assumptions, second.difference)


def test_a_proposal_that_does_not_fit_is_refused_by_the_plan():
    with pytest.raises(ProposalError, match=r"^equipment\.box\.fate: "):
        planned(changed(HOUSE, "equipment.box", fate="keep") + proposal("everything outdoors"))


def test_what_was_found_must_be_a_tree_before_anything_is_proposed():
    made = job(HOUSE + OUTDOORS)
    twice = made.found.runs["entrance"].model_copy(update={"id": "again"})
    found = made.found.model_copy(update={"runs": {**made.found.runs, "again": twice}})
    with pytest.raises(GraphError, match="already fed"):
        plan(made.model_copy(update={"found": found}))


def test_local_rules_that_were_not_laid_over_the_edition_are_told():
    named = read_job_text(
        'format = 1\n[town]\nedition = "NEC 2023"\noverlay = "t.toml"\n[utility]\noverlay = "u.toml"\n', name="job.toml"
    )
    told = {a.where: a.assumed for a in plan(named).assumptions if a.where.endswith(".overlay")}
    assert set(told) == {"town.overlay", "utility.overlay"}
    assert "t.toml was not laid over it" in told["town.overlay"]
    town = read_overlay('[overlay]\nname = "T"\nwho_said_so = "w"\ndate = 2026-01-01\nkind = "town"\n')
    laid = plan(named, edition=load_edition("NEC 2023", overlays=[town]))
    assert [a.where for a in laid.assumptions if a.where.endswith(".overlay")] == ["utility.overlay"]


def test_what_circuits_and_panels_assume_stands_with_the_rest_and_once():
    made = planned(HOUSE + OUTDOORS)
    every = made.all_assumptions
    assert len(every) == len(set(every))
    assert every[: len(made.assumptions)] == made.assumptions
    found, proposed = made.protections
    assert proposed is not None
    of_circuits = {a for each in (*found.values(), *proposed.values()) for a in each.assumptions}
    of_duties = {a for each in (*made.final.duties, *made.final.old_disconnects) for a in each.assumptions}
    of_panels = {a for each in made.panels for a in each.assumptions}
    assert of_circuits - set(made.assumptions)
    assert of_panels - set(made.assumptions)
    assert of_circuits | of_duties | of_panels <= set(every)


def test_no_circuit_and_no_panel_is_read_before_somebody_asks():
    made = planned(HOUSE + OUTDOORS)
    assert not {"protections", "panels", "circuit_assumptions", "panel_assumptions"} & set(vars(made))
    assert made.circuit_assumptions
    assert "panels" not in vars(made)
