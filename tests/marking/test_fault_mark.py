"""The mark of the available fault current gets its value and date, rounded up; unknown, it stays blank and says so."""

from __future__ import annotations

from driploop.editions import load_edition
from driploop.installation import Graph
from driploop.marking import read_labels
from rules.build import installation, readings_of

BARN = """
buildings.barn = { use = "storage" }
equipment.main = { kind = "panel", building = "barn", main = "breaker", main_a = 100, rating_a = 100 }
runs.service = { from = "utility", to = "main" }
"""


def mark(text: str) -> tuple[str, ...]:
    labels = readings_of(installation(text)).labels
    return next(label.words for label in labels if label.id.startswith("available-fault-current/"))


def test_a_stated_current_stands_on_the_mark() -> None:
    assert mark(BARN + "utility.available_fault_current_a = 13940\n")[0] == "AVAILABLE FAULT CURRENT 14,000 A"


def test_without_a_transformer_the_mark_stays_blank_and_says_why() -> None:
    assert mark(BARN)[0] == "AVAILABLE FAULT CURRENT ______ A"
    said = readings_of(installation(BARN)).label_assumptions
    assert "utility.available_fault_current_a" in {a.where for a in said}


def test_the_date_of_the_calculation_stands_beside_it() -> None:
    labels, said = read_labels(
        Graph(installation(BARN)), fault_a=lambda id: 9_001.0, date="2026-11-12", edition=load_edition("NEC 2023")
    )
    words = next(label.words for label in labels if label.id.startswith("available-fault-current/"))
    assert words == ("AVAILABLE FAULT CURRENT 9,100 A", "CALCULATED ON 2026-11-12")
    assert not any("fault_current" in a.where for a in said)
