"""Several people on one job: different things both stand, the same thing is asked about, nothing is half saved."""

from __future__ import annotations

import random
import tomllib
from concurrent.futures import ThreadPoolExecutor
from datetime import date
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from driploop.store import Edit, NotThereError, Store, StoredJob, StoreError, jobs
from driploop.store.edits import apart, part_of, same, tables_of_text, written
from driploop.store.records import dumped, headings, loaded
from driploop.survey import JobFileError, UpdateError
from driploop.worksheet import DriploopError
from store.shop import ADA, BEN, JOB

AREA = "buildings.house.floor_area_ft2"


def test_a_change_keeps_comments_order_and_all_else(store: Store, job: StoredJob) -> None:
    saved = jobs.change_job(store, job.row.id, [Edit("circuits.range.ocpd_a", 50, 40)], who=BEN)
    assert saved.job.text == JOB.replace("ocpd_a = 40 ", "ocpd_a = 50 ")
    assert saved.written == ("circuits.range.ocpd_a",)
    assert saved.job == jobs.read_stored(store, job.row.id)
    assert saved.job.row.revision == 2


def test_changes_to_different_things_both_stand(store: Store, job: StoredJob) -> None:
    jobs.change_job(store, job.row.id, [Edit(AREA, 1500, 1450)], who=ADA)
    saved = jobs.change_job(store, job.row.id, [Edit("job.number", "D-002", "D-001")], who=BEN)
    assert not saved.conflicts
    tables = tomllib.loads(saved.job.text)
    assert (tables["buildings"]["house"]["floor_area_ft2"], tables["job"]["number"]) == (1500, "D-002")


def test_changes_to_the_same_thing_show_both_and_who_and_when(store: Store, job: StoredJob) -> None:
    first = jobs.change_job(store, job.row.id, [Edit(AREA, 1500, 1450)], who=ADA)
    jobs.change_job(store, job.row.id, [Edit("job.number", "D-002", "D-001")], who=BEN)
    second = jobs.change_job(
        store, job.row.id, [Edit(AREA, 1600, 1450), Edit("job.title", "Mill", "Lane house")], who=BEN
    )
    [conflict] = second.conflicts
    assert (conflict.path, conflict.yours, conflict.theirs, conflict.seen) == (AREA, 1600, 1500, 1450)
    assert (conflict.who, conflict.at) == ("Ada Quill", first.job.row.changed_at)
    assert second.written == ("job.title",)  # what could be written was not lost
    decided = jobs.change_job(store, job.row.id, [Edit(AREA, 1600, conflict.theirs)], who=BEN)
    assert not decided.conflicts


def test_two_who_want_the_same_agree(store: Store, job: StoredJob) -> None:
    jobs.change_job(store, job.row.id, [Edit(AREA, 1500, 1450)], who=ADA)
    saved = jobs.change_job(store, job.row.id, [Edit(AREA, 1500, 1450)], who=BEN)
    assert (saved.written, saved.conflicts, saved.job.row.revision) == ((), (), 2)


def test_unknown_is_an_answer_that_is_written_once(store: Store, job: StoredJob) -> None:
    path = "buildings.house.year_built"
    once = jobs.change_job(store, job.row.id, [Edit(path, "unknown", None)], who=ADA)
    assert 'year_built = "unknown"' in once.job.text
    again = jobs.change_job(store, job.row.id, [Edit(path, "unknown", "unknown")], who=ADA)
    assert again.written == ()
    known = jobs.change_job(store, job.row.id, [Edit(path, 1934, None)], who=BEN)  # unknown was as good as nothing
    assert not known.conflicts
    assert jobs.history(store, job.row.id)[0].before == "unknown"


def test_a_part_is_added_and_taken_away(store: Store, job: StoredJob) -> None:
    part = {"from": "panel", "name": "Water heater", "ocpd_a": 30}
    added = jobs.change_job(store, job.row.id, [Edit("circuits.heater", part)], who=ADA)
    assert tomllib.loads(added.job.text)["circuits"]["heater"] == part
    gone = jobs.change_job(store, job.row.id, [Edit("circuits.heater", None, part)], who=BEN)
    assert "heater" not in tomllib.loads(gone.job.text)["circuits"]
    run = [Edit("equipment.sub", {"kind": "panel"}), Edit("runs.second", {"from": "panel", "to": "sub"})]
    assert jobs.change_job(store, job.row.id, run, who=ADA).written == ("equipment.sub", "runs.second")


def test_a_field_left_blank_in_the_form_of_a_new_part_is_left_out(store: Store, job: StoredJob) -> None:
    part = {"from": "panel", "name": "Pump", "ocpd_a": None}
    added = jobs.change_job(store, job.row.id, [Edit("circuits.new", part)], who=ADA)
    assert tomllib.loads(added.job.text)["circuits"]["new"] == {"from": "panel", "name": "Pump"}
    assert jobs.undo(store, job.row.id, jobs.history(store, job.row.id)[0].id, who=ADA).job.text == JOB


@pytest.mark.parametrize("value", [float("nan"), float("inf"), [None], {"a": None}, date(2026, 1, 1), b"x", object()])
def test_a_value_that_no_job_file_holds_is_refused_in_words(store: Store, job: StoredJob, value: Any) -> None:
    with pytest.raises(StoreError, match="nothing was written"):
        jobs.change_job(store, job.row.id, [Edit("circuits.range.ocpd_a", value, 40)], who=ADA)


def test_two_who_add_a_part_of_the_same_name_are_asked(store: Store, job: StoredJob) -> None:
    jobs.change_job(store, job.row.id, [Edit("circuits.new", {"from": "panel", "name": "Pump"})], who=ADA)
    saved = jobs.change_job(store, job.row.id, [Edit("circuits.new", {"from": "panel", "name": "Dryer"})], who=BEN)
    assert saved.conflicts[0].theirs == {"from": "panel", "name": "Pump"}
    assert saved.conflicts[0].who == "Ada Quill"


def test_two_who_fill_in_the_form_of_one_part_both_stand(store: Store, job: StoredJob) -> None:
    seen = {"from": "panel", "name": "Range", "ocpd_a": 40}
    jobs.change_job(store, job.row.id, [Edit("circuits.range", {**seen, "ocpd_a": 50}, seen)], who=ADA)
    saved = jobs.change_job(store, job.row.id, [Edit("circuits.range", {**seen, "name": "Cooker"}, seen)], who=BEN)
    assert saved.written == ("circuits.range.name",)
    assert tomllib.loads(saved.job.text)["circuits"]["range"] == {"from": "panel", "name": "Cooker", "ocpd_a": 50}
    both = jobs.change_job(store, job.row.id, [Edit("circuits.range", {**seen, "ocpd_a": 60}, seen)], who=BEN)
    assert [(c.path, c.yours, c.theirs) for c in both.conflicts] == [("circuits.range.ocpd_a", 60, 50)]


def test_a_field_does_not_bring_back_a_part_that_somebody_took_away(store: Store, job: StoredJob) -> None:
    jobs.change_job(store, job.row.id, [Edit("circuits.lights", None, {"from": "panel", "name": "Lights"})], who=ADA)
    saved = jobs.change_job(store, job.row.id, [Edit("circuits.lights.ocpd_a", 15, None)], who=BEN)
    [conflict] = saved.conflicts
    assert (conflict.path, conflict.yours, conflict.theirs) == ("circuits.lights", {"ocpd_a": 15}, None)
    assert conflict.who == "Ada Quill"
    assert "lights" not in tomllib.loads(saved.job.text)["circuits"]


def test_taking_a_part_away_asks_where_somebody_changed_it(store: Store, job: StoredJob) -> None:
    seen = {"from": "panel", "name": "Lights"}
    jobs.change_job(store, job.row.id, [Edit("circuits.lights.ocpd_a", 15, None)], who=ADA)
    saved = jobs.change_job(store, job.row.id, [Edit("circuits.lights", None, seen)], who=BEN)
    assert saved.conflicts[0].theirs == {**seen, "ocpd_a": 15}


def test_an_edit_that_brings_a_fault_is_refused_and_the_others_of_the_set_with_it(store: Store, job: StoredJob) -> None:
    edits = [Edit("job.number", "D-009", "D-001"), Edit("circuits.range.ocpd_a", "forty", 40)]
    with pytest.raises(JobFileError, match="ocpd_a"):
        jobs.change_job(store, job.row.id, edits, who=ADA)
    assert jobs.read_stored(store, job.row.id) == job
    assert len(jobs.history(store, job.row.id)) == 1


@pytest.mark.parametrize(
    ("path", "seen"),
    [("", None), ("format", 1), ("nonsense.x", None), ("town", {"name": "Upper Quillby", "edition": "NEC 2023"}),
     ("circuits..x", None), ("@stage", None), ("job.title.x", None)],
)  # fmt: skip
def test_a_path_that_is_no_field_is_refused_in_words(store: Store, job: StoredJob, path: str, seen: Any) -> None:
    with pytest.raises((UpdateError, JobFileError)):
        jobs.change_job(store, job.row.id, [Edit(path, "x", seen)], who=ADA)
    assert jobs.read_stored(store, job.row.id) == job


def test_two_edits_of_one_thing_in_one_set_are_refused(store: Store, job: StoredJob) -> None:
    edits = [Edit("circuits.new", {"from": "panel"}), Edit("circuits.new.name", "x")]
    with pytest.raises(StoreError, match="at once"):
        jobs.change_job(store, job.row.id, edits, who=ADA)


def test_a_whole_file_replaces_another_unless_it_was_changed_meanwhile(store: Store, job: StoredJob) -> None:
    other = JOB.replace("1450", "2000")
    jobs.change_job(store, job.row.id, [Edit("job.number", "D-7", "D-001")], who=ADA)
    asked = jobs.replace_text(store, job.row.id, other, who=BEN, seen_revision=1)
    assert asked.conflicts[0].who == "Ada Quill"
    assert asked.conflicts[0].theirs == asked.job.text
    saved = jobs.replace_text(store, job.row.id, other, who=BEN, seen_revision=2)
    assert (saved.job.text, saved.job.row.revision, saved.conflicts) == (other, 3, ())


def test_many_at_once_on_different_things_lose_nothing(store: Store, job: StoredJob) -> None:
    paths = [f"circuits.c{n}" for n in range(12)]

    def add(path: str) -> Any:
        return jobs.change_job(store, job.row.id, [Edit(path, {"from": "panel", "name": path})], who=ADA)

    with ThreadPoolExecutor(6) as pool:
        saved = list(pool.map(add, paths))
    assert not any(each.conflicts for each in saved)
    end = jobs.read_stored(store, job.row.id)
    assert {path.split(".")[1] for path in paths} <= tomllib.loads(end.text)["circuits"].keys()
    assert end.row.revision == 13
    assert [change.revision for change in jobs.history(store, job.row.id)] == list(range(13, 0, -1))


def test_many_at_once_on_the_same_thing_one_wins_each_time(store: Store, job: StoredJob) -> None:
    def take(area: int) -> Any:
        return jobs.change_job(store, job.row.id, [Edit(AREA, area, 1450)], who=ADA)

    with ThreadPoolExecutor(6) as pool:
        saved = list(pool.map(take, range(2000, 2008)))
    winners = [each for each in saved if each.written]
    assert len(winners) == 1
    won = tomllib.loads(winners[0].job.text)["buildings"]["house"]["floor_area_ft2"]
    assert {conflict.theirs for each in saved for conflict in each.conflicts} == {won}


def test_history_tells_who_what_and_in_which_order(store: Store, job: StoredJob) -> None:
    jobs.change_job(store, job.row.id, [Edit(AREA, 1500, 1450), Edit("job.number", "D-2", "D-001")], who=BEN)
    jobs.move_on(store, job.row.id, stage="quoted", waits_on="customer", who=ADA)
    jobs.note_on(store, job.row.id, "way-1", "Cheaper", who=BEN)
    told = [(c.who, c.path, c.before, c.after) for c in jobs.history(store, job.row.id)]
    assert told == [
        ("Ben Fern", "@note.way-1", None, "Cheaper"),
        ("Ada Quill", "@waits_on", "nobody", "customer"),
        ("Ada Quill", "@stage", "surveyed", "quoted"),
        ("Ben Fern", "job.number", "D-001", "D-2"),
        ("Ben Fern", AREA, 1450, 1500),
        ("Ada Quill", "", None, JOB),
    ]
    assert len(jobs.history(store, job.row.id, count=2)) == 2


def test_undo_takes_one_change_back_and_leaves_the_others(store: Store, job: StoredJob) -> None:
    jobs.change_job(store, job.row.id, [Edit(AREA, 1500, 1450)], who=ADA)
    jobs.change_job(store, job.row.id, [Edit("job.number", "D-2", "D-001")], who=BEN)
    first = jobs.history(store, job.row.id)[1]
    saved = jobs.undo(store, job.row.id, first.id, who=BEN)
    assert saved.job.text == JOB.replace("D-001", "D-2")
    last, _, undone, _ = jobs.history(store, job.row.id)
    assert (last.undoes, last.who, undone.undone) == (first.id, "Ben Fern", True)
    redone = jobs.undo(store, job.row.id, last.id, who=ADA)
    assert "1500" in redone.job.text


def test_undo_asks_where_the_same_thing_was_changed_since(store: Store, job: StoredJob) -> None:
    jobs.change_job(store, job.row.id, [Edit(AREA, 1500, 1450)], who=ADA)
    change = jobs.history(store, job.row.id)[0]
    jobs.change_job(store, job.row.id, [Edit(AREA, 1600, 1500)], who=BEN)
    saved = jobs.undo(store, job.row.id, change.id, who=ADA)
    [conflict] = saved.conflicts
    assert (conflict.yours, conflict.theirs, conflict.seen, conflict.who) == (1450, 1600, 1500, "Ben Fern")
    assert saved.written == ()


def test_undo_brings_a_part_back_with_its_comments_in_its_place(store: Store, job: StoredJob) -> None:
    seen = {"from": "panel", "name": "Range", "ocpd_a": 40}
    jobs.change_job(store, job.row.id, [Edit("circuits.range", None, seen)], who=ADA)
    change = jobs.history(store, job.row.id)[0]
    assert jobs.undo(store, job.row.id, change.id, who=BEN).job.text == JOB


def test_undo_brings_a_part_back_beside_what_was_changed_since(store: Store, job: StoredJob) -> None:
    seen = {"from": "panel", "name": "Range", "ocpd_a": 40}
    jobs.change_job(store, job.row.id, [Edit("circuits.range", None, seen)], who=ADA)
    change = jobs.history(store, job.row.id)[0]
    jobs.change_job(store, job.row.id, [Edit("job.number", "D-2", "D-001")], who=BEN)
    tables = tomllib.loads(jobs.undo(store, job.row.id, change.id, who=BEN).job.text)
    assert (tables["circuits"]["range"], tables["job"]["number"]) == (seen, "D-2")


def test_undo_takes_an_added_part_away(store: Store, job: StoredJob) -> None:
    jobs.change_job(store, job.row.id, [Edit("circuits.new", {"from": "panel", "name": "Pump"})], who=ADA)
    change = jobs.history(store, job.row.id)[0]
    assert jobs.undo(store, job.row.id, change.id, who=ADA).job.text == JOB


def test_undo_that_would_leave_a_fault_is_refused_and_nothing_changes(store: Store, job: StoredJob) -> None:
    jobs.change_job(store, job.row.id, [Edit("equipment.sub", {"kind": "panel", "building": "house"})], who=ADA)
    change = jobs.history(store, job.row.id)[0]
    jobs.change_job(store, job.row.id, [Edit("circuits.new", {"from": "sub", "name": "Pump"})], who=BEN)
    before = jobs.read_stored(store, job.row.id)
    with pytest.raises(JobFileError, match="sub"):
        jobs.undo(store, job.row.id, change.id, who=ADA)
    assert jobs.read_stored(store, job.row.id) == before


def test_undo_of_stage_note_and_whole_file(store: Store, job: StoredJob) -> None:
    id = job.row.id
    jobs.move_on(store, id, stage="quoted", who=ADA)
    jobs.undo(store, id, jobs.history(store, id)[0].id, who=ADA)
    assert jobs.read_stored(store, id).row.stage == "surveyed"
    jobs.note_on(store, id, "way-1", "Cheaper", who=ADA)
    jobs.undo(store, id, jobs.history(store, id)[0].id, who=ADA)
    assert jobs.notes_of(store, id) == {}
    jobs.replace_text(store, id, JOB.replace("1450", "9"), who=ADA, seen_revision=1)
    jobs.undo(store, id, jobs.history(store, id)[0].id, who=ADA)
    assert jobs.read_stored(store, id).text == JOB


def test_the_beginning_cannot_be_taken_back_nor_what_is_not_there(store: Store, job: StoredJob) -> None:
    with pytest.raises(StoreError, match="beginning"):
        jobs.undo(store, job.row.id, jobs.history(store, job.row.id)[0].id, who=ADA)
    with pytest.raises(NotThereError):
        jobs.undo(store, job.row.id, 987654, who=ADA)


VALUES = st.recursive(
    st.none() | st.booleans() | st.integers(-99, 99) | st.floats(allow_nan=False) | st.text() | st.dates() | st.times(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=3), inner, max_size=3),
    max_leaves=6,
)


@given(VALUES)
def test_what_the_history_keeps_comes_back(value: Any) -> None:
    assert loaded(dumped(value)) == value


@given(VALUES)
def test_a_value_is_the_same_as_itself_and_as_what_leaves_the_unknown_out(value: Any) -> None:
    assert same(value, value)
    assert same({"a": value, "b": "unknown", "c": None}, {"a": value})


def test_yes_is_not_one_and_a_date_is_kept_as_one() -> None:
    assert not same(True, 1)
    assert not same(0, False)
    assert same((1, 2), [1, 2])
    assert loaded(dumped([date(2026, 11, 25)])) == [date(2026, 11, 25)]


FIELDS = ("buildings.house.floor_area_ft2", "buildings.house.year_built", "circuits.range.ocpd_a", "job.number")


@settings(max_examples=25)
@given(st.lists(st.tuples(st.sampled_from(FIELDS), st.integers(1, 3)), max_size=8), st.randoms(use_true_random=False))
def test_edits_are_free_exactly_where_nobody_was_in_between(
    wishes: list[tuple[str, int]], chance: random.Random
) -> None:
    """A model of compare-and-set over plain tables: the sorting agrees with comparing by hand."""
    tables: dict[str, Any] = {"buildings": {"house": {}}, "circuits": {"range": {}}, "job": {}}
    for path, value in wishes:
        holder = (
            tables[path.split(".")[0]] if path.startswith("job") else tables[path.split(".")[0]][path.split(".")[1]]
        )
        key = path.split(".")[-1]
        seen = holder.get(key) if chance.random() < 0.5 else chance.choice([None, 1, 2, 3])
        sorted_ = apart(tables, [Edit(path, value, seen)])
        unchanged = value in (holder.get(key), seen)
        assert bool(sorted_.free) == (not unchanged and holder.get(key) == seen)
        assert bool(sorted_.taken) == (not unchanged and holder.get(key) != seen)
        if sorted_.free:
            holder[key] = value


STEPS = st.sampled_from(
    ["circuits", "range", "new", "job", "title", "proposal", "equipment", "format", "a b", "ä", '"', ""]
)
TYPED = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20) | st.dates(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5) | STEPS, inner, max_size=3),
    max_leaves=6,
)


@settings(max_examples=300)
@given(st.lists(STEPS, min_size=1, max_size=4).map(".".join) | st.text(max_size=12), TYPED, TYPED)
def test_whatever_is_sent_is_written_or_refused_in_words(path: str, value: Any, seen: Any) -> None:
    tables = tables_of_text(JOB)
    try:
        free = apart(tables, [Edit(path, value, seen)]).free
        text = written(JOB, free)
    except DriploopError:
        return
    for edit in free:
        part_of(edit.path)
        dumped(edit.value)
    if free:
        headings(text)
        assert text.encode("utf-8")
