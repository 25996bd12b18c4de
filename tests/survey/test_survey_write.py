"""Changing a job file in place, writing it whole or not at all, and giving a job back as text."""

from __future__ import annotations

import os
import stat
import tomllib
from pathlib import Path
from typing import Any, get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import BaseModel

from driploop.installation import Job
from driploop.installation.kinds import HORSEPOWER
from driploop.installation.model import RankedBy
from driploop.survey import JobFileError, UpdateError, job_text, read_job_text, update_job, write_atomic
from driploop.survey.contradictions import check_contradictions
from driploop.survey.emit import toml_value
from driploop.survey.fields import Shape, keys_of
from driploop.survey.layout import BY_ID, SINGLE, JobFile
from driploop.survey.references import REFERENCES
from driploop.survey.write import changed_text

FILE = """\
format = 1     # first line

# The house stands on the hill.
[buildings.house]
use = "dwelling"   # since 1931

[equipment.main-panel]   # in the cellar
kind = "panel"
building = "house"
# rating_a is worn off

[circuits]
range = { from = "main-panel", poles = 2 }   # kitchen
fan.from = "main-panel"  # dotted
fan.poles = 1

[runs.feeder]
metal_paths = [
  "fence",     # along the drive
  "water pipe",
]
length_ft = 120  # paced

# --- wishes ---
[wishes.charger]
kind = "vehicle charger"

[buildings.shed]   # seen last
"""


def changed(changes: dict[str, Any], text: str = FILE) -> str:
    after = changed_text(text, changes)
    assert changed_text(text.replace("\n", "\r\n"), changes) == after.replace("\n", "\r\n")
    return after


def test_no_change_leaves_every_byte() -> None:
    assert changed({}) == FILE
    assert changed({"runs.feeder.length_ft": 120, "circuits.range.poles": 2}) == FILE


def test_a_value_changes_where_it_stands_and_its_comment_stays() -> None:
    assert changed({"runs.feeder.length_ft": 125.0}) == FILE.replace("= 120  # paced", "= 125  # paced")


def test_a_value_in_braces_changes_where_it_stands() -> None:
    assert changed({"circuits.range.poles": 1}) == FILE.replace("poles = 2 }", "poles = 1 }")


def test_a_dotted_key_changes_where_it_stands() -> None:
    assert changed({"circuits.fan.poles": 2}) == FILE.replace("fan.poles = 1", "fan.poles = 2")


def test_a_list_over_several_lines_is_replaced_whole() -> None:
    after = changed({"runs.feeder.metal_paths": ("fence",)})
    assert 'metal_paths = ["fence"]\nlength_ft = 120  # paced' in after


def test_a_new_key_stands_under_its_neighbours() -> None:
    assert 'building = "house"\nrating_a = 100\n# rating_a is worn off' in changed(
        {"equipment.main-panel.rating_a": 100}
    )
    assert "poles = 2, ocpd_a = 40 }   # kitchen" in changed({"circuits.range.ocpd_a": 40})
    assert "fan.poles = 1\nfan.ocpd_a = 15\n" in changed({"circuits.fan.ocpd_a": 15})
    assert '[buildings.shed]   # seen last\nuse = "storage"\n' in changed({"buildings.shed.use": "storage"})


def test_a_new_part_is_written_as_its_neighbours_are() -> None:
    after = changed({"circuits.dryer": {"from": "main-panel", "poles": 2}})
    assert "fan.poles = 1\n" in after
    assert 'dryer = { from = "main-panel", poles = 2 }\n' in after
    assert list(read_job_text(after).found.circuits) == ["range", "dryer", "fan"]
    after = changed({"equipment.shed-panel.building": "shed"})
    assert '# rating_a is worn off\n\n[equipment.shed-panel]\nbuilding = "shed"\n\n[circuits]' in after


def test_a_new_table_stands_at_the_end() -> None:
    assert changed({"town.edition": "NEC 2020"}).endswith('# seen last\n\n[town]\nedition = "NEC 2020"\n')
    assert changed({"bonds.gas": {}}).endswith("# seen last\n\n[bonds.gas]\n")
    assert changed_text("format = 1", {"bonds.gas": {}}) == "format = 1\n\n[bonds.gas]\n"


def test_several_fields_of_a_part_that_is_there() -> None:
    after = changed({"buildings.house": {"use": "storage", "wet": True}})
    assert 'use = "storage"   # since 1931\nwet = true\n' in after


def test_what_a_proposal_adds_has_tables_of_its_own() -> None:
    proposal = {"kind": "service disconnect inside", "runs": {"feeder": {"wires": 4}}}
    after = changed({"proposal": proposal, "proposal.moves": {"range": "new-main"}})
    assert "[proposal.runs.feeder]\nwires = 4" in after
    assert 'moves = { range = "new-main" }' in after
    assert read_job_text(after).proposal is not None
    assert "[proposal.runs.feeder]\nwires = 3" in changed({"proposal.runs.feeder.wires": 3}, after)
    assert "wires" not in changed({"proposal.runs.feeder": None}, after)


def test_a_new_part_is_written_whole_as_its_neighbours_are() -> None:
    after = changed({"circuits.porch": {"from": "main-panel", "poles": 1, "note": None}})
    assert 'porch = { from = "main-panel", poles = 1 }' in after
    after = changed({"buildings.coop": {"use": "storage", "wet": True}})
    assert '[buildings.coop]\nuse = "storage"\nwet = true\n' in after
    assert "[buildings.coop]\n" in changed({"buildings.coop": {}})


def test_fields_of_a_part_that_is_there_are_set_and_taken_away_together() -> None:
    after = changed({"circuits.range": {"poles": 1, "from": None}})
    assert "range = { poles = 1 }" in after
    assert changed({"circuits.range": {}}) == FILE


def test_none_takes_a_field_away() -> None:
    assert changed({"runs.feeder.length_ft": None}) == FILE.replace("length_ft = 120  # paced\n", "")
    assert changed({"circuits.range.poles": None}) == FILE.replace(", poles = 2 }", " }")
    assert changed({"circuits.range.from": None}) == FILE.replace('{ from = "main-panel", ', "{ ")
    assert "metal_paths" not in changed({"runs.feeder.metal_paths": None})
    assert changed({"buildings.barn.use": None, "bonds.gas": None}) == FILE


def test_a_part_stays_when_its_last_field_goes() -> None:
    after = changed({"circuits.fan.poles": None, "circuits.fan.from": None})
    assert "fan = {}" in after
    assert "fan" in read_job_text(after).found.circuits
    after = changed({"circuits.range.poles": None, "circuits.range.from": None})
    assert "range" in read_job_text(after).found.circuits


def test_none_takes_a_part_away_and_leaves_the_comments_round_it() -> None:
    after = changed({"wishes.charger": None})
    assert "# --- wishes ---\n\n[buildings.shed]" in after
    assert "charger" not in after
    assert "range" not in changed({"circuits.range": None})
    assert "fan" not in changed({"circuits.fan": None})
    assert "circuits" not in changed({"circuits.range": None, "circuits.fan": None, "circuits": None})


def test_a_change_that_would_bring_a_fault_is_refused() -> None:
    with pytest.raises(JobFileError) as error:
        changed({"circuits.range.ocpd_a": -40})
    assert [fault.path for fault in error.value.faults] == ["circuits.range.ocpd_a"]
    with pytest.raises(JobFileError, match="an id of"):
        changed({"equipment.main-panel": None})


def test_one_fault_can_be_mended_while_another_is_still_there() -> None:
    broken = FILE.replace('use = "dwelling"', 'use = "dweling"').replace("poles = 2", "poles = 7")
    after = changed({"circuits.range.poles": 2}, broken)
    assert "poles = 2 }" in after
    assert "dweling" in after


@pytest.mark.parametrize("path", ["", "format", "weather.today", "circuits..poles", "panels.a.poles"])
def test_a_path_that_is_no_field_is_refused(path: str) -> None:
    with pytest.raises(UpdateError, match=r"circuits\.range\.ocpd_a"):
        changed({path: 1})


@pytest.mark.parametrize("path", ["circuits", "circuits.range", "town", "proposal.runs", "proposal.runs.feeder"])
def test_a_table_takes_keys_and_values_only(path: str) -> None:
    with pytest.raises(UpdateError, match="is a table"):
        changed({path: 1})


def test_a_text_that_is_not_toml_is_not_changed() -> None:
    with pytest.raises(JobFileError, match="Text stands in quotes"):
        changed({"town.edition": "NEC 2020"}, "format = one")


def test_the_file_itself_changes(tmp_path: Path) -> None:
    file = tmp_path / "job.toml"
    file.write_bytes(("\ufeff" + FILE).encode())
    update_job(file, {"runs.feeder.length_ft": 130})
    assert file.read_bytes().decode() == "\ufeff" + FILE.replace("120", "130")
    before = file.stat().st_mtime_ns
    update_job(file, {"runs.feeder.length_ft": 130})
    assert file.stat().st_mtime_ns == before
    with pytest.raises(JobFileError):
        update_job(file, {"runs.feeder.length_ft": -1})
    assert file.read_bytes().decode() == "\ufeff" + FILE.replace("120", "130")


# --- never half a file ----------------------------------------------------------------------------------------------


def test_a_write_that_fails_midway_leaves_the_old_file_and_nothing_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "job.toml"
    file.write_text(FILE)

    def disk_is_full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", disk_is_full)
    with pytest.raises(OSError, match="No space left"):
        write_atomic(file, "format = 1\n")
    assert file.read_text() == FILE
    assert list(tmp_path.iterdir()) == [file]


def test_the_new_file_is_on_disk_before_it_takes_the_old_ones_place(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    steps: list[str] = []
    sync, replace = os.fsync, os.replace

    def noted_sync(handle: int) -> None:
        steps.append("folder" if stat.S_ISDIR(os.fstat(handle).st_mode) else "file")
        sync(handle)

    def noted_replace(source: Path, target: Path) -> None:
        assert source.parent == target.parent
        assert source.read_text() == "format = 1\n"
        steps.append("replace")
        replace(source, target)

    monkeypatch.setattr(os, "fsync", noted_sync)
    monkeypatch.setattr(os, "replace", noted_replace)
    write_atomic(tmp_path / "job.toml", "format = 1\n")
    assert steps == ["file", "replace", "folder"]


def test_permissions_are_kept_and_links_followed(tmp_path: Path) -> None:
    file, link = tmp_path / "job.toml", tmp_path / "link.toml"
    file.write_text(FILE)
    file.chmod(0o640)
    link.symlink_to(file)
    write_atomic(link, "format = 1\n")
    assert link.is_symlink()
    assert file.read_text() == "format = 1\n"
    assert stat.S_IMODE(file.stat().st_mode) == 0o640


def test_bytes_and_line_ends_are_written_as_they_are(tmp_path: Path) -> None:
    write_atomic(tmp_path / "a", b"\x00\r\n\xff")
    write_atomic(tmp_path / "b", "a\r\nb\n")
    assert (tmp_path / "a").read_bytes() == b"\x00\r\n\xff"
    assert (tmp_path / "b").read_bytes() == b"a\r\nb\n"


# --- any job ----------------------------------------------------------------------------------------------------------

IDS = ("house", "shed", "pole-1")
REFERRED = {(reference.table.removeprefix("proposal."), reference.key) for reference in REFERENCES}
TEXTS = st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), max_size=12).filter(
    lambda text: text not in ("unknown", "none")
)


def values(shape: Shape) -> st.SearchStrategy[Any]:
    low = int(shape.low or 0) + (1 if shape.above is not None else 0)
    match shape.kind:
        case "yes or no":
            return st.booleans()
        case "words":
            return st.sampled_from(shape.words)
        case "whole number":
            return st.integers(low, int(shape.high or 900))
        case "number":
            return st.one_of(st.integers(low, int(shape.high or 900)), st.floats(low, shape.high or 900))
        case "size":
            return st.sampled_from(["14 AWG", "2/0 AWG", "250 kcmil"])
        case "text":
            if shape.pattern == HORSEPOWER:
                return st.sampled_from(("1/2", "3", "7-1/2"))
            return st.sampled_from("AGV") if shape.pattern else TEXTS
        case "list":
            assert shape.item is not None
            return st.lists(values(shape.item), max_size=3)
        case "table":
            assert shape.item is not None
            return st.dictionaries(st.sampled_from(IDS), values(shape.item), max_size=2)
        case "rows":
            assert shape.model is not None
            return st.lists(parts(shape.model), max_size=3)
        case "parts":
            assert shape.model is not None
            return st.dictionaries(st.sampled_from(IDS), parts(shape.model), max_size=2)


def parts(model: type[BaseModel]) -> st.SearchStrategy[dict[str, Any]]:
    """A part with any of its keys; what names other parts is left out, so that any mixture is a valid job."""
    tables = [name for name, held in BY_ID.items() if held is model]
    keys = [key for key in keys_of(model).values() if not any((table, key.name) in REFERRED for table in tables)]
    free = {key.name: values(key.shape) for key in keys if key.name not in ("edition", "from", "to")}
    if model is SINGLE["proposal"]:
        for key in ("panel", "outdoor_place", "disconnect_ratings_a", "moves"):
            del free[key]
    if model is SINGLE["shop"]:
        free["order"] = st.lists(st.sampled_from(get_args(RankedBy)), unique=True)
    return st.fixed_dictionaries({}, optional=free)


@st.composite
def jobs(draw: st.DrawFn) -> Job:
    tables: dict[str, Any] = {name: draw(parts(model)) for name, model in SINGLE.items() if draw(st.booleans())}
    for name, model in BY_ID.items():
        if draw(st.booleans()):
            held = draw(st.dictionaries(st.sampled_from(IDS), parts(model), max_size=2))
            # A wish must not have a load's id, so wishes get ids of their own.
            tables[name] = {f"{id}-w" if name == "wishes" else id: part for id, part in held.items()}
    if "buildings" in tables.get("proposal", {}):  # a proposal changes only buildings that are there
        changed = tables["proposal"]["buildings"]
        tables["proposal"]["buildings"] = {
            id: part for id, part in changed.items() if id in tables.get("buildings", {})
        }
    for fault in list(check_contradictions(tables)):  # what would be refused as said against something else
        held = tables
        for step in fault.path[:-1]:
            held = held[step]
        held.pop(fault.path[-1], None)
    lines = "\n".join(f"{name} = {toml_value(held)}" for name, held in tables.items())
    return read_job_text(f"format = 1\n{lines}")


@settings(max_examples=60, deadline=None)
@given(jobs())
def test_any_job_reads_back_from_its_own_text(job: Job) -> None:
    assert read_job_text(job_text(job)) == job


@settings(max_examples=40, deadline=None)
@given(jobs(), st.integers(1, 500))
def test_any_job_takes_a_change_and_gives_it_back(job: Job, length_ft: int) -> None:
    text = job_text(job)
    after = changed_text(text, {"runs.new-run.length_ft": length_ft})
    assert read_job_text(after).found.runs["new-run"].length_ft == length_ft
    before = tomllib.loads(text)
    rest = tomllib.loads(changed_text(after, {"runs.new-run": None}))
    assert {name: held for name, held in rest.items() if held} == {name: held for name, held in before.items() if held}


def test_every_part_of_a_job_has_its_table() -> None:
    tables = set(JobFile.model_fields) - {"format", "job", "site"}
    found = set(Job.model_fields["found"].annotation.model_fields) - {"state", "site_kind"}  # type: ignore[union-attr]
    assert tables == found | {"shop", "town", "wishes", "proposal"}
