"""A PostgreSQL server of the tests' own: made in a temporary folder, reached through a socket there, then gone."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import quote

INSTALL = "apt-get install postgresql"
WITHOUT = "DRIPLOOP_TEST_WITHOUT"
USER = "driploop"


class NoServerError(Exception):
    """There is no PostgreSQL server on this machine; the message says what to install."""


def left_out() -> bool:
    """Whether the person who runs the tests said to leave PostgreSQL out."""
    return "postgresql" in os.environ.get(WITHOUT, "").split(",")


def programs() -> Path:
    """The folder of the server's programs. Raises NoServerError."""
    found = shutil.which("initdb")
    if found:
        return Path(found).resolve().parent
    for folder in ("/usr/lib/postgresql", "/usr/pgsql", "/usr/local/pgsql"):
        for initdb in sorted(Path(folder).glob("**/bin/initdb"), reverse=True):
            return initdb.parent
    raise NoServerError(
        f"The same tests run on PostgreSQL, and its server is not on this machine. Install it:  {INSTALL}\n"
        f"Or leave it out and have it reported as skipped:  {WITHOUT}=postgresql"
    )


def missing() -> str:
    """What to install where there is no server; "" where there is one."""
    try:
        programs()
    except NoServerError as error:
        return str(error)
    return ""


@contextmanager
def running(folder: Path) -> Iterator[Path]:
    """A server whose data and socket stand in a folder; hands out the folder of the socket."""
    bin_ = programs()
    as_server = []
    if os.getuid() == 0:  # the server refuses to run as root
        shutil.chown(folder, "postgres", "postgres")
        as_server = ["runuser", "-u", "postgres", "--"]

    def call(*words: str) -> None:
        done = subprocess.run([*as_server, *words], capture_output=True, text=True, check=False, cwd=folder)
        if done.returncode:
            raise RuntimeError(f"{' '.join(words)}:\n{done.stdout}\n{done.stderr}")

    data = folder / "data"
    call(str(bin_ / "initdb"), "-D", str(data), "-A", "trust", "-U", USER, "-E", "UTF8", "--no-sync")
    settings = f"-c listen_addresses='' -c unix_socket_directories='{folder}' -c fsync=off -c max_connections=60"
    call(str(bin_ / "pg_ctl"), "-D", str(data), "-w", "-l", str(folder / "log"), "-o", settings, "start")
    try:
        yield folder
    finally:
        call(str(bin_ / "pg_ctl"), "-D", str(data), "-w", "-m", "fast", "stop")


@contextmanager
def throw_away() -> Iterator[Path]:
    """A running server in a temporary folder, both gone afterwards."""
    programs()
    folder = Path(tempfile.mkdtemp(prefix="driploop-pg-"))
    try:
        with running(folder) as socket:
            yield socket
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def address(socket: Path, name: str) -> str:
    """How a database of the server is called by the store."""
    return f"postgresql://{USER}@/{name}?host={quote(str(socket), safe='')}"
