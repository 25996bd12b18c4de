"""A table of circuits pasted from a spreadsheet: columns guessed from heads, every cell read, faults at their cell.

Nothing is written here: what may be taken in is handed out as edits.
"""

from __future__ import annotations

import csv
import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from io import StringIO
from pathlib import Path
from typing import Any

from driploop.store import Edit
from driploop.survey import JobFileError, read_job_text
from driploop.survey.emit import toml_key, toml_value
from driploop.survey.faults import Fault
from driploop.web.asking import asked_of
from driploop.web.fields import told_of
from driploop.web.numbering import id_after
from driploop.web.stations import id_of
from driploop.web.typed import clean, value_of
from driploop.web.words import title_words

_FILE = Path(__file__).parent / "pasted.toml"
#: What one paste may hold: a large farm has a few hundred circuits.
MOST_LETTERS, MOST_ROWS, MOST_COLUMNS, MOST_IN_A_CELL = 200_000, 300, 30, 200
#: What a column is called whose words go nowhere.
NOT_USED = ""
_YES_NO = {"y": "yes", "x": "yes", "✓": "yes", "true": "yes", "n": "no", "-": "no", "false": "no"}
_MOST_ID = 40
#: A device by its poles and amperes: "20A 2P", "2-pole 30", "15".
_POLES_AND_AMPERES = re.compile(
    r"(?:(?P<poles>[123])\s*-?\s*(?:p|pole)s?\s*[-,/ ]?\s*)?(?P<amperes>\d{1,4})\s*(?:a|amps?)?"
    r"(?:\s*[/,]?\s*(?P<after>[123])\s*-?\s*(?:p|pole)s?)?",
    re.IGNORECASE,
)
#: A cable by its size and its number of wires: "12/2", "10-3 w/g".
_SIZE_IN_CABLE = re.compile(r"(#?\d{1,2})\s*[-/]\s*[2345](?:\s*(?:w/?\s*g|g|with ground))?", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell: what was pasted, what is read from it, and what is wrong with it."""

    words: str
    read: str = ""
    wrong: str = ""


@dataclass(frozen=True, slots=True)
class Row:
    """One circuit to be. ``left_out`` says why it is not taken; "" where it is, unless a cell is wrong."""

    id: str
    cells: tuple[Cell, ...]
    values: Mapping[str, Any]
    left_out: str = ""
    wrong: str = ""

    @property
    def is_fit(self) -> bool:
        """Whether it can be taken in."""
        return not self.left_out and not self.wrong and not any(cell.wrong for cell in self.cells)


@dataclass(frozen=True, slots=True)
class Pasted:
    """A table as it was understood. ``columns`` are keys of a circuit, ``NOT_USED`` for what goes nowhere."""

    heads: tuple[str, ...] = ()
    columns: tuple[str, ...] = ()
    rows: tuple[Row, ...] = ()
    has_heads: bool = True
    trouble: str = ""

    @property
    def edits(self) -> tuple[Edit, ...]:
        """What is taken in when it is confirmed."""
        return tuple(Edit(f"circuits.{row.id}", dict(row.values), None) for row in self.rows if row.is_fit)

    @property
    def wrongs(self) -> tuple[tuple[int, str, str], ...]:
        """What must be set right: the row's number, the column's head, what is wrong with the cell."""
        cells = (
            (number, self.heads[place] or f"column {place + 1}", cell.wrong)
            for number, row in enumerate(self.rows, start=1) if not row.left_out
            for place, cell in enumerate(row.cells) if cell.wrong
        )  # fmt: skip
        whole = ((number, "", row.wrong) for number, row in enumerate(self.rows, start=1) if row.wrong)
        return tuple(sorted((*cells, *whole), key=lambda each: each[0]))

    @property
    def wrong(self) -> int:
        """How many rows have something that must be set right first."""
        return sum(not row.is_fit and not row.left_out for row in self.rows)


@dataclass
class _Reading:
    """What is being read of one row."""

    id: str
    cells: list[Cell] = field(default_factory=list)
    keys: list[str] = field(default_factory=list)
    values: dict[str, Any] = field(default_factory=dict)
    left_out: str = ""
    wrong: str = ""


def columns_known() -> tuple[tuple[str, str], ...]:
    """The keys that a column may be, with what to call them."""
    asked = asked_of("circuits")
    return tuple((key, asked[key].label) for key in _known()["heads"])


def read_pasted(
    words: str, *, text: str, tables: Mapping[str, Any], panel: str, columns: Sequence[str] | None = None,
    has_heads: bool | None = None,
) -> Pasted:  # fmt: skip
    """Understand a pasted table as circuits of a job.

    Args:
        words: what was pasted.
        text: the job file as it stands, to hold the circuits against.
        tables: its tables.
        panel: id of the panel or box that rows leave where no column says so; "" where it is not known.
        columns: what a person made of each column; None to guess from the heads.
        has_heads: whether the first row are heads; None to guess.
    """
    lines, trouble = _lines(words)
    if trouble or not lines:
        return Pasted(trouble=trouble)
    guessed = _guess(lines[0])
    heads = any(guessed) if has_heads is None else has_heads
    width = max(map(len, lines))
    found = guessed if heads and columns is None else list(columns or ())
    keys = [*(key if key in _known()["heads"] else NOT_USED for key in found), *([NOT_USED] * width)][:width]
    keys = [NOT_USED if key in keys[:place] else key for place, key in enumerate(keys)]
    body = lines[1:] if heads else lines
    first = lines[0] if heads else [f"Column {number + 1}" for number in range(width)]
    reading = list(_read_rows(body, keys, tables, panel))
    _mark_faults(reading, text)
    rows = tuple(Row(each.id, tuple(each.cells), each.values, each.left_out, each.wrong) for each in reading)
    nothing = "" if body else "There is a row of heads and no row of circuits."
    return Pasted(tuple([*first, *([""] * width)][:width]), tuple(keys), rows, heads, nothing)


@cache
def _known() -> Mapping[str, Any]:
    return tomllib.loads(_FILE.read_text(encoding="utf-8"))


def _lines(words: str) -> tuple[list[list[str]], str]:
    """The rows of cells that are not empty, and what is wrong with the whole."""
    if len(words) > MOST_LETTERS:
        return (
            [],
            f"This is more than a table of circuits: {len(words):,} letters. Paste at most {MOST_ROWS} rows at once.",
        )
    words = clean(words, most=MOST_LETTERS)
    delimiter = "\t" if "\t" in words else ";" if ";" in words else ","
    try:
        rows = [[" ".join(cell.split()) for cell in row] for row in csv.reader(StringIO(words), delimiter=delimiter)]
    except csv.Error:
        rows = [[" ".join(cell.split()) for cell in line.split(delimiter)] for line in words.splitlines()]
    rows = [row for row in rows if any(row)]
    if len(rows) > MOST_ROWS + 1:
        return [], f"These are {len(rows)} rows. Paste at most {MOST_ROWS} at once."
    if any(len(row) > MOST_COLUMNS for row in rows):
        return [], f"A row has more than {MOST_COLUMNS} columns. Copy the circuits alone."
    return [[cell[:MOST_IN_A_CELL] for cell in row] for row in rows], ""


def _plain(words: str) -> str:
    """A head, or a word of a cell, without what makes no difference."""
    words = re.sub(r"\([^)]*\)|\[[^\]]*\]", " ", words.lower())
    words = " ".join(re.sub(r"[_.:]+", " ", words).split())
    return words[:-1] if len(words) > 3 and words.endswith("s") and not words.endswith("ss") else words


def _guess(heads: Sequence[str]) -> list[str]:
    spelled = {_plain(word): key for key, words in _known()["heads"].items() for word in (*words, key)}
    found: list[str] = []
    for head in heads:
        key = spelled.get(_plain(head), NOT_USED)
        found.append(key if key not in found else NOT_USED)
    return found


def _read_rows(
    body: Sequence[Sequence[str]], keys: Sequence[str], tables: Mapping[str, Any], panel: str
) -> Iterator[_Reading]:
    circuits = tables.get("circuits", {})
    ids = set(circuits)
    taken = {(each.get("from"), space): id for id, each in circuits.items() for space in _spaces(each.get("position"))}
    here: dict[tuple[Any, str], str] = {}
    for number, cells in enumerate(body, start=1):
        each = _Reading("", keys=list(keys))
        if panel:
            each.values["from"] = panel
        for place, key in enumerate(keys):
            words = cells[place] if place < len(cells) else ""
            each.cells.append(_cell(each.values, key, words, tables))
        each.id = _id(each.values, number, ids)
        ids.add(each.id)
        _hold_against(each, keys, circuits, taken, here)
        yield each


def _cell(values: dict[str, Any], key: str, words: str, tables: Mapping[str, Any]) -> Cell:
    if key == NOT_USED or not words:
        return Cell(words)
    if key == "ocpd_a" and (found := _POLES_AND_AMPERES.fullmatch(words)):
        poles = found["poles"] or found["after"]
        if poles:
            values.setdefault("poles", int(poles))
        value: Any = int(found["amperes"])
    else:
        value = value_of(asked_of("circuits")[key].key, [_in_the_files_words(key, words, tables)])
    if value is None:
        return Cell(words, "not known")
    values[key] = value
    return Cell(words, "" if str(value) == words else _said(value))


def _said(value: Any) -> str:
    return {True: "yes", False: "no"}.get(value, str(value)) if isinstance(value, bool) else str(value)


def _in_the_files_words(key: str, words: str, tables: Mapping[str, Any]) -> str:
    """A cell in the spelling of the job file, where it is a word of the trade for it; else as it is."""
    plain = _plain(words)
    asked = asked_of("circuits")[key]
    for target in asked.names.targets if asked.names is not None else ():
        for id, part in tables.get(target, {}).items():
            if plain in (id, _plain(id.replace("-", " ")), _plain(str(part.get("name") or ""))):
                return str(id)
    shape = asked.key.shape
    if shape.kind == "yes or no":
        return {"y": "yes", "x": "yes", "✓": "yes", "true": "yes", "n": "no", "-": "no", "false": "no"}.get(
            plain, plain
        )
    if shape.kind == "words":
        said = {_plain(other): word for word, others in _known()["words"].get(key, {}).items() for other in others}
        own = {_plain(str(word)): str(word) for word in shape.words}
        return own.get(plain) or said.get(plain) or re.sub(r"^([123])\s*-?\s*p(?:ole)?$", r"\1", plain) or words
    if shape.kind == "size" and (cable := _SIZE_IN_CABLE.fullmatch(words)):
        return cable[1]
    return words


def _id(values: Mapping[str, Any], number: int, taken: set[str]) -> str:
    said = id_of(str(values.get("serves") or ""))[:_MOST_ID].strip("-_")
    id = said or id_of(f"{values.get('from', 'circuit')}-{values.get('position', number)}")[:_MOST_ID].strip("-_")
    return id_after(id, taken) if id in taken else id


def _hold_against(
    each: _Reading, keys: Sequence[str], circuits: Mapping[str, Any], taken: Mapping[tuple[Any, str], str],
    here: dict[tuple[Any, str], str],
) -> None:  # fmt: skip
    """Leave out what is in the job already, and mark a space that two rows want."""
    panel = each.values.get("from")
    if set(each.values) <= {"from"}:
        each.left_out = "nothing to take in"
        return
    for space in _spaces(each.values.get("position")):
        if (other := taken.get((panel, space))) is not None:
            title = circuits[other].get("serves") or title_words(other)
            each.left_out = f"space {space} is in the job already: {title}"
        elif (other := here.setdefault((panel, space), each.id)) != each.id and "position" in keys:
            place = keys.index("position")
            each.cells[place] = Cell(each.cells[place].words, wrong=f"Space {space} stands in another row too.")


def _spaces(position: Any) -> list[str]:
    return re.findall(r"\d+|[a-z]+", str(position or "").lower())


def _mark_faults(rows: Sequence[_Reading], text: str) -> None:
    """Read the job as it would be, and put every fault at its cell."""
    fit = {row.id: row for row in rows if not row.left_out}
    for fault in _faults(text, fit):
        steps = fault.path.split(".")
        row = fit.get(steps[1]) if len(steps) > 1 and steps[0] == "circuits" else None
        if row is None:
            continue
        wrong, allowed = told_of(fault)
        told = f"{wrong} Allowed: {allowed}." if allowed else wrong
        key = steps[2] if len(steps) > 2 else ""
        if key in row.keys:
            place = row.keys.index(key)
            row.cells[place] = Cell(row.cells[place].words, wrong=told)
        else:
            row.wrong = told


def _faults(text: str, rows: Mapping[str, _Reading]) -> tuple[Fault, ...]:
    tables = "".join(
        f"\n[circuits.{toml_key(id)}]\n" + "".join(f"{toml_key(k)} = {toml_value(v)}\n" for k, v in row.values.items())
        for id, row in rows.items()
    )
    try:
        read_job_text(f"{text}\n{tables}", name="the job")
    except JobFileError as error:
        return error.faults
    return ()
