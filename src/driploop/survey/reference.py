"""The manual's page on the job file, written from the models: ``python -m driploop.survey.reference``."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

from pydantic import BaseModel

from driploop.survey.fields import Key, allowed_words, keys_of
from driploop.survey.layout import BY_ID, FORMAT, SINGLE, TABLES
from driploop.survey.migrate import STEPS
from driploop.survey.references import REFERENCES

PAGE = Path("docs/job-file.md")

_HEAD = f"""# The job file

One survey is one text file in TOML, UTF-8. `driploop new` writes one to start from. This page is written from the
program's own models by `python -m driploop.survey.reference`.

- The first line is `format = {FORMAT}`.
- Every part has an id of your choice: lower case letters, digits, hyphens, underscores. It stands in the header,
  `[circuits.range]`, or before the braces, `range = {{ from = "main-panel", poles = 2 }}` under `[circuits]`; both
  are the same to the program.
- Parts name each other by id. Every id that is named must stand in the file. A run may come from `"utility"`.
- Anything may be left out or written `"unknown"`; both mean the same. A reading that needs it takes the safe side and
  says so. Only under `[proposal]` they differ: a part's field that is left out stays as found; one that is
  `"unknown"` takes away what was found, as the length of a wire that will be run anew.
- Numbers stand without quotes and without their unit: the end of the key tells the unit (`length_ft`, `rating_a`).
- Yes and no are `true` and `false`; `"yes"` and `"no"` are read too.
- A date may stand in quotes or bare: `2026-11-25`.
- An empty list is `[]` or `"none"`.
- All faults of a file are told at once, each with its line, the path to the field, what was read, what is allowed and
  what to do.
"""

_TABLE_WORDS = {
    "site": "What kind of place it is.",
    "working_hours": "What runs together at one time of the day or the season: milking, packing, evening, night heat.",
    "metered": "A peak demand that was measured or read from the utility's record.",
}


def page() -> str:
    """The page as Markdown."""
    tables = (line for table in TABLES if table != "format" for line in _table(table))
    return "\n".join([_HEAD, *tables, *_older_formats()]) + "\n"


def _table(name: str) -> Iterator[str]:
    model = SINGLE.get(name) or BY_ID[name]
    yield f"## `[{name}]`" if name in SINGLE else f"## `[{name}.ID]`"
    yield ""
    yield _TABLE_WORDS.get(name) or _first_line(model)
    yield ""
    yield "| key | what it is | unit | allowed |"
    yield "|---|---|---|---|"
    for key in keys_of(model).values():
        yield f"| `{key.name}` | {key.described} | {key.unit} | {_allowed(name, key)} |"
    yield ""


def _first_line(model: type[BaseModel]) -> str:
    return (model.__doc__ or "").strip().splitlines()[0]


def _allowed(table: str, key: Key) -> str:
    if key.shape.kind == "rows":
        return allowed_words(key.shape)
    if key.shape.model is not None:
        return f"tables `[{table}.{key.name}.ID]` with the keys of `[{key.name}.ID]`"
    names = [reference for reference in REFERENCES if (reference.table, reference.key) == (table, key.name)]
    if not names:
        return allowed_words(key.shape)
    if key.shape.kind == "table":
        return f"a table in braces: {'; '.join(f'{_targets(r.targets)} ({r.holds})' for r in names)}"
    every = "a list of ids of " if key.shape.kind == "list" else "id of "
    utility = ', or `"utility"`' if names[0].also_utility else ""
    return f"{every}{_targets(names[0].targets)}{utility}"


def _targets(targets: tuple[str, ...]) -> str:
    return " or ".join(f"`[{target}]`" for target in targets)


def _older_formats() -> Iterator[str]:
    yield "## Older formats"
    yield ""
    yield "An older file is read as it is; `migrate_job` rewrites it in today's format and keeps its comments."
    yield ""
    for format, step in STEPS.items():
        moves = "; ".join(f"`{'.'.join(move.old)}` is now `{'.'.join(move.new)}`" for move in step.moves)
        yield f"- {format} to {format + 1}: {moves}. {step.why}"


def main(arguments: list[str]) -> int:
    """Write the page to ``docs/job-file.md`` under the working folder, or to the path given."""
    target = Path(arguments[0]) if arguments else PAGE
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_text(page(), encoding="utf-8", newline="\n")
    print(f"wrote {target}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
