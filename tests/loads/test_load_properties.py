"""What must hold for any numbers: more load is never less, order is nothing, an unknown is never the cheaper answer."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from load_sites import NEC_2023, barn, house, node, site

from driploop.editions import edition_names, load_edition
from driploop.installation import Graph, Installation
from driploop.loads import (
    Appliance,
    BuildingInputs,
    ConnectedLoad,
    CookingUnit,
    CoolingUnit,
    DwellingInputs,
    HeatPump,
    HeatUnit,
    MeteredRecord,
    Motor,
    NewLoad,
    connected_building,
    existing_dwelling,
    farm_building,
    metered_existing,
    multifamily,
    neutral_of_dwelling,
    optional_dwelling,
    read_loads,
    standard_dwelling,
    two_dwellings,
)
from driploop.loads.inputs import together
from driploop.loads.typical import of_site, typical
from driploop.loads.writing import conductor_current_of

EDITIONS = [load_edition(name) for name in edition_names()]
every_edition = pytest.mark.parametrize("edition", EDITIONS, ids=lambda edition: edition.name)
quick = settings(max_examples=40, deadline=None)

va = st.floats(500, 15_000)


@st.composite
def dwellings(draw) -> DwellingInputs:
    """Dwellings whose appliances all are large enough to count, so that growing one crosses no step of the code."""
    return DwellingInputs(
        floor_area_ft2=draw(st.floats(200, 8000)),
        small_appliance_circuits=draw(st.integers(2, 6)),
        appliances=tuple(Appliance(name=f"a{n}", va=x) for n, x in enumerate(draw(st.lists(va, max_size=5)))),
        cooking=tuple(CookingUnit(f"c{n}", kw) for n, kw in enumerate(draw(st.lists(st.floats(9, 20), max_size=2)))),
        dryers_va=tuple(draw(st.lists(va, max_size=2))),
        heating=tuple(HeatUnit(name=f"h{n}", va=x) for n, x in enumerate(draw(st.lists(va, max_size=5)))),
        cooling=tuple(
            CoolingUnit(name=f"k{n}", va=x, motor_va=x) for n, x in enumerate(draw(st.lists(va, max_size=2)))
        ),
        heat_pumps=tuple(
            HeatPump(name=f"p{n}", compressor_va=x, supplemental_va=y, motor_va=x)
            for n, (x, y) in enumerate(draw(st.lists(st.tuples(va, st.floats(0, 15_000)), max_size=1)))
        ),
        motors=tuple(Motor(name=f"m{n}", va=x) for n, x in enumerate(draw(st.lists(va, max_size=2)))),
        evse_va=tuple(draw(st.lists(va, max_size=2))),
        hvac_added=draw(st.booleans()),
    )


def grown(inputs: DwellingInputs, factor: float) -> DwellingInputs:
    """The same dwelling with every nameplate larger."""
    return replace(
        inputs,
        floor_area_ft2=inputs.floor_area_ft2 * factor,
        appliances=tuple(replace(a, va=a.va * factor) for a in inputs.appliances),
        cooking=tuple(replace(c, kw=min(c.kw * factor, 27.0)) for c in inputs.cooking),
        dryers_va=tuple(x * factor for x in inputs.dryers_va),
        heating=tuple(replace(h, va=h.va * factor) for h in inputs.heating),
        cooling=tuple(replace(c, va=c.va * factor, motor_va=c.motor_va * factor) for c in inputs.cooling),
        heat_pumps=tuple(
            replace(
                p,
                compressor_va=p.compressor_va * factor,
                supplemental_va=p.supplemental_va * factor,
                motor_va=p.motor_va * factor,
            )
            for p in inputs.heat_pumps
        ),
        motors=tuple(replace(m, va=m.va * factor) for m in inputs.motors),
        evse_va=tuple((x or 0.0) * factor for x in inputs.evse_va),
    )


def answers(inputs: DwellingInputs, edition) -> list[tuple[str, float, float]]:
    """Every dwelling method's load and conductor current."""
    results = [
        standard_dwelling(inputs, edition=edition),
        optional_dwelling(inputs, edition=edition, rating_a=200),
        existing_dwelling(inputs, edition=edition),
        two_dwellings([inputs, inputs], edition=edition),
        multifamily([inputs] * 3, edition=edition),
    ]
    found = [(r.method, r.load_va, conductor_current_of(r)) for r in results if r.load_va is not None]
    neutral = neutral_of_dwelling(inputs, edition=edition)
    return [*found, ("neutral", neutral.load_va, neutral.current_a)]


# --- more load ---------------------------------------------------------------------------------------------------


@every_edition
@quick
@given(inputs=dwellings(), factor=st.floats(1, 2))
def test_larger_nameplates_never_make_a_smaller_load(edition, inputs, factor):
    for before, after in zip(answers(inputs, edition), answers(grown(inputs, factor), edition), strict=True):
        assert after[1] >= before[1] - 1e-6, before[0]
        assert after[2] >= before[2] - 1e-6, before[0]


@quick
@given(inputs=dwellings(), extra=va)
def test_one_more_load_never_makes_a_smaller_one(inputs, extra):
    # Kinds whose demand does not depend on how many there are; the code itself gives a lower share to the fourth
    # appliance, the fifth dryer and the fourth heater.
    more = [
        replace(inputs, motors=(*inputs.motors, Motor(name="new", va=extra))),
        replace(inputs, evse_va=(*inputs.evse_va, extra)),
        replace(inputs, cooling=(*inputs.cooling, CoolingUnit(name="new", va=extra))),
        replace(inputs, small_appliance_circuits=inputs.small_appliance_circuits + 1),
    ]
    before = answers(inputs, NEC_2023)
    for larger in more:
        for old, new in zip(before, answers(larger, NEC_2023), strict=True):
            assert new[1] >= old[1] - 1e-6, old[0]


loads_of_a_barn = st.lists(st.tuples(st.floats(100, 40_000), st.booleans(), st.booleans()), min_size=1, max_size=6)


def barn_inputs(rows) -> BuildingInputs:
    return BuildingInputs(
        loads=tuple(
            ConnectedLoad(name=f"l{n}", va=x, motor_va=x if motor else 0.0, together=together_)
            for n, (x, motor, together_) in enumerate(rows)
        )
    )


@every_edition
@quick
@given(rows=loads_of_a_barn, extra=st.floats(100, 40_000), motor=st.booleans(), runs=st.booleans())
def test_more_in_a_barn_is_never_less(edition, rows, extra, motor, runs):
    for method in (farm_building, connected_building):
        before = method(barn_inputs(rows), edition=edition)
        after = method(barn_inputs([*rows, (extra, motor, runs)]), edition=edition)
        larger = method(barn_inputs([(rows[0][0] + extra, *rows[0][1:]), *rows[1:]]), edition=edition)
        assert after.load_va >= before.load_va - 1e-6
        assert larger.load_va >= before.load_va - 1e-6


@quick
@given(peak=st.floats(0.5, 40), more=st.floats(0, 20), new=st.floats(0, 10_000))
def test_a_higher_peak_is_never_less(peak, more, new):
    loads = (NewLoad(name="new", va=new),)
    low = metered_existing(MeteredRecord(peak_kw=peak), edition=NEC_2023, new_loads=loads)
    high = metered_existing(MeteredRecord(peak_kw=peak + more), edition=NEC_2023, new_loads=loads)
    assert high.load_va >= low.load_va


@quick
@given(kw=st.floats(5, 15), more=st.floats(0, 10))
def test_more_load_never_governs_smaller(kw, more):
    small = node(
        house({"heat": {"kind": "electric heat", "kw": kw, "volts": 240}, "range": {"kind": "range", "kw": kw}})
    )
    large = node(
        house(
            {
                "heat": {"kind": "electric heat", "kw": kw + more, "volts": 240},
                "range": {"kind": "range", "kw": kw + more},
            }
        )
    )
    assert large.load_va >= small.load_va - 1e-6
    assert large.conductor_current_a >= small.conductor_current_a - 1e-6


# --- order -------------------------------------------------------------------------------------------------------


def farmyard() -> Installation:
    return site(
        kind="farm",
        buildings={
            "pole": {"use": "yard pole"},
            "house": {"use": "dwelling", "floor_area_ft2": 1800},
            "shed": {"use": "agricultural"},
            "pump": {"use": "pump house"},
        },
        equipment={
            "pole-main": {"kind": "disconnect", "building": "pole", "main_a": 200},
            "house-panel": {"kind": "panel", "building": "house", "main_a": 100},
            "shed-panel": {"kind": "panel", "building": "shed", "main_a": 100},
            "pump-panel": {"kind": "panel", "building": "pump", "main_a": 60},
        },
        feeds={
            "pole-main": "utility",
            "house-panel": "pole-main",
            "shed-panel": "pole-main",
            "pump-panel": "shed-panel",
        },
        circuits={
            "general": {"from_": "house-panel", "purpose": "general", "poles": 1},
            "kitchen": {"from_": "house-panel", "purpose": "small appliance", "poles": 1},
            "range": {"from_": "house-panel", "purpose": "dedicated", "poles": 2},
            "cold": {"from_": "shed-panel", "purpose": "dedicated", "poles": 2},
            "shed-lights": {"from_": "shed-panel", "purpose": "general", "poles": 1},
            "pump": {"from_": "pump-panel", "purpose": "dedicated", "poles": 2},
            "dark": {"from_": "pump-panel"},
        },
        loads={
            "range": {"kind": "range", "kw": 11.3, "circuit": "range"},
            "oven": {"kind": "oven", "kw": 3.7, "panel": "house-panel"},
            "cold": {"kind": "refrigeration", "hp": "5", "circuit": "cold"},
            "sorter": {"kind": "motor", "hp": "1-1/2", "panel": "shed-panel", "runs_together": False},
            "shed-lights": {"kind": "lighting", "va": 1234.5, "circuit": "shed-lights"},
            "pump": {"kind": "irrigation pump", "hp": "3", "circuit": "pump"},
        },
    )


@quick
@given(data=st.data())
def test_the_order_of_the_survey_changes_nothing(data):
    found = farmyard()
    shuffled = {
        kind: dict(data.draw(st.permutations(list(getattr(found, kind).items()))))
        for kind in ("buildings", "equipment", "runs", "circuits", "loads")
    }
    other = read_loads(Graph(found.model_copy(update=shuffled)), edition=NEC_2023)
    for id, expected in read_loads(Graph(found), edition=NEC_2023).nodes.items():
        assert other.nodes[id].load_va == pytest.approx(expected.load_va)
        assert other.nodes[id].conductor_current_a == pytest.approx(expected.conductor_current_a)
        assert other.nodes[id].neutral.load_va == pytest.approx(expected.neutral.load_va)
        assert other.nodes[id].governing.method == expected.governing.method


# --- unknowns ----------------------------------------------------------------------------------------------------


def not_less(unknown: Installation, answered: Installation, equipment: str = "panel") -> None:
    """Nothing that sizes a conductor is less for the unknown than for the answer."""
    whole, known = node(unknown, equipment), node(answered, equipment)
    assert whole.load_va >= known.load_va - 1e-6
    assert whole.conductor_current_a >= known.conductor_current_a - 1e-6
    assert whole.neutral.load_va >= known.neutral.load_va - 1e-6


KINDS = ["range", "oven", "cooktop", "dryer", "water heater", "dishwasher", "electric heat", "heat pump",
         "air conditioner", "furnace blower", "well pump", "vehicle charger", "spa", "other"]  # fmt: skip


@settings(max_examples=150, deadline=None)
@given(kind=st.sampled_from(KINDS), share=st.floats(0.02, 1), volts=st.sampled_from([None, 120, 240]))
def test_an_unread_nameplate_is_never_the_cheaper_answer(kind, share, volts):
    others = {f"a{n}": {"kind": "water heater", "va": 1500.0, "volts": 240} for n in range(3)}
    unknown = house({**others, "x": {"kind": kind, "volts": volts, "poles": None}})
    answered = house({**others, "x": {"kind": kind, "volts": volts, "poles": None, "va": share * typical(kind).va}})
    not_less(unknown, answered)


FIELDS: list[tuple[dict[str, Any], dict[str, list[Any]]]] = [
    ({"kind": "electric heat", "kw": 12.0, "volts": 240}, {"controls": [1, 2, 4, 6]}),
    ({"kind": "spa", "kw": 6.0, "volts": 240}, {"continuous": [True, False]}),
    ({"kind": "microwave", "va": 1500.0, "volts": 120, "poles": 1}, {"receptacle_supplied": [True, False]}),
    ({"kind": "other appliance", "current_a": 12.0, "poles": None}, {"volts": [120, 208, 240]}),
    ({"kind": "well pump", "hp": "1", "poles": None}, {"volts": [115, 230]}),
    ({"kind": "heat pump", "mca_a": 30.0, "volts": 240}, {"rla_a": [10.0, 20.0, 24.0]}),
]


@pytest.mark.parametrize(("fields", "open_field"), FIELDS, ids=lambda value: " ".join(str(v) for v in value.values()))
def test_an_unknown_fact_of_a_load_is_never_the_cheaper_answer(fields, open_field):
    for field, known in open_field.items():
        for answer in known:
            not_less(house({"x": fields}), house({"x": {**fields, field: answer}}))


@pytest.mark.parametrize("locked", [True, False])
def test_an_unknown_lockout_is_never_the_cheaper_answer(locked):
    pump = {"kind": "heat pump", "va": 5760.0, "volts": 240}
    heat = {"kind": "supplemental heat", "kw": 10.0, "volts": 240, "supplemental_to": "pump"}
    not_less(house({"pump": pump, "heat": heat}), house({"pump": pump, "heat": {**heat, "locked_out": locked}}))


@given(area=st.floats(100, of_site("floor_area_ft2")))
@quick
def test_an_unknown_floor_area_is_never_the_cheaper_answer(area):
    not_less(house(building={"floor_area_ft2": None}), house(building={"floor_area_ft2": area}))


@pytest.mark.parametrize("purpose", ["general", "small appliance", "laundry", "bathroom", "garage", "outdoor", "spare"])
def test_an_unknown_purpose_is_never_the_cheaper_answer(purpose):
    both = {f"k{n}": {"from_": "panel", "purpose": "small appliance", "poles": 1} for n in range(2)}
    laundry = {"l": {"from_": "panel", "purpose": "laundry", "poles": 1}}
    unknown = house(circuits={**both, **laundry, "x": {"from_": "panel", "poles": 1}})
    not_less(unknown, house(circuits={**both, **laundry, "x": {"from_": "panel", "poles": 1, "purpose": purpose}}))


@pytest.mark.parametrize("runs", [True, False])
def test_an_unknown_coincidence_on_a_farm_is_never_the_cheaper_answer(runs):
    loads = {f"l{n}": {"kind": "motor", "hp": "5", "volts": 230} for n in range(4)}
    answered = {id: {**fields, "runs_together": runs} for id, fields in loads.items()}
    not_less(barn(loads), barn(answered), "barn-panel")


@pytest.mark.parametrize("kind", ["residence", "farm"])
def test_an_unknown_kind_of_site_is_never_the_cheaper_answer(kind):
    found = farmyard()
    unknown = found.model_copy(update={"site_kind": None})
    answered = found.model_copy(update={"site_kind": kind})
    for equipment in found.equipment:
        not_less(unknown, answered, equipment)


@pytest.mark.parametrize("rating_a", [60.0, 100.0, 200.0])
def test_an_unknown_rating_is_never_the_cheaper_answer(rating_a):
    loads = {"range": {"kind": "range", "kw": 12.0}}
    new = {"x": {"kind": "electric heat", "kw": 8.0, "volts": 240, "is_new": True}}
    not_less(house({**loads, **new}, rating_a=None), house({**loads, **new}, rating_a=rating_a))


# --- editions ----------------------------------------------------------------------------------------------------


@every_edition
@quick
@given(inputs=dwellings())
def test_every_edition_answers_or_refuses_in_words(edition, inputs):
    results = [
        standard_dwelling(inputs, edition=edition),
        optional_dwelling(inputs, edition=edition, rating_a=200),
        existing_dwelling(inputs, edition=edition),
        two_dwellings([inputs, inputs], edition=edition),
        multifamily([inputs] * 4, edition=edition),
        farm_building(barn_inputs([(1000, True, True)]), edition=edition),
    ]
    for result in results:
        if result.load_va is None:
            assert result.permitted == "no"
            assert edition.name in result.why
        else:
            assert result.worksheet.line("total").result.number == result.load_va
            assert result.worksheet.line("current").result.number == result.current_a


@every_edition
def test_every_edition_reads_a_whole_farm(edition):
    for reading in read_loads(Graph(farmyard()), edition=edition).nodes.values():
        assert reading.governing.load_va is not None
        assert reading.conductor_current_a >= reading.current_a


def test_several_units_together_are_the_sum_of_their_parts():
    one = DwellingInputs(floor_area_ft2=900, cooking=(CookingUnit("range", 12),))
    both = together([one, one])
    assert (both.floor_area_ft2, both.small_appliance_circuits, len(both.cooking), both.units) == (1800, 4, 2, 2)
