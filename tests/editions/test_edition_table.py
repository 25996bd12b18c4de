import pytest

from driploop.editions import NotInTable
from driploop.editions.table import parse_table

FILE = """\
# title    An invented table
# section  Table 999.1
# source   invented
# units    limit_a=A, draw_a=A
# text     trade_size
# note     first note
# note     second note
limit_a,trade_size,draw_a,metal,confirmed
10,1,2.5,4 AWG,page
20,1/2,,2 AWG,memory
,2,9,1 AWG,derived
"""


@pytest.fixture
def table():
    return parse_table(FILE, name="invented", edition="NEC 1900")


def test_the_head_is_read(table):
    assert (table.title, table.section, table.source) == ("An invented table", "Table 999.1", "invented")
    assert table.notes == ("first note", "second note")
    assert table.units == {"limit_a": "A", "draw_a": "A"}
    assert (table.state, table.missing) == ("known", "")


def test_cells_are_numbers_words_or_blank(table):
    assert table.column("trade_size") == ["1", "1/2", "2"]
    assert table.column("limit_a") == [10, 20, None]
    assert table.column("draw_a") == [2.5, None, 9]
    assert table.column("metal") == ["4 AWG", "2 AWG", "1 AWG"]


def test_rows_cannot_be_written(table):
    with pytest.raises(TypeError):
        table.rows[0]["limit_a"] = 11


def test_a_cell_carries_unit_section_and_how_well_it_is_known(table):
    cited = table.cell("draw_a", limit_a=10)
    assert (cited.value, cited.unit, cited.section, cited.confirmed) == (2.5, "A", "Table 999.1", "page")
    assert table.cell("metal", limit_a=20).unit == ""
    assert table.cell("metal", limit_a=20).confirmed == "memory"


def test_a_row_with_its_own_paragraph_and_unit_is_cited_by_them():
    text = "# title t\n# section 1.1, 2.2\nitem,value,unit,paragraph,confirmed\nspan,30,in,2.2(B),page\n"
    cited = parse_table(text, name="mixed", edition="").cell("value", item="span")
    assert (cited.value, cited.unit, cited.section) == (30, "in", "2.2(B)")


def test_a_blank_cell_is_no_value(table):
    with pytest.raises(NotInTable, match=r"no value there: draw_a in the row of limit_a 20"):
        table.cell("draw_a", limit_a=20)


def test_a_missing_row_names_table_section_edition_and_rows(table):
    with pytest.raises(NotInTable) as caught:
        table.cell("draw_a", limit_a=15)
    for part in ("invented", "Table 999.1", "NEC 1900", "limit_a 15", "10, 20, -"):
        assert part in str(caught.value)


def test_an_unknown_column_is_named(table):
    with pytest.raises(NotInTable, match=r"no column rating; it has: limit_a"):
        table.column("rating")
    with pytest.raises(NotInTable, match=r"no column rating"):
        table.row(rating=10)


@pytest.mark.parametrize(("amount", "metal"), [(0, "4 AWG"), (10, "4 AWG"), (10.1, "2 AWG"), (21, "1 AWG")])
def test_at_least_takes_the_first_row_large_enough_and_blank_takes_all(table, amount, metal):
    assert table.at_least("limit_a", amount)["metal"] == metal


def test_at_least_ends_where_the_table_ends():
    table = parse_table("# title t\nlimit_a,confirmed\n10,page\n", name="short", edition="")
    with pytest.raises(NotInTable, match="limit_a of 11 or more"):
        table.at_least("limit_a", 11)


def test_within_holds_its_ends_and_says_what_is_missing():
    text = "# title t\n# missing rows 4 to 8 were not seen.\nlow,high,p,confirmed\n,3,1,page\n9,,2,page\n"
    table = parse_table(text, name="gapped", edition="NEC 1900")
    assert [table.within("low", "high", n)["p"] for n in (-5, 3, 9, 1000)] == [1, 1, 2, 2]
    with pytest.raises(NotInTable, match=r"rows 4 to 8 were not seen"):
        table.within("low", "high", 4)


def test_words_are_not_compared_with_amounts(table):
    with pytest.raises(NotInTable, match="'4 AWG' is a word"):
        table.at_least("metal", 4)


def test_a_long_list_of_rows_is_cut():
    rows = "".join(f"{n},page\n" for n in range(60))
    table = parse_table(f"# title t\nn,confirmed\n{rows}", name="long", edition="")
    with pytest.raises(NotInTable, match="and 20 more"):
        table.row(n=99)
