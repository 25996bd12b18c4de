"""Plans and packets the tests of this folder share, and a reader for the few things a test asks of a PDF."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import driploop
from driploop.documents import packet_data, packet_pdf
from driploop.planning import Plan
from driploop.survey import starter

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
NAMES = ("orchard", "bungalow", "two-family", "goat-dairy")
LETTER, LETTER_ON_ITS_SIDE = (612.0, 792.0), (792.0, 612.0)
#: As it stands in a schedule: P7, P7.3 or P7.3, .5; several are parted by semicolons.
REFERENCE = re.compile(r"([HAPF]\d+)((?:\.\d+)?(?:, \.\d+)*)")


@cache
def example(name: str) -> Plan:
    """The plan of one of the example jobs."""
    return driploop.plan(driploop.read_job(EXAMPLES / f"{name}.toml"))


@cache
def example_data(name: str) -> dict[str, Any]:
    """What the packet of an example prints."""
    return packet_data(example(name))


@cache
def example_pdf(name: str) -> bytes:
    """The packet of an example."""
    return packet_pdf(example(name))


def plan_of(text: str) -> Plan:
    """The plan of a job file's text."""
    return driploop.plan(driploop.read_job_text(text, name="test.toml"))


@cache
def plan_without_proposal(edition: str = "NEC 2020") -> Plan:
    """The bungalow with nothing proposed, under an edition."""
    text = (EXAMPLES / "bungalow.toml").read_text(encoding="utf-8")
    kept = re.split(r"(?m)^\[", text)
    text = "[".join(part for part in kept if not part.startswith("proposal"))
    return plan_of(re.sub(r'(?m)^edition = ".*?"', f'edition = "{edition}"', text))


def starter_plan() -> Plan:
    """The plan of a survey as ``driploop new`` writes it."""
    return plan_of(starter(title="New survey"))


def tables(data: Any) -> Iterator[dict[str, Any]]:
    """Every table of a packet's data, wherever it stands."""
    if isinstance(data, dict):
        if "rows" in data and "columns" in data:
            yield data
        else:
            for value in data.values():
                yield from tables(value)
    elif isinstance(data, list):
        for value in data:
            yield from tables(value)


def texts(data: Any) -> Iterator[str]:
    """Every text of a packet's data."""
    if isinstance(data, str):
        yield data
    elif isinstance(data, dict):
        for value in data.values():
            yield from texts(value)
    elif isinstance(data, list):
        for value in data:
            yield from texts(value)


def references(data: dict[str, Any]) -> Iterator[str]:
    """Every reference to a worksheet that a packet prints in a table or on its cover."""
    for table in tables(data):
        for place in (i for i, column in enumerate(table["columns"]) if column["cites"]):
            yield from (row[place][0] for row in table["rows"] if row[place][0])
    yield from (figure[2] for figure in data["cover"]["figures"] if figure[2])
    yield from re.findall(r"Worksheet ([HAPF]\d+)", data["cover"]["headroom"])


def lines_at(data: dict[str, Any], reference: str) -> list[dict[str, Any]]:
    """The worksheet lines a reference names. Raises when a worksheet or line is not printed."""
    sheets = {sheet["number"]: sheet["lines"] for sheet in data["worksheets"]}
    lines = []
    for part in reference.replace("\u200b", "").split("; "):
        match = REFERENCE.fullmatch(part)
        if match is None:
            raise ValueError(f"{reference!r} is not a reference")
        sheet = sheets[match[1]]
        lines += [sheet[int(number) - 1] for number in re.findall(r"\d+", match[2])]
    return lines


def page_sizes(pdf: bytes) -> list[tuple[float, float]]:
    """Width and height of every page. [pt]"""
    return [(float(w), float(h)) for w, h in re.findall(rb"/MediaBox\[0 0 ([\d.]+) ([\d.]+)\]", pdf)]


def heading_pages(pdf: bytes) -> dict[str, int]:
    """The page, counted from 1, to which each bookmark leads."""
    kids = re.search(rb"/Type/Pages/Count \d+/Kids\[([^\]]*)\]", pdf)
    assert kids is not None
    order = [int(number) for number in re.findall(rb"(\d+) 0 R", kids[1])]
    goals = {int(n): int(page) for n, page in re.findall(rb"(\d+) 0 obj\s*\[(\d+) 0 R/XYZ", pdf)}
    marks = re.findall(rb"/Title\(([^)]*)\)/Dest (\d+) 0 R", pdf)
    return {title.decode("latin-1"): order.index(goals[int(goal)]) + 1 for title, goal in marks}
