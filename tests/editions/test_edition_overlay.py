import pytest

from driploop.editions import OverlayFault, load_edition, read_overlay
from driploop.editions.differences import local_lines
from driploop.editions.local_check import trade_size_in

TOWN = """
[overlay]
name = "Town amendments"
who_said_so = "electrical inspector, by letter"
date = 2026-03-02
kind = "town"

[parameter.minimum_service_one_family]
value = 150
confirmed = "page"

[requirement.permit-card-on-site]
title = "Permit card on the site"
requires = "The permit card hangs at the service while work goes on."

[forbidden.se-cable]
reason = "service-entrance cable is not allowed on an outside wall"
"""


def overlay_of(body, head=True):
    start = TOWN.split("[parameter", maxsplit=1)[0] if head else ""
    return read_overlay(start + body)


def test_an_overlay_is_read():
    overlay = read_overlay(TOWN)
    assert (overlay.name, overlay.kind, overlay.date) == ("Town amendments", "town", "2026-03-02")
    assert overlay.source == "electrical inspector, by letter, 2026-03-02"


def test_an_overlay_file_is_read_like_its_text(tmp_path):
    file = tmp_path / "town.toml"
    file.write_text(TOWN, encoding="utf-8")
    assert read_overlay(file) == read_overlay(TOWN)


def test_an_overlay_changes_a_value_and_says_who_said_so():
    edition = load_edition("NEC 2020", overlays=[read_overlay(TOWN)])
    cited = edition.value("minimum_service_one_family")
    assert (cited.value, cited.unit, cited.confirmed) == (150, "A", "page")
    assert cited.section == "Town amendments (for 230.79(C))"
    assert edition.entry("minimum_service_one_family").source == "electrical inspector, by letter, 2026-03-02"
    assert load_edition("NEC 2020").number("minimum_service_one_family") == 100


def test_an_overlay_adds_a_requirement_and_forbids_a_method():
    edition = load_edition("NEC 2020", overlays=[read_overlay(TOWN)])
    assert edition.section("permit-card-on-site") == "Town amendments"
    assert "permit-card-on-site" in edition.names()
    [forbidden] = edition.forbidden
    assert (forbidden.method, forbidden.section) == ("se-cable", "Town amendments")
    assert load_edition("NEC 2020").forbidden == ()


def test_what_was_only_heard_is_from_memory():
    overlay = overlay_of("[parameter.minimum_service_one_family]\nvalue = 150\n")
    assert load_edition("NEC 2020", overlays=[overlay]).value("minimum_service_one_family").confirmed == "memory"


def test_the_office_can_settle_what_the_edition_leaves_unknown():
    overlay = overlay_of("[parameter.existing_first_tier]\nvalue = 8000\n")
    edition = load_edition("NEC 2026", overlays=[overlay])
    assert edition.known("existing_first_tier")
    assert edition.number("existing_first_tier") == 8000


def test_the_later_overlay_wins():
    state = overlay_of("[parameter.minimum_service_one_family]\nvalue = 125\n")
    edition = load_edition("NEC 2020", overlays=[state, read_overlay(TOWN)])
    assert edition.number("minimum_service_one_family") == 150


def test_every_fault_is_told_at_once():
    with pytest.raises(OverlayFault) as caught:
        read_overlay(
            """
            [overlay]
            name = ""
            date = "soon"
            kind = "village"
            colour = "red"
            [parameter.minimum_service_one_family]
            worth = 150
            [requirement.x]
            title = "only a title"
            [forbidden]
            se-cable = "no"
            [price.wire]
            value = 1
            """,
            where="town.toml",
        )
    lines = str(caught.value).splitlines()
    assert all(line.startswith("town.toml, ") for line in lines)
    for part in (
        "price: not a part of an overlay",
        "overlay.name: read ''",
        "overlay.who_said_so: read None",
        "overlay.date: read 'soon'",
        "overlay.kind: read 'village'; one of: state, town, utility",
        "overlay.colour: no such key",
        "parameter.minimum_service_one_family.value: missing",
        "parameter.minimum_service_one_family.worth: no such key",
        "requirement.x.requires: missing",
        "forbidden.se-cable: read 'no'",
    ):
        assert any(part in line for line in lines), part
    assert len(lines) == 10


@pytest.mark.parametrize(
    ("body", "said"),
    [
        ("[parameter.x]\nvalue = true\n", "parameter.x.value: read True"),
        ('[parameter.x]\nvalue = 1\nconfirmed = "rumour"\n', "one of: page, derived, memory, carried"),
        ('[requirement.x]\ntitle = ""\nrequires = "r"\n', "requirement.x.title: read ''"),
    ],
)
def test_a_fault_names_its_place(body, said):
    with pytest.raises(OverlayFault, match=said.replace(".", r"\.")):
        read_overlay(TOWN + body)


def test_a_part_that_is_no_table_is_told():
    with pytest.raises(OverlayFault, match="parameter: read 3"):
        read_overlay("parameter = 3\n" + TOWN.split("[parameter", maxsplit=1)[0])


def test_text_that_is_no_toml_is_told_as_such():
    with pytest.raises(OverlayFault, match="this is not TOML"):
        read_overlay("[overlay")
    with pytest.raises(OverlayFault, match=r"overlay: missing; an overlay starts with \[overlay\]"):
        read_overlay("")


def test_a_file_that_is_not_there(tmp_path):
    with pytest.raises(OverlayFault, match=r"town\.toml: the file cannot be read"):
        read_overlay(tmp_path / "town.toml")


@pytest.mark.parametrize(
    ("body", "said"),
    [
        ("[parameter.minimum_service_one_famly]\nvalue = 1\n", r"near it: minimum_service_one_family"),
        ('[parameter.rod_spacing_ft]\nvalue = 72\nunit = "in"\n', r"read 'in'; NEC 2020 counts it in 'ft'"),
        ('[parameter.rod_spacing_ft]\nvalue = "six"\n', r"read 'six'; a value like 6 is needed"),
        ('[requirement.rod_spacing_ft]\ntitle = "t"\nrequires = "r"\n', r"has a table or parameter of that name"),
    ],
)
def test_an_overlay_that_does_not_fit_the_edition_is_refused(body, said):
    with pytest.raises(OverlayFault, match=said):
        load_edition("NEC 2020", overlays=[overlay_of(body)])


METER = '[requirement.meter-height]\ntitle = "t"\nrequires = "r"\ncheck = "meter height"\nleast_in = 48\nmost_in = 72\n'


def test_a_requirement_may_carry_a_check_and_its_own_source():
    overlay = overlay_of(METER + 'who_said_so = "service guide, page 9"\ndate = 2026-01-15\nsection = "9.2"\n')
    [check] = overlay.checks
    assert (check.kind, check.place, check.section) == ("meter height", "town", "9.2")
    assert (check.number("least_in"), check.number("most_in"), check.number("least_ft")) == (48, 72, None)
    assert check.source == overlay.entries[0].source == "service guide, page 9, 2026-01-15"
    assert load_edition("NEC 2020", overlays=[overlay]).local_checks == (check,)
    assert load_edition("NEC 2020").local_checks == ()


@pytest.mark.parametrize(
    ("body", "said"),
    [
        (METER.replace("meter height", "meter hight"), "near it: meter height"),
        (METER.replace('check = "meter height"\n', ""), "least_in: stands there without its check"),
        (METER.replace("least_in = 48\nmost_in = 72", ""), "a check of 'meter height' needs least_in or most_in"),
        (METER.replace("most_in = 72", "most_ft = 6"), "most_ft: a check of 'meter height' has no such limit"),
        (METER.replace("48", "84"), "the least, 84, is more than the most, 72"),
        (METER.replace("48", '"48"'), "least_in: read '48'; a number above 0 is needed"),
        (METER.replace("48", "true"), "least_in: read True"),
        (METER + 'date = "soon"\n', "date: read 'soon'; write the day"),
    ],
)
def test_a_check_that_cannot_be_made_is_refused(body, said):
    with pytest.raises(OverlayFault, match=said):
        overlay_of(body)


@pytest.mark.parametrize(
    ("check", "limit", "said"),
    [
        ("mast trade size", "least_trade_size = 2", "a trade size in quotes is needed"),
        ("who pulls the meter", 'who = "anybody"', "one of: utility, contractor by written leave"),
        ("rods", "least_count = 1.5", "a whole number above 0 is needed"),
        ("notice", "least_days = 0", "a whole number above 0 is needed"),
    ],
)
def test_each_check_has_limits_of_its_own_kind(check, limit, said):
    with pytest.raises(OverlayFault, match=said):
        overlay_of(f'[requirement.x]\ntitle = "t"\nrequires = "r"\ncheck = "{check}"\n{limit}\n')


@pytest.mark.parametrize(("written", "inches"), [("2", 2.0), ("1-1/4", 1.25), ("3/4", 0.75), ("2-1/2", 2.5)])
def test_a_trade_size_is_read_as_a_number(written, inches):
    assert trade_size_in(written) == inches


def test_a_rule_of_the_place_never_takes_the_editions_rule_away():
    # A shop cannot know every name of the edition: "mast" is one, and "emergency-disconnect".
    text = '[requirement.mast]\ntitle = "Mast"\nrequires = "Two inch pipe."\ncheck = "mast trade size"\n'
    text += 'least_trade_size = "2"\n[requirement.emergency-disconnect]\ntitle = "t"\nrequires = "r"\n'
    plain, here = load_edition("NEC 2023"), load_edition("NEC 2023", overlays=[overlay_of(text)])
    for name in ("mast", "emergency-disconnect"):
        assert here.entry(name) == plain.entry(name)
        assert here.entry(f"local-{name}").requires in ("Two inch pipe.", "r")
    assert [check.kind for check in here.local_checks] == ["mast trade size"]
    added = {line.name: (line.what, line.now) for line in local_lines(here)}
    assert added == {"mast": ("added", "Two inch pipe."), "emergency-disconnect": ("added", "r")}
