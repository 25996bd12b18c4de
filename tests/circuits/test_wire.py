"""The wire of a circuit: ampacity under its conditions, and the largest device by the wire alone."""

from __future__ import annotations

import pytest

from driploop.circuits import Wire, wire_limit

from .one import NEC_2020, protection, wire, words


def usable(size: str, **more):
    limit = wire_limit(Wire(size, **{"insulation": "THHN", "panel_c": 75, **more}), edition=NEC_2020)
    return limit and (limit.usable_a, limit.ordinary.number)


# Cells of Table 310.16 and factors of 310.15(B)(1) and (C)(1), NFPA 70-2020, typed from memory; 240.4(D).


def test_nm_cable_is_corrected_from_its_90_c_wire_and_held_to_60_c():
    # 10 AWG THHN: 40 A x 0.82 at 50 C = 32.8 A; the 60 C column of the cable, 30 A, is less.
    assert usable("10 AWG", cable="NM cable", ambient_c=50) == (30, 30)
    # Old NM cable of TW: 30 A x 0.58 = 17.4 A, next standard rating 20 A.
    assert usable("10 AWG", cable="NM cable", insulation="TW", ambient_c=50) == (pytest.approx(17.4), 20)
    # UF cable counts as 60 C wire before corrections too.
    assert usable("10 AWG", cable="UF cable", ambient_c=50) == (pytest.approx(17.4), 20)


def test_a_circuit_of_several_receptacles_is_not_rounded_up():
    assert usable("10 AWG", cable="NM cable", insulation="TW", ambient_c=50, several_receptacles=True)[1] == 15


def test_hot_places_stand_for_a_temperature_nobody_measured():
    # Attic 50 C (common practice): as above. Roof: 30 C + 33 C = 63 C, 90 C wire 40 A x 0.65 = 26 A (310.15(B)(2)).
    assert usable("10 AWG", cable="NM cable", insulation="TW", hot_place="attic")[1] == 20
    assert usable("10 AWG", cable="EMT", hot_place="raceway on a roof") == (pytest.approx(26), 30)
    assert usable("10 AWG", cable="EMT", hot_place="attic", ambient_c=30)[1] == 30


def test_bundled_wires_are_adjusted():
    # Nine 12 AWG THHN: 30 A x 70 percent = 21 A; terminals 20 A.
    assert usable("12 AWG", cable="EMT", current_carrying=9) == (20, 20)
    # Twenty: 50 percent, 15 A.
    assert usable("12 AWG", cable="EMT", current_carrying=20) == (15, 15)


def test_armored_and_small_se_cable_in_insulation_are_held_to_60_c():
    far = {"far_end_c": 75, "insulation": "THHN"}
    assert usable("8 AWG", cable="armored cable", in_thermal_insulation=False, **far)[0] == 50
    assert usable("8 AWG", cable="armored cable", **far)[0] == 40
    assert usable("10 AWG", cable="SE cable", **far)[0] == 30
    assert usable("8 AWG", cable="SE cable", **far)[0] == 50


def test_unknown_insulation_metal_and_cable_count_at_their_worst():
    assert usable("8 AWG", insulation=None, cable="EMT", far_end_c=75) == (40, 40)
    assert usable("8 AWG", metal=None, cable="EMT") == (35, 35)
    assert usable("8 AWG", cable=None, far_end_c=75) == (40, 40)
    assert wire_limit(Wire(None), edition=NEC_2020) is None


def test_unknown_wire_size_refuses_a_breaker_and_asks():
    answer = protection(wire(None, ocpd_a=20))
    assert (answer.largest_a, answer.device.rating_a, answer.until_then_a) == (None, None, None)
    assert not answer.new_wire
    assert "size of its wire is not known" in words(answer, "must be asked")
    assert [a.where for a in answer.assumptions] == ["circuits.c.wire_size"]


def test_knob_and_tube_in_insulation_is_refused():
    lost = protection(wire("14 AWG", cable="knob-and-tube", in_thermal_insulation=True, ocpd_a=15))
    assert (lost.largest_a, lost.new_wire, lost.until_then_a) == (None, True, 15)
    assert protection(wire("14 AWG", cable="knob-and-tube", ocpd_a=15)).device.rating_a == 15
