"""Facts every electrician knows, marked as what they are: common practice, or worked by hand from the tables."""

import pytest

from driploop.conductors import conductor_for_rating, dwelling_service_conductor, raceway_for
from driploop.editions import load_edition

EDITIONS = [load_edition(name) for name in ("NEC 2017", "NEC 2020", "NEC 2023", "NEC 2026")]
each_edition = pytest.mark.parametrize("edition", EDITIONS, ids=lambda edition: edition.name)


def service(rating_a, load_a, metal, edition, *, whole_dwelling):
    return conductor_for_rating(
        rating_a, load_a, metal=metal, insulation="XHHW-2", whole_dwelling=whole_dwelling, edition=edition
    )


@each_edition
@pytest.mark.parametrize(("metal", "size"), [("aluminum", "4/0 AWG"), ("copper", "2/0 AWG")])
def test_a_200_a_dwelling_service(edition, metal, size):
    """Common practice: 4/0 aluminum or 2/0 copper."""
    answer = service(200, 180, metal, edition, whole_dwelling=True)
    assert (answer.size, answer.basis) == (size, "dwelling table")
    assert dwelling_service_conductor(200, metal, edition=edition).value == size


@each_edition
@pytest.mark.parametrize(("metal", "size"), [("aluminum", "2 AWG"), ("copper", "4 AWG")])
def test_a_100_a_dwelling_service(edition, metal, size):
    """Common practice: 2 aluminum or 4 copper, on terminals marked 75 C."""
    answer = conductor_for_rating(
        100, 90, metal=metal, insulation="XHHW-2", whole_dwelling=True, terminal_c=75, edition=edition
    )
    assert answer.size == size


@each_edition
def test_a_barn_of_200_a_gets_no_dwelling_size(edition):
    """By hand: 2/0 copper carries 175 A, itself a standard rating, so 200 A asks for 3/0 (200 A).

    4/0 aluminum carries 180 A, between standard ratings: a 200 A device may protect it while the load is 180 A or
    less; above that 250 kcmil (205 A) is needed.
    """
    assert service(200, 170, "copper", edition, whole_dwelling=False).size == "3/0 AWG"
    assert service(200, 170, "aluminum", edition, whole_dwelling=False).size == "4/0 AWG"
    assert service(200, 190, "aluminum", edition, whole_dwelling=False).size == "250 kcmil"


# Areas from chapter 9, tables 4, 5 and 5A, added by hand.
@each_edition
def test_a_mast_for_2_0_copper_thwn(edition):
    """3 x 0.2223 = 0.6669 in2; RMC 1-1/4: 1.526 x 40 % = 0.610, too small; 1-1/2: 2.071 x 40 % = 0.828."""
    answer = raceway_for([("THWN-2", "2/0 AWG", 3, False)], "RMC", edition=edition)
    assert answer.trade_size == "1-1/2"
    assert answer.fill_percent == pytest.approx(0.6669 / 2.071 * 100, abs=0.1)


@each_edition
def test_a_mast_for_4_0_aluminum_xhhw_with_2_0_neutral(edition):
    """Compact: 2 x 0.2733 + 0.1885 = 0.7351 in2, RMC 1-1/2 (0.828). Concentric: 2 x 0.3197 + 0.2190 = 0.858, RMC 2."""
    compact = [("XHHW-2", "4/0 AWG", 2, True), ("XHHW-2", "2/0 AWG", 1, True)]
    concentric = [("XHHW-2", "4/0 AWG", 2, False), ("XHHW-2", "2/0 AWG", 1, False)]
    assert raceway_for(compact, "RMC", edition=edition).trade_size == "1-1/2"
    assert raceway_for(concentric, "RMC", edition=edition).trade_size == "2"


@each_edition
def test_a_nipple_may_be_fuller(edition):
    """3 x 0.3237 = 0.9711 in2 of 4/0 copper THWN; RMC 1-1/2: 40 % is 0.828, 60 % of a nipple 1.243."""
    wires = [("THWN-2", "4/0 AWG", 3, False)]
    assert raceway_for(wires, "RMC", edition=edition).trade_size == "2"
    assert raceway_for(wires, "RMC", nipple=True, edition=edition).trade_size == "1-1/2"


@each_edition
def test_one_and_two_conductors_have_their_own_share(edition):
    """Table 1 of chapter 9: 53 % for one, 31 % for two, 40 % for more."""
    shares = [raceway_for([("THWN-2", "6 AWG", n, False)], "EMT", edition=edition).allowed_percent for n in (1, 2, 3)]
    assert shares == [53, 31, 40]
