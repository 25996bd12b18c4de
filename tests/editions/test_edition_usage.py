import ast

from driploop.editions import common_table_names, edition_names, load_edition
from driploop.editions.usage import _asked, asked_by

SOURCE = """
def size(edition, metal):
    rows = edition.table("conductor_ampacity")
    return rows.cell("copper", size=metal)

class Worker:
    def run(self, edition):
        return edition.number("rod_" + "spacing_ft" if self else "rod_length_ft"), unrelated("ring_minimum")
"""


def test_names_are_found_with_the_function_that_asks():
    found = set(_asked(ast.parse(SOURCE), "m"))
    assert ("conductor_ampacity", "m.size") in found
    assert ("rod_length_ft", "m.Worker.run") in found
    assert "ring_minimum" not in {name for name, _ in found}


def test_only_names_that_exist_are_listed():
    known = {name for edition in edition_names() for name in load_edition(edition).names()} | set(common_table_names())
    listed = asked_by()
    assert set(listed) <= known
    assert all(asker.startswith("driploop.") for askers in listed.values() for asker in askers)
