"""Whatever stands in a file, the reader answers with a job or with faults in words."""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from driploop.survey import Fault, JobFileError, read_job, read_job_text

usual = settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
EXAMPLES = sorted((Path(__file__).resolve().parents[2] / "examples").glob("*.toml"))
LINES = {path.stem: path.read_text(encoding="utf-8").splitlines() for path in EXAMPLES}
TOKENS = (
    "=", "[", "]", "{", "}", ".", '"', "'", "\\", "#", "\n", "\r", "\t", "\x00", "\ufeff", "unknown", "1e999", "nan",
    "-1", "0", "99999999999999999999", "true", "[[runs]]", "[runs.a.b.c]", "format = 1", "1979-05-27T07:32:00Z", "é",
    '"""', "'''", "= {}", "= []", "[proposal]", "[circuits]", "to = \"utility\"", "\U0001f50c", "\ud800",
)  # fmt: skip


def reads_or_tells(text: str) -> None:
    refused: tuple[Fault, ...] | None = None
    try:
        read_job_text(text)
    except JobFileError as error:
        refused = error.faults
    told(refused)


def told(refused: tuple[Fault, ...] | None) -> None:
    """Nothing was refused, or every fault says what was read and what to do."""
    assert refused is None or (refused and all(fault.read and fault.do for fault in refused))


def mutated(lines: list[str], seed: int) -> str:
    """An example with a few of its lines cut, doubled, swapped or written over."""
    random = Random(seed)
    lines = list(lines)
    for _ in range(random.randint(1, 6)):
        at = random.randrange(len(lines))
        match random.randrange(7):
            case 0:
                del lines[at]
            case 1:
                lines.insert(at, random.choice(lines))
            case 2:
                place = random.randint(0, len(lines[at]))
                lines[at] = lines[at][:place] + random.choice(TOKENS) + lines[at][place:]
            case 3:
                key, _, _ = lines[at].partition("=")
                lines[at] = f"{key} = {random.choice(TOKENS)}"
            case 4:
                lines[at] = lines[at][: random.randint(0, len(lines[at]))]
            case 5:
                other = random.randrange(len(lines))
                lines[at], lines[other] = lines[other], lines[at]
            case _:
                _, _, value = random.choice(lines).partition("=")
                key, _, _ = lines[at].partition("=")
                lines[at] = f"{key} = {value}"
    return "\n".join(lines)


@usual
@given(st.text(max_size=200))
def test_any_text_is_read_or_refused_in_words(text):
    reads_or_tells(text)


@usual
@given(st.lists(st.sampled_from([*TOKENS, "equipment", "x", " "]), max_size=30).map("".join))
def test_scraps_of_toml_are_read_or_refused_in_words(text):
    reads_or_tells(text)


@pytest.mark.parametrize("example", LINES)
@settings(usual, max_examples=60)
@given(seed=st.integers(0, 2**32))
def test_an_example_with_slips_is_read_or_refused_in_words(example, seed):
    reads_or_tells(mutated(LINES[example], seed))


@usual
@given(raw=st.binary(max_size=120))
def test_any_bytes_are_read_or_refused_in_words(tmp_path_factory, raw):
    path = tmp_path_factory.getbasetemp() / "any.toml"
    path.write_bytes(raw)
    refused: tuple[Fault, ...] | None = None
    try:
        read_job(path)
    except JobFileError as error:
        refused = error.faults
    told(refused)


@pytest.mark.parametrize("number", ["inf", "-inf", "nan", "1e999"])
def test_a_count_that_is_no_number_is_refused_in_words(number):
    with pytest.raises(JobFileError) as refusal:
        read_job_text(f'format = 1\nequipment.panel = {{ kind = "panel", spaces = {number} }}\n')
    (fault,) = refusal.value.faults
    assert fault.path == "equipment.panel.spaces"
    assert fault.do == "Write a whole number."
