"""Backup and restore: everything, from one moment, all of it or nothing; and the export that anybody can read."""

from __future__ import annotations

import json
import threading
import tomllib
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from driploop.store import (
    BusyError,
    Edit,
    NotThereError,
    Store,
    StoredJob,
    StoreError,
    backup,
    export,
    jobs,
    migrate,
    open_store,
    people,
    photographs,
)
from driploop.store.edits import tables_of_text, value_at
from driploop.survey import read_job
from store import cluster
from store.conftest import COUNTER, Place, make_database
from store.shop import ADA, BEN, JOB, picture

METER = "equipment.meter"
WORD = "a long enough word"


def fill(store: Store) -> list[str]:
    """Two jobs with all that can hang on them. Returns their ids."""
    owner = people.add_person(store, name="Ada Quill", sign_in="ada", password=WORD, role="owner")
    people.new_session(store, owner.id)
    people.invite(store, role="crew", by=owner.id)
    ids = []
    for number in (1, 2):
        id = jobs.add_job(store, JOB.replace("Lane house", f"Häuser / {number}"), who=owner.who).row.id
        jobs.change_job(store, id, [Edit("job.number", f"D-1{number}", "D-001")], who=BEN)
        jobs.change_job(store, id, [Edit("circuits.lights", None, {"from": "panel", "name": "Lights"})], who=BEN)
        jobs.move_on(store, id, stage="permit", waits_on="town", who=owner.who)
        jobs.note_on(store, id, "way-1", "Billig & gut", who=owner.who)
        jobs.look_at(store, id, JOB, who=BEN)
        photographs.add_photograph(store, id, METER, picture(), who=BEN, caption="Nord")
        ids.append(id)
    return ids


def held(store: Store) -> dict[str, object]:
    """All that people can see of a store."""
    rows, total = jobs.list_jobs(store)
    pictures = {
        photograph.id: [
            photographs.photograph_file(store, row.id, photograph.id, s)[0].read_bytes() for s in photographs.SIZES
        ]
        for row in rows
        for photograph in photographs.photographs_of(store, row.id)
    }
    return {
        "rows": rows,
        "total": total,
        "texts": [jobs.read_stored(store, row.id).text for row in rows],
        "histories": [jobs.history(store, row.id) for row in rows],
        "notes": [jobs.notes_of(store, row.id) for row in rows],
        "looked": [jobs.last_looked_at(store, row.id, who=BEN) for row in rows],
        "photographs": [photographs.photographs_of(store, row.id) for row in rows],
        "people": people.everybody(store),
        "pictures": pictures,
    }


def files(folder: Path) -> list[str]:
    return sorted(
        str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file() and path.suffix == ".jpg"
    )


def test_a_backup_brings_everything_back(place: Place, make_place: Callable[..., Place], tmp_path: Path) -> None:
    store = place.open()
    fill(store)
    made = backup.back_up(store, tmp_path / "all.zip")
    assert (made.jobs, made.photographs, made.missing) == (2, 2, ())
    other = make_place(ready=False).open()
    restored = backup.restore(other, tmp_path / "all.zip")
    assert (restored.jobs, restored.photographs, restored.aside) == (2, 2, None)
    assert held(other) == held(store)
    assert people.sign_in(other, name="ada", password=WORD, place="here")
    first = jobs.list_jobs(other)[0][0].id
    removal = next(change for change in jobs.history(other, first) if change.path == "circuits.lights")
    assert not jobs.undo(other, first, removal.id, who=ADA).conflicts  # numbers go on where they were
    assert jobs.history(other, first)[0].id > removal.id


def test_a_backup_of_one_database_goes_into_the_other(
    place: Place, request: pytest.FixtureRequest, tmp_path: Path
) -> None:
    store = place.open()
    fill(store)
    backup.back_up(store, tmp_path / "all.zip")
    if place.kind == "postgresql":
        address = f"sqlite:///{tmp_path}/other.sqlite"
    else:
        if cluster.left_out():
            pytest.skip(f"PostgreSQL is left out, as {cluster.WITHOUT} says")
        server, name = request.getfixturevalue("server"), f"other_{next(COUNTER)}"
        make_database(server, name)
        address = cluster.address(server, name)
    other = open_store(address, folder=tmp_path / "other")
    backup.restore(other, tmp_path / "all.zip")
    assert held(other) == held(store)
    other.close()


def test_who_is_signed_in_is_not_in_a_backup_nor_can_others_read_it(store: Store, tmp_path: Path) -> None:
    fill(store)
    backup.back_up(store, tmp_path / "all.zip")
    with zipfile.ZipFile(tmp_path / "all.zip") as archive:
        assert not {"rows/sessions.jsonl", "rows/invitations.jsonl", "rows/attempts.jsonl"} & set(archive.namelist())
    assert (tmp_path / "all.zip").stat().st_mode & 0o077 == 0


def test_a_backup_never_writes_over_a_file(store: Store, tmp_path: Path) -> None:
    (tmp_path / "there.zip").write_text("mine")
    for write in (backup.back_up, export.export_everything):
        with pytest.raises(StoreError, match="is there already"):
            write(store, tmp_path / "there.zip")
        with pytest.raises(StoreError, match="cannot be written"):
            write(store, tmp_path / "there.zip" / "below.zip")
    assert (tmp_path / "there.zip").read_text() == "mine"
    assert [path.name for path in tmp_path.iterdir() if path.suffix in (".zip", ".tmp")] == ["there.zip"]


def test_a_backup_holds_one_moment_while_others_write(store: Store, job: StoredJob, tmp_path: Path) -> None:
    """A writer counts two fields and adds a photograph in turn: no backup may hold one without the other."""
    paths = ("buildings.house.floor_area_ft2", "circuits.range.ocpd_a")
    done = threading.Event()
    failed: list[BaseException] = []

    def write() -> None:
        seen: dict[str, int] = {paths[0]: 1450, paths[1]: 40}
        number = 100
        try:
            while not done.is_set():
                number += 1
                jobs.change_job(store, job.row.id, [Edit(path, number, seen[path]) for path in paths], who=BEN)
                seen = dict.fromkeys(paths, number)
                kept = photographs.add_photograph(store, job.row.id, METER, picture(size=(number, 9)), who=BEN)
                if number % 2:
                    photographs.delete_photograph(store, job.row.id, kept.id, who=BEN)
        except BaseException as error:
            failed.append(error)

    writer = threading.Thread(target=write)
    writer.start()
    try:
        for number in range(8):
            backup.back_up(store, tmp_path / f"{number}.zip")
    finally:
        done.set()
        writer.join()
    assert not failed
    for number in range(8):
        other = open_store(f"sqlite:///{tmp_path}/{number}.sqlite", folder=tmp_path / f"folder-{number}")
        backup.restore(other, tmp_path / f"{number}.zip")
        kept = jobs.read_stored(other, job.row.id)
        tables = tables_of_text(kept.text)
        assert kept.row.revision == 1 or value_at(tables, paths[0]) == value_at(tables, paths[1])
        assert jobs.history(other, job.row.id, count=9999)[-1].revision == 1
        assert max(change.revision for change in jobs.history(other, job.row.id, count=9999)) == kept.row.revision
        held(other)  # every photograph that is listed has its files
        other.close()
    assert kept.row.revision > 1, "nobody wrote meanwhile"


def test_a_photograph_whose_file_is_lost_is_told_of_and_stands_in_no_ones_way(
    store: Store, make_place: Callable[..., Place], tmp_path: Path
) -> None:
    ids = fill(store)
    lost = photographs.photographs_of(store, ids[0])[0]
    photographs.file_of(store, lost, "page").unlink()
    assert backup.back_up(store, tmp_path / "all.zip").missing == (lost.id,)
    other = make_place().open()
    assert backup.restore(other, tmp_path / "all.zip").photographs == 2
    with pytest.raises(NotThereError, match="file of this photograph is missing"):
        photographs.photograph_file(other, ids[0], lost.id, "page")


def test_a_store_that_holds_something_is_not_written_over(store: Store, job: StoredJob, tmp_path: Path) -> None:
    backup.back_up(store, tmp_path / "all.zip")
    before = held(store)
    with pytest.raises(StoreError, match="empty folder"):
        backup.restore(store, tmp_path / "all.zip")
    assert held(store) == before


def test_what_was_there_goes_aside_and_can_come_back(store: Store, tmp_path: Path) -> None:
    fill(store)
    first = held(store)
    backup.back_up(store, tmp_path / "first.zip")
    other = jobs.add_job(store, JOB, who=ADA).row.id
    photographs.add_photograph(store, other, METER, picture(colour="red"), who=ADA)
    jobs.delete_job(store, jobs.list_jobs(store, search="1")[0][-1].id)
    second, second_files = held(store), files(store.folder)
    session = people.new_session(store, people.everybody(store)[0].id)

    back = backup.restore(store, tmp_path / "first.zip", replace=True)
    assert held(store) == first
    assert back.aside
    assert back.aside.parent == store.folder / "backups"
    assert not [name for name in files(store.folder) if other in name], "the files of what went are gone"
    assert people.session_of(store, session) is None

    backup.restore(store, back.aside, replace=True)
    assert held(store) == second
    assert files(store.folder) == second_files


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """A backup that can be restored, to be spoilt."""
    folder = tmp_path_factory.mktemp("whole")
    store = open_store(f"sqlite:///{folder}/jobs.sqlite", folder=folder)
    fill(store)
    backup.back_up(store, folder / "all.zip")
    store.close()
    return (folder / "all.zip").read_bytes()


def spoilt(content: bytes, tmp_path: Path, change: Callable[[dict[str, bytes]], None]) -> Path:
    """A backup with its entries changed."""
    (tmp_path / "in.zip").write_bytes(content)
    with zipfile.ZipFile(tmp_path / "in.zip") as archive:
        entries = {name: archive.read(name) for name in archive.namelist()}
    change(entries)
    path = tmp_path / "spoilt.zip"
    with zipfile.ZipFile(path, "w") as archive:
        for name, entry in entries.items():
            archive.writestr(name, entry)
    return path


def _row(entries: dict[str, bytes], table: str, **values: object) -> None:
    name = f"rows/{table}.jsonl"
    first, *rest = entries[name].splitlines()
    entries[name] = b"\n".join([json.dumps({**json.loads(first), **values}).encode(), *rest]) + b"\n"


SPOILT: dict[str, Callable[[dict[str, bytes]], object]] = {
    "no head": lambda e: e.pop("backup.json"),
    "another format": lambda e: e.update({"backup.json": b'{"format": "another", "step": "0001"}'}),
    "no json": lambda e: e.update({"backup.json": b"{"}),
    "newer": lambda e: e.update({"backup.json": e["backup.json"].replace(b"0002", b"0009")}),
    "no such step": lambda e: e.update({"backup.json": e["backup.json"].replace(b"0002", b"0000")}),
    "a picture less": lambda e: e.pop(next(name for name in e if name.startswith("originals"))),
    "no jobs": lambda e: e.pop("rows/jobs.jsonl"),
    "half a row": lambda e: e.update({"rows/changes.jsonl": e["rows/changes.jsonl"][:-40]}),
    "a row of nothing": lambda e: _row(e, "texts", job="0000000000000000"),
    "a stage that is none": lambda e: _row(e, "jobs", stage="sold"),
    "a column that is none": lambda e: _row(e, "jobs", colour="red"),
    "a moment that is none": lambda e: _row(e, "jobs", changed_at="yesterday"),
    "a path for an id": lambda e: _row(e, "photographs", id="../../escaped"),
    "a kind that is none": lambda e: _row(e, "photographs", kind="GIF"),
}


@pytest.mark.parametrize("fault", SPOILT)
@pytest.mark.parametrize("replace", [False, True])
def test_a_spoilt_backup_is_refused_in_words_and_changes_nothing(
    store: Store, whole: bytes, tmp_path: Path, fault: str, replace: bool
) -> None:
    path = spoilt(whole, tmp_path, lambda entries: void(SPOILT[fault](entries)))
    if replace:
        id = jobs.add_job(store, JOB, who=ADA).row.id
        photographs.add_photograph(store, id, METER, picture(), who=ADA)
    before, before_files = held(store), files(store.folder)
    with pytest.raises(StoreError) as told:
        backup.restore(store, path, replace=replace)
    assert not isinstance(told.value, BusyError), told.value
    assert held(store) == before
    assert files(store.folder) == before_files
    assert not list(tmp_path.rglob("escaped*"))
    jobs.add_job(store, JOB, who=ADA)  # and it goes on working


def void(_: object) -> None:
    """Forget what a change of entries returned."""


def test_a_file_that_is_damaged_or_no_zip_is_refused(store: Store, whole: bytes, tmp_path: Path) -> None:
    for number, bad in enumerate(
        (b"", b"no zip", whole[: len(whole) // 2], whole.replace(whole[5000:5004], b"oops", 1))
    ):
        (tmp_path / f"bad-{number}.zip").write_bytes(bad)
        with pytest.raises(StoreError, match=r"no whole backup|is damaged"):
            backup.restore(store, tmp_path / f"bad-{number}.zip")
    with pytest.raises(StoreError, match="No such file"):
        backup.restore(store, tmp_path / "nowhere.zip")
    assert jobs.list_jobs(store)[1] == 0
    assert files(store.folder) == []


def test_a_restore_that_breaks_off_leaves_all_as_it_was(
    store: Store, make_place: Callable[..., Place], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fill(store)
    backup.back_up(store, tmp_path / "all.zip")
    other = make_place().open()
    id = jobs.add_job(other, JOB, who=ADA).row.id
    photographs.add_photograph(other, id, METER, picture(), who=ADA)
    before, before_files = held(other), files(other.folder)

    def breaks(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    for name in ("_fill", "_build", "upgrade"):
        with monkeypatch.context() as patch:
            patch.setattr(backup, name, breaks)
            with pytest.raises(KeyboardInterrupt):
                backup.restore(other, tmp_path / "all.zip", replace=True)
        assert held(other) == before
        assert files(other.folder) == before_files


def test_a_backup_names_the_step_it_was_made_at(store: Store, tmp_path: Path) -> None:
    backup.back_up(store, tmp_path / "all.zip", pictures=False)
    with zipfile.ZipFile(tmp_path / "all.zip") as archive:
        about = json.loads(archive.read("backup.json"))
    assert (about["step"], about["pictures"], about["jobs"]) == (migrate.NEWEST, False, 0)


def test_the_export_is_plain_files_that_other_programs_read(store: Store, tmp_path: Path) -> None:
    ids = fill(store)
    made = export.export_everything(store, tmp_path / "export.zip")
    assert (made.jobs, made.photographs, made.missing) == (2, 2, ())
    with zipfile.ZipFile(tmp_path / "export.zip") as archive:
        archive.extractall(tmp_path / "out")
    listed = json.loads((tmp_path / "out" / "jobs.json").read_text(encoding="utf-8"))
    assert [(row["id"], row["stage"], row["waits_on"]) for row in listed] == [(id, "permit", "town") for id in ids]
    for row in listed:
        folder = tmp_path / "out" / row["folder"]
        assert (folder / "job.toml").read_text(encoding="utf-8") == jobs.read_stored(store, row["id"]).text
        assert read_job(folder / "job.toml").header.title == row["title"]
        history = json.loads((folder / "history.json").read_text(encoding="utf-8"))
        assert [(c["who"], c["path"], c["before"], c["after"]) for c in history] == [
            (c.who, c.path, c.before, c.after) for c in reversed(jobs.history(store, row["id"]))
        ]
        assert tomllib.loads(history[0]["after"])["job"]["number"] == "D-001"
        assert json.loads((folder / "notes.json").read_text(encoding="utf-8"))[0]["words"] == "Billig & gut"
        [shown] = json.loads((folder / "photographs.json").read_text(encoding="utf-8"))
        assert (shown["item"], shown["caption"], shown["who"]) == (METER, "Nord", "Ben Fern")
        photograph = photographs.photographs_of(store, row["id"])[0]
        original = photographs.photograph_file(store, row["id"], photograph.id, "original")[0]
        assert (folder / shown["file"]).read_bytes() == original.read_bytes()


def test_an_export_tells_of_photographs_whose_file_is_lost(store: Store, tmp_path: Path) -> None:
    ids = fill(store)
    lost = photographs.photographs_of(store, ids[0])[0]
    photographs.file_of(store, lost, "original").unlink()
    assert export.export_everything(store, tmp_path / "export.zip").missing == (lost.id,)
