"""Every kind of fault once: its line, its path, what was read, what is allowed, what to do."""

from __future__ import annotations

import pytest

from driploop.survey import Fault, JobFileError, read_job_text


def faults(text: str) -> tuple[Fault, ...]:
    with pytest.raises(JobFileError) as error:
        read_job_text(text, name="barn.toml")
    return error.value.faults


def fault(body: str) -> Fault:
    """The one fault of a job file that has this body."""
    found = faults(f"format = 1\n{body}")
    assert len(found) == 1, [each.text for each in found]
    return found[0]


PARTS = '[buildings.house]\n[equipment.main-panel]\n[circuits.range]\nfrom = "main-panel"\n'


# --- one value ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("line", "read", "allowed", "do"),
    [
        # a number in quotes, with and without its unit
        ('ocpd_a = "40"', '"40"', "a number of amperes, above 0, at most 6,000", "Leave the quotes off: ocpd_a = 40"),
        ('ocpd_a = "40 A"', '"40 A"', "amperes", "ocpd_a = 40 The unit is told by the key."),
        ('length_ft = "1,200 ft"', '"1,200 ft"', "a number of feet, 0 or more", "length_ft = 1200 The unit"),
        ('poles = "2"', '"2"', "1, 2, 3", "Leave the quotes off: poles = 2"),
        ('ocpd_a = "large"', '"large"', "amperes", "Write what is allowed"),
        # a number out of range
        ("ocpd_a = 0", "0", "above 0", "Look again"),
        ("ocpd_a = -15", "-15", "above 0", "Look again"),
        ("ambient_c = 200", "200", "a number of degrees Celsius, -40 or more, at most 85", "Look again"),
        ("length_ft = inf", "inf", "feet", "Look again"),
        ("length_ft = nan", "nan", "feet", "Look again"),
        ("current_carrying = 2.5", "2.5", "a whole number, 1 or more, at most 60", "Write a whole number."),
        ("current_carrying = 61", "61", "at most 60", "Look again"),
        ("poles = 4", "4", "1, 2, 3", "Look again"),
        # a word that is not allowed
        ('metal = "coper"', '"coper"', '"copper", "aluminum"', 'Did you mean metal = "copper" ?'),
        ('metal = "Aluminium"', '"Aluminium"', '"copper", "aluminum"', 'Did you mean metal = "aluminum" ?'),
        ('cable = "nm_cable"', '"nm_cable"', '"NM cable"', 'Did you mean cable = "NM cable" ?'),
        ('metal = "tin"', '"tin"', '"copper", "aluminum"', "Write what is allowed"),
        ("metal = 3", "3", '"copper", "aluminum"', "Look again"),
        # yes and no
        ('gfci = "Yes"', '"Yes"', "true or false", "Write gfci = true"),
        ('gfci = "off"', '"off"', "true or false", "Write gfci = false"),
        ('gfci = "maybe"', '"maybe"', "true or false", "Write what is allowed"),
        ("gfci = 1", "1", "true or false", "Write gfci = true or gfci = false"),
        ("poles = true", "true", "1, 2, 3", "does not ask yes or no"),
        ("ocpd_a = true", "true", "amperes", "does not ask yes or no"),
        # text and sizes
        ("serves = 12", "12", "text in quotes", 'Put it in quotes: serves = "12"'),
        ("wire_size = 12", "12", "a conductor size: 18 AWG to 2000 kcmil", 'in quotes: wire_size = "12 AWG"'),
        ("wire_size = 13", "13", "a conductor size", "Write what is allowed"),
        ('wire_size = "14-2"', '"14-2"', "as 14 AWG, 2/0 AWG or 250 kcmil", "one conductor alone"),
        # unknown in another spelling; something else altogether
        ('ocpd_a = "Unknown"', '"Unknown"', 'or "unknown"', 'Write it in lower case: ocpd_a = "unknown"'),
        ("ocpd_a = [15, 20]", "[15, 20]", "amperes", "Write what is allowed"),
        ("ocpd_a = { left = 15 }", "{ left = 15 }", "amperes", "Write what is allowed"),
        ("ocpd_a = 1979-05-27", "1979-05-27", "amperes", "Write what is allowed"),
    ],
)
def test_a_value_that_does_not_fit(line: str, read: str, allowed: str, do: str) -> None:
    found = fault(PARTS + line)
    assert found.path == f"circuits.range.{line.split(' =')[0]}"
    assert found.line == 6
    assert found.read == read
    assert allowed in found.allowed
    assert do in found.do


@pytest.mark.parametrize(
    ("body", "path", "read", "allowed", "do"),
    [
        (
            '[runs.feeder]\nmetal_paths = "fense"',
            "runs.feeder.metal_paths",
            '"fense"',
            'a list in square brackets, or "none"',
            'Put it in square brackets: metal_paths = ["fence"]',
        ),
        (
            '[runs.feeder]\nmetal_paths = ["fence", "water pip"]',
            "runs.feeder.metal_paths",
            '"water pip"',
            '"water pipe", "gas pipe"',
            'Did you mean "water pipe"?',
        ),
        (
            '[loads.a]\nnever_with = "b"\n[loads.b]',
            "loads.a.never_with",
            '"b"',
            "a list in square brackets",
            'never_with = ["b"]',
        ),
        ('[loads.a]\ncode_letter = "g"', "loads.a.code_letter", '"g"', "one capital letter, A to V", "Write what is"),
        ("[loads.a]\nhp = 3", "loads.a.hp", "3", "text in quotes", 'Put it in quotes: hp = "3"'),
        ("[loads.a]\nvolts = 250", "loads.a.volts", "250", "115, 120, 208, 230, 240, 277, 480", "Look again"),
        ("[town]\nedition = 2023", "town.edition", "2023", "text in quotes", 'edition = "2023"'),
        ("[buildings.a]\nyear_built = 30", "buildings.a.year_built", "30", "1700 or more, at most 2100", "Look"),
        (
            "[buildings.a]\n[proposal]\ndisconnect_ratings_a = { a = -60 }",
            "proposal.disconnect_ratings_a.a",
            "-60",
            "a number of amperes, above 0",
            "Look again",
        ),
        (
            '[proposal.runs.feeder]\nmetal = "alumnum"',
            "proposal.runs.feeder.metal",
            '"alumnum"',
            '"copper", "aluminum"',
            'metal = "aluminum" ?',
        ),
    ],
)
def test_a_value_of_other_tables_that_does_not_fit(body: str, path: str, read: str, allowed: str, do: str) -> None:
    found = fault(body)
    assert (found.path, found.read) == (path, read)
    assert allowed in found.allowed
    assert do in found.do


def test_several_faults_in_one_list_are_told_one_by_one_on_their_lines() -> None:
    found = faults('format = 1\n[runs.feeder]\nmetal_paths = [\n  "fence",\n  "rope",\n  "string",\n]')
    assert [(each.line, each.read) for each in found] == [(5, '"rope"'), (6, '"string"')]


def test_a_long_value_is_cut_short() -> None:
    assert len(fault(f'[circuits.range]\nmetal = "{"x" * 500}"').read) == 80


# --- keys, tables, ids ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("body", "path", "read", "do"),
    [
        ("[circuits.range]\nopcd_a = 40", "circuits.range.opcd_a", "opcd_a = 40", "Did you mean ocpd_a = 40 ?"),
        ('[runs.a]\nfrom_ = "utility"', "runs.a.from_", 'from_ = "utility"', 'Did you mean from = "utility" ?'),
        ("[circuits.range]\ncolour = 4", "circuits.range.colour", "colour = 4", "write it as a note"),
        ('[circuits.range]\nid = "x"', "circuits.range.id", 'id = "x"', "the id is the table's own name, range"),
        ('[site]\nkid = "farm"', "site.kid", 'kid = "farm"', 'Did you mean kind = "farm" ?'),
        ("[site]\nacres = 40", "site.acres", "acres = 40", "Take it out."),
        ("[circuit.range]", "circuit", "[circuit]", "Did you mean [circuits]?"),
        ("[switches.range]", "switches", "[switches]", "Did you mean [equipment]?"),
        ("[weather]", "weather", "[weather]", "Take it out"),
        ("circuits = 3", "circuits", "3", "Write it as a table: [circuits.some-id]"),
        ("town = 3", "town", "3", "Write it as a table: [town]"),
        ("[circuits]\nrange = 40", "circuits.range", "40", "Write [circuits.range] with its keys below"),
        ('[electrodes]\nkind = "rod"', "electrodes.kind", '"rod"', "under a table with an id, as [electrodes.some-id]"),
        ("[[circuits]]\nposition = '1'", "circuits", '[{ position = "1" }]', "[circuits.some-id]"),
        ('[circuits."Range 1"]', "circuits.Range 1", '"Range 1"', "Write [circuits.range-1], here and where"),
        ("[circuits.-range]", "circuits.-range", '"-range"', "Write [circuits.range]"),
        ("[proposal.runs]\nnew = 4", "proposal.runs.new", "4", "Write [proposal.runs.new]"),
    ],
)
def test_a_key_table_or_id_that_does_not_belong(body: str, path: str, read: str, do: str) -> None:
    found = fault(body)
    assert (found.path, found.read) == (path, read)
    assert do in found.do


def test_an_unknown_key_is_told_with_the_keys_there_are() -> None:
    assert fault("[circuits.range]\ncolour = 4").allowed.startswith("these keys: name, note, from, position, serves")


# --- what one part says of another ----------------------------------------------------------------------------------

SITE = """
[buildings.house]
[buildings.shed]
[equipment.meter]
[equipment.main-panel]
[equipment.shed-panel]
[runs.service]
from = "meter"
to = "main-panel"
[circuits.range]
from = "main-panel"
[loads.range]
circuit = "range"
[loads.heat]
[electrodes.rod-1]
"""


@pytest.mark.parametrize(
    ("body", "path", "read", "near"),
    [
        ('[buildings.a]\npart_of = "hous"', "buildings.a.part_of", '"hous"', "house"),
        ('[equipment.a]\nbuilding = "sheds"', "equipment.a.building", '"sheds"', "shed"),
        ('[runs.a]\nfrom = "utilty"', "runs.a.from", '"utilty"', "utility"),
        ('[runs.a]\nto = "shed-pannel"', "runs.a.to", '"shed-pannel"', "shed-panel"),
        ('[circuits.a]\nfrom = "mainpanel"', "circuits.a.from", '"mainpanel"', "main-panel"),
        ('[circuits.a]\nbuilding = "shd"', "circuits.a.building", '"shd"', "shed"),
        ('[circuits.a]\nmultiwire_with = "rang"', "circuits.a.multiwire_with", '"rang"', "range"),
        ('[loads.a]\ncircuit = "rnge"', "loads.a.circuit", '"rnge"', "range"),
        ('[loads.a]\npanel = "shed_panel"', "loads.a.panel", '"shed_panel"', "shed-panel"),
        ('[loads.a]\nbuilding = "huose"', "loads.a.building", '"huose"', "house"),
        ('[loads.a]\nsupplemental_to = "heta"', "loads.a.supplemental_to", '"heta"', "heat"),
        ('[loads.a]\nnever_with = ["heat", "ranges"]', "loads.a.never_with", '"ranges"', "range"),
        ('[electrodes.a]\nbuilding = "housse"', "electrodes.a.building", '"housse"', "house"),
        ('[electrodes.a]\nconductor_to = "metre"', "electrodes.a.conductor_to", '"metre"', "meter"),
        ('[electrodes.a]\ncontinues_to = "rod1"', "electrodes.a.continues_to", '"rod1"', "rod-1"),
        ('[bonds.a]\nbuilding = "hose"', "bonds.a.building", '"hose"', "house"),
        ('[bonds.a]\nequipment = "main-panl"', "bonds.a.equipment", '"main-panl"', "main-panel"),
        ('[metered.a]\nmeter = "metr"', "metered.a.meter", '"metr"', "meter"),
        ('[wishes.a]\ncircuit = "rage"', "wishes.a.circuit", '"rage"', "range"),
        ('[wishes.a]\npanel = "new-mian"', "wishes.a.panel", '"new-mian"', "new-main"),
        ('[wishes.a]\nbuilding = "houses"', "wishes.a.building", '"houses"', "house"),
        ('[wishes.a]\nsupplemental_to = "heatt"', "wishes.a.supplemental_to", '"heatt"', "heat"),
        ('[wishes.a]\nnever_with = ["hea"]', "wishes.a.never_with", '"hea"', "heat"),
        ('[wishes.a]\nreplaces = ["heats"]', "wishes.a.replaces", '"heats"', "heat"),
        ('[proposal]\noutdoor_place = "hous"', "proposal.outdoor_place", '"hous"', "house"),
        ('[proposal]\npanel = "main-pane"', "proposal.panel", '"main-pane"', "main-panel"),
        (
            "[proposal]\ndisconnect_ratings_a = { shde = 60 }",
            "proposal.disconnect_ratings_a.shde",
            '"shde"',
            "shed",
        ),
        ('[proposal]\nmoves = { ranges = "new-main" }', "proposal.moves.ranges", '"ranges"', "range"),
        ('[proposal]\nmoves = { range = "new-man" }', "proposal.moves.range", '"new-man"', "new-main"),
        ('[proposal.runs.a]\nfrom = "new-mai"', "proposal.runs.a.from", '"new-mai"', "new-main"),
        ('[proposal.equipment.a]\nbuilding = "shet"', "proposal.equipment.a.building", '"shet"', "shed"),
    ],
)
def test_an_id_that_is_not_there(body: str, path: str, read: str, near: str) -> None:
    found = fault(SITE + body)
    assert (found.path, found.read) == (path, read)
    assert found.allowed.startswith("an id of [")
    assert found.do.startswith(f'Did you mean "{near}"? If not, add [')
    assert found.line == len((SITE + body).split("\n")) + 1


def test_an_id_with_nothing_near_is_to_be_added() -> None:
    found = fault('[loads.a]\ncircuit = "pump"')
    assert found.allowed == "an id of [circuits]: none yet"
    assert found.do == 'Add [circuits.pump], or write "unknown".'


def test_of_many_ids_the_first_are_shown() -> None:
    panels = "\n".join(f"[equipment.panel-{number}]" for number in range(20))
    assert fault(f'{panels}\n[circuits.a]\nfrom = "zz"').allowed.endswith("panel-11 and 8 more")


def test_a_proposal_may_name_what_it_adds() -> None:
    body = """
[proposal]
moves = { range = "garage-panel" }
[proposal.equipment.garage-panel]
building = "house"
[proposal.runs.garage-feeder]
from = "new-main-shed"
to = "garage-panel"
[proposal.electrodes.rod-1]
continues_to = "new-rod-1"
"""
    assert read_job_text(f"format = 1\n{SITE}{body}").proposal is not None


@pytest.mark.parametrize(
    "body",
    [
        '[buildings.a]\npart_of = "a"',
        '[circuits.a]\nmultiwire_with = "a"',
        '[loads.a]\nsupplemental_to = "a"',
        '[loads.a]\nnever_with = ["a"]',
        '[wishes.a]\nsupplemental_to = "a"',
        '[electrodes.a]\ncontinues_to = "a"',
    ],
)
def test_a_part_that_names_itself(body: str) -> None:
    found = fault(body)
    assert found.read == '"a"'
    assert "cannot name itself" in found.do


def test_two_supplies_of_one_piece_of_equipment() -> None:
    found = fault(SITE + '[runs.second]\nfrom = "utility"\nto = "main-panel"')
    assert (found.path, found.read) == ("runs.second.to", '"main-panel", which runs.service already feeds')
    assert found.allowed == "one supply for one piece of equipment"


def test_supply_that_goes_round_in_a_loop_is_told_once() -> None:
    body = '[runs.a]\nfrom = "shed-panel"\nto = "meter"\n[runs.b]\nfrom = "main-panel"\nto = "shed-panel"'
    found = fault(SITE + body)
    assert found.path == "runs.service.from"
    assert found.read == "main-panel fed from meter fed from shed-panel fed from main-panel"


def test_a_run_that_feeds_its_own_start() -> None:
    assert fault('[equipment.a]\n[runs.r]\nfrom = "a"\nto = "a"').read == "a fed from a"


def test_a_supply_that_leads_into_a_loop_tells_only_the_loop() -> None:
    body = """
[equipment.a]
[equipment.b]
[equipment.c]
[runs.r]
from = "b"
to = "a"
[runs.s]
from = "c"
to = "b"
[runs.t]
from = "b"
to = "c"
"""
    found = fault(body)
    assert (found.path, found.read) == ("runs.s.from", "b fed from c fed from b")


def test_buildings_that_are_part_of_each_other() -> None:
    found = fault('[buildings.a]\npart_of = "b"\n[buildings.b]\npart_of = "a"')
    assert (found.path, found.read, found.allowed) == ("buildings.a.part_of", "a -> b -> a", "a chain that ends")


def test_a_load_in_two_places() -> None:
    found = fault(SITE + '[loads.fan]\ncircuit = "range"\npanel = "shed-panel"')
    assert found.path == "loads.fan.panel"
    assert found.read == '"shed-panel", while its circuit range leaves "main-panel"'


def test_a_load_that_names_its_panel_twice_alike_is_fine() -> None:
    job = read_job_text(f'format = 1\n{SITE}[loads.fan]\ncircuit = "range"\npanel = "main-panel"')
    assert job.found.loads["fan"].panel == "main-panel"


def test_a_wish_with_the_id_of_a_load_must_replace_it() -> None:
    found = fault(SITE + '[wishes.range]\nkind = "range"')
    assert found.path == "wishes.range"
    assert 'replaces = ["range"]' in found.do
    text = f'format = 1\n{SITE}[wishes.range]\nkind = "range"\nreplaces = ["range"]'
    assert read_job_text(text).wishes["range"].replaces == ("range",)


def test_an_edition_that_is_not_on_the_shelf() -> None:
    found = fault('[town]\nedition = "NEC 2014"')
    assert found.allowed == '"NEC 2017", "NEC 2020", "NEC 2023", "NEC 2026"'
    assert "Ask the town" in found.do


# --- the format -----------------------------------------------------------------------------------------------------


def test_a_missing_format_is_told_with_all_else() -> None:
    found = faults("[circuits.range]\npoles = 5")
    assert [(each.line, each.path) for each in found] == [(1, "format"), (2, "circuits.range.poles")]
    assert found[0].do == "Write format = 1 as the first line."


@pytest.mark.parametrize("written", ['"1"', "-1", "true", "1.0"])
def test_a_format_that_is_no_format(written: str) -> None:
    (found,) = faults(f"\nformat = {written}")
    assert (found.line, found.path, found.read) == (2, "format", written)
    assert found.allowed == "format = 1 (older files: from 0)"


def test_a_format_of_the_future_is_refused_alone() -> None:
    (found,) = faults("format = 2\n[circuits.range]\npoles = 5")
    assert found.read == "2"
    assert "written by a newer program" in found.do


# --- TOML itself ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("body", "line", "read", "do"),
    [
        ("[circuits.a]\nmetal = copper", 3, "column 9 of: metal = copper", "Text stands in quotes"),
        ("[circuits.a]\nlength_ft = 40 ft", 3, "of: length_ft = 40 ft", "End the line after the value."),
        ("[circuits.a]\nrating a = 4", 3, "of: rating a = 4", "Write the key without spaces"),
        ('[circuits.a]\nserves = "range', 3, 'after: serves = "range', "Close the quotes"),
        ("[circuits.a\npoles = 2", 2, "of: [circuits.a", "Close the square bracket"),
        ('[circuits.a]\nposition = "1\\2"', 3, "", "single quotes"),
        ("= 4", 2, "column 1 of: = 4", "Write the line as one of these."),
        ("[job]\ndate = 2026-02-30", 3, "", "Mend the date"),
        ("[circuits.a]\npoles = 1\n[circuits.a]", 4, "(the first stands on line 2)", "an id of its own"),
        ("[circuits.a]\npoles = 1\npoles = 2", 4, "(the first stands on line 3)", "Keep one of the two"),
        ("[circuits]\na = { poles = 1, poles = 2 }", 3, "", "Keep one of the two"),
        ("[circuits]\na = { poles = 1 }\n[circuits.a]\nocpd_a = 15", 4, "(the first stands on line 3)", ""),
    ],
)
def test_a_fault_of_toml_in_plain_words(body: str, line: int, read: str, do: str) -> None:
    found = fault(body)
    assert found.line == line
    assert read in found.read
    assert do in found.do
    assert "The rest of the file is checked once this is mended." in found.do


def test_a_list_that_never_closes_is_told_at_the_end() -> None:
    found = fault('[runs.a]\nmetal_paths = ["fence",\n')
    assert (found.line, found.read) == (3, 'the end of the file, after: metal_paths = ["fence",')
    assert found.allowed == "a list that ends with ]"


def test_lists_in_lists_without_end_are_refused() -> None:
    assert "nested very deep" in fault(f"a = {'[' * 100_000}").read


# --- all at once ----------------------------------------------------------------------------------------------------

NINE = """\
format = 1

[town]
edition = "NEC 1999"            # 4: not on the shelf

[equipment.main-panel]
kind = "pannel"                 # 7: misspelled word
rating_a = "100"                # 8: quotes

[runs.service]
from = "utility"
to = "main-panle"               # 12: no such equipment
lenght_ft = 12                  # 13: misspelled key

[circuits]
range = { from = "main-panel", poles = 2, ocpd_a = -40 }
dryer = { from = "main-panel",  poles = 5 }
pump = 3                        # 18: not a table

[panels.more]
"""


def test_nine_planted_faults_are_all_told_at_once_in_the_order_of_the_file() -> None:
    found = faults(NINE)
    assert [(each.line, each.path) for each in found] == [
        (4, "town.edition"),
        (7, "equipment.main-panel.kind"),
        (8, "equipment.main-panel.rating_a"),
        (12, "runs.service.to"),
        (13, "runs.service.lenght_ft"),
        (16, "circuits.range.ocpd_a"),
        (17, "circuits.dryer.poles"),
        (18, "circuits.pump"),
        (20, "panels"),
    ]


def test_the_error_prints_every_fault_as_a_block() -> None:
    with pytest.raises(JobFileError) as error:
        read_job_text(NINE, name="barn.toml")
    text = str(error.value)
    assert text.startswith("9 faults in barn.toml\n\n")
    assert (
        "barn.toml, line 8: equipment.main-panel.rating_a\n"
        '  read     "100"\n'
        '  allowed  a number of amperes, above 0, at most 6,000, or "unknown"\n'
        "  do       Leave the quotes off: rating_a = 100\n" in text
    )


def test_one_fault_needs_no_heading() -> None:
    with pytest.raises(JobFileError) as error:
        read_job_text("format = 1\n[weather]", name="barn.toml")
    assert str(error.value).startswith("barn.toml, line 2: weather\n  read     [weather]\n")
