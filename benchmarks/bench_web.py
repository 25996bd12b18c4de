"""How quick the pages are, on this machine: run it with `make bench`.

Prints medians and 95th percentiles beside the bounds the project sets itself. It judges nothing: a machine that is busy
with other work proves nothing about the program. Clients and program share the machine's cores.

What the clients of the edit do: eight people, each on a copy of the demo job of their own (or all on one), each with
a browser that keeps its connection. Each gives one answer in the walk (a number that moves the plan), as the page's
script sends it, and waits for what comes back: the field as saved, and what moved since they looked. That is one edit.
Then they think for a time that is drawn evenly around the pause named, and go on. With no pause at all eight ask at
once, all the time: what then counts is how many edits go through in a second.
"""

from __future__ import annotations

import argparse
import http.client
import os
import random
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from urllib.parse import urlencode

DEMO = Path(__file__).resolve().parents[1] / "examples" / "orchard.toml"
MAIN = "import sys; from driploop.cli.main import main; sys.exit(main())"

#: Upper bounds.
START_BOUND_S, EDIT_BOUND_S, LIST_BOUND_S, POLL_BOUND_S = 1.0, 0.150, 0.050, 0.005
PAGE_BOUND_BYTES, MEMORY_BOUND_MB = 150_000, 120
CLIENTS, JOBS = 8, 10_000
SCREENS = ("", "walk", "walk/at/inside", "consequence", "alternatives", "readings", "circuits", "panel", "findings",
           "papers", "people")  # fmt: skip
#: Fields that the clients answer, with the numbers between which they change their minds.
ANSWERS = (("buildings.house.floor_area_ft2", (1400, 2600)), ("circuits.range.ocpd_a", (35, 60)))


@dataclass
class Browser:
    """One browser that keeps its connection, its cookie and its token."""

    port: int
    cookie: str = ""
    token: str = ""

    def __post_init__(self) -> None:
        self.line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        page = self.get("/jobs/new")[1].decode()
        found = re.search(r'name="token" value="([^"]+)"', page)
        assert found
        self.token = found[1]

    def get(self, address: str) -> tuple[int, bytes]:
        """A page."""
        self.line.request("GET", address, headers={"Cookie": self.cookie})
        answer = self.line.getresponse()
        if kept := answer.getheader("set-cookie"):
            self.cookie = kept.split(";")[0]
        return answer.status, answer.read()

    def post(self, address: str, **form: str) -> tuple[int, str, bytes]:
        """A form, as the page's script sends it."""
        headers = {"Cookie": self.cookie, "Content-Type": "application/x-www-form-urlencoded", "HX-Request": "true"}
        self.line.request("POST", address, urlencode({"token": self.token, **form}), headers)
        answer = self.line.getresponse()
        return answer.status, answer.getheader("location") or "", answer.read()


@contextmanager
def served(folder: Path) -> Iterator[tuple[subprocess.Popen[str], int, float]]:
    """The program, the port, and when it was started."""
    start = time.perf_counter()
    program = subprocess.Popen(
        [sys.executable, "-c", MAIN, "serve", "--port", "0", "--data", str(folder)], stdout=subprocess.PIPE, text=True
    )
    assert program.stdout is not None
    said = re.search(r":(\d+)/", program.stdout.readline())
    if said is None:
        raise SystemExit("driploop serve did not start")
    try:
        yield program, int(said[1]), start
    finally:
        program.terminate()
        program.wait(20)
        program.stdout.close()


def start_to_first_page(repeats: int) -> tuple[float, float]:
    """Medians [s] from the command to the whole first page: on an empty folder, and on one that has its database."""
    times: dict[bool, list[float]] = {True: [], False: []}
    for _ in range(repeats):
        with tempfile.TemporaryDirectory() as folder:
            for fresh in (True, False):
                with served(Path(folder)) as (_, port, start):
                    line = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
                    line.request("GET", "/jobs")
                    assert line.getresponse().read()
                    times[fresh].append(time.perf_counter() - start)
    return statistics.median(times[True]), statistics.median(times[False])


def new_job(browser: Browser) -> str:
    """A copy of the demo job; its address."""
    return browser.post("/jobs/new", **{"from": "practice", "practice": DEMO.stem})[1]


def fields_of(browser: Browser, job: str) -> list[tuple[str, str, tuple[int, int]]]:
    """The fields that are there to be answered, with what they hold."""
    found = []
    for path, between in ANSWERS:
        page = browser.get(f"{job}/field?path={path}")[1].decode()
        if seen := re.search(r'name="seen" value="([^"]*)"', page):
            found.append((path, seen[1], between))
    if not found:
        raise SystemExit("the demo job has none of the fields that are to be answered")
    return found


def edits(port: int, *, seconds: float, pause_s: float, one_job: bool) -> list[float]:
    """How long each edit took [s], of all clients together."""
    browsers = [Browser(port) for _ in range(CLIENTS)]
    shared = new_job(browsers[0])
    addresses = [shared if one_job else new_job(browser) for browser in browsers]
    # Everybody has the page of their job before them when the clock starts.
    asked = [fields_of(browser, job) for browser, job in zip(browsers, addresses, strict=True)]
    took: list[float] = []
    until = time.perf_counter() + seconds

    def work(number: int) -> None:
        browser, job, chance = browsers[number], addresses[number], random.Random(number)
        path, seen, between = asked[number][number % len(asked[number])]
        time.sleep(chance.uniform(0, pause_s))
        while time.perf_counter() < until:
            value = str(chance.randint(*between))
            start = time.perf_counter()
            status, _, page = browser.post(f"{job}/field", path=path, value=value, seen=seen)
            took.append(time.perf_counter() - start)
            # Of several on one job another may have been first: then one looks, and answers again.
            if status not in (200, 409):
                raise SystemExit(f"an edit was answered with {status}:\n{page.decode()[:500]}")
            now = re.search(r'name="seen" value="([^"]*)"', page.decode())
            seen = now[1] if now else seen
            time.sleep(chance.uniform(0.5 * pause_s, 1.5 * pause_s))

    clients = [threading.Thread(target=work, args=(number,)) for number in range(CLIENTS)]
    for each in clients:
        each.start()
    for each in clients:
        each.join()
    return took


def parts_of_an_edit(repeats: int) -> dict[str, float]:
    """Medians of the processor time [s] of one edit's parts, each client on a job of their own, in this process."""
    from driploop.store import Edit, Who, jobs, open_store
    from driploop.store.edits import tables_of_text, value_at
    from driploop.web.plans import PlanCache
    from driploop.what_if import answers_compared

    took: dict[str, list[float]] = {"saving": [], "plan and findings": [], "what moved": []}
    chance, who, plans = random.Random(1), Who("bench"), PlanCache()
    with tempfile.TemporaryDirectory() as name:
        store = open_store(f"sqlite:///{Path(name) / 'driploop.sqlite'}", folder=Path(name))
        text = DEMO.read_text(encoding="utf-8")
        held = [jobs.add_job(store, text, who=who) for _ in range(CLIENTS)]
        for number in range((repeats + 1) * CLIENTS):
            job, (path, between) = held[number % CLIENTS], ANSWERS[number % len(ANSWERS)]
            seen = value_at(tables_of_text(job.text), path)
            moments = [time.process_time()]
            edit = Edit(path, chance.randint(*between), seen)
            job = held[number % CLIENTS] = jobs.change_job(store, job.row.id, [edit], who=who).job
            moments.append(time.process_time())
            plans.of(job)
            moments.append(time.process_time())
            before, after = plans.answers_of(job.row.id, text), plans.answers_of(job.row.id, job.text)
            assert before is not None
            assert after is not None
            answers_compared(before, after)
            moments.append(time.process_time())
            if number >= CLIENTS:  # the first of each reads what was last looked at
                for times, start, end in zip(took.values(), moments, moments[1:], strict=False):
                    times.append(end - start)
        store.close()
    return {part: statistics.median(times) for part, times in took.items()}


def fill(folder: Path, count: int) -> str:
    """A database with many jobs, written beside the program. Returns the id of the last."""
    from sqlalchemy import insert

    from driploop.store import Who, jobs, open_store
    from driploop.store.tables import jobs as rows
    from driploop.store.tables import texts

    store = open_store(f"sqlite:///{folder / 'driploop.sqlite'}", folder=folder)
    made = jobs.add_job(store, DEMO.read_text(encoding="utf-8"), who=Who("bench"))
    chance = random.Random(1)
    streets = ("Thimble Row", "Fernhollow Lane", "Mill Street", "Quarry Road", "Ash Hill", "Ferry Landing")
    stages, waits = ("surveyed", "quoted", "permit", "dated"), ("nobody", "town", "utility")
    moment = made.row.changed_at
    several = []
    for number in range(count - 1):
        title = f"{chance.randint(1, 999)} {chance.choice(streets)}, service change {number}"
        several.append({"id": f"{number:016x}", "title": title, "looked_up": title.lower(), "revision": 1,
                        "stage": chance.choice(stages), "waits_on": chance.choice(waits), "created_at": moment,
                        "changed_at": moment - timedelta(minutes=7 * number)})  # fmt: skip
    with store.writing() as connection:
        connection.execute(insert(rows), several)
        connection.execute(insert(texts), [{"job": each["id"], "text": made.text} for each in several])
    store.close()
    return made.row.id


def timed(browser: Browser, address: str, repeats: int) -> list[float]:
    """How long a page takes [s]."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        status, _ = browser.get(address)
        times.append(time.perf_counter() - start)
        if status >= 400:
            raise SystemExit(f"{address} was answered with {status}")
    return times


def memory_mb(pid: int) -> float | None:
    """What a program and those it started hold in memory [MB]; None where the system does not tell."""
    try:
        children = Path(f"/proc/{pid}/task/{pid}/children").read_text().split()
        held = re.search(r"^Pss:\s+(\d+) kB", Path(f"/proc/{pid}/smaps_rollup").read_text(), re.M)
    except OSError:
        return None
    return (int(held[1]) / 1024 if held else 0) + sum(memory_mb(int(child)) or 0 for child in children)


def cpu_s(pid: int) -> float | None:
    """The processor time that a program has taken [s]: what a busy machine does not lengthen. None where untold."""
    try:
        fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    except OSError:
        return None
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def late(times: Sequence[float]) -> float:
    """The 95th percentile."""
    return statistics.quantiles(times, n=20)[-1]


def line(what: str, measured: str, bound: str = "") -> None:
    """One line of the report."""
    print(f"{what:<66} {measured:>12} {bound:>12}", flush=True)


def main(arguments: Sequence[str] | None = None) -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--seconds", type=float, default=15, help="how long the clients edit (15)")
    parser.add_argument("--quick", action="store_true", help="few repeats: to see that it runs")
    asked = parser.parse_args(arguments)
    seconds, repeats, count = (3, 1, 500) if asked.quick else (asked.seconds, 5, JOBS)
    load = f", load {os.getloadavg()[0]:.1f} before" if hasattr(os, "getloadavg") else ""
    line(f"The pages, on {os.cpu_count()} cores{load}", "measured", "bound")
    fresh, again = start_to_first_page(repeats)
    line("start to first page, empty folder (median)", f"{fresh:.2f} s", f"{START_BOUND_S:.2f} s")
    line("start to first page, database there (median)", f"{again:.2f} s", f"{START_BOUND_S:.2f} s")
    parts = parts_of_an_edit(repeats * 2)
    line("processor time of one edit, without what goes round it (median)", f"{1000 * sum(parts.values()):.0f} ms")
    for part, seconds_of_it in parts.items():
        line(f"    {part}", f"{1000 * seconds_of_it:.1f} ms")
    folder = Path(tempfile.mkdtemp())
    try:
        with served(folder) as (program, port, _):
            measure_edits(program.pid, port, seconds)
        shutil.rmtree(folder)
        folder.mkdir()
        id = fill(folder, count)
        with served(folder) as (program, port, _):
            measure_many(program.pid, port, count, repeats * 10, id)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def measure_edits(pid: int, port: int, seconds: float) -> None:
    """The edit under eight clients, page weights, memory."""
    time.sleep(3)  # what the program reads after its first page
    if idle := memory_mb(pid):
        line("memory, idle after the start", f"{idle:.0f} MB", f"{MEMORY_BOUND_MB} MB")
    edits(port, seconds=min(seconds, 3), pause_s=0.0, one_job=False)  # the first ones read what is not read yet
    for pause_s, one_job in ((4.0, False), (2.0, False), (2.0, True), (0.0, False)):
        before = cpu_s(pid)
        took = edits(port, seconds=seconds, pause_s=pause_s, one_job=one_job)
        where = "on one job" if one_job else "each on a job of their own"
        told = f"{CLIENTS} clients {where}, {f'{pause_s:g} s of thought' if pause_s else 'no pause'}"
        line(f"edit to consequence, {told} (95 %)", f"{1000 * late(took):.0f} ms", f"{1000 * EDIT_BOUND_S:.0f} ms")
        line("    median, and edits in a second",
             f"{1000 * statistics.median(took):.0f} ms, {len(took) / seconds:.1f}")  # fmt: skip
        if before is not None and (after := cpu_s(pid)) is not None:
            line(
                "    processor time of one edit, its share of new pages too",
                f"{1000 * (after - before) / len(took):.0f} ms",
            )
    browser = Browser(port)
    job = new_job(browser)
    weights = {screen: len(browser.get(f"{job}/{screen}".rstrip("/"))[1]) for screen in SCREENS}
    heaviest = max(weights, key=lambda screen: weights[screen])
    line(f"heaviest page of the demo job ({heaviest or 'the job'})", f"{weights[heaviest] / 1000:.0f} kB",
         f"{PAGE_BOUND_BYTES / 1000:.0f} kB")  # fmt: skip
    static = sum(len(browser.get(f"/static/{name}")[1])
                 for name in ("driploop.css", "driploop.js", "unsent.js", "htmx/htmx.min.js"))  # fmt: skip
    line("    style and scripts, once", f"{static / 1000:.0f} kB")
    if busy := memory_mb(pid):
        line("memory after all of this", f"{busy:.0f} MB", f"{MEMORY_BOUND_MB} MB")


def measure_many(pid: int, port: int, count: int, repeats: int, id: str) -> None:
    """Lists, searches and the question for news among many jobs."""
    browser = Browser(port)
    timed(browser, "/jobs", 3)
    for what, address in (
        ("list", "/jobs"), ("search, two words", "/jobs?search=fernhollow+change"),
        ("search, none found", "/jobs?search=zeppelin"),
        ("stage and whom it waits on", "/jobs?stage=permit&waits_on=town"), ("last page", f"/jobs?start={count - 50}"),
    ):  # fmt: skip
        line(f"{count:,} jobs: {what} (95 %)", f"{1000 * late(timed(browser, address, repeats)):.1f} ms",
             f"{1000 * LIST_BOUND_S:.0f} ms")  # fmt: skip
    news = timed(browser, f"/jobs/{id}/others?since=1&base=1", repeats * 4)
    line("asking for what others changed, nothing new (median)", f"{1000 * statistics.median(news):.1f} ms",
         f"{1000 * POLL_BOUND_S:.0f} ms")  # fmt: skip
    if idle := memory_mb(pid):
        line(f"memory with {count:,} jobs", f"{idle:.0f} MB", f"{MEMORY_BOUND_MB} MB")


if __name__ == "__main__":
    main()
