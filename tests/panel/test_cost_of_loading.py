"""The solver costs nothing until it is asked for, and its absence is told in words."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from driploop.panel import NoSolverError, solve_exact
from panel.boxes import box, problem, single

DEMO = Path(__file__).parents[2] / "examples" / "orchard.toml"
ASKED = f"""
import sys
from driploop.cli.main import main
main(["panel", {str(DEMO)!r}, "--json"])
loaded = [name for name in ("ortools", "numpy", "pandas") if name in sys.modules]
sys.stderr.write(",".join(loaded))
"""


def test_the_plain_command_does_not_load_the_solver() -> None:
    answer = subprocess.run([sys.executable, "-c", ASKED], capture_output=True, text=True, check=False)
    assert answer.returncode == 0
    assert answer.stderr == ""


def test_without_the_solver_the_fault_says_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "ortools.sat.python", None)
    with pytest.raises(NoSolverError, match="driploop\\[panel\\]"):
        solve_exact(problem(box(4), single("one", 1.0)))
