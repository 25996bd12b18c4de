"""Which jumpers an installation needs."""

import pytest

from driploop.editions import edition_names
from driploop.grounding.line_side import raceway_end
from driploop.installation import Equipment, Run
from grounding.places import INSIDE_MAIN, LAWFUL, OUTDOOR_DEVICE, SHED, asked, jumper, jumper_ids, place, read
from grounding.test_bond import DUPLEX, FARM


@pytest.mark.parametrize(
    ("fitting", "knockouts", "needs", "asks"),
    [
        ("ordinary locknut", "plain", True, False),
        ("ordinary locknut", "hub", True, False),
        ("bonding locknut", "plain", False, False),
        ("bonding locknut", "concentric", True, False),
        ("bonding bushing", "eccentric", True, False),
        ("bonding bushing", "plain", False, False),
        ("bonding bushing", None, True, True),
        ("threaded hub", None, False, False),
        ("nonmetallic", "concentric", False, False),
        (None, "hub", False, False),
        (None, "concentric", True, False),
        (None, "plain", True, True),
        (None, None, True, True),
    ],
)
def test_line_side_raceway_ends(fitting, knockouts, needs, asks):
    enclosure = Equipment(id="main", line_side_fitting=fitting, knockouts=knockouts)
    end = raceway_end(Run(id="service", method="RMC"), enclosure)
    assert (end.needs_jumper, bool(end.assumptions)) == (needs, asks)


def test_a_metal_service_raceway_is_bonded_past_its_rings_at_each_end():
    text = INSIDE_MAIN.replace('"SE cable"', '"RMC"').replace(
        "main_a = 200 }", 'main_a = 200, knockouts = "concentric" }'
    )
    text = text.replace("outdoors = true, rating_a", 'outdoors = true, line_side_fitting = "threaded hub", rating_a')
    found = [j for j in read(place(text)).jumpers if j.kind == "supply-side bonding jumper"]
    assert [(j.where, j.size) for j in found] == [("panel", "4 AWG")]


def test_cable_plastic_and_feeders_need_no_line_side_jumper():
    for method in ("SE cable", "PVC 40"):
        text = INSIDE_MAIN.replace('"SE cable"', f'"{method}"')
        assert not [j for j in read(place(text)).jumpers if j.kind == "supply-side bonding jumper"]
    feeder = OUTDOOR_DEVICE.format(role="service disconnect").replace('"SE cable"', '"EMT"')
    assert not [j for j in read(place(feeder)).jumpers if j.kind == "supply-side bonding jumper"]


def test_the_run_behind_an_emergency_disconnect_is_still_line_side():
    text = OUTDOOR_DEVICE.format(role="emergency disconnect").replace('"SE cable"', '"EMT"')
    where = {j.where for j in read(place(text)).jumpers if j.kind == "supply-side bonding jumper"}
    assert where == {"outdoor", "panel"}


def test_every_service_disconnect_has_its_main_bonding_jumper():
    mains = {j.where: j.size for j in read(place(DUPLEX)).jumpers if j.kind == "main bonding jumper"}
    assert mains == {"main-a": "8 AWG", "main-b": "8 AWG"}  # 4 AWG copper lines each


def test_a_building_kept_on_three_wires_has_a_jumper_of_its_own():
    reading = read(place(SHED.format(extra=LAWFUL)), neutral_a={"shed-panel": 20.0})
    assert jumper(reading, "equipment-bonding-jumper/shed-panel").kind == "equipment bonding jumper"
    lost = read(place(SHED.format(extra=LAWFUL.replace("[]", '["fence"]'))), neutral_a={"shed-panel": 20.0})
    assert "equipment-bonding-jumper/shed-panel" not in jumper_ids(lost)


def test_the_jumper_round_the_water_meter_is_as_large_as_the_electrode_conductor():
    found = jumper(read(place(INSIDE_MAIN)), "water-meter-jumper/water")
    assert (found.where, found.size) == ("water", "4 AWG")


def test_piping_and_steel_bonds():
    bonds = """
    bonds.pipes = { kind = "metal water piping", building = "house" }
    bonds.gas = { kind = "gas piping", building = "house" }
    bonds.tubing = { kind = "corrugated gas tubing", building = "house" }
    bonds.beam = { kind = "structural steel", building = "house" }
    circuits.furnace = { from = "panel", ocpd_a = 15 }
    circuits.range = { from = "panel", ocpd_a = 50 }
    """
    reading = read(place(INSIDE_MAIN + bonds))
    assert jumper(reading, "water-piping-bond/pipes").size == "4 AWG"
    assert jumper(reading, "structural-steel-bond/beam").size == "4 AWG"
    # Table 250.122 behind the largest circuit, 50 A: 10 AWG copper.
    assert jumper(reading, "gas-piping-bond/gas").size == "10 AWG"
    assert "maker" in jumper(reading, "gas-piping-bond/tubing").why
    assert "bonds.gas.size" in asked(reading)


@pytest.mark.parametrize(
    ("communications", "needs", "asks"), [("true", True, False), ("false", False, False), ('"unknown"', True, True)]
)
def test_an_intersystem_termination_unless_no_communication_is_likely(communications, needs, asks):
    reading = read(place(INSIDE_MAIN.replace("communications = true", f"communications = {communications}")))
    assert ("intersystem-bonding-conductor/house" in jumper_ids(reading)) is needs
    assert ("buildings.house.communications" in asked(reading)) is asks


def test_a_fed_building_has_its_own_termination():
    assert jumper(read(place(SHED.format(extra=""))), "intersystem-bonding-conductor/shed").where == "shed-panel"


@pytest.mark.parametrize("confinement", ["true", "false", '"unknown"'])
def test_an_equipotential_plane_where_livestock_stands_on_concrete(confinement):
    text = FARM.replace("concrete_confinement = true", f"concrete_confinement = {confinement}")
    reading = read(place(text, site_kind="farm"))
    assert ("equipotential-plane-bond/barn" in jumper_ids(reading)) is (confinement != "false")
    assert ("buildings.barn.concrete_confinement" in asked(reading)) is ("unknown" in confinement)
    if confinement != "false":
        assert jumper(reading, "equipotential-plane-bond/barn").size == "8 AWG"


def test_poultry_needs_no_plane():
    reading = read(place(FARM.replace("livestock", "poultry"), site_kind="farm"))
    assert "equipotential-plane-bond/barn" not in jumper_ids(reading)


@pytest.mark.parametrize("edition", edition_names())
def test_every_jumper_traces_to_a_line_of_a_worksheet(edition):
    bonds = '\nbonds.pipes = { kind = "metal water piping" }\nbonds.gas = { kind = "gas piping" }'
    for text in (INSIDE_MAIN + bonds, DUPLEX, FARM, SHED.format(extra=LAWFUL)):
        reading = read(place(text, site_kind="farm"), edition=edition, neutral_a={"shed-panel": 20.0})
        sheets = {sheet.id: sheet for sheet in reading.worksheets}
        assert len(sheets) == len(reading.worksheets)
        for found in reading.jumpers:
            assert sheets[found.worksheet].line(found.key).result.value == found.size
            assert found.section
        for conductor in (c for system in reading.systems.values() for c in system.conductors):
            assert sheets[conductor.worksheet].line(conductor.key).result.value == conductor.required_copper


def test_each_further_disconnect_of_a_group_is_joined_to_the_electrodes_by_a_tap() -> None:
    # 250.64(D), from memory: the disconnects of one place share an electrode system; each is joined to it.
    reading = read(place(DUPLEX))
    assert reading.systems["house"].lands_at == "main-a"
    assert {id for id in jumper_ids(reading) if id.startswith("electrode-conductor-tap/")} == {
        "electrode-conductor-tap/main-b"
    }
    # Lines of 4 AWG copper: 8 AWG copper, by the first row of Table 250.66.
    assert jumper(reading, "electrode-conductor-tap/main-b").size == "8 AWG"


def test_a_single_disconnect_needs_no_tap() -> None:
    ids = jumper_ids(read(place(INSIDE_MAIN)))
    assert not [id for id in ids if id.startswith("electrode-conductor-tap/")]
