"""``driploop code`` and ``driploop rules``."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest

from driploop.editions import edition_names, load_edition
from driploop.rules import catalogue


def _names(run: Callable, *words: str) -> list[str]:
    return [each["name"] for each in json.loads(run("code", *words, "--json").out)]


def test_a_section_gives_its_table_first(run: Callable) -> None:
    assert _names(run, "310.12")[0] == "dwelling_service_conductors"
    assert _names(run, "250.66")[0] == "grounding_electrode_conductor"
    assert _names(run, "dwelling", "service")[0] == "dwelling_service_conductors"


def test_an_entry_shows_value_section_source_use_and_what_differs(run: Callable) -> None:
    out = run("code", "310.12").out
    assert "NEC 2017  310.15(B)(7)     11 rows  worked out" in out
    assert "NEC 2023  Table 310.12(A)  11 rows  print" in out
    assert "Differs between editions: section." in out
    assert "  Source, NEC 2020, NEC 2023: " in out
    assert "        200  2/0 AWG    4/0 AWG " in out
    assert "Asked for by: conductors, dwelling service conductor" in out
    assert "driploop." not in out


def test_entries_that_are_the_same_everywhere_say_so(run: Callable) -> None:
    assert "The same in every edition." in run("code", "rod_resistance").out


def test_one_edition_alone(run: Callable) -> None:
    out = run("code", "250.66", "--edition", "2020").out
    assert "NEC 2020" in out
    assert "NEC 2023" not in out
    assert "every edition" not in out


@pytest.mark.parametrize("width", [60, 80, 120])
def test_no_table_is_cut_or_too_wide(run: Callable, monkeypatch: pytest.MonkeyPatch, width: int) -> None:
    monkeypatch.setenv("COLUMNS", str(width))
    edition = load_edition("NEC 2023")
    for name in ("conductor_ampacity", "burial_cover", "overhead_clearances", "conductor_impedance", "range_demand"):
        out = run("code", name, "--edition", "NEC 2023").out
        words = set(out.replace(";", " ").split())
        assert [line for line in out.splitlines() if len(line) > width] == []
        for row in edition.table(name).rows:
            for column, cell in row.items():
                if cell is not None and column != "confirmed" and isinstance(cell, int):
                    assert f"{cell:,}" in words


def test_what_was_not_read_in_print_is_listed_in_the_order_of_the_book(run: Callable) -> None:
    data = json.loads(run("code", "--memory", "--json").out)
    out = run("code", "--memory").out
    assert all(each["name"] in out for each in data)
    assert [edition for edition in edition_names() if f"\n{edition} (" not in out] == []
    part = out[out.index("NEC 2020 (") : out.index("NEC 2023 (")]
    assert part.index("  110.") < part.index("  220.") < part.index("  250.")


def test_the_catalogue_prints_every_rule_with_why_and_section(run: Callable) -> None:
    out = run("rules").out
    flat = " ".join(out.split())
    for each in catalogue():
        assert each.id in out
        assert each.why in flat
    assert out.rstrip().endswith(f"{len(catalogue())} rules.")


def test_rules_are_found_by_word_and_by_section(run: Callable) -> None:
    by_word = {each["id"] for each in json.loads(run("rules", "rods", "--json").out)}
    by_section = {each["id"] for each in json.loads(run("rules", "250.66", "--json").out)}
    assert {"rods-six-feet-apart", "rod-length"} <= by_word
    assert "electrode-conductor-size" not in by_word  # "electrode" and "corrodes" hold the letters only
    assert "electrode-conductor-size" in by_section
    assert run("rules", "rod-length").out.rstrip().endswith("\n1 rule.")


def test_sections_are_told_once_where_all_editions_agree(run: Callable) -> None:
    out = run("rules", "rod-length").out
    assert "rod-length · 2017: 250.53(G); 2020, 2023, 2026: 250.53(A)(4)\n" in out
    assert "rod-diameter · 250.52(A)(5)\n" in run("rules", "rod-diameter").out
