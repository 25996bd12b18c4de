import pytest
from conductor_jobs import EDITIONS, NEC_2017, NEC_2020

from driploop.conductors import NoRacewayError, box_fill, box_volume, raceway_for
from driploop.editions import NotInTable, load_edition
from driploop.installation.kinds import RACEWAYS


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("raceway", sorted(RACEWAYS))
def test_every_raceway_of_the_survey_is_in_the_table(edition, raceway):
    answer = raceway_for([("XHHW-2", "6 AWG", 3, False)], raceway, edition=load_edition(edition))
    assert answer.raceway == raceway
    assert answer.fill_percent <= answer.allowed_percent


def test_a_raceway_as_it_is_may_come_out_too_full():
    # 3 x 0.3237 = 0.9711 in2 in RMC 1-1/4 of 1.526 in2: 63.6 %.
    answer = raceway_for([("THWN-2", "4/0 AWG", 3, False)], "RMC", trade_size="1-1/4", edition=NEC_2020)
    assert answer.fill_percent == pytest.approx(63.6, abs=0.1)
    assert answer.allowed_percent == 40


def test_an_unknown_insulation_takes_the_thickest():
    known = raceway_for([("THWN-2", "2/0 AWG", 3, False)], "EMT", edition=NEC_2020)
    unknown = raceway_for([(None, "2/0 AWG", 3, False)], "EMT", edition=NEC_2020)
    # RHH with covering 0.3505 in2 each: 1.0515 in2, EMT 2 (1.342 at 40 %); 1-1/2 holds 0.814.
    assert unknown.trade_size == "2"
    assert known.trade_size == "1-1/2"
    assert unknown.assumptions


def test_a_bare_conductor_counts_by_its_metal():
    # Table 8: 2 AWG bare 0.067 in2.
    answer = raceway_for([("bare", "2 AWG", 1, False)], "EMT", edition=NEC_2020)
    assert answer.worksheet.line("conductors").result.value == pytest.approx(0.067)


def test_compact_dimensions_only_where_the_table_has_them():
    # 2/0 USE-2 has none: the concentric RHH without covering, which is larger.
    plain = raceway_for([("USE-2", "2/0 AWG", 3, False)], "PVC 40", edition=NEC_2020)
    compact = raceway_for([("USE-2", "2/0 AWG", 3, True)], "PVC 40", edition=NEC_2020)
    assert compact.fill_percent == plain.fill_percent


def test_what_does_not_exist_is_refused_in_words():
    wires = [("THWN-2", "4/0 AWG", 3, False)]
    with pytest.raises(NotInTable, match=r"there are: .*1-1/2"):
        raceway_for(wires, "RMC", trade_size="1-3/8", edition=NEC_2020)
    with pytest.raises(NotInTable, match="there are: EMT"):
        raceway_for(wires, "clay pipe", edition=NEC_2020)
    with pytest.raises(NoRacewayError, match="more raceways"):
        raceway_for([("THWN-2", "1000 kcmil", 12, False)], "FMC", edition=NEC_2020)
    with pytest.raises(NotInTable):
        raceway_for([(None, "3000 kcmil", 3, False)], "RMC", edition=NEC_2020)


def test_grounds_in_a_box_by_edition():
    # 2017: all grounds are one volume. From 2020: four are one, each more a quarter. 12 AWG: 2.25 in3.
    wires = {"12 AWG": 2}
    assert box_fill(wires, grounds=6, edition=NEC_2017).used_in3 == 2 * 2.25 + 2.25
    assert box_fill(wires, grounds=6, edition=NEC_2020).used_in3 == 2 * 2.25 + 1.5 * 2.25
    assert box_fill(wires, grounds=4, edition=NEC_2020).used_in3 == 3 * 2.25


def test_everything_in_a_box():
    # 14 AWG 2.00 in3: four wires 8, clamps 2, one stud 2, a device 4, grounds 2.
    answer = box_fill(
        {"14 AWG": 4}, grounds=2, clamps=True, fittings=1, devices={"14 AWG": 1}, box_in3=20.0, edition=NEC_2020
    )
    assert (answer.used_in3, answer.left_in3) == (18, 2)
    assert answer.worksheet.line("left").result.value == 2


def test_an_empty_box_and_an_unknown_box_are_refused():
    with pytest.raises(ValueError, match="at least one conductor"):
        box_fill({}, edition=NEC_2020)
    with pytest.raises(NotInTable, match="4 x 1-1/2"):
        box_volume("square", "5 x 1-1/2", edition=NEC_2020)
