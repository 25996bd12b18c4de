import pytest
from conductor_jobs import EDITIONS, NEC_2020, NEC_2023

from driploop.conductors import (
    device_for_conductor,
    largest_device,
    next_standard_down,
    next_standard_rating,
    next_standard_up,
    small_conductor_limit,
)
from driploop.editions import NotInTable, load_edition


@pytest.mark.parametrize(
    ("ampacity_a", "device_a"),
    # By hand from 240.6(A) and 240.4(B): equal stays, between two goes up, over 800 A goes down.
    [(180, 200), (175, 175), (205, 225), (115, 125), (85, 90), (620, 700), (760, 800), (800, 800), (950, 800)],
)
def test_largest_device(ampacity_a, device_a):
    for edition in EDITIONS:
        assert largest_device(ampacity_a, edition=load_edition(edition)).value == device_a


def test_a_circuit_of_receptacles_goes_down():
    assert largest_device(55, receptacle_circuit=True, edition=NEC_2020).value == 50
    assert largest_device(55, edition=NEC_2020).value == 60


def test_up_and_down():
    assert next_standard_up(67.5, edition=NEC_2020).value == 70
    assert next_standard_down(84, edition=NEC_2020).value == 80
    assert next_standard_rating(101, edition=NEC_2020) == 110


def test_fuses_have_sizes_that_breakers_have_not():
    assert next_standard_up(601, fuse=True, edition=NEC_2020).value == 601
    assert next_standard_up(601, edition=NEC_2020).value == 700
    assert next_standard_up(7, edition=NEC_2020).value == 15
    assert next_standard_up(7, edition=NEC_2023).value == 10


def test_past_the_ends_is_refused_in_words():
    with pytest.raises(NotInTable, match="past the largest"):
        next_standard_up(7000, edition=NEC_2020)
    with pytest.raises(NotInTable, match="below the smallest"):
        next_standard_down(5, edition=NEC_2020)


@pytest.mark.parametrize(
    ("size", "metal", "limit_a"),
    [("14 AWG", "copper", 15), ("12 AWG", "copper", 20), ("10 AWG", "copper", 30), ("12 AWG", "aluminum", 15),
     ("10 AWG", "aluminum", 25), ("8 AWG", "copper", None)],
)  # fmt: skip
def test_small_conductors(size, metal, limit_a):
    for edition in EDITIONS:
        assert small_conductor_limit(size, metal, edition=load_edition(edition)) == limit_a


def test_a_small_conductor_is_held_below_its_ampacity():
    # 12 copper carries 25 A at 75 C; 240.4(D) still allows 20 A.
    assert device_for_conductor("12 AWG", "copper", 25, edition=NEC_2020).value == 20
