"""A program that is killed while it saves, again and again, loses nothing that it acknowledged."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from driploop.store import Store, jobs
from driploop.store.edits import apart, tables_of_text, value_at, written
from driploop.store.results import Edit, PastChange
from store import saver
from store.conftest import Place
from store.shop import ADA, JOB

KILLS = 30
PATHS = saver.PATHS


class Savers:
    """Starts programs that save, one after the other, and kills them."""

    def __init__(self, place: Place, job: str) -> None:
        command = [sys.executable, str(Path(saver.__file__)), place.database, str(place.folder), job]
        self.process = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)

    def saved_until_killed(self, wait_s: float) -> list[tuple[int, int]]:
        """Let one save for a while from its first save on, kill it in whatever it does, return what it said."""
        assert self.process.stdin
        assert self.process.stdout
        print("go", file=self.process.stdin, flush=True)
        said: list[tuple[int, int]] = []
        child, killer = 0, None
        for line in self.process.stdout:
            if line.startswith("gone"):
                assert line.split()[1] == str(-signal.SIGKILL), "it ended by itself"
                break
            if line.startswith("started"):
                child = int(line.split()[1])
            else:
                number, revision = line.split()
                said.append((int(number), int(revision)))
            if child and said and killer is None:
                killer = threading.Timer(wait_s, os.kill, [child, signal.SIGKILL])
                killer.start()
        assert killer
        killer.join()
        return said

    def end(self) -> None:
        """Start no more."""
        self.process.communicate()


@pytest.fixture
def job(place: Place) -> str:
    """The job that is saved."""
    return jobs.add_job(place.open(), JOB, who=ADA).row.id


@pytest.fixture
def savers(place: Place, job: str) -> Iterator[Savers]:
    """Programs that save the job."""
    made = Savers(place, job)
    yield made
    made.end()


def settle(store: Store) -> None:
    """Wait until a server has finished what it was doing for the program that was killed."""
    busy = (
        "SELECT count(*) FROM pg_stat_activity "
        "WHERE datname = current_database() AND pid <> pg_backend_pid() AND state <> 'idle'"
    )
    while not store.is_sqlite:
        with store.reading() as connection:
            if not connection.exec_driver_sql(busy).scalar():
                return
        time.sleep(0.01)


def test_no_acknowledged_change_is_lost_by_killing(place: Place, job: str, savers: Savers) -> None:
    store = place.opened[0]
    chance = random.Random(20261125)
    acknowledged = 0
    for _ in range(KILLS):
        said = savers.saved_until_killed(chance.uniform(0, 0.25))
        settle(store)
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


def test_the_killing_reaches_programs_that_have_saved_before(savers: Savers) -> None:
    """The test above would prove nothing if the programs never came to a second save."""
    assert len(savers.saved_until_killed(4.0)) > 1
