"""Programs that save over and over and say so after each: run, and killed, by the test of that name.

Each is a process of its own, split off from one that has read all modules already, so that thirty start in no time.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

from driploop.store import Edit, Who, jobs, open_store
from driploop.store.edits import tables_of_text, value_at

PATHS = ("buildings.house.floor_area_ft2", "circuits.range.ocpd_a")


def save_on_and_on(database: str, folder: str, job: str) -> None:
    """Count two fields up together, one save each; every other save adds a part, the next takes it away."""
    store = open_store(database, folder=Path(folder))
    text = jobs.read_stored(store, job).text
    number = int(value_at(tables_of_text(text), PATHS[0]))
    while True:
        number += 1
        tables = tables_of_text(text)
        edits = [Edit(path, number, value_at(tables, path)) for path in PATHS]
        part = value_at(tables, "circuits.spare")
        edits.append(Edit("circuits.spare", None if part else {"from": "panel", "name": f"Spare {number}"}, part))
        saved = jobs.change_job(store, job, edits, who=Who("The saver"))
        assert len(saved.written) == len(edits), saved
        text = saved.job.text
        os.write(1, f"{number} {saved.job.row.revision}\n".encode())  # one line is one write: killed before it or after


def main() -> None:
    """For each line that comes in, start one such program, tell its number, and wait until it is gone."""
    for _ in sys.stdin:
        child = os.fork()
        if child == 0:
            try:
                save_on_and_on(*sys.argv[1:])
            finally:
                os._exit(1)
        os.write(1, f"started {child}\n".encode())
        _, status = os.waitpid(child, 0)
        os.write(1, f"gone {os.waitstatus_to_exitcode(status)}\n".encode())


if __name__ == "__main__":
    main()
