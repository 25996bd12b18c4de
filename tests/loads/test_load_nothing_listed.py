"""A panel of which the survey lists nothing is not an idle panel: no room is promised from it."""

import pytest

from driploop import plan, read_job_text

HOUSE = """
format = 1
[site]
kind = "residence"
[buildings.house]
use = "dwelling"
floor_area_ft2 = 1500
[equipment.panel]
kind = "panel"
building = "house"
rating_a = 100
main = "breaker"
main_a = 100
[runs.service]
from = "utility"
to = "panel"
"""
RANGE = """
[circuits]
range = { from = "panel", serves = "range", ocpd_a = 50, poles = 2 }
"""


@pytest.mark.parametrize("edition", ["NEC 2017", "NEC 2020", "NEC 2023", "NEC 2026"])
def test_no_room_is_promised_where_nothing_is_listed(edition: str) -> None:
    town = f'[town]\nedition = "{edition}"\n'
    assert plan(read_job_text(HOUSE + town)).headroom is None
    listed = plan(read_job_text(HOUSE + town + RANGE)).headroom
    assert listed is not None
    assert listed.equipment == "panel"
