"""``driploop alternatives``: the ways side by side and in words, one in full, and one taken into the job file."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from alternatives.bare import EXAMPLES, TESTS, bare_text
from driploop import plan, read_job
from driploop.alternatives import Comparison, alternatives_of
from driploop.editions import load_edition

BUNGALOW, ORCHARD = EXAMPLES / "bungalow.toml", EXAMPLES / "orchard.toml"
FIRST, SECOND = "everything-outdoors-100", "service-disconnect-outdoors-100"


@pytest.fixture
def bungalow(tmp_path: Path) -> Path:
    path = tmp_path / "bungalow.toml"
    path.write_text(bare_text(BUNGALOW), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def compared(tmp_path_factory: pytest.TempPathFactory) -> Comparison:
    path = tmp_path_factory.mktemp("bare") / "bungalow.toml"
    path.write_text(bare_text(BUNGALOW), encoding="utf-8")
    job = read_job(path)
    assert job.town.edition is not None
    return alternatives_of(job, edition=load_edition(job.town.edition))


def flat(text: str) -> str:
    return " ".join(text.split())


def test_every_way_is_told_with_its_reasons(run: Callable, bungalow: Path, compared: Comparison) -> None:
    ran = run("alternatives", bungalow)
    assert ran.code == 0
    out = flat(ran.out)
    for number, way in enumerate(compared.offered, start=1):
        assert f"({number}) {way.title} {way.id} Why: {'; '.join(way.why)}." in out
        assert all(words.removeprefix("to be answered first: ") in out for words in way.why_not)
        assert all(flat(words) in out for words in way.mendings)
    for folded in compared.folded:
        assert f"({folded.alternative.id}): beaten by (1); {folded.worse}" in out
    for refused in compared.refused:
        assert refused.title in out
        assert all(reason[1:].rstrip(".") in out for reason in refused.reasons)
        assert all(section in out for section in refused.sections)
    assert flat("; ".join(compared.steps[0].words)) in out


def test_the_figures_stand_side_by_side(run: Callable, bungalow: Path) -> None:
    # Worked by hand in the survey's terms: rooms, wires and feet as the figures' worksheets give them.
    rows = {line[:26].strip(): line[26:].split() for line in run("alternatives", bungalow).out.splitlines()}
    assert rows["Service"] == ["100", "A", "100", "A"]
    assert rows["Room left"] == ["20", "A", "20", "A"]
    assert rows["- with Vehicle charger"] == ["3", "A", "3", "A"]
    assert rows["Old circuits touched"] == ["8", "8"]
    assert rows["- of these led on"] == ["7", "6"]
    assert rows["Three-wire circuits lost"] == ["0", "1", "(range)"]
    assert rows["- 4 AWG aluminum"] == ["76", "ft", "85", "ft"]
    assert rows["- 2 AWG aluminum"] == ["–", "18", "ft"]
    assert rows["- of these new"] == ["3", "4"]
    assert rows["- with the power off"] == ["13", "(65%)", "14", "(64%)"]


@pytest.mark.parametrize("width", [60, 80, 120])
@pytest.mark.parametrize("example", [BUNGALOW, ORCHARD])
def test_nothing_is_wider_than_the_terminal(
    run: Callable, monkeypatch: pytest.MonkeyPatch, example: Path, width: int
) -> None:
    job = Path("job.toml")  # a long path is not broken
    job.write_text(without_overlays(bare_text(example)), encoding="utf-8")
    monkeypatch.setenv("COLUMNS", str(width))
    lines = run("alternatives", job).out.splitlines()
    assert max(map(len, lines)) <= width
    assert not [line for line in lines if line != line.rstrip()]


def without_overlays(text: str) -> str:
    return re.sub(r"(?m)^overlay = .*\n", "", text)


def test_a_farm_is_told_how_it_can_be_built_in_stages(run: Callable, tmp_path: Path) -> None:
    job = tmp_path / "orchard.toml"
    job.write_text(without_overlays(bare_text(ORCHARD)), encoding="utf-8")
    out = flat(run("alternatives", job).out)
    assert "Stage 1. The distribution point, its electrodes, and what may not wait: lawful in itself" in out
    assert "Stays: Buried run, shed to pump house" in out
    assert "Stage 2. Renew Buried run, shed to pump house: lawful in itself" in out


def test_load_management_is_told_with_its_condition(run: Callable) -> None:
    case = TESTS / "cases" / "alternatives" / "a_charger_held_back_keeps_the_old_service_under_2023.toml"
    job = Path("held.toml")
    job.write_text(bare_text(case), encoding="utf-8")
    assert "keep-managed" in run("alternatives", job).out
    told = run("alternatives", job, "--take", "keep-managed")
    assert told.code == 0
    assert "listed system holds the load" in flat(told.out)


def test_one_way_in_full(run: Callable, bungalow: Path, compared: Comparison, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "400")  # so that no cell of a worksheet is folded
    out = flat(run("alternatives", bungalow, "--way", SECOND).out)
    way = compared.alternative(SECOND)
    assert all(words in out for words in way.consequences)
    assert all(choice.title in out for choice in way.choices)
    assert all(line.what in out for line in way.figures.worksheet.lines)
    assert all(finding.wrong in out for finding in way.findings)


def test_the_same_as_data(run: Callable, bungalow: Path, compared: Comparison) -> None:
    data = json.loads(run("alternatives", bungalow, "--json").out)
    assert [way["id"] for way in data["offered"]] == [way.id for way in compared.offered]
    assert data["offered"][0]["figures"]["headroom_a"] == compared.offered[0].figures.headroom_a
    assert [each["id"] for each in data["refused"]] == [each.id for each in compared.refused]
    assert data["order"] == list(compared.order)
    assert (data["proposed"], data["stages"]) == (None, None)
    assert json.loads(run("alternatives", bungalow, "--way", FIRST, "--json").out) == data["offered"][0]


# --- the order -----------------------------------------------------------------------------------------------------


def test_the_order_is_the_commands_then_the_shops(run: Callable, bungalow: Path) -> None:
    def first(*more: str) -> str:
        return str(json.loads(run("alternatives", bungalow, "--json", *more).out)["offered"][0]["id"])

    assert first() == FIRST
    assert first("--order", "circuits extended, headroom") == SECOND
    with bungalow.open("a", encoding="utf-8") as file:
        file.write('\n[shop]\norder = ["circuits extended"]\n')
    assert first() == SECOND
    assert first("--order", "three-wire circuits lost") == FIRST


@pytest.mark.parametrize(("order", "said"), [("headroom, price", "'price' is not known"), ("", "'' is not known"),
                                             ("headroom,headroom", "stands there twice")])  # fmt: skip
def test_an_order_of_other_words_is_refused(run: Callable, bungalow: Path, order: str, said: str) -> None:
    ran = run("alternatives", bungalow, "--order", order)
    assert ran.code == 2
    assert f"--order: {said}" in ran.err or said in ran.err


def test_a_fault_in_the_shops_order_is_told_with_its_line(run: Callable, bungalow: Path) -> None:
    text = bungalow.read_text(encoding="utf-8") + '\n[shop]\norder = ["head room", "power off", "power off"]\n'
    bungalow.write_text(text, encoding="utf-8")
    ran = run("alternatives", bungalow)
    assert ran.code == 2
    assert f"line {len(text.splitlines())}: shop.order" in ran.err
    assert 'Did you mean "headroom"?' in ran.err
    assert '"power off" twice' in ran.err


# --- nothing to offer ----------------------------------------------------------------------------------------------


def test_a_survey_with_nothing_in_it_has_no_way_yet(run: Callable, tmp_path: Path) -> None:
    job = tmp_path / "empty.toml"
    job.write_text("format = 1\n", encoding="utf-8")
    ran = run("alternatives", job)
    assert ran.code == 1
    assert "enter what hangs on the wall under [equipment]" in flat(ran.out)


def test_no_lawful_way_ends_with_1(run: Callable, tmp_path: Path) -> None:
    """A load above every standard rating of a service."""
    job = tmp_path / "kiln.toml"
    job.write_text(
        bare_text(BUNGALOW) + '\n[loads.kiln]\nkind = "electric heat"\nkw = 4000\npanel = "fuse-box"\nvolts = 240\n'
    )
    ran = run("alternatives", job)
    assert ran.code == 1
    assert "No way to build it is lawful" in ran.out
    assert "above the largest standard rating" in flat(ran.out)
    assert run("alternatives", job, "--take", FIRST).code == 2


@pytest.mark.parametrize("option", ["--take", "--way"])
def test_an_id_that_is_no_way_of_the_job(run: Callable, bungalow: Path, option: str) -> None:
    unknown = run("alternatives", bungalow, option, "everything-outdoor-100")
    assert (unknown.code, f"Did you mean {FIRST}?" in unknown.err) == (2, True)
    refused = run("alternatives", bungalow, option, "keep")
    assert refused.code == 2
    assert "Keep what is there is not offered: The calculated load" in refused.err


# --- taking one ----------------------------------------------------------------------------------------------------


def test_a_way_is_written_into_the_file_and_all_else_stays(run: Callable, bungalow: Path, compared: Comparison) -> None:
    before = bungalow.read_text(encoding="utf-8")
    ran = run("alternatives", bungalow, "--take", SECOND)
    assert ran.code == 0
    assert "Fuse box (equipment.fuse-box): In what room it hangs is not known." in flat(ran.out)
    assert bungalow.read_text(encoding="utf-8").startswith(before)
    proposed = plan(read_job(bungalow)).proposed
    assert proposed is not None
    assert proposed.installation == compared.alternative(SECOND).readings.installation
    marked = flat(run("alternatives", bungalow).out)
    assert "100 A, as proposed, which the job file proposes" in marked


def test_a_proposal_that_stands_is_replaced_only_on_wish(run: Callable, bungalow: Path) -> None:
    run("alternatives", bungalow, "--take", SECOND)
    stated = bungalow.read_text(encoding="utf-8")
    refused = run("alternatives", bungalow, "--take", FIRST)
    assert (refused.code, bungalow.read_text(encoding="utf-8")) == (2, stated)
    assert f"--take {FIRST} --replace" in refused.err
    assert run("alternatives", bungalow, "--take", FIRST, "--replace").code == 0
    assert 'kind = "everything outdoors"' in bungalow.read_text(encoding="utf-8")


def test_the_same_again_writes_nothing(run: Callable, bungalow: Path) -> None:
    run("alternatives", bungalow, "--take", FIRST)
    stated = bungalow.read_text(encoding="utf-8")
    again = run("alternatives", bungalow, "--take", "everything-outdoors-as-proposed")
    assert (again.code, bungalow.read_text(encoding="utf-8")) == (0, stated)
    assert "proposes this already" in flat(again.out)


def test_replace_by_itself_is_refused(run: Callable, bungalow: Path) -> None:
    assert run("alternatives", bungalow, "--replace").code == 2


# --- the manual ----------------------------------------------------------------------------------------------------


def test_the_readme_shows_what_the_command_prints(run: Callable, bungalow: Path) -> None:
    readme = (EXAMPLES.parent / "README.md").read_text(encoding="utf-8")
    shown = readme.partition("its proposal taken out:\n\n")[2].partition("\nThen follow")[0]
    lines = [line.removeprefix("    ") for line in shown.rstrip("\n").split("\n")]
    assert len(lines) > 30
    assert "\n".join(lines) in run("alternatives", bungalow).out
