"""Jobs: kept, found, moved on, deleted with all that hangs on them."""

from __future__ import annotations

from datetime import UTC, timedelta, timezone
from pathlib import Path

import pytest
from sqlalchemy import func, select, text

from driploop.store import Edit, NotThereError, Store, StoredJob, StoreError, jobs, photographs
from driploop.store.records import now
from driploop.store.tables import STAGES, Utc, metadata
from driploop.survey import JobFileError
from store.shop import ADA, BEN, JOB, picture


def titled(title: str, *, customer: str = "The people of the lane") -> str:
    return JOB.replace("Lane house", title).replace("The people of the lane", customer)


def test_a_job_is_kept_as_it_was_written(store: Store) -> None:
    kept = jobs.add_job(store, JOB, who=ADA)
    assert jobs.read_stored(store, kept.row.id) == kept
    assert kept.text == JOB
    assert (kept.row.title, kept.row.stage, kept.row.waits_on, kept.row.revision) == (
        "Lane house", "surveyed", "nobody", 1,
    )  # fmt: skip


def test_what_is_no_job_file_is_refused_with_its_faults_and_nothing_is_kept(store: Store) -> None:
    with pytest.raises(JobFileError, match="floor_area_ft2"):
        jobs.add_job(store, JOB.replace("1450", '"big"'), who=ADA)
    assert jobs.list_jobs(store) == ((), 0)


def test_a_file_with_a_mark_at_its_beginning_is_taken_without_it(store: Store) -> None:
    assert jobs.add_job(store, "\ufeff" + JOB, who=ADA).text == JOB


def test_a_file_of_an_older_format_is_brought_up_to_date_with_its_comments(store: Store) -> None:
    older = 'format = 0\n\n[job]\ntitle = "Old"  # kept\nedition = "NEC 2020"\n'
    kept = jobs.add_job(store, older, who=ADA)
    assert "format = 1" in kept.text
    assert "# kept" in kept.text
    saved = jobs.change_job(store, kept.row.id, [Edit("town.edition", "NEC 2023", "NEC 2020")], who=ADA)
    assert not saved.conflicts


def test_half_a_character_is_refused_in_words(store: Store, job: StoredJob) -> None:
    with pytest.raises(StoreError, match="half a character"):
        jobs.change_job(store, job.row.id, [Edit("job.title", "a\ud800b", "Lane house")], who=ADA)
    assert jobs.read_stored(store, job.row.id) == job


def test_a_file_that_is_too_large_is_refused_in_words(store: Store) -> None:
    with pytest.raises(StoreError, match="at most 4,000,000"):
        jobs.add_job(store, JOB + "#" * 4_000_000, who=ADA)


def test_the_last_changed_job_stands_first_and_pages_follow_each_other(store: Store) -> None:
    ids = [jobs.add_job(store, titled(f"House {n}"), who=ADA).row.id for n in range(5)]
    jobs.change_job(store, ids[1], [Edit("job.title", "Moved up", "House 1")], who=ADA)
    first, total = jobs.list_jobs(store, count=2)
    rest, _ = jobs.list_jobs(store, start=2)
    assert total == 5
    assert [row.id for row in (*first, *rest)] == [ids[1], ids[4], ids[3], ids[2], ids[0]]


@pytest.mark.parametrize(
    ("search", "found"),
    [
        ("barn", ["Barn of Fernhollow"]),
        ("BARN fern", ["Barn of Fernhollow"]),
        ("brook", ["Lane house"]),  # a customer
        ("ladder", ["Barn of Fernhollow", "Lane house"]),  # an address
        ("d-001 quillby", ["Barn of Fernhollow", "Lane house"]),  # a number and a town
        ("barn brook", []),
        ("%", []),
        ("_", []),
        ("\0", ["Barn of Fernhollow", "Lane house"]),
    ],
)
def test_a_search_finds_every_word_anywhere(store: Store, search: str, found: list[str]) -> None:
    jobs.add_job(store, titled("Lane house", customer="Brook and sons"), who=ADA)
    jobs.add_job(store, titled("Barn of Fernhollow"), who=ADA)
    rows, total = jobs.list_jobs(store, search=search)
    assert sorted(row.title for row in rows) == found
    assert total == len(found)


def test_a_search_follows_the_title_when_it_changes(store: Store, job: StoredJob) -> None:
    jobs.change_job(store, job.row.id, [Edit("job.title", "Mill", "Lane house")], who=ADA)
    assert jobs.list_jobs(store, search="mill")[1] == 1
    assert jobs.list_jobs(store, search="lane house")[1] == 0


def test_jobs_are_listed_by_stage_and_by_whom_they_wait_on(store: Store) -> None:
    ids = [jobs.add_job(store, titled(stage), who=ADA).row.id for stage in STAGES]
    for id, stage in zip(ids, STAGES, strict=True):
        jobs.move_on(store, id, stage=stage, waits_on="town" if stage in ("permit", "passed") else None, who=ADA)
    for stage in STAGES:
        rows, total = jobs.list_jobs(store, stage=stage)
        assert ([row.title for row in rows], total) == ([stage], 1)
    assert {row.title for row in jobs.list_jobs(store, waits_on="town")[0]} == {"permit", "passed"}
    assert jobs.list_jobs(store, waits_on="town", stage="passed", search="passed")[1] == 1


def test_a_stage_that_is_none_is_refused_and_the_database_holds_that_too(store: Store, job: StoredJob) -> None:
    with pytest.raises(StoreError, match="surveyed, quoted"):
        jobs.move_on(store, job.row.id, stage="sold", who=ADA)
    from sqlalchemy.exc import IntegrityError

    with pytest.raises(IntegrityError), store.writing() as connection:
        connection.execute(text("UPDATE jobs SET stage = 'sold'"))


def test_moving_on_to_where_a_job_stands_is_no_change(store: Store, job: StoredJob) -> None:
    jobs.move_on(store, job.row.id, stage="surveyed", who=ADA)
    assert len(jobs.history(store, job.row.id)) == 1


def test_deletion_deletes_rows_history_and_files(store: Store, job: StoredJob) -> None:
    id = job.row.id
    other = jobs.add_job(store, titled("Stays"), who=ADA).row.id
    for each in (id, other):
        photographs.add_photograph(store, each, "equipment.meter", picture(), who=ADA)
        jobs.note_on(store, each, "way-1", "Cheaper", who=ADA)
        jobs.look_at(store, each, JOB, who=BEN)
    jobs.delete_job(store, id)
    with store.reading() as connection:
        for table in metadata.sorted_tables:
            column = table.columns.get("job")
            if column is not None:
                left = connection.execute(select(func.count()).select_from(table).where(column == id)).scalar_one()
                assert left == 0, table.name
    files = [path for path in Path(store.folder).rglob("*") if id in str(path)]
    assert files == []
    assert len([path for path in Path(store.folder).rglob("*.jpg") if other in str(path)]) == 3
    with pytest.raises(NotThereError):
        jobs.read_stored(store, id)


@pytest.mark.parametrize("id", ["", "0000000000000000", "a\0b", "'; DROP TABLE jobs", "x" * 500, "\ud800"])
def test_a_job_that_is_not_there_is_told_so_everywhere(store: Store, id: str) -> None:
    for ask in (
        lambda: jobs.read_stored(store, id),
        lambda: jobs.change_job(store, id, [Edit("job.title", "x")], who=ADA),
        lambda: jobs.replace_text(store, id, JOB, who=ADA, seen_revision=1),
        lambda: jobs.undo(store, id, 1, who=ADA),
        lambda: jobs.history(store, id),
        lambda: jobs.move_on(store, id, stage="quoted", who=ADA),
        lambda: jobs.delete_job(store, id),
        lambda: jobs.note_on(store, id, "way-1", "x", who=ADA),
        lambda: jobs.look_at(store, id, JOB, who=ADA),
        lambda: photographs.add_photograph(store, id, "equipment.meter", picture(), who=ADA),
    ):
        with pytest.raises(NotThereError):
            ask()


def test_each_person_has_looked_at_their_own_state(store: Store, job: StoredJob) -> None:
    assert jobs.last_looked_at(store, job.row.id, who=ADA) == JOB
    ben = BEN.__class__("Ben Fern", "b" * 16)
    assert jobs.last_looked_at(store, job.row.id, who=ben) is None
    jobs.look_at(store, job.row.id, "older", who=ben)
    jobs.look_at(store, job.row.id, "newer", who=ben)
    assert jobs.last_looked_at(store, job.row.id, who=ben) == "newer"
    assert jobs.last_looked_at(store, job.row.id, who=ADA) == JOB


def test_a_note_is_kept_replaced_and_taken_away(store: Store, job: StoredJob) -> None:
    jobs.note_on(store, job.row.id, "way-1", "  Cheaper ", who=ADA)
    jobs.note_on(store, job.row.id, "way-2", "Dearer", who=BEN)
    jobs.note_on(store, job.row.id, "way-1", "Not so cheap", who=BEN)
    assert jobs.notes_of(store, job.row.id) == {"way-1": "Not so cheap", "way-2": "Dearer"}
    jobs.note_on(store, job.row.id, "way-2", " ", who=ADA)
    assert jobs.notes_of(store, job.row.id) == {"way-1": "Not so cheap"}
    with pytest.raises(StoreError, match="120"):
        jobs.note_on(store, job.row.id, "w" * 121, "x", who=ADA)


def test_moments_come_back_in_utc_and_one_without_a_zone_is_refused(store: Store, job: StoredJob) -> None:
    read = jobs.read_stored(store, job.row.id).row.changed_at
    assert read.tzinfo is UTC
    assert abs(read - now()) < timedelta(minutes=1)
    east = timezone(timedelta(hours=9))
    bound = Utc().process_bind_param(read.astimezone(east), store.engine.dialect)
    assert bound == read
    assert bound.utcoffset() == timedelta(0)
    with pytest.raises(ValueError, match="time zone"):
        Utc().process_bind_param(read.replace(tzinfo=None), store.engine.dialect)
