"""How long driploop takes, on this machine: run it with `make bench`.

Prints medians beside the bounds the project sets itself, and how cost grows with the size of a job. It judges nothing:
a machine that is busy with other work proves nothing about the program.
"""

from __future__ import annotations

import argparse
import gc
import itertools
import math
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from driploop.editions import Edition
    from driploop.installation import Job

sys.path.insert(0, str(Path(__file__).resolve().parent))  # so that growth.py is found from anywhere

DEMO = Path(__file__).resolve().parents[1] / "examples" / "orchard.toml"
MAIN = "import sys; from driploop.cli.main import main; sys.exit(main())"

#: Upper bounds [s].
PLAN_BOUND = 0.050
HELP_BOUND = 0.15
LOADS_BOUND = 0.4
PACKET_BOUND = 1.5
ALTERNATIVES_BOUND = 0.150
QUESTIONS_BOUND = 1.0
#: The growth is measured from the demo's size to this many circuits.
LARGEST_CIRCUITS = 4_500


def median_of(work: Callable[[], object], repeats: int) -> float:
    """The median time of one call [s], the collection of garbage put off meanwhile, as timeit does."""
    times = []
    for _ in range(repeats):
        gc.collect()
        gc.disable()
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
        gc.enable()
    return statistics.median(times)


def command(*arguments: str) -> Callable[[], object]:
    """A whole run of the command line in a fresh process. Findings to mend (exit code 1) are a result too."""

    def run() -> None:
        done = subprocess.run([sys.executable, "-c", MAIN, *arguments], capture_output=True, text=True, check=False)
        if done.returncode not in (0, 1) or "Traceback" in done.stderr:
            raise SystemExit(f"driploop {' '.join(arguments)} failed:\n{done.stderr}")

    return run


def fresh_import(name: str) -> Callable[[], object]:
    """A fresh process that only imports."""
    return lambda: subprocess.run([sys.executable, "-c", f"import {name}"], check=True)


def report(what: str, seconds: float, bound: float | None = None) -> None:
    """One line: what, how long, and whether that is inside the bound."""
    verdict = "" if bound is None else f"   bound {bound * 1000:5,.0f} ms   {'inside' if seconds <= bound else 'OVER'}"
    print(f"{what:<46}{seconds * 1000:10,.1f} ms{verdict}")


def slope(points: Sequence[tuple[float, float]]) -> float:
    """The exponent p of time = c * size ** p, by least squares on the logarithms."""
    logs = [(math.log(size), math.log(seconds)) for size, seconds in points]
    fit = statistics.linear_regression([x for x, _ in logs], [y for _, y in logs])
    return fit.slope


def finished(job: Job, *, edition: Edition | None = None) -> None:
    """A plan with its findings, which a plan reads only when asked."""
    from driploop import plan

    made = plan(job, edition=edition)
    made.found_findings, made.proposed_findings  # noqa: B018


def measure_commands(repeats: int) -> None:
    """Whole commands, each in a fresh process, beside an interpreter that does nothing."""
    report("an interpreter that does nothing", median_of(fresh_import("sys"), repeats))
    report(
        "import driploop, read_job, plan",
        median_of(fresh_import("driploop; driploop.read_job; driploop.plan"), repeats),
    )
    report("driploop --help", median_of(command("--help"), repeats), HELP_BOUND)
    report("driploop loads", median_of(command("loads", str(DEMO)), repeats), LOADS_BOUND)
    with tempfile.TemporaryDirectory() as folder:
        packet = command("packet", str(DEMO), "--out", str(Path(folder) / "packet.pdf"))
        report("driploop packet", median_of(packet, repeats), PACKET_BOUND)


def measure_plan(repeats: int) -> None:
    """Job file to finished plan in one process, the first time and after."""
    from driploop.survey import read_job_text

    rounds = itertools.count()

    def read() -> Job:
        # A text that was read before is remembered: each round gets one of its own.
        return read_job_text(f"{DEMO.read_text(encoding='utf-8')}\n# round {next(rounds)}\n")

    report("job file to plan, first in the process", median_of(lambda: finished(read()), 1))
    report("job file to plan, median", median_of(lambda: finished(read()), repeats), PLAN_BOUND)
    report("  of which reading the job file", median_of(read, repeats))


def measure_alternatives(repeats: int) -> None:
    """Every way to build, generated, checked and ranked, beside one plain plan of the same job; and its growth."""
    from growth import repeated

    from driploop import read_job
    from driploop.alternatives import alternatives_of
    from driploop.editions import load_edition

    job = read_job(DEMO)
    edition = load_edition(job.town.edition or "")
    one_plan = median_of(lambda: finished(job, edition=edition), repeats)
    seconds = median_of(lambda: alternatives_of(job, edition=edition), repeats)
    report("all alternatives of the demo", seconds, ALTERNATIVES_BOUND)
    print(f"  {seconds / one_plan:.1f} times one plan of the same job")
    points = []
    for count in (1, 3, 10):
        larger = repeated(job, copies=count)
        took = median_of(lambda job=larger: alternatives_of(job, edition=edition), max(1, repeats // (3 * count)))
        points.append((float(len(larger.found.circuits)), took))
        report(f"all alternatives of {len(larger.found.circuits):,} circuits", took)
    print(f"cost grows as circuits to the power {slope(points):.2f} (1 is linear)")


def measure_questions(repeats: int) -> None:
    """Every question of the demo ranked, each of its answers tried, beside one plain plan; and its growth."""
    from growth import repeated

    from driploop import read_job
    from driploop.editions import load_edition
    from driploop.questions import LawfulWays, questions_of

    job = read_job(DEMO)
    edition = load_edition(job.town.edition or "")
    report(
        "all questions, first in the process", median_of(lambda: questions_of(job, edition=edition), 1), QUESTIONS_BOUND
    )
    fewer = max(1, repeats // 3)
    one_plan = median_of(lambda: finished(job, edition=edition), repeats)
    seconds = median_of(lambda: questions_of(job, edition=edition), fewer)
    report("all questions, median", seconds, QUESTIONS_BOUND)
    print(f"  {seconds / one_plan:.1f} times one plan of the same job")
    ways = median_of(lambda: questions_of(job, edition=edition, lawful=LawfulWays(edition)), fewer)
    report("  and which ways to build are lawful", ways)
    points = []
    for count in (1, 2, 4):
        larger = repeated(job, copies=count)
        took = median_of(lambda job=larger: questions_of(job, edition=edition), 1)
        points.append((float(len(larger.found.circuits)), took))
        report(f"all questions of {len(larger.found.circuits):,} circuits", took)
    print(f"cost grows as circuits to the power {slope(points):.2f} (1 is linear)")


def measure_growth(repeats: int) -> None:
    """Plan times of the demo repeated side by side, up to the largest size, and the fitted exponent."""
    from growth import repeated

    from driploop import read_job

    job = read_job(DEMO)
    circuits = len(job.found.circuits)
    copies = [1, 3, 10, 30, round(LARGEST_CIRCUITS / circuits)]
    points = []
    for count in sorted({copy for copy in copies if copy * circuits <= LARGEST_CIRCUITS + circuits}):
        larger = repeated(job, copies=count)
        seconds = median_of(lambda job=larger: finished(job), max(1, min(repeats, 60 // count)))
        points.append((float(len(larger.found.circuits)), seconds))
        report(f"plan of {len(larger.found.circuits):,} circuits", seconds)
    print(f"cost grows as circuits to the power {slope(points):.2f} (1 is linear)")


def measure_panels(repeats: int) -> None:
    """Panel layouts: proof, the plain method, and the same as a mixed-integer programme."""
    from panel import measure_panels as measure

    measure(repeats)


def measure_physics(repeats: int) -> None:
    """Fault currents and voltages of the demo, beside other solvers where they are installed; and their growth."""
    from physics import measure

    measure(repeats)


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--repeats", type=int, default=15, help="runs behind each median (default 15)")
    parser.add_argument(
        "--only",
        choices=("commands", "plan", "alternatives", "questions", "physics", "panel", "growth"),
        help="one part alone",
    )
    asked = parser.parse_args()
    print(f"Python {sys.version.split()[0]}, {DEMO.name}")
    parts = {
        "commands": measure_commands,
        "plan": measure_plan,
        "alternatives": measure_alternatives,
        "questions": measure_questions,
        "physics": measure_physics,
        "panel": measure_panels,
        "growth": measure_growth,
    }
    for name, part in parts.items():
        if asked.only in (None, name):
            print(f"\n{name}")
            part(asked.repeats)


if __name__ == "__main__":
    main()
