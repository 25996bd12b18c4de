"""Length never takes a duty away, and what was not seen never answers no where an answer to it says yes."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from circuits.houses import changed, duty_of, house, renewed
from driploop.editions import edition_names

editions = st.sampled_from(edition_names())
usual = settings(max_examples=40, deadline=None)
GRAVE = {"no": 0, "ask the office": 1, "yes": 2}
#: Facts of a circuit that nobody may have seen, and what a survey may find. The panel hangs elsewhere than before: of
#: one renewed in its place, wire that nobody measured is taken as not lengthened, and its duty says so.
FACTS = {
    "extend_ft": ("0", "5", "9"),
    "metal": ('"copper"', '"aluminum"'),
    "insulation": ('"TW"', '"THHN"', '"rubber and cloth"'),
    "cable": ('"NM cable"', '"knob-and-tube"', '"SE cable"', '"EMT"'),
    "in_thermal_insulation": ("true", "false"),
    "ground": ('"wire"', '"none"'),
    "neutral": ('"insulated"', '"bare"', '"none"'),
    "frame_grounded_by_neutral": ("true", "false"),
    "wire_size": ('"14 AWG"', '"10 AWG"', '"6 AWG"'),
    "gfci": ("true", "false"),
    "afci": ("true", "false"),
}
FIXED = (
    'poles = 1, purpose = "general", receptacles = true',
    'poles = 1, purpose = "bathroom", receptacles = true, receptacles_replaced = 1',
    'poles = 2, purpose = "dedicated"',
)


def answers(facts, fixed, load, edition, use):
    circuit = ", ".join([fixed, *(f"{name} = {value}" for name, value in facts.items())])
    return {duty.id: duty.answer for duty in renewed(circuit, load, edition=edition, use=use).duties}


@given(short=st.floats(0, 40), more=st.floats(0, 40), edition=editions)
@usual
def test_more_length_never_turns_a_yes_into_a_no(short, more, edition):
    facts = 'poles = 1, purpose = "general", afci = false, extend_ft = '
    less = {d.id: d.answer for d in renewed(f"{facts}{short}", edition=edition).duties}
    longer = {d.id: d.answer for d in renewed(f"{facts}{short + more}", edition=edition).duties}
    assert less.keys() == longer.keys()
    for id, answer in less.items():
        assert GRAVE[longer[id]] >= GRAVE[answer], id


@pytest.mark.parametrize("unseen", FACTS)
@given(data=st.data(), edition=editions, fixed=st.sampled_from(FIXED))
@usual
def test_what_was_not_seen_never_answers_no_where_an_answer_says_yes(unseen, data, edition, fixed):
    frames = unseen == "frame_grounded_by_neutral"
    kind = data.draw(st.sampled_from(('kind = "range"', 'kind = "dryer"', *([] if frames else ['kind = "lighting"']))))
    use = data.draw(st.sampled_from(("dwelling", "livestock")))
    others = {name: data.draw(st.sampled_from(values)) for name, values in FACTS.items() if name != unseen}
    if kind == 'kind = "lighting"':
        others["frame_grounded_by_neutral"] = "false"
    if frames and others["neutral"] == '"none"':  # without a neutral there is nothing to join a frame to
        others["neutral"] = '"insulated"'
    unknown = answers(others, fixed, kind, edition, use)
    for value in FACTS[unseen]:
        for id, answer in answers({**others, unseen: value}, fixed, kind, edition, use).items():
            # Three wires, one of them the neutral that grounds the frame, leave none for a ground.
            three_wires = unseen == "ground" and id == "four-wires-to-range-or-dryer"
            if answer == "yes" and not three_wires:
                assert unknown.get(id, "no") != "no", (unseen, value, id)


def test_of_a_panel_in_its_place_an_unmeasured_wire_says_what_it_was_taken_for():
    circuit = 'poles = 1, purpose = "general", receptacles = true'
    read = changed(house(circuit, panel='location = "hall"'), house(circuit, panel='location = "hall", is_new = true'))
    duty = duty_of(read, "arc-fault-protection")
    assert duty.answer == "no"
    assert [each.where for each in duty.assumptions] == ["circuits.one.extend_ft"]
