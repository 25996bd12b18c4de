"""The history: told in words, taken back change by change, asked about where it was changed again, over all jobs."""

from __future__ import annotations

import io
import json
import re
import zipfile
from pathlib import Path

import pytest

from driploop.store import Who, jobs, people, photographs
from driploop.store.edits import value_at
from driploop.survey.syntax import parse_toml
from driploop.web.past import from_to, what_words
from driploop.web.past_rows import changes_since, extent_of
from web.hands import Shop, plain

RATING = "circuits.range.ocpd_a"


def change_of(shop: Shop, job: str, path: str) -> int:
    past = jobs.history(shop.store, job.rpartition("/")[2])
    return next(each.id for each in past if each.path == path and each.undoes is None)


def stored(shop: Shop, job: str, path: str) -> object:
    return value_at(parse_toml(shop.stored(job).text, name="it"), path)


@pytest.mark.parametrize(
    ("path", "words"),
    [
        ("", "The whole job file"), ("circuits.range", "Range (circuits)"), (RATING, "Range (circuits): its rating"),
        ("job.number", "Job: number"), ("@stage", "Reached"), ("@waits_on", "Waits on"),
        ("@photograph.equipment.meter", "Photograph of Meter"), ("@note.wishes", "Note of Wishes"),
        ("labels.old", "Labels old"),
    ],
)  # fmt: skip
def test_a_change_is_told_in_words(path: str, words: str) -> None:
    assert what_words(path) == words


@pytest.mark.parametrize(
    ("path", "before", "after", "told"),
    [
        (RATING, 40, None, ("40 A", "not known")), ("circuits.range", None, {}, ("nothing", "there, nothing known")),
        ("circuits.range.wire_size", "8", "unknown", ("8", "not known")), 
        ("@stage", "surveyed", "quoted", ("surveyed", "quoted")),
        ("", None, "text", ("nothing", "begun")), ("", "text", "text", ("as it was", "another file")),
        ("job.note", "x" * 500, True, ("x" * 160 + "…", "yes")),
    ],
)  # fmt: skip
def test_what_stood_there_and_what_stands_there(
    path: str, before: object, after: object, told: tuple[str, str]
) -> None:
    assert from_to(path, before, after) == told


def test_one_change_is_taken_back_and_the_others_stand(shop: Shop) -> None:
    job = shop.begin()
    shop.answer(job, RATING, "35", 40)
    shop.answer(job, "circuits.range.length_ft", "41", stored(shop, job, "circuits.range.length_ft"))
    page = plain(shop.browser.get(f"{job}/people"))
    assert "Range (circuits): its rating 40 A → 35 A Take back" in page
    assert shop.post(f"{job}/history/undo", change=change_of(shop, job, RATING)).status_code == 303
    assert (stored(shop, job, RATING), stored(shop, job, "circuits.range.length_ft")) == (40, 41)
    assert "taken back" in plain(shop.browser.get(f"{job}/people"))


def test_what_was_changed_again_since_is_asked_about(shop: Shop) -> None:
    job = shop.begin()
    shop.answer(job, RATING, "35", 40)
    shop.answer(job, RATING, "30", 35)
    first = min(each.id for each in jobs.history(shop.store, job.rpartition("/")[2]) if each.path == RATING)
    asked = shop.post(f"{job}/history/undo", change=first)
    assert asked.status_code == 409
    assert "It says now 30 A" in plain(asked)
    assert "Taken back it would say 40 A" in plain(asked)
    assert stored(shop, job, RATING) == 30
    revision = re.search(r'name="revision" value="(\d+)"', asked.text)
    assert revision
    assert shop.post(f"{job}/history/undo", change=first, revision=int(revision[1]) - 1).status_code == 409
    assert shop.post(f"{job}/history/undo", change=first, revision=revision[1]).status_code == 303
    assert stored(shop, job, RATING) == 40


@pytest.mark.parametrize("what", ["the file", "the stage"])
def test_a_file_and_a_stage_are_asked_about_too(shop: Shop, what: str) -> None:
    job = shop.begin()
    if what == "the file":
        text = shop.stored(job).text
        form = {"token": shop.token, "revision": str(shop.stored(job).row.revision)}
        other = text.replace("D-002", "D-777").encode()
        shop.browser.post(f"{job}/papers/job-file", data=form, files={"file": ("a.toml", other)})
        change = max(each.id for each in jobs.history(shop.store, job.rpartition("/")[2]) if each.path == "")
        shop.answer(job, RATING, "35", 40)
    else:
        shop.post(f"{job}/stage", stage="quoted")
        change = change_of(shop, job, "@stage")
        shop.post(f"{job}/stage", stage="permit")
    asked = shop.post(f"{job}/history/undo", change=change)
    assert asked.status_code == 409
    revision = re.search(r'name="revision" value="(\d+)"', asked.text)
    assert revision
    assert shop.post(f"{job}/history/undo", change=change, revision=revision[1]).status_code == 303
    if what == "the file":
        assert shop.stored(job).text == text
    else:
        assert shop.stored(job).row.stage == "surveyed"


def test_what_cannot_be_taken_back_says_why(shop: Shop) -> None:
    job = shop.begin()
    shop.post(f"{job}/things", table="circuits", id="porch")
    added = change_of(shop, job, "circuits.porch")
    shop.post(f"{job}/things", table="loads", id="lamp")
    beginning = change_of(shop, job, "")
    assert "delete the job" in plain(shop.post(f"{job}/history/undo", change=beginning))
    assert shop.post(f"{job}/history/undo", change=10**9).status_code == 422
    assert shop.post(f"{job}/history/undo", change="x").status_code == 404
    assert shop.post(f"{job}/history/undo", change=added).status_code == 303
    assert "Take back" not in plain(shop.browser.get(f"{shop.begin()}/people"))


# --- what others changed ---------------------------------------------------------------------------------------------


def test_nothing_new_is_told_in_no_words_at_all(shop: Shop) -> None:
    job = shop.begin()
    page = shop.browser.get(f"{job}/walk")
    address = re.search(r'hx-get="([^"]+/others[^"]+)"', page.text)
    assert address
    quiet = shop.browser.get(address[1].replace("&amp;", "&"))
    assert quiet.status_code == 204
    assert not quiet.content
    shop.post(f"{job}/stage", stage="quoted")
    assert shop.browser.get(address[1].replace("&amp;", "&")).status_code == 204, "the survey is as it was"
    jobs.change_job(shop.store, job.rpartition("/")[2], [_edit(RATING, 35, 40)], who=Who("Ben", "b" * 16))
    told = shop.browser.get(address[1].replace("&amp;", "&"))
    assert "Range (circuits): its rating: 40 A → 35 A , changed by Ben a moment ago" in plain(told)
    again = re.search(r'hx-get="([^"]+/others[^"]+)"', told.text)
    assert again
    assert shop.browser.get(again[1].replace("&amp;", "&")).status_code == 204


def test_a_job_that_was_deleted_meanwhile_says_so_and_asks_no_more(shop: Shop) -> None:
    job = shop.begin()
    shop.post(f"{job}/delete")
    gone = shop.browser.get(f"{job}/others?since=1&base=1")
    assert gone.status_code == 286
    assert "This job was deleted" in plain(gone)


@pytest.mark.parametrize("words", ["", "x", "-1", "9" * 30, "١"])
def test_any_question_for_news_is_answered(shop: Shop, words: str) -> None:
    job = shop.begin()
    assert shop.browser.get(f"{job}/others", params={"since": words, "base": words}).status_code == 200


def _edit(path: str, value: object, seen: object) -> jobs.Edit:
    return jobs.Edit(path, value, seen)


# --- all jobs --------------------------------------------------------------------------------------------------------


def test_the_owner_sees_every_change_of_every_job(shop: Shop) -> None:
    one, other = shop.begin("bungalow"), shop.begin("orchard")
    shop.answer(one, RATING, "35", 40)
    shop.post(f"{other}/stage", stage="quoted")
    words = plain(shop.browser.get("/shop/history"))
    assert "its rating 40 A → 35 A" in words
    assert "Reached surveyed → quoted" in words
    found = plain(shop.browser.get("/shop/history", params={"search": "ocpd_a bungalow"}))
    assert "40 A → 35 A" in found
    assert "quoted" not in found
    assert "No change has all" in plain(shop.browser.get("/shop/history", params={"search": "zeppelin"}))
    last = jobs.history(shop.store, one.rpartition("/")[2])[-1].id
    assert "40 A → 35 A" not in plain(shop.browser.get("/shop/history", params={"before": last + 1}))


# --- files to take home ----------------------------------------------------------------------------------------------


def test_everything_can_be_taken_out_as_plain_files(shop: Shop) -> None:
    job = shop.begin()
    shop.answer(job, RATING, "35", 40)
    sent = shop.post("/shop/export")
    assert sent.headers["content-type"] == "application/zip"
    with zipfile.ZipFile(io.BytesIO(sent.content)) as archive:
        names = archive.namelist()
        file = next(name for name in names if name.endswith("/job.toml"))
        assert archive.read(file).decode() == shop.stored(job).text
        history = json.loads(archive.read(file.replace("job.toml", "history.json")))
        assert history[-1]["after"] == 35
    assert not [path for path in shop.store.folder.iterdir() if path.name.startswith("export-")], (
        "nothing is left behind"
    )


def test_a_backup_is_made_now_downloaded_and_deleted(shop: Shop) -> None:
    job = shop.begin()
    made = shop.post("/shop/backup")
    assert made.status_code == 303
    link = re.search(r'href="(/shop/backups/[^"]+)"', shop.browser.get(made.headers["location"]).text)
    assert link
    sent = shop.browser.get(link[1])
    with zipfile.ZipFile(io.BytesIO(sent.content)) as archive:
        assert job.rpartition("/")[2].encode() in archive.read("rows/jobs.jsonl")
    assert shop.post(f"{link[1]}/delete").status_code == 303
    assert shop.browser.get(link[1]).status_code == 404
    assert not list((shop.store.folder / "backups").glob("*.zip"))


@pytest.mark.parametrize("name", ["..%2Fjobs.sqlite", "%2e%2e%2fsecret.key", "jobs.sqlite", "*.zip"])
def test_no_other_file_comes_out_by_that_door(shop: Shop, name: str) -> None:
    shop.post("/shop/backup")
    assert shop.browser.get(f"/shop/backups/{name}").status_code == 404


# --- deleting --------------------------------------------------------------------------------------------------------


def picture() -> bytes:
    from PIL import Image

    file = io.BytesIO()
    Image.new("RGB", (40, 30), "white").save(file, "JPEG")
    return file.getvalue()


def test_deleting_a_job_says_what_goes_and_leaves_nothing_of_it(shop: Shop, tmp_path: Path) -> None:
    job = shop.begin()
    id = job.rpartition("/")[2]
    shop.answer(job, "job.customer", "Zebediah Unmistakable", stored(shop, job, "job.customer"))
    photographs.add_photograph(shop.store, id, "equipment.meter", picture(), who=Who("a test"), caption="Unmistakable")
    jobs.note_on(shop.store, id, "alternatives", "Unmistakable too", who=Who("a test"))
    extent = extent_of(shop.store, id)
    assert (extent.photographs, extent.notes) == (1, 1)
    words = plain(shop.browser.get(f"{job}/delete"))
    assert f"{extent.changes} changes of its history 1 photograph, the originals too 1 note" in words
    assert shop.post(f"{job}/delete").status_code == 303
    assert shop.browser.get(job).status_code == 404
    assert changes_since(shop.store, id, since=0) == ()
    assert not [path for path in tmp_path.rglob("*") if path.suffix in (".jpg", ".png")]
    with shop.store.reading() as connection:
        for table in ("jobs", "texts", "changes", "looked_at", "notes", "photographs", "leftovers"):
            assert connection.exec_driver_sql(f"SELECT count(*) FROM {table}").scalar_one() == 0, table
    assert "Unmistakable" not in plain(shop.browser.get("/shop/history"))


def test_deleting_a_person_leaves_no_account_session_or_invitation(shop: Shop) -> None:
    ada = people.add_person(shop.store, name="Ada", sign_in="ada", password="a kettle of geese", role="owner")
    ben = people.add_person(shop.store, name="Ben", sign_in="ben", password="nine wet otters", role="owner")
    word, invitation = people.new_session(shop.store, ben.id), people.invite(shop.store, role="crew", by=ben.id)
    shop.browser.cookies.set("driploop_session", people.new_session(shop.store, ada.id))
    found = re.search(r'name="token" value="([^"]+)"', shop.browser.get("/account").text)
    assert found
    shop.browser.post(f"/people/{ben.id}/remove", data={"token": found[1]})
    assert [each.name for each in people.everybody(shop.store)] == ["Ada"]
    assert people.session_of(shop.store, word) is None
    assert people.open_invitations(shop.store) == ()
    assert shop.browser.get(f"/invitation/{invitation}").status_code == 404
