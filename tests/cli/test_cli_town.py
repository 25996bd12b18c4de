"""``driploop town``: local rules, and a job under another edition."""

import json
import tomllib
from pathlib import Path

import pytest

EXAMPLES = Path(__file__).parents[2] / "examples"
OVERLAYS = sorted((EXAMPLES / "overlays").glob("*.toml"))


def test_a_job_s_local_rules_are_listed_town_first(run):
    ran = run("town", EXAMPLES / "orchard.toml")
    assert ran.code == 0
    assert ran.out.index("Upper Quillby, electrical by-law (town)") < ran.out.index("service book (utility)")
    assert "Rods, pipes and plates apart, at least: 6 ft becomes 8 ft." in ran.out
    assert "checked against the survey: meter height" in ran.out
    assert "not checked: it is listed with the findings" in ran.out


@pytest.mark.parametrize("path", OVERLAYS, ids=lambda path: path.stem)
def test_every_line_of_an_overlay_is_listed_with_who_said_so_and_when(run, path):
    ran = run("town", path, "--json")
    told = json.loads(ran.out)["differs"]
    written = tomllib.loads(path.read_text(encoding="utf-8"))
    lines = [name for part in ("parameter", "requirement", "forbidden") for name in written.get(part, {})]
    assert sorted(line["name"] for line in told) == sorted(lines)
    assert all(line["source"][-10:].startswith("2026-") and line["section"] for line in told)
    assert {line["what"] for line in told} <= {"changed", "added", "forbidden"}


def test_an_overlay_is_held_against_the_edition_asked_for(run):
    ran = run("town", EXAMPLES / "overlays" / "marrowby.toml", "--edition", "NEC 2020")
    assert "What differs here from NEC 2020" in ran.out
    assert "100 A becomes" in ran.out
    assert "Forbidden: SE cable." in ran.out


def test_a_job_without_local_rules_says_so(run):
    ran = run("town", EXAMPLES / "goat-dairy.toml")
    assert ran.code == 0
    assert "the job names no overlay" in " ".join(ran.out.split())


def test_a_job_under_the_next_edition(run):
    ran = run("town", EXAMPLES / "orchard.toml", "--if-edition", "NEC 2026")
    assert ran.code == 1  # what must be mended under 2026
    assert "NEC 2023 against NEC 2026" in ran.out
    assert "Not known of NEC 2026, so not compared" in ran.out
    data = json.loads(run("town", EXAMPLES / "orchard.toml", "--if-edition", "NEC 2026", "--json").out)
    assert (data["before"], data["after"]) == ("NEC 2023", "NEC 2026")
    assert data["changes"]
    assert data["not_known"]


def test_a_job_under_its_own_edition_differs_in_nothing(run):
    assert "No answer of this job differs." in run("town", EXAMPLES / "goat-dairy.toml", "--if-edition", "2023").out


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ((EXAMPLES / "overlays" / "marrowby.toml", "--if-edition", "NEC 2026"), "an overlay by itself has no plan"),
        ((EXAMPLES / "orchard.toml", "--if-edition", "NEC 2031"), "no edition is named 'NEC 2031'"),
        ((EXAMPLES / "orchard.toml", "--edition", "1999"), "no edition is named '1999'"),
        (("nowhere.toml",), "nowhere.toml"),
    ],
)
def test_what_cannot_be_answered_is_refused_in_words(run, arguments, said):
    ran = run("town", *arguments)
    assert ran.code == 2
    assert said in ran.err
