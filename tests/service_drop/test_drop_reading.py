"""Overhead runs of whole jobs: what is assumed, what governs, what is handed to an engineer."""

from __future__ import annotations

from typing import Any

import driploop
from driploop.editions import load_edition, read_overlay
from driploop.service_drop import DropReading
from driploop.service_drop.sag import lowest_with

HEAD = """format = 1
[town]
edition = "NEC 2023"
[utility]
supply = "overhead"
[buildings.house]
use = "dwelling"
[equipment.panel]
kind = "panel"
building = "house"
[runs.drop]
from = "utility"
to = "panel"
owner = "customer"
"""
MEASURED = """line_size = "2 AWG"
span_ft = 100
pole_attachment_height_ft = 22
attachment_height_ft = 16
lowest_over_ground_ft = 14
ground_below = "residential drive"
"""


def drop(fields: str = "", **more: Any) -> DropReading:
    job = driploop.read_job_text(HEAD + fields)
    return driploop.plan(job, **more).drops["drop"]


def test_a_drop_of_which_nothing_is_known_is_read_on_the_safe_side_and_asks() -> None:
    bare = drop()
    asked = {assumption.where for assumption in bare.assumptions}
    assert {"runs.drop.span_ft", "runs.drop.line_size", "utility.loading_district", "runs.drop.ground_below"} <= asked
    assert not bare.sag.measured
    assert bare.clearances[0].enough is not False  # a shortfall that rests on an assumption is no verdict
    known = drop(MEASURED)
    assert bare.sag.pull.pull_lb > known.sag.pull.pull_lb


def test_a_measured_lowest_height_holds_though_the_ends_were_not_measured() -> None:
    for known in ("", "attachment_height_ft = 21\n", "pole_attachment_height_ft = 27\n"):
        seen = drop(f"lowest_over_ground_ft = 19\n{known}").sag
        assert abs(seen.today.lowest_ft - 19) < 0.01, known
        assert min(seen.pole_ft, seen.attachment_ft) >= 19
        assert seen.worst.lowest_ft < 19


def test_the_height_needed_gives_just_the_clearance() -> None:
    high = drop(MEASURED.replace("residential drive", "street or truck or farm"))
    assert high.attachment_needed_ft is not None
    assert 18 <= lowest_with(high.sag, high.attachment_needed_ft) < 18.2
    assert lowest_with(high.sag, 16) < 18


def test_a_pole_that_is_too_low_cannot_be_helped_from_the_house() -> None:
    low = MEASURED.replace("= 22", "= 15").replace("residential drive", "street or truck or farm")
    assert drop(low).attachment_needed_ft is None


def test_the_clearance_over_the_roof_shrinks_by_what_the_sag_grows() -> None:
    seen = drop(MEASURED + "over_roof_ft = 9\nroof_slope_in_12 = 2\n")
    roof = next(each for each in seen.clearances if each.what == "over the roof")
    assert roof.worst_ft == 9 - seen.sag.drop_ft
    assert roof.needed.number == 8


def test_open_wires_are_no_proof() -> None:
    seen = drop(MEASURED + 'method = "overhead open conductors"\n')
    assert not seen.sag.measured
    assert "runs.drop.method" in {assumption.where for assumption in seen.assumptions}


def test_the_utilitys_rule_for_masts_stands_beside_the_computation() -> None:
    overlay = read_overlay("""
[overlay]
name = "Book of a made-up utility"
who_said_so = "service book, page 12"
date = 2026-03-02
kind = "utility"
[requirement.mast]
title = "Mast"
requires = "A mast is of trade size 2 or more."
check = "mast trade size"
least_trade_size = "2"
""")
    fields = MEASURED + 'mast_trade_size = "2"\nmast_above_roof_in = 20\n'
    seen = drop(fields, edition=load_edition("NEC 2023", overlays=(overlay,)))
    assert seen.mast is not None
    assert seen.mast.local == ("A mast is of trade size 2 or more. (service book, page 12, 2026-03-02)",)


def test_a_mast_that_does_not_bear_the_pull_needs_an_engineer() -> None:
    seen = drop(MEASURED + 'mast_trade_size = "1-1/4"\nmast_above_roof_in = 60\n')
    assert seen.mast is not None
    assert not seen.mast.bears
    assert any("does not bear" in need for need in seen.engineer)
    guyed = drop(MEASURED + 'mast_trade_size = "1-1/4"\nmast_above_roof_in = 60\nmast_guyed = true\n')
    assert guyed.mast is not None
    assert guyed.mast.bears
    assert any("guy is anchored" in need for need in guyed.engineer)


def test_every_clearance_and_the_pull_have_their_line() -> None:
    sheet = drop(MEASURED).worksheet
    assert sheet.line("worst over the ground").result.unit == "ft"
    assert sheet.line("pull").result.unit == "lb"


def test_what_holds_the_run_is_named_for_what_it_is() -> None:
    wall = drop(MEASURED + 'mast_trade_size = "none"\n')
    assert any("in the wall must bear" in need for need in wall.engineer)
    unknown = drop(MEASURED)
    assert any("wall or on a mast of unknown size" in need for need in unknown.engineer)
    on_a_pole = HEAD.replace('use = "dwelling"', 'use = "yard pole"')
    pole = driploop.plan(driploop.read_job_text(on_a_pole + MEASURED)).drops["drop"]
    assert any(need.startswith("The pole that holds it") for need in pole.engineer)
    assert not any("wall" in need for need in pole.engineer)
