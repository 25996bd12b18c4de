"""Opening the door: the database, the address, and who may be let in by it."""

from __future__ import annotations

import socket
from contextlib import suppress
from importlib import import_module
from pathlib import Path
from threading import Thread

from driploop.store import open_store, people
from driploop.web.visitors import is_loopback
from driploop.worksheet import DriploopError

#: Where the program listens when it is not told.
HOST, PORT = "127.0.0.1", 8420


class ServeError(DriploopError):
    """The program cannot listen as asked."""


def serve(*, host: str = HOST, port: int = PORT, folder: Path, database: str | None = None) -> None:
    """Serve the jobs of a shop until stopped; says the address as soon as it answers.

    Args:
        host: the address to listen at; beyond this machine only where somebody has an account with a password.
        port: the port; 0 takes a free one.
        folder: where the database, photographs and backups stand.
        database: the database's address; None for a file in the folder.

    Raises:
        ServeError: the address cannot be had, or nobody has a password yet and others could reach it.
        StoreError: the database cannot be opened.
    """
    import uvicorn

    from driploop.web.app import LOOPBACK, create_app

    store = open_store(database or f"sqlite:///{folder / 'driploop.sqlite'}", folder=folder)
    try:
        if not is_loopback(host) and not people.everybody(store):
            raise ServeError(
                f"{host} can be reached by others, and nobody has an account with a password yet.\n"
                "  do       Start without --host first, invite yourself under People, then start again with --host."
            )
        listening = _listen(host, port)
        app = create_app(store, hosts=LOOPBACK if is_loopback(host) else ("*",))
        shown = f"[{host}]" if ":" in host else host
        print(f"driploop is at http://{shown}:{listening.getsockname()[1]}/  (stop with Ctrl+C)", flush=True)
        config = uvicorn.Config(app, log_level="warning", access_log=False, server_header=False, date_header=False)
        Thread(target=_make_ready, daemon=True).start()
        with suppress(KeyboardInterrupt):
            uvicorn.Server(config).run(sockets=[listening])
    finally:
        store.close()


def _make_ready() -> None:
    """Read what the first plan needs while the person looks at the first page."""
    for name in ("driploop.planning", "driploop.what_if", "driploop.drawings.one_line"):
        import_module(name)


def _listen(host: str, port: int) -> socket.socket:
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    listening = socket.socket(family, socket.SOCK_STREAM)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((host, port))
        listening.listen(128)  # who comes before the first page is ready waits instead of being turned away
    except (OSError, OverflowError) as error:
        listening.close()
        reason = getattr(error, "strerror", None) or str(error)
        raise ServeError(
            f"{host}, port {port}: cannot listen there: {reason}.\n"
            "  do       Stop what listens there, or name another with --port."
        ) from error
    return listening
