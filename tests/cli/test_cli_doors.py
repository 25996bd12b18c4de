"""Help, exit codes of the process itself, and what a terminal or a pipe does to the output."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

EXAMPLES = Path(__file__).parents[2] / "examples"
COMMANDS = ("new", "check", "loads", "faults", "voltages", "packet", "code", "rules", "schema", "migrate")
START = [sys.executable, "-m", "driploop.cli.main"]


def test_without_a_command_the_help_is_printed(run: Callable) -> None:
    ran = run()
    assert ran.code == 0
    assert all(f"    {name} " in ran.out for name in COMMANDS)
    assert "0 fine, 1 findings that must be mended, 2 bad input" in ran.out


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_help_of_its_own(run: Callable, name: str) -> None:
    ran = run(name, "--help")
    assert ran.code == 0
    assert f"usage: driploop {name}" in ran.out


@pytest.mark.parametrize("argv", [("chekc",), ("check",), ("loads", "job.toml", "--att", "x"), ("new",)])
def test_wrong_arguments_are_bad_input(run: Callable, argv: tuple[str, ...]) -> None:
    ran = run(*argv)
    assert ran.code == 2
    assert ran.out == ""
    assert "usage: driploop" in ran.err


def test_the_help_imports_nothing_heavy() -> None:
    heavy = "pydantic rich typst tomlkit driploop.planning driploop.survey"
    script = (
        "import sys; from driploop.cli.main import main\n"
        "try: main(['--help'])\n"
        "except SystemExit: pass\n"
        f"print([name for name in {heavy.split()} if name in sys.modules], file=sys.stderr)"
    )
    ran = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert ran.stderr.strip() == "[]"


def test_a_reader_that_goes_away_is_no_fault_and_not_called_fine() -> None:
    command = [*START, "loads", str(EXAMPLES / "orchard.toml"), "--json"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.readline()
        process.stdout.close()
        assert process.stderr.read() == ""
        assert process.wait() == 1


@pytest.mark.parametrize("command", ["check", "loads"])
def test_a_terminal_without_a_character_gets_a_stand_in(command: str) -> None:
    environment = {**os.environ, "PYTHONIOENCODING": "ascii"}
    ran = subprocess.run(
        [*START, command, str(EXAMPLES / "orchard.toml")], capture_output=True, env=environment, check=False
    )
    assert ran.stderr == b""
    assert ran.stdout.isascii()
    assert b"Fernhollow" in ran.stdout
