"""A program that is killed while it saves, again and again, loses nothing that it acknowledged."""

from __future__ import annotations

import random
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

from driploop.store import jobs
from driploop.store.edits import apart, tables_of_text, value_at, written
from driploop.store.results import Edit, PastChange
from store import saver
from store.conftest import Place
from store.shop import ADA, JOB

KILLS = 30
PATHS = saver.PATHS


def saved_until_killed(place: Place, job: str, wait_s: float) -> list[tuple[int, int]]:
    """Let a program save for a while from its first save on, kill it in whatever it does, return what it said."""
    command = [sys.executable, str(Path(saver.__file__)), place.database, str(place.folder), job]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    assert process.stdout
    assert process.stderr
    first = process.stdout.readline()
    killer = threading.Timer(wait_s, process.send_signal, [signal.SIGKILL])
    killer.start()
    rest = process.stdout.read()
    process.wait()
    killer.join()
    told = process.stderr.read()
    process.stdout.close()
    process.stderr.close()
    assert process.returncode == -signal.SIGKILL, told
    lines = [line for line in (first + rest).splitlines(keepends=True) if line.endswith("\n")]
    return [(int(number), int(revision)) for number, revision in map(str.split, lines)]


def test_no_acknowledged_change_is_lost_by_killing(place: Place) -> None:
    store = place.open()
    job = jobs.add_job(store, JOB, who=ADA).row.id
    chance = random.Random(20261125)
    acknowledged = 0
    for _ in range(KILLS):
        said = saved_until_killed(place, job, chance.uniform(0, 0.25))
        number, revision = said[-1]
        acknowledged += len(said)
        kept = jobs.read_stored(store, job)
        tables = tables_of_text(kept.text)
        assert kept.row.revision >= revision
        # The last save may have been finished without there being time to say so: one more, and no half of it.
        assert value_at(tables, PATHS[0]) in (number, number + 1)
        assert value_at(tables, PATHS[0]) == value_at(tables, PATHS[1])
        assert kept.row.revision - revision == value_at(tables, PATHS[0]) - number
    assert acknowledged >= KILLS
    history = jobs.history(store, job, count=1_000_000)
    assert history[0].revision == jobs.read_stored(store, job).row.revision
    assert replayed(history) == jobs.read_stored(store, job).text
    if store.is_sqlite:
        with store.reading() as connection:
            assert connection.exec_driver_sql("PRAGMA integrity_check").scalar() == "ok"


def replayed(history: tuple[PastChange, ...]) -> str:
    """The text that the history leads to, save by save from its beginning."""
    oldest_first = sorted(history, key=lambda change: change.id)
    text = str(oldest_first[0].after)
    revisions = sorted({change.revision for change in oldest_first[1:]})
    assert revisions == list(range(2, len(revisions) + 2))
    for revision in revisions:
        edits = [Edit(c.path, c.after, c.before) for c in oldest_first if c.revision == revision]
        assert len(edits) == 3, "a save is whole"
        assert not apart(tables_of_text(text), edits).taken
        text = written(text, edits)
    return text


def test_the_clock_of_the_killing_reaches_saves(place: Place) -> None:
    """The test above would prove nothing if the program never came to a second save."""
    job = jobs.add_job(place.open(), JOB, who=ADA).row.id
    start = time.monotonic()
    said = saved_until_killed(place, job, 2.0)
    assert len(said) > 3, f"{len(said)} saves in {time.monotonic() - start:.1f} s"
