"""The command line run in the test's own process, at the width of a small terminal."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from driploop.cli.main import main

EXAMPLES = Path(__file__).parents[2] / "examples"


@dataclass(frozen=True)
class Ran:
    """What a command answered."""

    code: int
    out: str
    err: str


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Callable[..., Ran]:
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.chdir(tmp_path)

    def command(*argv: str | Path) -> Ran:
        try:
            code = main([str(each) for each in argv])
        except SystemExit as stopped:  # wrong arguments
            code = int(str(stopped.code))
        said = capsys.readouterr()
        assert "Traceback" not in said.err
        return Ran(code, said.out, said.err)

    return command
