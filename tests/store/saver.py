"""A program that saves over and over and says so after each: run by the test that kills it."""

from __future__ import annotations

import sys
from pathlib import Path

from driploop.store import Edit, Who, jobs, open_store
from driploop.store.edits import tables_of_text, value_at

PATHS = ("buildings.house.floor_area_ft2", "circuits.range.ocpd_a")


def main(database: str, folder: str, job: str) -> None:
    """Count two fields up together, one save each; every third save adds a part, every fourth takes it away."""
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
        print(number, saved.job.row.revision, flush=True)


if __name__ == "__main__":
    main(*sys.argv[1:])
