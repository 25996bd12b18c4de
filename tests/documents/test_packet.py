"""The packet as a whole: its order, its pages, what it refuses to lose, and that it is always the same."""

from __future__ import annotations

import hashlib
import os
import re
import subprocess
import sys
from typing import Any

import pytest

from driploop.documents import PacketError, packet, packet_data, packet_pdf, pictures
from driploop.documents.packet import packet_files
from driploop.planning import Plan
from driploop.worksheet import Verdict

from .packets import (
    EXAMPLES,
    LETTER,
    LETTER_ON_ITS_SIDE,
    NAMES,
    example,
    example_data,
    example_pdf,
    heading_pages,
    page_sizes,
    plan_of,
    plan_without_proposal,
    starter_plan,
    texts,
)

ODD = "<&>#$*_[x]\"' @label /* // \\ ~ --- $x^2$ #set page(width: 9pt) `raw` = Head"
DECISION = "What the outdoor device is, and what follows"
WITH_PROPOSAL = [
    "Cautions", DECISION, "Findings, as proposed", "One-line as found", "One-line as proposed", "Riser as proposed",
    "Site as proposed", "Schedules, as proposed", "Circuits and their protection",
    "Panel layouts",
    "Fault currents and voltages, as proposed", "Voltage along each feeder", "Why the neutral is torqued and tested",
    "Bonding and grounding drawing", "Electrodes in the soil, as proposed", "Labels",
    "What changes", "Duties this change awakens", "What becomes of each old disconnect", "Before the inspector comes",
    "Assumptions", "Survey as found", "Loads and conductors as found", "Findings, as found", "Worksheets",
]  # fmt: skip
#: Where the survey knows of a run in the air.
OVERHEAD = "Overhead runs as proposed"
IN_THE_AIR = ("orchard", "two-family", "goat-dairy")
WITHOUT_PROPOSAL = [
    "Cautions", "Ways to build it", "Findings, as found", "One-line as found", "Schedules, as found",
    "Circuits and their protection",
    "Bonding and grounding drawing", "Labels", "Assumptions", "Survey as found", "Worksheets",
]  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_every_example_is_laid_out_in_the_order_of_the_paper(name: str) -> None:
    pages = heading_pages(example_pdf(name))
    assert (OVERHEAD in pages) == (name in IN_THE_AIR)
    assert [title for title in pages if title != OVERHEAD] == WITH_PROPOSAL
    assert list(pages.values()) == sorted(pages.values())


@pytest.mark.parametrize("name", NAMES)
def test_the_cover_fills_one_page_and_the_cautions_follow(name: str) -> None:
    assert heading_pages(example_pdf(name))["Cautions"] == 2


@pytest.mark.parametrize("name", NAMES)
def test_every_page_is_us_letter(name: str) -> None:
    assert set(page_sizes(example_pdf(name))) <= {LETTER, LETTER_ON_ITS_SIDE}


@pytest.mark.parametrize("name", NAMES)
def test_only_the_shipped_typeface_is_used(name: str) -> None:
    fonts = set(re.findall(rb"/BaseFont/[A-Z]{6}\+([A-Za-z0-9]+)-", example_pdf(name)))
    assert fonts == {b"SourceSans3"}


def test_each_drawing_has_a_page_of_its_own() -> None:
    pages, shown = heading_pages(example_pdf("orchard")), example_data("orchard")["pictures"]
    found, proposed = len(shown["one-line-found"]), len(shown["one-line-proposed"])
    assert found > 0
    assert pages["One-line as proposed"] - pages["One-line as found"] == found
    assert pages["Riser as proposed"] - pages["One-line as proposed"] == proposed
    assert pages["Site as proposed"] - pages["Riser as proposed"] == len(shown["riser"])
    assert pages["Overhead runs as proposed"] - pages["Site as proposed"] == len(shown["site"])
    assert pages["Schedules, as proposed"] - pages["Overhead runs as proposed"] == len(shown["drop"])
    assert pages["Electrodes in the soil, as proposed"] - pages["Bonding and grounding drawing"] == len(
        shown["grounding"]
    )
    assert pages["Labels"] - pages["Electrodes in the soil, as proposed"] == len(shown["rods"])


def test_labels_are_placed_at_the_size_they_were_drawn() -> None:
    files = packet_files(example("bungalow"))
    for shown in example_data("bungalow")["pictures"]["label"]:
        box = re.search(rb'viewBox="0 0 ([\d.]+) ([\d.]+)"', files[shown["file"]])
        assert box is not None
        assert float(box[1]) == pytest.approx(shown["width"], abs=0.01)
    # A point of the data is a point on paper: the template names no other width for a label.
    assert b"image(p.file, width: p.width * 1pt" in files["main.typ"]


@pytest.mark.parametrize("plan", [plan_without_proposal(), plan_without_proposal("NEC 2026"), starter_plan()],
                         ids=["no proposal", "2026", "starter"])  # fmt: skip
def test_a_job_without_a_proposal_reads_the_installation_as_found(plan: Plan) -> None:
    assert plan.proposed is None
    pages = heading_pages(packet_pdf(plan))
    assert [title for title in pages if title in WITHOUT_PROPOSAL] == WITHOUT_PROPOSAL
    assert "What changes" not in pages
    assert "One-line as proposed" not in pages


def test_an_empty_survey_is_laid_out_and_says_what_to_enter() -> None:
    plan = plan_of("format = 1\n")
    # Nothing is listed that could be built otherwise.
    assert list(heading_pages(packet_pdf(plan))) == [t for t in WITHOUT_PROPOSAL if t != "Ways to build it"]
    assert b"Enter the buildings first" in packet_files(plan)["main.typ"]


def odd_job(words: str) -> Plan:
    """The bungalow with the same words in every field that a person fills freely."""
    text = (EXAMPLES / "bungalow.toml").read_text(encoding="utf-8")
    quoted = words.replace("\\", "\\\\").replace('"', '\\"')
    fields = "title|customer|address|prepared_by|name|serves|location|who_said_so|photographs"
    return plan_of(re.sub(rf'(?m)^({fields}) = ".*?"', lambda m: f'{m[1]} = "{quoted}"', text))


def test_odd_characters_are_data_and_never_markup() -> None:
    plan = odd_job(ODD)
    data, pdf = packet_data(plan), packet_pdf(plan)
    assert data["cover"]["title"].replace("\u200b", "") == ODD
    assert set(page_sizes(pdf)) <= {LETTER, LETTER_ON_ITS_SIDE}
    assert list(heading_pages(pdf)) == WITH_PROPOSAL


@pytest.mark.parametrize("words", ["A line that somebody pasted from another paper. " * 20, "Unbrokenword" * 20],
                         ids=["long text", "long word"])  # fmt: skip
def test_long_words_leave_the_cover_on_one_page(words: str) -> None:
    assert heading_pages(packet_pdf(odd_job(words)))["Cautions"] == 2


def test_letters_the_typeface_lacks_do_not_stop_the_packet() -> None:
    assert heading_pages(packet_pdf(odd_job("日本 🐐 עברית")))["Cautions"] == 2


def test_the_questions_stand_behind_the_findings_where_they_are_asked_for() -> None:
    pages = list(heading_pages(packet_pdf(example("bungalow"), with_questions=True)))
    after = pages.index("Findings, as proposed") + 1
    assert pages[after] == "Questions to settle"
    assert pages[:after] + pages[after + 1 :] == WITH_PROPOSAL


def test_the_same_plan_gives_the_same_bytes() -> None:
    assert packet_pdf(example("bungalow")) == example_pdf("bungalow")


def test_the_bytes_do_not_hang_on_the_process() -> None:
    program = (
        "import sys, hashlib, driploop; from driploop.documents import packet_pdf; "
        "print(hashlib.sha256(packet_pdf(driploop.plan(driploop.read_job(sys.argv[1])))).hexdigest())"
    )
    path = os.pathsep.join(sys.path)
    digests = {
        subprocess.run(
            [sys.executable, "-c", program, str(EXAMPLES / "bungalow.toml")],
            env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": path}, capture_output=True, text=True, check=True,
        ).stdout.strip()
        for seed in ("1", "2")
    }  # fmt: skip
    assert digests == {hashlib.sha256(example_pdf("bungalow")).hexdigest()}


@pytest.mark.parametrize("name", NAMES)
def test_no_path_of_the_machine_is_printed(name: str) -> None:
    root = str(EXAMPLES.parent)
    assert not [text for text in texts(example_data(name)) if root in text]
    assert b"/CreationDate(D:19700101" in example_pdf(name) or b"/CreationDate" not in example_pdf(name)


@pytest.mark.parametrize("name", NAMES)
def test_the_drawings_of_the_packet_are_those_that_can_be_saved(name: str) -> None:
    files = packet_files(example(name))
    saved = pictures(example(name))
    assert {name: svg.encode() for name, svg in saved.items()} == {n: f for n, f in files.items() if n.endswith(".svg")}
    shown = [each["file"] for drawings in example_data(name)["pictures"].values() for each in drawings]
    assert sorted(shown) == sorted(saved)


@pytest.mark.parametrize("name", NAMES)
def test_the_cover_counts_the_findings_that_are_printed(name: str) -> None:
    plan, data = example(name), example_data(name)
    keys = {Verdict.MEND.value: "mend", Verdict.ASK.value: "ask", Verdict.KNOW.value: "know"}
    counted = {c["what"]: c for c in data["cover"]["counts"]}
    for group in data["findings"]:
        assert counted["As proposed"][keys[group["verdict"]]] == group["count"]
        assert group["count"] == sum(len(i["places"]) for r in group["rules"] for i in r["items"])
    assert sum(counted["As found"][key] for key in keys.values()) == len(plan.found_findings)


def test_missing_fields_of_the_header_leave_room_to_write() -> None:
    facts: dict[str, Any] = dict(packet_data(plan_of("format = 1\n"))["cover"]["facts"])
    assert facts["Customer"] == ""
    assert facts["Edition in force"].endswith("(assumed)")


def test_a_fault_of_the_layout_is_told_and_no_paper_is_made(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(packet, "FONT", "No Such Face")
    with pytest.raises(PacketError, match="with warnings: unknown font family"):
        packet_pdf(plan_of("format = 1\n"))
