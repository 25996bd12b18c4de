import pytest
from conductor_jobs import EDITIONS, NEC_2020, NEC_2023, feeder, house, parts, reading

from driploop.editions import load_edition

FOUND = {"is_new": False, "line_size": "4/0 AWG", "neutral_size": "2/0 AWG"}


def service(current_a=160, neutral_a=80, edition=NEC_2023, **job):
    return reading(house(**job), {"panel": (current_a, neutral_a)}, edition)["service"]


def shed(current_a=70, neutral_a=40, edition=NEC_2023, **job):
    return reading(feeder(**job), {"panel": (160, 80), "shed-panel": (current_a, neutral_a)}, edition)["shed-feeder"]


# --- new runs --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize(("metal", "size"), [("aluminum", "4/0 AWG"), ("copper", "2/0 AWG")])
def test_a_new_200_a_dwelling_service(edition, metal, size):
    run = service(run={"metal": metal}, edition=load_edition(edition))
    assert (run.kind, run.line_size, run.basis) == ("service", size, "dwelling table")
    assert (run.wires, run.egc_size, run.adequate, run.faults) == (3, None, True, ())
    assert run.worksheet.line("line_size").result.value == size
    assert run.worksheet.line("neutral_size").result.value == run.neutral_size
    assert run.worksheet.line("device").result.value == 200


def test_a_barn_may_not_use_the_dwelling_table():
    run = service(run={"metal": "copper"}, use="agricultural", kind="farm")
    assert (run.line_size, run.basis) == ("3/0 AWG", "ampacity")
    answers = [line.result.value for line in run.worksheet.lines if line.what.startswith("Dwelling rule")]
    assert answers == ["yes", "yes", "no"]


def test_the_dwelling_table_is_lost_when_another_building_hangs_below():
    installation = feeder()
    run = reading(installation, {"panel": (160, 80), "shed-panel": (70, 40)})["service"]
    assert run.basis == "ampacity"


def test_the_dwelling_table_is_lost_when_other_load_is_taken_off_ahead():
    # An outdoor main feeds the cooling unit beside the house panel: the feeder carries part of the dwelling only.
    base = house(200, run={"metal": "copper"})
    more = parts(
        equipment={"indoor": {"kind": "panel", "building": "house", "outdoors": False, "is_new": True,
                              "main": "none", "rating_a": 200.0}},
        runs={"main-feeder": {"from": "panel", "to": "indoor", "metal": "copper", "insulation": "THWN-2",
                              "ambient_c": 30.0, "wires": 4, "ocpd": "breaker", "ocpd_a": 200.0, "is_new": True}},
        circuits={"cooling": {"from": "panel"}, "lights": {"from": "indoor"}},
    )  # fmt: skip
    partial = base.model_copy(update={kind: {**getattr(base, kind), **each} for kind, each in more.items()})
    loads = {"panel": (160, 80), "indoor": (130, 80)}
    assert reading(partial, loads)["main-feeder"].line_size == "3/0 AWG"
    moved = {**partial.circuits, "cooling": partial.circuits["cooling"].model_copy(update={"from_": "indoor"})}
    whole = partial.model_copy(update={"circuits": moved})
    assert reading(whole, loads)["main-feeder"].line_size == "2/0 AWG"


def test_a_new_feeder_has_neutral_ground_and_raceway():
    # 100 A, 75 C: 1 aluminum. Neutral 40 A: 8 aluminum, raised to the 6 of Table 250.122. Ground 6 aluminum.
    # Compact XHHW 2 x 0.1352 + 2 x 0.0530 = 0.3764 in2: PVC 40 1-1/4 (1.453 x 40 % = 0.581); 1 holds 0.333.
    run = shed(run={"method": "PVC 40", "buried": True})
    assert (run.line_size, run.neutral_size, run.egc_size, run.egc_metal) == ("1 AWG", "6 AWG", "6 AWG", "aluminum")
    assert run.raceway.trade_size == "1-1/4"
    assert run.worksheet.line("raceway").result.value == "1-1/4"
    assert run.raceway.worksheet.id == "raceway/shed-feeder"


def test_unmarked_old_terminals_ask_for_a_larger_feeder():
    # 100 A in the 60 C column: 1/0 aluminum.
    run = shed(source={"is_new": False})
    assert run.line_size == "1/0 AWG"
    assert "equipment.panel.terminal_temperature_c" in [a.where for a in run.assumptions]


def test_a_stated_larger_line_takes_the_ground_with_it():
    # 1 aluminum would do (83,690 cmil); 3/0 pulled (167,800): 6 AWG 26,240 x 2.005 = 52,612 cmil: 3 AWG (52,620).
    run = shed(run={"line_size": "3/0 AWG"})
    assert (run.line_size, run.egc_size, run.adequate) == ("3/0 AWG", "3 AWG", True)
    assert run.worksheet.line("least_line_size").result.value == "1 AWG"


def test_a_stated_smaller_line_is_a_fault():
    run = shed(run={"line_size": "4 AWG"})
    assert run.adequate is False
    assert any("device is larger than 4 AWG" in fault for fault in run.faults)


def test_more_load_than_the_device_is_a_fault():
    run = shed(current_a=120)
    assert run.adequate is False
    assert run.faults[0] == "the calculated load of 120 A is more than the 100 A device"


def test_a_new_feeder_without_a_device_gets_the_next_standard_size():
    run = shed(current_a=72, run={"ocpd": None, "ocpd_a": None}, source={"rating_a": None, "main_a": None})
    assert run.ocpd_a == 80
    assert "runs.shed-feeder.ocpd_a" in [a.where for a in run.assumptions]


def test_a_run_from_a_site_isolating_device_has_a_full_size_ground():
    source = {"role": "site-isolating device", "main": "none", "main_a": None}
    run = shed(run={"ocpd": "none", "ocpd_a": None}, source=source, use="livestock")
    assert run.ocpd_a == 100
    assert run.egc_size == run.line_size == "1 AWG"
    copper = shed(run={"ocpd": "none", "ocpd_a": None, "egc_metal": "copper"}, source=source, use="livestock")
    # 1 aluminum carries 100 A at 75 C: 3 copper carries 100 A.
    assert (copper.egc_size, copper.egc_metal) == ("3 AWG", "copper")


def test_several_mains_are_held_to_the_calculated_load():
    run = service(current_a=150, panel={"mains_count": 4, "main_a": None}, use="agricultural")
    # 150 A at 75 C: 3/0 aluminum (155 A), though four mains may together be rated for more.
    assert (run.ocpd_a, run.line_size) == (None, "3/0 AWG")
    assert run.worksheet.line("device").result.value == "calculated load binds"


def test_new_service_conductors_have_a_least_size():
    run = service(current_a=10, neutral_a=5, rating_a=60, panel={"terminal_temperature_c": 75}, use="pump house")
    assert run.line_size == "4 AWG"
    tiny = service(current_a=10, neutral_a=5, rating_a=30, use="pump house", run={"metal": "copper"})
    assert tiny.line_size == "8 AWG"


def test_too_large_for_one_set_is_refused_in_words():
    run = service(current_a=900, rating_a=1000, use="agricultural")
    assert (run.line_size, run.adequate) == (None, False)
    assert "parallel sets" in run.faults[0]
    assert "parallel sets" in run.worksheet.line("line_size").working


def test_a_cable_is_named_as_it_is_made():
    run = shed(run={"method": "SER cable"})
    # SER: 1-1-1-3 is the first with 1 AWG lines and a 6 AWG ground or larger.
    assert run.worksheet.line("cable").result.value == "1-1-1-3"


def test_nm_cable_stays_in_the_60_c_column():
    # 56 A behind 60 A: 6 copper carries 55 A at 60 C, so 4 (70 A), though the terminals are marked 75 (6: 65 A).
    nm = {"method": "NM cable", "metal": "copper", "insulation": "THHN", "ocpd_a": 60.0}
    assert shed(current_a=56, run=nm).line_size == "4 AWG"
    assert shed(current_a=56, run={**nm, "method": "EMT", "insulation": "THWN-2"}).line_size == "6 AWG"


def test_uf_cable_stays_in_the_60_c_column():
    uf = {"method": "UF cable", "metal": "copper", "insulation": None, "ocpd_a": 60.0, "buried": True}
    assert shed(current_a=56, run=uf).line_size == "4 AWG"


def test_small_se_cable_in_insulation_is_held_lower():
    # 30 A on 10 aluminum: 25 A at 60 C; 8 aluminum serves. The rule stops at 10 AWG.
    se = {"method": "SER cable", "ocpd_a": 30.0, "in_thermal_insulation": True}
    assert shed(current_a=28, run=se).line_size == "8 AWG"


# --- runs that stay --------------------------------------------------------------------------------------------------


def test_a_found_service_that_serves():
    run = service(run=FOUND, panel={"is_new": False})
    assert (run.kept, run.adequate, run.faults, run.basis) == (True, True, (), "as found")
    assert run.ampacity_a == 180


def test_a_found_service_too_small_for_its_main_and_load():
    run = service(run={**FOUND, "line_size": "1/0 AWG", "neutral_size": "1/0 AWG"}, panel={"is_new": False})
    assert run.adequate is False
    assert run.faults == (
        "1/0 AWG aluminum carries 120 A, less than the 160 A it must",
        "the 200 A device is larger than 1/0 AWG aluminum allows: 120 A, at most a 125 A device",
    )


def test_unknown_metal_and_insulation_leave_it_open():
    # 2/0 copper would serve a 200 A dwelling; 2/0 aluminum would not.
    run = service(run={**FOUND, "line_size": "2/0 AWG", "metal": None, "insulation": None}, panel={"is_new": False})
    assert run.adequate is None
    assert run.metal is None
    assert {"runs.service.metal", "runs.service.insulation"} <= {a.where for a in run.assumptions}
    # 1/0 serves in neither metal.
    small = service(run={**FOUND, "line_size": "1/0 AWG", "metal": None, "insulation": None}, panel={"is_new": False})
    assert small.adequate is False


@pytest.mark.parametrize("field", ["line_size", "neutral_size"])
def test_an_unknown_size_leaves_it_open_and_says_so(field):
    run = service(run={**FOUND, field: None}, panel={"is_new": False})
    assert run.adequate is None
    assert any("not known" in fault for fault in run.faults)
    assert f"runs.service.{field}" in [a.where for a in run.assumptions]
    assert run.worksheet.line(field).result.value == "not known"


def test_a_neutral_too_small_is_a_fault():
    run = service(run={**FOUND, "neutral_size": "4 AWG"}, panel={"is_new": False})
    assert run.faults == ("the neutral of 4 AWG aluminum is smaller than the 2 AWG needed",)
    assert run.adequate is False


def test_old_insulation_is_not_given_the_newer_column():
    # 4/0 aluminum rubber and cloth: 150 A at 60 C, less than 166 A.
    run = service(run={**FOUND, "insulation": "rubber and cloth", "buried": False}, panel={"is_new": False})
    assert run.adequate is False


def test_dry_insulation_in_a_wet_place_is_a_fault():
    run = service(run={**FOUND, "insulation": "RHH"}, panel={"is_new": False})
    assert run.faults[0].startswith("RHH insulation is not made for wet places")
    assert run.adequate is False


def test_dry_insulation_inside_a_building_serves_once_it_is_said_to_stay_dry():
    inside = {"insulation": "THHN", "line_size": "1 AWG", "neutral_size": "1 AWG", "egc": "raceway", "is_new": False}
    panel = {"building": "house"}
    assert shed(run=inside, panel=panel).adequate is None
    assert shed(run={**inside, "buried": False}, panel=panel).adequate is True
    assert shed(run={**inside, "buried": True}, panel=panel).adequate is False


def test_unknown_insulation_outdoors_is_asked_unless_the_cable_is_made_for_it():
    unknown = {**FOUND, "line_size": "300 kcmil", "neutral_size": "300 kcmil", "insulation": None}
    assert service(run=unknown).adequate is None
    assert service(run={**unknown, "method": "SE cable"}).adequate is True


def test_a_found_feeder_with_a_small_ground():
    found = {"is_new": False, "line_size": "1 AWG", "neutral_size": "1 AWG", "egc": "wire", "egc_metal": "copper"}
    ok = shed(run={**found, "egc_size": "8 AWG"})
    small = shed(run={**found, "egc_size": "10 AWG"})
    unknown = shed(run={**found, "egc_size": None})
    assert (ok.adequate, small.adequate, unknown.adequate) == (True, False, None)
    assert small.faults == ("the equipment ground of 10 AWG copper is smaller than the 8 AWG needed",)


def test_a_three_wire_feeders_neutral_is_held_to_the_grounding_table():
    # 100 A: 6 aluminum by Table 250.122; 8 is too small whatever its load.
    found = {"is_new": False, "wires": 3, "line_size": "1 AWG", "neutral_size": "8 AWG", "egc": "none"}
    run = shed(neutral_a=5, run=found)
    assert run.adequate is False
    assert "smaller than the 6 AWG needed" in run.faults[0]


def test_a_found_raceway_too_full():
    # 3 x 0.3197 in2 in RMC 1-1/4 (1.526 in2): 63 %.
    run = service(run={**FOUND, "neutral_size": "4/0 AWG", "method": "RMC", "trade_size": "1-1/4"})
    assert run.adequate is False
    assert "too full" in run.faults[0]


def test_a_trade_size_that_does_not_exist_is_told():
    run = service(run={**FOUND, "method": "RMC", "trade_size": "1.25"})
    assert "there are" in run.faults[0]


def test_a_feeder_whose_device_nobody_read_takes_the_panels_main():
    found = {"is_new": False, "line_size": "1 AWG", "neutral_size": "1 AWG", "egc": "wire", "egc_size": "2 AWG",
             "egc_metal": "aluminum", "ocpd": None, "ocpd_a": None}  # fmt: skip
    run = shed(run=found)
    assert run.ocpd_a == 200
    assert run.adequate is None
    assert "runs.shed-feeder.ocpd_a" in [a.where for a in run.assumptions]


def test_the_fuses_of_a_switch_protect_what_leaves_it():
    found = {"is_new": False, "line_size": "1 AWG", "neutral_size": "1 AWG", "egc": "wire", "egc_size": "6 AWG",
             "egc_metal": "aluminum", "ocpd": None, "ocpd_a": None}  # fmt: skip
    run = shed(run=found, source={"kind": "disconnect", "main": "fuses", "main_a": 100.0, "terminal_temperature_c": 75})
    assert run.ocpd_a == 100
    assert run.adequate is True


# --- the utility's ---------------------------------------------------------------------------------------------------


def test_the_utilitys_run_is_named_not_sized():
    run = reading(house(), {"panel": (160, 80)})["drop"]
    assert (run.kind, run.basis, run.adequate, run.faults) == ("utility", "utility", None, ())
    assert "utility" in run.worksheet.line("line_size").working


def test_a_drop_of_unknown_owner_is_held_to_the_code():
    base = house()
    runs = {**base.runs, "drop": base.runs["drop"].model_copy(update={"owner": None})}
    run = reading(base.model_copy(update={"runs": runs}), {"panel": (160, 80)}, NEC_2020)["drop"]
    assert run.kind == "service"
    assert run.adequate is None


def test_a_three_wire_service_cable_is_named_as_it_is_made():
    # Two 4/0 lines and a 2 AWG neutral at least: SEU is made up as 4/0-4/0-2/0.
    run = service(run={"method": "SE cable"})
    assert run.worksheet.line("cable").result.value == "4/0-4/0-2/0"
    assert "cable" not in [line.key for line in service(run={"method": "EMT"}).worksheet.lines]


@pytest.mark.parametrize("mains", [4, 6])
def test_service_conductors_of_a_house_with_several_mains_carry_its_least_rating(mains):
    # 60 A would let 4 copper at 75 C (85 A) pass; 230.42(B) asks for the 100 A of 230.79(C): 3 copper (100 A).
    panel = {"mains_count": mains, "main_a": None}
    run = service(current_a=60, neutral_a=30, run={"metal": "copper"}, panel=panel)
    assert run.line_size == "3 AWG"
    least = run.worksheet.line("least_load").result
    assert (least.value, least.section) == (100, "230.42, 230.79(C)")


def test_next_size_up_does_not_take_service_conductors_below_the_least_rating():
    # 60 A main of a farm building, 60 C terminals: 6 copper (55 A) would be allowed behind 60 A as a feeder.
    ends = {"is_new": False, "terminal_temperature_c": 60}
    circuits = parts(circuits={name: {"from": "panel"} for name in ("a", "b", "c")})["circuits"]
    installation = house(60, use="agricultural", kind="farm", panel=ends, run={"metal": "copper"})
    installation = installation.model_copy(update={"circuits": circuits})
    run = reading(installation, {"panel": (40, 20)})["service"]
    assert (run.line_size, run.ocpd_a) == ("4 AWG", 60)
    kept = house(60, use="agricultural", kind="farm", panel=ends,
                 run={"metal": "copper", "is_new": False, "line_size": "6 AWG", "neutral_size": "6 AWG"})  # fmt: skip
    assert reading(kept, {"panel": (40, 20)})["service"].adequate is True


def test_the_dwelling_rule_keeps_its_83_percent_under_the_least_rating():
    run = service(current_a=60, neutral_a=30, rating_a=100, run={"metal": "copper"})
    assert (run.line_size, run.basis) == ("4 AWG", "dwelling table")


@pytest.mark.parametrize(("kind", "basis"), [("residence", "dwelling table"), ("farm", "ampacity"), (None, "ampacity")])
def test_a_garage_shares_the_dwelling_rule_only_where_the_site_is_known_no_farm(kind, basis):
    installation = feeder(use="garage").model_copy(update={"site_kind": kind})
    assert reading(installation, {"panel": (160, 80), "shed-panel": (20, 10)})["service"].basis == basis


def indoors(**run):
    """A found feeder between two panels of the shed, 1 aluminum THHN behind 100 A, all of it inside."""
    base = feeder()
    found = {"from": "shed-panel", "to": "sub", "metal": "aluminum", "insulation": "THHN", "line_size": "1 AWG",
             "neutral_size": "1 AWG", "egc": "wire", "egc_size": "6 AWG", "egc_metal": "aluminum", "wires": 4,
             "ambient_c": 30.0, "buried": False, "ocpd": "breaker", "ocpd_a": 100.0, **run}  # fmt: skip
    sub = {"kind": "panel", "building": "shed", "outdoors": False, "main": "none", "rating_a": 100.0, "is_new": True}
    more = parts(equipment={"sub": sub}, runs={"inside": found}, circuits={"lamps": {"from": "sub"}})
    site = base.model_copy(update={kind: {**getattr(base, kind), **each} for kind, each in more.items()})
    return reading(site, {"panel": (160, 80), "shed-panel": (70, 40), "sub": (60, 40)})["inside"]


def test_thhn_of_an_unread_wiring_method_is_held_as_inside_nm_cable():
    unread, nm, mc = indoors(), indoors(method="NM cable"), indoors(method="MC cable")
    assert unread.ampacity_a == nm.ampacity_a == 85
    assert (mc.ampacity_a, mc.adequate, unread.adequate) == (100, True, None)
    assert "runs.inside.method" in {note.where for note in unread.assumptions}
