"""Rules of the place: each with an overlay that asks and a job that follows it, or does not."""

import pytest

from driploop.editions import load_edition, read_overlay
from driploop.installation import Town

from .build import installation, says, verdicts

MEND, ASK, KNOW = "must be mended", "must be asked", "worth knowing"
HEAD = """
[overlay]
name = "Alder Ford Power, service guide"
who_said_so = "service guide, page 9"
date = "2026-01-15"
kind = "utility"
"""
HOUSE = """
buildings.house = { use = "dwelling" }
buildings.pole = { use = "yard pole" }
utility = { supply = "overhead", UTILITY }
equipment.meter = { kind = "meter", building = "PLACE", METER }
equipment.main = { kind = "panel", building = "house", outdoors = false, rating_a = 200, main = "breaker", \
main_a = 200, MAIN }
runs.drop = { from = "utility", to = "meter", overhead = true, owner = "utility", DROP }
runs.entrance = { from = "meter", to = "main", method = "SE cable", ENTRANCE }
"""


def place(kind="utility", **requirements):
    """NEC 2023 with one requirement for each keyword: its name, and its keys as TOML."""
    body = "".join(
        f'[requirement.{name.replace("_", "-")}]\ntitle = "T"\nrequires = "R"\n{keys}\n'
        for name, keys in requirements.items()
    )
    return load_edition("NEC 2023", overlays=(read_overlay(HEAD.replace('"utility"', f'"{kind}"') + body),))


def house(*, meter="", main="", drop="", entrance="", utility="", at="house", more=""):
    text = HOUSE.replace("PLACE", at) + more
    for mark, keys in (
        ("METER", meter), ("MAIN", main), ("DROP", drop), ("ENTRANCE", entrance), ("UTILITY", utility),
    ):  # fmt: skip
        text = text.replace(f", {mark}", f", {keys}" if keys else "")
    return text


def proposed(rule, text, edition, found=None, **more):
    return verdicts(rule, text, edition, found=installation(found or house()), **more)


METER_BAND = 'check = "meter height"\nleast_in = 48\nmost_in = 72'


def test_local_meter_height_passes():
    here = place(height=METER_BAND)
    assert verdicts("local-meter-height", house(meter="meter_height_in = 60"), here) == []
    assert verdicts("local-meter-height", house(meter="meter_height_in = 90")) == []


def test_local_meter_height_fails():
    here = place(height=METER_BAND)
    assert verdicts("local-meter-height", house(meter="meter_height_in = 90"), here) == [KNOW]
    assert proposed("local-meter-height", house(meter="meter_height_in = 40, is_new = true"), here) == [MEND]
    assert verdicts("local-meter-height", house(), here) == [ASK]
    # What is hung anew is told how high, not asked.
    assert proposed("local-meter-height", house(meter="is_new = true"), here) == [KNOW]
    [told] = says("local-meter-height", house(meter="meter_height_in = 90"), here)
    assert told.section == "Alder Ford Power, service guide"
    assert told.mend.endswith("(service guide, page 9, 2026-01-15)")
    assert "48 to 72 in" in told.wrong


def test_two_places_that_both_ask_are_both_heard():
    town = read_overlay(
        HEAD.replace('"utility"', '"town"').replace("Alder Ford Power, service guide", "Town")
        + f'[requirement.height]\ntitle = "T"\nrequires = "R"\n{METER_BAND.replace("48", "60")}\n'
    )
    both = load_edition("NEC 2023", overlays=(*place(height=METER_BAND).overlays, town))
    told = says("local-meter-height", house(meter="meter_height_in = 50"), both)
    assert [finding.section for finding in told] == ["Town"]


def test_local_clearance_from_gas_passes():
    here = place(gas='check = "clearance from gas"\nleast_ft = 3')
    assert verdicts("local-clearance-from-gas", house(meter="from_gas_ft = 3"), here) == []


def test_local_clearance_from_gas_fails():
    here = place(gas='check = "clearance from gas"\nleast_ft = 3')
    assert verdicts("local-clearance-from-gas", house(meter="from_gas_ft = 2.5"), here) == [KNOW]
    assert proposed("local-clearance-from-gas", house(meter="from_gas_ft = 2.5, is_new = true"), here) == [MEND]
    assert verdicts("local-clearance-from-gas", house(), here) == [ASK]


RODS = 'electrodes.one = { kind = "rod", building = "house", conductor_to = "main", connected = true, length_ft = 8, \
diameter_in = 0.625 }\n'


def test_local_rods_passes():
    here = place(rods='check = "rods"\nleast_count = 2')
    assert proposed("local-rods", house(more=RODS + RODS.replace("one", "two")), here) == []


def test_local_rods_fails():
    here = place(rods='check = "rods"\nleast_count = 2')
    tested = RODS.replace("length_ft", "resistance_ohm = 12, length_ft")
    assert proposed("local-rods", house(more=tested), here) == [MEND]
    assert verdicts("local-rods", house(more=tested), here) == [KNOW]
    assert verdicts("second-electrode-for-a-rod", house(more=tested), here) == []


MAST = 'check = "mast trade size"\nleast_trade_size = "2"'


def test_local_mast_trade_size_passes():
    here = place(mast=MAST)
    for size in ("2", "2-1/2", "none"):
        assert verdicts("local-mast-trade-size", house(drop=f'mast_trade_size = "{size}"'), here) == []
    # A meter on a pole has no mast.
    assert verdicts("local-mast-trade-size", house(at="pole"), here) == []


def test_local_mast_trade_size_fails():
    here = place(mast=MAST)
    thin = house(drop='mast_trade_size = "1-1/4"')
    assert verdicts("local-mast-trade-size", thin, here) == [KNOW]
    assert proposed("local-mast-trade-size", thin, here) == [KNOW]
    renewed = house(drop='mast_trade_size = "1-1/4"', meter="is_new = true")
    assert proposed("local-mast-trade-size", renewed, here) == [MEND]
    assert verdicts("local-mast-trade-size", house(), here) == [ASK]
    assert verdicts("local-mast-trade-size", house(drop='mast_trade_size = "thick"'), here) == [KNOW]


GUY = 'check = "unguyed mast length"\nmost_in = 30'


def test_local_unguyed_mast_passes():
    here = place(guy=GUY)
    for drop in ("mast_above_roof_in = 30", "mast_above_roof_in = 60, mast_guyed = true", 'mast_trade_size = "none"'):
        assert verdicts("local-unguyed-mast", house(drop=drop), here) == []


def test_local_unguyed_mast_fails():
    here = place(guy=GUY)
    tall = house(drop="mast_above_roof_in = 36, mast_guyed = false")
    assert verdicts("local-unguyed-mast", tall, here) == [KNOW]
    assert proposed("local-unguyed-mast", tall.replace('"house" }', '"house", is_new = true }', 1), here) == [MEND]
    assert verdicts("local-unguyed-mast", house(drop="mast_above_roof_in = 36"), here) == [ASK]
    assert verdicts("local-unguyed-mast", house(), here) == [ASK]


TAIL = 'check = "tail length"\nleast_in = 24'


def test_local_tail_length_passes():
    assert verdicts("local-tail-length", house(drop="tail_length_in = 24"), place(tail=TAIL)) == []
    assert verdicts("local-tail-length", house(), place(tail=TAIL)) == []


def test_local_tail_length_fails():
    here = place(tail=TAIL)
    short = house(drop="tail_length_in = 18", meter="is_new = true")
    assert proposed("local-tail-length", short, here) == [MEND]
    assert proposed("local-tail-length", house(meter="is_new = true"), here) == [KNOW]


HOOK = 'check = "attachment height"\nleast_ft = 12\nmost_ft = 18'


def test_local_attachment_height_passes():
    assert verdicts("local-attachment-height", house(drop="attachment_height_ft = 12"), place(hook=HOOK)) == []


def test_local_attachment_height_fails():
    here = place(hook=HOOK)
    for height in ("11", "19"):
        assert verdicts("local-attachment-height", house(drop=f"attachment_height_ft = {height}"), here) == [KNOW]
    low = house(drop="attachment_height_ft = 11", meter="is_new = true")
    assert proposed("local-attachment-height", low, here) == [MEND]
    # On a pole too.
    assert verdicts("local-attachment-height", house(at="pole"), here) == [ASK]


INSIDE = 'check = "service conductors inside"\nmost_ft = 5'


def test_local_length_inside_passes():
    here = place("town", inside=INSIDE)
    assert verdicts("local-length-inside", house(entrance="inside_length_ft = 5"), here) == []
    outdoors = house().replace("outdoors = false", "outdoors = true")
    assert verdicts("local-length-inside", outdoors, here) == []


def test_local_length_inside_fails():
    here = place("town", inside=INSIDE)
    assert verdicts("local-length-inside", house(entrance="inside_length_ft = 9"), here) == [KNOW]
    new = house(entrance="inside_length_ft = 9, is_new = true", main="is_new = true")
    assert proposed("local-length-inside", new, here) == [MEND]
    assert verdicts("local-length-inside", house(), here) == [ASK]


WHO = 'check = "who pulls the meter"\nwho = "utility"'


def test_local_who_pulls_the_meter_passes():
    assert verdicts("local-who-pulls-the-meter", house(utility='meter_work_by = "utility"'), place(who=WHO)) == []


def test_local_who_pulls_the_meter_fails():
    here = place(who=WHO)
    ourselves = house(utility='meter_work_by = "contractor by written leave"')
    assert verdicts("local-who-pulls-the-meter", ourselves, here) == [MEND]
    assert verdicts("local-who-pulls-the-meter", house(), here) == [ASK]


NOTICE = 'check = "notice"\nleast_working_days = 5'
#: 2026-12-09 is a Wednesday; five working days before it is Wednesday, 2026-12-02.
CUTOVER = 'cutover_date = "2026-12-09"'


def test_local_notice_passes():
    here = place(notice=NOTICE)
    assert verdicts("local-notice", house(utility=f'{CUTOVER}, notice_date = "2026-12-02"'), here) == []
    days = place(notice='check = "notice"\nleast_days = 5')
    assert verdicts("local-notice", house(utility=f'{CUTOVER}, notice_date = "2026-12-04"'), days) == []
    town = place("town", notice=NOTICE)
    assert verdicts("local-notice", house(utility=CUTOVER), town, town=Town(notice_date="2026-11-30")) == []


def test_local_notice_fails():
    here = place(notice=NOTICE)
    assert verdicts("local-notice", house(utility=f'{CUTOVER}, notice_date = "2026-12-03"'), here) == [MEND]
    [open_still] = says("local-notice", house(utility=CUTOVER), here)
    assert open_still.verdict.value == ASK
    assert "by 2026-12-02" in open_still.mend
    assert verdicts("local-notice", house(), here) == [KNOW]
    assert verdicts("local-notice", house(utility=CUTOVER), place("town", notice=NOTICE)) == [ASK]


def test_local_requirement_to_be_seen_passes():
    assert verdicts("local-requirement-to-be-seen", house()) == []
    # What the program checks itself is not told twice.
    assert verdicts("local-requirement-to-be-seen", house(), place(who=WHO)) == []


def test_local_requirement_to_be_seen_fails():
    [told] = says("local-requirement-to-be-seen", house(), place("town", card='section = "By-law 4"'))
    assert (told.where, told.wrong, told.section) == ("town.overlay", "T: R", "By-law 4")
    assert told.verdict.value == KNOW


BAN = HEAD.replace('"utility"', '"town"') + '[forbidden."SE cable"]\nreason = "mice"\n'


def banned(text=BAN):
    return load_edition("NEC 2023", overlays=(read_overlay(text),))


def test_wiring_method_allowed_here_passes():
    raceway = house(entrance="is_new = true").replace("SE cable", "RMC")
    assert verdicts("wiring-method-allowed-here", raceway, banned()) == []
    assert verdicts("wiring-method-allowed-here", house(entrance="is_new = true")) == []


@pytest.mark.parametrize("overlay", [BAN, BAN.replace('"SE cable"', "se-cable")])
def test_wiring_method_allowed_here_fails(overlay):
    new = house(entrance="is_new = true")
    assert verdicts("wiring-method-allowed-here", new, banned(overlay)) == [MEND]
    assert verdicts("wiring-method-allowed-here", house(), banned(overlay)) == [KNOW]


def test_a_ban_on_what_is_no_method_is_asked_about():
    [told] = says("wiring-method-allowed-here", house(), banned(BAN.replace("SE cable", "SE cabel")))
    assert told.verdict.value == ASK
    assert "'SE cabel'" in told.wrong
