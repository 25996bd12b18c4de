"""``driploop backup``, ``restore`` and ``export``: the jobs of the shop as files, while the pages are open or not."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from driploop.cli.main import FINE
from driploop.worksheet import DriploopError

if TYPE_CHECKING:
    from driploop.store import BackedUp, Store

MISSING = (
    "The shop's jobs need libraries that are not installed here ({name}).\n"
    "  do       make serve, in the program's folder; elsewhere pip install 'driploop[web]'"
)
#: The database of a folder, where no other is named.
FILE = "driploop.sqlite"


def backup(arguments: Namespace) -> int:
    """Write everything to one file, to be restored."""
    with _opened(arguments) as store:
        from driploop.store.backup import back_up

        path = _named(arguments.file) or store.folder / "backups" / f"driploop-{datetime.now():%Y%m%d-%H%M%S}.zip"
        _say(back_up(store, path))
    return FINE


def restore(arguments: Namespace) -> int:
    """Bring a backup back."""
    with _opened(arguments, make=True) as store:
        from driploop.store.backup import restore as bring_back

        done = bring_back(store, Path(arguments.file), replace=arguments.replace)
        print(f"{_count(done.jobs, 'job')} and {_count(done.photographs, 'photograph')} are back in {store.folder}.")
        if done.aside:
            print(f"What was there before is in {done.aside}. Everybody must sign in again.")
    return FINE


def export(arguments: Namespace) -> int:
    """Write everything as plain files in a zip."""
    with _opened(arguments) as store:
        from driploop.store.export import export_everything

        _say(export_everything(store, Path(arguments.file)))
    return FINE


@contextmanager
def _opened(arguments: Namespace, *, make: bool = False) -> Iterator[Store]:
    folder = Path(arguments.data) if arguments.data else Path.home() / "driploop"
    database = arguments.database or f"sqlite:///{folder / FILE}"
    if not make and not arguments.database and not (folder / FILE).is_file():
        raise DriploopError(f"{folder}: there are no jobs of the shop here. Name their folder: --data FOLDER")
    try:
        from driploop.store import open_store

        store = open_store(database, folder=folder)
    except ModuleNotFoundError as error:
        raise DriploopError(MISSING.format(name=error.name)) from error
    try:
        yield store
    finally:
        store.close()


def _named(file: str | None) -> Path | None:
    return Path(file) if file else None


def _say(made: BackedUp) -> None:
    print(f"{made.path}: {_count(made.jobs, 'job')} and {_count(made.photographs, 'photograph')}.")
    if made.missing:
        print(f"{_count(len(made.missing), 'photograph')} had no file any more: {', '.join(made.missing)}")


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"
