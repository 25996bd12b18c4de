"""Jobs as they stand before anything is decided: an example or a case with its proposal taken out."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from driploop.survey import read_job_text
from driploop.survey.write import changed_text

TESTS = Path(__file__).resolve().parents[1]
EXAMPLES = TESTS.parent / "examples"


@cache
def bare_text(path: Path) -> str:
    """The text of a job file without its proposal, nor the circuits that its wishes were given there."""
    text = path.read_text(encoding="utf-8").partition("\n[expected")[0] + "\n"
    job = read_job_text(text, name=path.name)
    given = [
        id for id, wish in job.wishes.items() if wish.circuit is not None and wish.circuit not in job.found.circuits
    ]
    changes = {f"wishes.{id}.circuit": None for id in given}
    return changed_text(text, {**changes, "proposal": None}) if job.proposal is not None else text
