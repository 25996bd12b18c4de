"""What follows from a new main: breakers, wishes, grounds, bonds, electrodes, surge protection."""

import pytest

from alternatives.houses import FARM, HOUSE, KINDS, WALL_OF_SWITCHES, Built, build, changed, proposal
from driploop.alternatives import with_sizes
from driploop.alternatives.draft import Draft
from driploop.conductors import read_conductors
from driploop.editions import load_edition
from driploop.loads import read_loads

OUTDOORS = proposal("service disconnect outdoors", panel="box")
ON_THE_WALL = proposal("service disconnect inside", panel="panel-a")
FARM_POINT = proposal("farm distribution point", outdoor_place="pole")


def breaker(survey: str, circuit: str, proposed: str = OUTDOORS) -> float | None:
    return build(survey, proposed).installation.circuits[circuit].ocpd_a


# --- circuits ----------------------------------------------------------------------------------------------------


def test_a_new_breaker_is_never_larger_than_the_old_wire_allows():
    # 14 AWG copper behind a 30 A fuse: 15 A, the limit of small conductors (NFPA 70-2023, 240.4(D); from memory).
    assert breaker(HOUSE, "rooms") == 15


def test_a_wire_of_unknown_insulation_gets_the_breaker_of_its_weakest():
    # 8 AWG copper behind 50 A: 40 A in the 60 C column of Table 310.16 (NFPA 70-2023; from memory).
    built = build(HOUSE, OUTDOORS)
    assert built.installation.circuits["range"].ocpd_a == 40
    assert built.assumed("circuits.range.insulation") == "a wire that takes no more than a 40 A breaker"


def test_a_new_breaker_is_never_larger_than_the_old_fuse():
    thick = changed(HOUSE, "circuits.rooms", wire_size="10 AWG", ocpd_a=15)
    assert breaker(thick, "rooms") == 15


def test_a_motors_device_follows_the_motors_own_rules():
    # 50 A on 8 AWG copper may protect against short circuits alone; the motor's overload device does the rest. Where
    # nobody saw one, the breaker is that of the wire: 40 A.
    pump = {"kind": "well pump", "kw": None, "hp": "5"}
    for seen, rating_a in (("starter", 50), (None, 40), ("fuses of the circuit", 40), ("none", 40)):
        assert breaker(changed(HOUSE, "loads.range", **pump, overload_protection=seen), "range") == rating_a


def test_no_breaker_is_chosen_for_a_wire_nobody_measured():
    built = build(HOUSE, OUTDOORS)
    assert built.installation.circuits["cellar"].ocpd_a is None
    assert built.assumed("circuits.cellar.wire_size") == "no breaker is chosen"


def test_a_panel_that_is_kept_keeps_its_breakers():
    assert breaker(WALL_OF_SWITCHES, "bath", ON_THE_WALL) == 30


def test_a_circuit_that_the_proposal_adds_keeps_what_it_states():
    added = 'proposal.circuits.fan = { from = "box", poles = 1, ocpd = "breaker", ocpd_a = 20 }\n'
    built = build(HOUSE, OUTDOORS + added)
    assert (built.installation.circuits["fan"].ocpd_a, built.installation.circuits["fan"].is_new) == (20, True)
    assert "circuits.fan.wire_size" not in {each.where for each in built.assumptions}


# --- wishes ------------------------------------------------------------------------------------------------------


def wish(**keys: str) -> str:
    lines = {"kind": '"dryer"', "when": '"now"', "kw": "5", "volts": "240", "phase": "1", **keys}
    return "".join(f"wishes.dryer.{key} = {value}\n" for key, value in lines.items())


def hangs_on(built: Built, load: str) -> str | None:
    return built.installation.loads[load].panel


def test_a_wish_for_a_panel_that_goes_hangs_on_what_takes_it_over():
    built = build(HOUSE + wish(panel='"box"'), proposal("everything outdoors"))
    assert hangs_on(built, "dryer") == "new-main"
    assert "dryer" in {load.id for load in built.graph.loads_below("new-main")}


def test_a_wish_without_a_panel_hangs_on_one_in_its_building():
    built = build(FARM + wish(building='"barn"'), FARM_POINT)
    assert hangs_on(built, "dryer") == "barn-panel"
    assert built.assumed("wishes.dryer.panel") == "fed from barn-panel"


def test_a_wish_without_panel_or_building_hangs_on_the_main_panel():
    assert hangs_on(build(HOUSE + wish(), OUTDOORS), "dryer") == "box"


def test_a_wish_for_later_is_not_built():
    assert "dryer" not in build(HOUSE + wish(when='"later"'), OUTDOORS).installation.loads


def test_what_belonged_to_a_replaced_load_belongs_to_the_wish():
    heat = """
loads.old-pump = { kind = "heat pump", panel = "box", kw = 4, volts = 240, phase = 1 }
loads.strips = { kind = "supplemental heat", panel = "box", kw = 5, volts = 240, phase = 1, \
supplemental_to = "old-pump", never_with = ["old-pump", "range"] }
"""
    new = wish(kind='"heat pump"', replaces='["old-pump"]')
    loads = build(HOUSE + heat + new, OUTDOORS).installation.loads
    assert "old-pump" not in loads
    assert (loads["strips"].supplemental_to, loads["strips"].never_with) == ("dryer", ("dryer", "range"))


# --- feeders -----------------------------------------------------------------------------------------------------


def test_a_kept_feeder_gets_a_breaker_its_wire_allows():
    # 8 AWG copper TW: 40 A (Table 310.16 of NFPA 70-2023, 60 C; from memory), behind 60 A fuses as found.
    assert build(WALL_OF_SWITCHES, ON_THE_WALL).installation.runs["feed-b"].ocpd_a == 40


def test_no_breaker_is_chosen_for_a_kept_feeder_nobody_measured():
    unread = changed(WALL_OF_SWITCHES, "runs.feed-b", line_size=None)
    built = build(unread, ON_THE_WALL)
    assert (built.installation.runs["feed-b"].ocpd, built.installation.runs["feed-b"].ocpd_a) == ("breaker", None)
    assert built.assumed("runs.feed-b.line_size") == "no breaker is chosen for it"


def test_a_new_feeder_to_a_panel_of_the_house_is_no_smaller_than_the_old():
    kitchen = """
equipment.kitchen = { kind = "panel", building = "house", rating_a = 60, main = "none", fate = "keep" }
runs.to-kitchen = { from = "box", to = "kitchen", wires = 3, ocpd = "fuses", ocpd_a = 60, fate = "replace" }
circuits.counter = { from = "kitchen", ocpd = "breaker", ocpd_a = 20, wire_size = "12 AWG", metal = "copper" }
"""
    built = build(HOUSE + kitchen, OUTDOORS)
    assert built.installation.runs["to-kitchen"].ocpd_a == 60
    assert built.graph.equipment("kitchen").main == "none"


def test_the_disconnect_of_a_building_is_rated_at_least_as_the_code_asks():
    # 60 A for a barn (NFPA 70-2023, 225.39(D)).
    built = build(FARM, FARM_POINT)
    assert built.installation.runs["to-barn"].ocpd_a == 60
    assert (built.graph.equipment("barn-panel").main, built.graph.equipment("barn-panel").main_a) == ("breaker", 60)


def test_a_junction_box_holds_no_breaker():
    boxed = """
equipment.splice = { kind = "junction box", building = "house", fate = "replace" }
equipment.kitchen = { kind = "panel", building = "house", rating_a = 60, main = "none", fate = "keep" }
runs.to-splice = { from = "box", to = "splice", wires = 3, ocpd = "fuses", ocpd_a = 60, fate = "replace" }
runs.to-kitchen = { from = "splice", to = "kitchen", wires = 3, fate = "replace" }
"""
    runs = build(HOUSE + boxed, OUTDOORS).installation.runs
    assert (runs["to-splice"].ocpd, runs["to-kitchen"].ocpd, runs["to-kitchen"].ocpd_a) == ("breaker", "none", None)


@pytest.mark.parametrize(
    ("use", "method", "insulated", "metal"),
    [
        ("livestock", "PVC 40", True, "copper"),
        ("agricultural", "PVC 40", True, None),
        ("livestock", "overhead triplex", None, None),
        ("workshop", "PVC 40", None, None),
    ],
)
def test_the_ground_to_a_farm_building_is_bought_covered(use: str, method: str, insulated: bool, metal: str | None):
    farm = changed(FARM, "buildings.barn", use=use, dusty=use == "agricultural")
    feeder = build(farm, proposal("farm distribution point", outdoor_place="pole", feeder_method=method)).installation
    assert (feeder.runs["to-barn"].egc_insulated, feeder.runs["to-barn"].egc_metal) == (insulated, metal)


# --- bonds and electrodes ----------------------------------------------------------------------------------------


def test_the_only_way_back_for_fault_current_stays_until_a_ground_is_there():
    """The kept panel hangs on an old three-wire run: parting its neutral would leave its metal without any path."""
    assert build(WALL_OF_SWITCHES, ON_THE_WALL).graph.equipment("panel-b").neutral_bonded is True
    grounded = changed(WALL_OF_SWITCHES, "runs.feed-b", egc="wire", wires=4)
    assert build(grounded, ON_THE_WALL).graph.equipment("panel-b").neutral_bonded is False


@pytest.mark.parametrize("kind", KINDS)
def test_the_neutral_is_joined_in_one_place_past_the_meter(kind: str):
    built = build(HOUSE, proposal(kind))
    service = built.graph.service_disconnects[0]
    past = set(built.graph.below(service)) - {service}
    assert built.graph.equipment(service).neutral_bonded
    assert [built.graph.equipment(id).neutral_bonded for id in past] == [False] * len(past)


@pytest.mark.parametrize("kind", KINDS)
def test_earth_piping_and_communication_land_at_the_service_disconnect(kind: str):
    built = build(HOUSE, proposal(kind))
    service = built.graph.service_disconnects[0]
    assert {each.conductor_to for each in built.installation.electrodes.values()} == {service}
    assert {each.equipment for each in built.installation.bonds.values()} == {service}
    assert all(each.present for each in built.installation.bonds.values())


def test_what_nobody_saw_of_the_earth_is_made_and_said_aloud():
    unseen = changed(changed(HOUSE, "electrodes.water", connected=None, meter_jumper=None), "bonds.gas", present=None)
    built = build(unseen, OUTDOORS)
    water = built.installation.electrodes["water"]
    assert (water.connected, water.meter_jumper, built.installation.bonds["gas"].present) == (True, True, True)
    places = ("electrodes.water.connected", "electrodes.water.meter_jumper", "bonds.gas.present")
    assert all("in this work" in built.assumed(where) for where in places)
    assert not {where for where in places if where in {each.where for each in build(HOUSE, OUTDOORS).assumptions}}


def test_a_water_pipe_alone_gets_two_rods_apart():
    rods = [each for each in build(HOUSE, OUTDOORS).installation.electrodes.values() if each.kind == "rod"]
    # Rods at least 6 ft apart: common practice, and NFPA 70-2023, 250.53(B).
    assert len(rods) == 2
    assert all(rod.is_new and (rod.spacing_ft or 0) >= 6 for rod in rods)


@pytest.mark.parametrize(("edition", "service", "panel"), [("2017", None, None), ("2020", "type 2", None)])
def test_surge_protection_comes_with_the_edition_that_asks_for_it(edition: str, service: str, panel: str):
    built = build(HOUSE, OUTDOORS, edition=edition)
    found = (built.graph.equipment("new-main").surge_protection, built.graph.equipment("box").surge_protection)
    assert found == (service, panel)


# --- a rating left open ------------------------------------------------------------------------------------------


def test_a_rating_left_open_carries_all_that_hung_on_the_old_switches():
    # The tank alone draws 30,000 VA / 240 V = 125 A: the first switch's own load would never show it.
    built = build(WALL_OF_SWITCHES, proposal("service disconnect inside", panel="panel-a", rating_a=None))
    rating = built.graph.equipment("panel-a").main_a
    assert rating is not None
    assert rating >= 150
    assert built.assumed("proposal.rating_a") == f"{rating:g} A"


def test_a_rating_left_open_is_at_least_a_dwellings():
    built = build(HOUSE, proposal("service disconnect inside", rating_a=None))
    assert built.graph.equipment("box").main_a == 100


def test_ratings_left_open_are_chosen_building_by_building():
    two = HOUSE + (
        """
buildings.flat = { use = "dwelling", floor_area_ft2 = 700, laundry = "none" }
equipment.flat-meter = { kind = "meter", building = "flat" }
equipment.flat-panel = { kind = "panel", building = "flat", rating_a = 60, main = "fuses", main_a = 60 }
runs.flat-drop = { from = "utility", to = "flat-meter", owner = "utility" }
runs.flat-entrance = { from = "flat-meter", to = "flat-panel", owner = "customer", wires = 3 }
circuits.flat = { from = "flat-panel", ocpd = "plug fuse", ocpd_a = 15 }
"""
    )
    ratings = "proposal.disconnect_ratings_a = { house = 200 }\n"
    built = build(two, proposal("several service disconnects", rating_a=None) + ratings)
    assert built.graph.equipment("new-main-house").main_a == 200
    assert built.graph.equipment("new-main-flat").main_a == 100
    assert {each.where for each in built.assumptions if each.where.startswith("proposal")} == {
        "proposal.disconnect_ratings_a.flat"
    }


# --- sizes -------------------------------------------------------------------------------------------------------


def test_a_raceway_that_is_the_ground_stays_one_when_sizes_are_written_in():
    steel = OUTDOORS + 'proposal.runs.main-feeder = { method = "EMT", egc = "raceway", wires = 3 }\n'
    built = build(HOUSE, steel)
    edition = load_edition("2023")
    loads = read_loads(built.graph, edition=edition)
    sized = with_sizes(built.installation, read_conductors(built.graph, loads, edition=edition))
    assert (sized.runs["main-feeder"].egc, sized.runs["main-feeder"].egc_size) == ("raceway", None)
    assert sized.runs["main-feeder"].line_size is not None


def test_the_tree_is_not_read_anew_for_every_panel(monkeypatch: pytest.MonkeyPatch):
    """A site of a hundred panels must not cost a hundred trees."""
    read: list[Draft] = []
    tree = Draft._tree
    monkeypatch.setattr(Draft, "_tree", lambda draft: read.append(draft) or tree(draft))

    def trees(panels: int) -> int:
        more = "".join(
            f'equipment.p{n} = {{ kind = "panel", building = "house", rating_a = 60, fate = "replace" }}\n'
            f'runs.r{n} = {{ from = "box", to = "p{n}", wires = 3, fate = "replace" }}\n'
            for n in range(panels)
        )
        read.clear()
        build(HOUSE + more, OUTDOORS)
        return len(read)

    assert trees(20) == trees(2)
