"""Splices in enclosures, pull boxes, box fill and the six-foot measure, as the trade press and teachers work them.

Read as stored excerpts: EC&M Code Quiz 67 (ecmweb.com/print/nec/code-quiz-67); EC&M on pull boxes, 2 March 2022, based
on the 2020 code (ecmweb.com 21234199); a teaching page on pull boxes (electricianmath.com/geometry/jboxangle.htm); the
forum threads 2563415, 2578833 and 2583767 of forums.mikeholt.com on the six-foot measure.
"""

import pytest

from circuits.houses import answer_of, renewed
from driploop.circuits.old_disconnects_room import junction_box_room, wiring_space_room
from driploop.conductors import RacewayConductors
from driploop.editions import load_edition
from driploop.installation import Circuit, Equipment, Run

NEC_2020 = load_edition("NEC 2020")
PANEL = Equipment(id="panel", kind="panel", wiring_space_in=4, inside_depth_in=4)


# EC&M Code Quiz 67: a wiring space of 4 x 4 in; three splices, each of two 4/0 AWG THHN of 0.3237 in2 with a connector
# of 1.5625 in2. 40 percent of 16 is 6.4, 75 percent is 12 in2; one splice with its wires is 2.2099 in2.
def test_three_split_bolts_in_a_wiring_space_of_four_by_four():
    room = wiring_space_room(
        PANEL, [RacewayConductors("THHN", "4/0 AWG", 6)], splices=3, splice_area_in2=1.5625, edition=NEC_2020
    )
    sheet = room.worksheet
    assert sheet.line("space").result.value == 16
    assert sheet.line("enclosure_conductors_percent").result.value == pytest.approx(6.4)
    assert sheet.line("enclosure_splices_percent").result.value == pytest.approx(12)
    assert sheet.line("wires").result.value == pytest.approx(6 * 0.3237)
    assert sheet.line("wires_and_splices").result.value == pytest.approx(3 * 2.2099)
    assert room.enough is True
    assert not room.assumptions


# By the same working, by hand: six splices with their wires are 13.2594 in2, more than 12.
def test_six_such_splices_are_too_many():
    room = wiring_space_room(
        PANEL, [RacewayConductors("THHN", "4/0 AWG", 12)], splices=6, splice_area_in2=1.5625, edition=NEC_2020
    )
    assert room.worksheet.line("wires_and_splices").result.value == pytest.approx(13.2594)
    assert room.enough is False


def test_without_its_width_nothing_is_decided():
    room = wiring_space_room(
        Equipment(id="panel", kind="panel"), [RacewayConductors("THHN", "4/0 AWG", 2)], splices=1, edition=NEC_2020
    )
    assert room.enough is None
    assert {each.where for each in room.assumptions} == {"equipment.panel", "equipment.panel.wiring_space_in"}


# EC&M 21234199 and the teaching page: with splices or turns, six times the largest trade size and the other raceways
# of the wall added: 2 in and 1-1/2 in ask for 6 x 2 + 1.5 = 13.5 in.
@pytest.mark.parametrize(("side", "enough"), [(13.0, False), (13.5, True)])
def test_a_pull_box_with_splices(side, enough):
    box = Equipment(id="box", kind="disconnect", inside_width_in=side, inside_height_in=20, inside_depth_in=6)
    runs = [
        Run.model_validate({"id": "a", "line_size": "2/0 AWG", "trade_size": "2"}),
        Run.model_validate({"id": "b", "line_size": "1 AWG", "trade_size": "1-1/2"}),
    ]
    (room,) = junction_box_room(box, [], runs, edition=NEC_2020)
    assert room.worksheet.line("least").result.value == 13.5
    assert room.enough is enough


def test_small_wire_needs_no_pull_box():
    run = Run.model_validate({"id": "a", "line_size": "6 AWG", "trade_size": "1"})
    assert junction_box_room(Equipment(id="box"), [], [run], edition=NEC_2020) == ()


# Table 314.16(B), as read for the edition's own table: 14 AWG 2.00, 12 AWG 2.25 in3. All clamps count as one, grounds
# to four as one, each of the largest wire. Worked by hand: one cable of 14 AWG and one of 12 AWG, two wires and ground
# each, spliced on to the like: 4 x 2.00 + 4 x 2.25 + 2.25 + 2.25 = 21.5 in3.
def test_two_cables_spliced_in_an_old_switch():
    circuits = [
        Circuit(id="a", poles=1, neutral="insulated", ground="bare wire", wire_size="14 AWG"),
        Circuit(id="b", poles=1, neutral="insulated", ground="bare wire", wire_size="12 AWG"),
    ]
    box = Equipment(id="box", inside_width_in=4, inside_height_in=4, inside_depth_in=2)
    (room,) = junction_box_room(box, circuits, [], edition=load_edition("NEC 2017"))
    assert room.worksheet.line("used").result.value == 21.5
    assert room.enough is True


# forums.mikeholt.com 2583767 and 2578833: from 2020 only the wire between the two enclosures is measured, to 6 ft;
# 2563415: of 2017 the whole new wire may be meant. One more outlet, and no length is free.
@pytest.mark.parametrize(
    ("edition", "circuit", "answer"),
    [
        ("NEC 2020", "extend_ft = 2", "no"),
        ("NEC 2020", "extend_ft = 6", "no"),
        ("NEC 2020", "extend_ft = 8", "yes"),
        ("NEC 2017", "extend_ft = 2", "ask the office"),
        ("NEC 2020", "extend_ft = 2, new_outlets = 1", "yes"),
    ],
)
def test_the_six_foot_measure_as_the_trade_reads_it(edition, circuit, answer):
    room = f'poles = 1, purpose = "general", afci = false, {circuit}'
    assert answer_of(renewed(room, edition=edition), "arc-fault-protection") == answer
