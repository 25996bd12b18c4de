"""A proposal that does not fit what was found is refused in words: where, and what to do."""

import pytest

from alternatives.houses import FARM, HOUSE, build, changed, proposal, refusal
from driploop.alternatives import ProposalError, propose
from driploop.editions import load_edition
from driploop.installation import Equipment, Installation, Job, Proposal, Run

EVERYTHING = proposal("everything outdoors")
OUTDOORS = proposal("service disconnect outdoors", panel="box")


@pytest.mark.parametrize(
    ("added", "where", "says"),
    [
        ('proposal.equipment.box = { name = "New" }', "proposal.equipment.box", "'new-main', which takes its place"),
        ('proposal.runs.entrance = { trade_size = "2" }', "proposal.runs.entrance", "takes it out"),
        ('proposal.runs.spur = { trade_size = "2" }', "proposal.runs.spur", "not in the survey"),
        ('proposal.equipment.shelf = { name = "New" }', "proposal.equipment.shelf", "state a 'kind'"),
        ("proposal.circuits.fan = { ocpd_a = 20 }", "proposal.circuits.fan", "state 'from'"),
        (
            'proposal.circuits.rooms = { from = "box" }',
            "circuits.rooms.from",
            "'box' is taken out by this proposal; name 'new-main'",
        ),
        ('proposal.electrodes.water = { conductor_to = "box" }', "electrodes.water.conductor_to", "name 'new-main'"),
        ('proposal.bonds.gas = { equipment = "box" }', "bonds.gas.equipment", "name 'new-main'"),
        (
            'proposal.equipment.shelf = { kind = "panel", building = "house" }',
            "equipment.shelf",
            "say in [proposal.runs] what does",
        ),
        (
            'proposal.equipment.shelf = { kind = "panel" }\nproposal.runs.up = { from = "box", to = "shelf" }',
            "runs.up.from",
            "name 'new-main'",
        ),
        ('proposal.moves = { rooms = "meter" }', "circuits.rooms.from", "protects no circuit"),
    ],
)
def test_a_proposal_that_names_what_is_not_there_is_refused(added: str, where: str, says: str):
    error = refusal(HOUSE, EVERYTHING + added + "\n")
    assert error.where == where
    assert says in error.what


def test_two_supplies_of_one_panel_are_refused():
    error = refusal(HOUSE, OUTDOORS + 'proposal.runs.second = { from = "meter", to = "box", wires = 3 }\n')
    assert (error.where, "already fed" in error.what) == ("proposal", True)


def test_a_run_taken_from_what_goes_must_name_another_source():
    error = refusal(
        FARM, proposal("farm distribution point", outdoor_place="pole") + 'proposal.runs.to-barn.from = "pole-switch"\n'
    )
    assert (error.where, "'new-main'" in error.what) == ("runs.to-barn.from", True)


def test_nothing_is_fed_by_a_switch_that_leaves_nothing_behind():
    lost = changed(HOUSE, "equipment.meter", fate="keep") + (
        """
equipment.island = { kind = "disconnect", building = "house", fate = "remove" }
equipment.far = { kind = "panel", building = "house" }
runs.far = { from = "island", to = "far", wires = 3 }
"""
    )
    assert refusal(lost, OUTDOORS).where in ("runs.far.from", "equipment.far")


def test_what_the_survey_did_not_know_is_no_loose_end():
    unfed = 'equipment.far = { kind = "panel", building = "house" }\ncircuits.stray = { ocpd_a = 15 }\n'
    built = build(HOUSE + unfed, OUTDOORS)
    assert built.graph.source_of("far") is None
    assert built.installation.circuits["stray"].from_ is None


def test_a_proposal_made_in_python_is_refused_in_words_too():
    box = Equipment(id="box", kind="panel", rating_a=100.0)
    found = Installation(
        equipment={"box": box}, runs={"r": Run.model_validate({"id": "r", "from": "utility", "to": "box"})}
    )
    for wrong in ({"panel": "nowhere"}, {"moves": {"nothing": "box"}}):
        with pytest.raises(ProposalError, match="survey"):
            propose(
                Job(found=found, proposal=Proposal(kind="service disconnect inside", rating_a=100.0, **wrong)),
                edition=load_edition("2023"),
            )


def test_an_empty_proposal_proposes_nothing():
    assert propose(Job(proposal=Proposal()), edition=load_edition("2023")) is None


def test_a_proposal_for_an_empty_survey_is_refused():
    for kind in ("service disconnect inside", "several service disconnects", "everything outdoors"):
        with pytest.raises(ProposalError):
            propose(Job(proposal=Proposal(kind=kind)), edition=load_edition("2023"))  # type: ignore[arg-type]


def test_added_equipment_and_runs_are_new_with_what_new_ones_have():
    added = """
proposal.equipment.shelf = { kind = "panel", building = "house", rating_a = 60, directory = "unclear" }
proposal.runs.up = { from = "box", to = "shelf", wires = 4 }
"""
    built = build(HOUSE, OUTDOORS + added)
    shelf, up = built.graph.equipment("shelf"), built.installation.runs["up"]
    assert (shelf.is_new, shelf.terminal_temperature_c, shelf.directory, shelf.surge_protection) == (
        True, 75, "unclear", "type 2",
    )  # fmt: skip
    assert (up.is_new, up.owner, up.neutral_insulated) == (True, "customer", True)


def test_what_the_proposal_states_has_the_last_word():
    stated = "proposal.equipment.box = { neutral_bonded = true }\nproposal.circuits.range = { ocpd_a = 50 }\n"
    built = build(HOUSE, OUTDOORS + stated)
    assert built.graph.equipment("box").neutral_bonded is True
    assert built.installation.circuits["range"].ocpd_a == 50
