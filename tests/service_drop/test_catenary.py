"""The hanging cable: textbook values, a second way to each answer, what must always hold."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from driploop.service_drop.catenary import Hang, Spring, changed, hang_by_lowest, hang_by_sag
from driploop.service_drop.loads import (
    Weather,
    cables,
    load_lb_per_ft,
    sag_weathers,
)

FT = 0.3048


@settings(deadline=None, max_examples=60)
@given(a=st.floats(60, 3000), span=st.floats(20, 200), rise=st.floats(-15, 15))
def test_length_and_pull_are_those_summed_up_in_small_steps(a: float, span: float, rise: float) -> None:
    """Second witness: the curve cut into pieces; pull from the slope of each."""
    hang = Hang(span, rise, a, 0.3)
    steps = 2000
    length = pull = 0.0
    for n in range(steps):
        x0, x1 = span * n / steps, span * (n + 1) / steps
        piece = math.hypot(x1 - x0, hang.height_ft(x1) - hang.height_ft(x0))
        length += piece
        pull += hang.horizontal_lb * piece / (x1 - x0) * piece
    assert hang.length_ft == pytest.approx(length, rel=1e-5)
    assert hang.mean_pull_lb == pytest.approx(pull / length, rel=1e-4)
    assert hang.height_ft(span) == pytest.approx(rise, abs=1e-6)


@settings(deadline=None, max_examples=60)
@given(span=st.floats(20, 200), rise=st.floats(-10, 10), share=st.floats(0.005, 0.08))
def test_a_cable_found_by_its_lowest_point_is_the_one_found_by_its_sag(span: float, rise: float, share: float) -> None:
    first = hang_by_sag(span_ft=span, rise_ft=rise, sag_ft=share * span, load_lb_per_ft=0.3)
    assert first.sag_ft == pytest.approx(share * span, rel=1e-6)
    if first.lowest_ft < min(0.0, rise) - 0.01:
        again = hang_by_lowest(span_ft=span, rise_ft=rise, lowest_ft=first.lowest_ft, load_lb_per_ft=0.3)
        assert again.parameter_ft == pytest.approx(first.parameter_ft, rel=1e-4)


def test_a_lowest_point_at_an_end_tells_nothing_of_the_sag() -> None:
    with pytest.raises(ValueError, match="below both ends"):
        hang_by_lowest(span_ft=100, rise_ft=-5, lowest_ft=-5, load_lb_per_ft=0.3)


SPANS, SAGS = st.floats(25, 200), st.floats(0.005, 0.06)
SIZES = st.sampled_from([cable.size for cable in cables(None)])


@settings(deadline=None, max_examples=60)
@given(span=SPANS, share=SAGS, size=SIZES, degrees=st.floats(-60, 60), rise=st.floats(-8, 8))
def test_the_change_of_state_keeps_the_unstressed_length(
    span: float, share: float, size: str, degrees: float, rise: float
) -> None:
    """Second witness: the unstressed length worked back from the new state, warmth taken off again."""
    (cable,) = cables(size)
    ea = cable.spring.modulus_psi * cable.spring.area_in2
    before = hang_by_sag(span_ft=span, rise_ft=rise, sag_ft=share * span, load_lb_per_ft=cable.weight_lb_per_ft)
    after = changed(before, cable.spring, degrees_f=degrees, load_lb_per_ft=1.3)
    first = before.length_ft / (1 + before.mean_pull_lb / ea)
    second = after.length_ft / (1 + after.mean_pull_lb / ea) / (1 + cable.spring.expansion_per_f * degrees)
    assert second == pytest.approx(first, rel=1e-9)


@settings(deadline=None, max_examples=60)
@given(span=SPANS, share=SAGS, size=SIZES, ice=st.floats(0.05, 1.0), degrees=st.floats(-60, 60))
def test_a_drop_never_clears_more_with_ice_than_without(
    span: float, share: float, size: str, ice: float, degrees: float
) -> None:
    (cable,) = cables(size)
    hang = hang_by_sag(span_ft=span, rise_ft=-4, sag_ft=share * span, load_lb_per_ft=cable.weight_lb_per_ft)
    bare, iced = (
        changed(hang, cable.spring, degrees_f=degrees, load_lb_per_ft=load_lb_per_ft(cable, Weather("x", 0, ice_in=i)))
        for i in (0.0, ice)
    )
    assert iced.lowest_ft <= bare.lowest_ft + 1e-9
    assert iced.horizontal_lb >= bare.horizontal_lb


@settings(deadline=None, max_examples=60)
@given(span=SPANS, longer=st.floats(1.01, 2), size=SIZES, pull=st.floats(30, 900))
def test_a_longer_span_never_sags_less(span: float, longer: float, size: str, pull: float) -> None:
    """At one pull; and after any warming of both."""
    (cable,) = cables(size)
    load = cable.weight_lb_per_ft
    short, long = (Hang(s, 0, pull / load, load) for s in (span, span * longer))
    assert long.sag_ft >= short.sag_ft
    warm = [changed(h, cable.spring, degrees_f=60, load_lb_per_ft=load).sag_ft for h in (short, long)]
    assert warm[1] >= warm[0]


@given(share=SAGS, size=SIZES)
@settings(deadline=None, max_examples=40)
def test_warmer_never_hangs_higher(share: float, size: str) -> None:
    (cable,) = cables(size)
    hang = hang_by_sag(span_ft=100, rise_ft=0, sag_ft=100 * share, load_lb_per_ft=cable.weight_lb_per_ft)
    load = cable.weight_lb_per_ft
    sags = [changed(hang, cable.spring, degrees_f=d, load_lb_per_ft=load).sag_ft for d in (-60, 0, 30, 60)]
    assert sags == sorted(sags)
    assert sags[1] == pytest.approx(hang.sag_ft, rel=1e-6)


def test_a_short_taut_wire_warmed_against_the_parabola() -> None:
    """Second witness: the textbook's cubic for level spans. T2^2 (T2 - T1 + EA w1^2 l^2 / 24 T1^2 + EA alpha dt) =
    EA w2^2 l^2 / 24, solved by halving, for 200 ft at 500 lb, 60 F warmer."""
    spring = Spring(11.5e6, 0.06, 1.05e-5)
    w, span, t1 = 0.26, 200.0, 500.0
    ea = 11.5e6 * 0.06
    lead = ea * w**2 * span**2 / 24
    low, high = 1.0, 5000.0
    for _ in range(80):
        t = (low + high) / 2
        low, high = (low, t) if t**2 * (t - t1 + lead / t1**2 + ea * 1.05e-5 * 60) > lead else (t, high)
    found = changed(Hang(span, 0, t1 / w, w), spring, degrees_f=60, load_lb_per_ft=w)
    assert found.horizontal_lb == pytest.approx(low, rel=2e-3)


def test_the_conditions_of_sag_are_hot_and_iced() -> None:
    """National Electrical Safety Code, Rule 232A, from memory: 120 F, and 32 F with the district's ice."""
    assert [(w.name, w.temperature_f, w.ice_in, w.wind_psf) for w in sag_weathers("heavy")] == [
        ("hot", 120, 0, 0), ("iced", 32, 0.5, 0),
    ]  # fmt: skip
