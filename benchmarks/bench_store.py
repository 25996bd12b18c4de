"""How long the store takes with the jobs of many years in it: run by `make bench`.

Fills an SQLite database with 10,000 copies of the demo under invented names, then lists, searches, reads and changes.
Prints medians and the 95th percentile beside the bounds the project sets itself. It judges nothing: a machine that is
busy with other work proves nothing about the program.
"""

from __future__ import annotations

import argparse
import random
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

from sqlalchemy import insert

from driploop.store import Edit, Store, Who, jobs, open_store
from driploop.store.records import headings, new_id, now
from driploop.store.tables import STAGES, WAITS_ON
from driploop.store.tables import changes as changes_table
from driploop.store.tables import jobs as jobs_table
from driploop.store.tables import texts as texts_table

DEMO = Path(__file__).resolve().parents[1] / "examples" / "orchard.toml"
COUNT = 10_000
#: Upper bounds [s].
LIST_BOUND = 0.050
OPEN = "import sys; from pathlib import Path; from driploop.store import open_store; "
OPEN += "open_store(sys.argv[1], folder=Path(sys.argv[2]))"
LANES = ("Ladder Lane", "Mill Row", "Fern Street", "Quarry Road", "Barn Hill", "Brook Way", "Orchard Close")
TOWNS = ("Upper Quillby", "Lower Quillby", "Fernhollow", "Millbrook Hollow", "Barrow Ford")


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--repeats", type=int, default=40, help="runs behind each line (default 40)")
    parser.add_argument("--database", help="another database, empty, as postgresql://user@host/name")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        database = asked.database or f"sqlite:///{folder / 'jobs.sqlite'}"
        took = timed(lambda: open_store(database, folder=folder).close())
        print(
            f"Python {sys.version.split()[0]}, {COUNT:,} jobs of {len(DEMO.read_text(encoding='utf-8')):,} characters"
        )
        print(f"a new database, made in this process              {took * 1000:10,.1f} ms")
        store = open_store(database, folder=folder)
        fill(store)
        measure_lists(store, asked.repeats)
        measure_jobs(store, asked.repeats)
        store.close()
        opening = [timed(lambda: opened_elsewhere(database, folder)) for _ in range(5)]
        print(f"a fresh process opens it                          {statistics.median(opening) * 1000:10,.1f} ms")


def fill(store: Store) -> None:
    """Jobs under invented names, put in at once."""
    chance = random.Random(7)
    text, moment = DEMO.read_text(encoding="utf-8"), now()
    who = Who("Ada Quill")
    for start in range(0, COUNT, 500):
        rows = []
        for number in range(start, start + 500):
            place = f"{chance.randrange(1, 400)} {chance.choice(LANES)}"
            title = f"New service, {place}"
            _, looked_up = headings(f'[job]\ntitle = "{title}"\nnumber = "D-{number:05}"\naddress = "{place}"\n'
                                    f'[town]\nname = "{chance.choice(TOWNS)}"\n')  # fmt: skip
            ago = moment - timedelta(minutes=chance.randrange(5_000_000))
            rows.append({"id": new_id(), "title": title, "looked_up": looked_up, "revision": 1,
                         "stage": chance.choice(STAGES), "waits_on": chance.choice(WAITS_ON),
                         "created_at": ago, "changed_at": ago})  # fmt: skip
        with store.writing() as connection:
            connection.execute(insert(jobs_table), rows)
            connection.execute(insert(texts_table), [{"job": row["id"], "text": text} for row in rows])
            connection.execute(
                insert(changes_table),
                [
                    {"job": row["id"], "revision": 1, "at": moment, "who": who.name, "path": "", "after": '""'}
                    for row in rows
                ],
            )


def measure_lists(store: Store, repeats: int) -> None:
    """Every way in which the list is asked for."""
    asked: dict[str, dict[str, str | int]] = {
        "list, first page": {},
        "list, last page": {"start": COUNT - 50},
        "search, one word in few jobs": {"search": "d-0777"},
        "search, one word in many jobs": {"search": "fernhollow"},
        "search, three words": {"search": "mill row lower"},
        "search, nothing found": {"search": "nowhere"},
        "one stage": {"stage": "permit"},
        "who waits on the town": {"waits_on": "town"},
        "search, stage and waiting together": {"search": "barn", "stage": "dated", "waits_on": "utility"},
    }
    for name, words in asked.items():
        report(name, lambda words=words: jobs.list_jobs(store, **words), repeats, LIST_BOUND)


def measure_jobs(store: Store, repeats: int) -> None:
    """One job of the many: read, changed, its history."""
    id, who = jobs.list_jobs(store, start=COUNT // 2, count=1)[0][0].id, Who("Ada Quill")
    report("read one job", lambda: jobs.read_stored(store, id), repeats)
    seen = 1450
    wanted = 0

    def change() -> None:
        nonlocal seen, wanted
        wanted += 1
        saved = jobs.change_job(store, id, [Edit("buildings.house.floor_area_ft2", wanted, seen)], who=who)
        if not saved.written:
            raise SystemExit("a change was not written")
        seen = wanted

    report("change one field of one job, on disk", change, repeats)
    report("history of the job", lambda: jobs.history(store, id), repeats)


def opened_elsewhere(database: str, folder: Path) -> None:
    """A fresh process that only opens the database."""
    subprocess.run([sys.executable, "-c", OPEN, database, str(folder)], check=True)


def timed(work: Callable[[], object]) -> float:
    """The time of one call [s]."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def report(what: str, work: Callable[[], object], repeats: int, bound: float | None = None) -> None:
    """One line: what, the median, the 95th percentile, and whether that is inside the bound."""
    work()
    times = sorted(timed(work) for _ in range(repeats))
    median, high = statistics.median(times), times[max(0, round(0.95 * len(times)) - 1)]
    verdict = "" if bound is None else f"   bound {bound * 1000:.0f} ms   {'inside' if high <= bound else 'OVER'}"
    print(f"{what:<46}{median * 1000:10,.1f} ms   95 % {high * 1000:7,.1f} ms{verdict}")


if __name__ == "__main__":
    main()
