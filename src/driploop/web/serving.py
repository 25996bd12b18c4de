"""Opening the door: the database, the address, and who may be let in by it."""

from __future__ import annotations

import gc
import socket
from collections.abc import Sequence
from contextlib import suppress
from importlib import import_module
from pathlib import Path
from threading import Thread
from typing import Any

from driploop.store import open_store, people
from driploop.web.secret import secret_of
from driploop.web.visitors import is_loopback
from driploop.worksheet import DriploopError

#: Where the program listens when it is not told.
HOST, PORT = "127.0.0.1", 8420
#: After how many new things the search for waste looks through the young ones, and how seldom through older ones.
WASTE_PACE = (50_000, 20, 100)
#: How long a connection is kept for what the browser asks next: longer than between two questions for news. [s]
KEEP_S = 30


class ServeError(DriploopError):
    """The program cannot listen as asked."""


def serve(
    *,
    host: str = HOST,
    port: int = PORT,
    folder: Path,
    database: str | None = None,
    certificate: Path | None = None,
    key: Path | None = None,
    names: Sequence[str] = (),
    behind_proxy: bool = False,
    invite_owner: bool = False,
) -> None:
    """Serve the jobs of a shop until stopped; says the address as soon as it answers.

    Args:
        host: the address to listen at; beyond this machine only where somebody has an account with a password.
        port: the port; 0 takes a free one.
        folder: where the database, photographs and backups stand.
        database: the database's address; None for a file in the folder.
        certificate: file of the certificate to serve https with, with those that vouch for it; None for http.
        key: file of the certificate's key; None where it stands in the certificate's file.
        names: by what names, beside its numbers, the program is called on the network.
        behind_proxy: a proxy on this machine passes on what others ask.
        invite_owner: print a link with which one person can make an owner's account, as when a password is forgotten.

    Raises:
        ServeError: the address cannot be had, the certificate does not do, or nobody has a password yet and others
            could reach the program.
        StoreError: the database cannot be opened.
    """
    import uvicorn

    from driploop.web.app import LOOPBACK, create_app

    secure = _secured(certificate, key)
    store = open_store(database or f"sqlite:///{folder / 'driploop.sqlite'}", folder=folder)
    try:
        open_to_others = behind_proxy or not is_loopback(host)
        if open_to_others and not invite_owner and not people.everybody(store):
            raise ServeError(
                f"{'Through the proxy the program' if behind_proxy else host} can be reached by others, and nobody has "
                "an account with a password yet.\n"
                "  do       Start with --invite-owner too, and open the link that is printed; or start without\n"
                "           --host and --behind-proxy, make your account under Shop, then start again with them."
            )
        listening = _listen(host, port)
        app = create_app(
            store, hosts=(*LOOPBACK, *_names(names, host)), any_number=not is_loopback(host),
            behind_proxy=behind_proxy, key=secret_of(folder),
        )  # fmt: skip
        shown = f"[{host}]" if ":" in host else host
        address = f"{'https' if secure else 'http'}://{shown}:{listening.getsockname()[1]}"
        print(f"driploop is at {address}/  (stop with Ctrl+C)", flush=True)
        if invite_owner:
            word = people.invite(store, role="owner", by=None)
            print(f"An owner's account, once, within seven days: {address}/invitation/{word}", flush=True)
        if not secure and not is_loopback(host):
            print("What is sent over this network can be read on it: passwords too. See docs/serving.md.", flush=True)
        config = uvicorn.Config(
            app, log_level="warning", access_log=False, server_header=False, date_header=False,
            proxy_headers=False,  # whose word is taken for where a request comes from is decided at the door
            timeout_keep_alive=KEEP_S,
            **secure,
        )  # fmt: skip
        Thread(target=_make_ready, daemon=True).start()
        with suppress(KeyboardInterrupt):
            uvicorn.Server(config).run(sockets=[listening])
    finally:
        store.close()


def _secured(certificate: Path | None, key: Path | None) -> dict[str, Any]:
    """What the server needs for https, tried before anything is opened. Raises ServeError."""
    if certificate is None:
        if key is not None:
            raise ServeError("A key is of no use without its certificate.\n  do       Name it with --certificate.")
        return {}
    import ssl

    try:
        context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        context.load_cert_chain(certificate, key, password=lambda: "")
    except OSError as error:  # what ssl itself raises is one too
        missing = next((path for path in (certificate, key) if path is not None and not path.is_file()), None)
        reason = f"{missing}: cannot be read" if missing else f"{certificate}: is no certificate with its key"
        raise ServeError(
            f"{reason} ({error.strerror or error}).\n"
            "  do       Name both files, as PEM, the key without a password. docs/serving.md tells how to make them."
        ) from error
    return {"ssl_certfile": str(certificate), "ssl_keyfile": str(key) if key is not None else None}


def _names(names: Sequence[str], host: str) -> tuple[str, ...]:
    """The names of this program on the network: those given, the one it listens at, and the machine's own there."""
    own = socket.gethostname().lower()
    more = () if is_loopback(host) else (own, f"{own.split('.')[0]}.local", host.lower())
    return (*(name.lower() for name in names), *more)


def _make_ready() -> None:
    """Read what the first plan needs while the person looks at the first page, and keep it out of the search for waste.

    Plans are many small things that are kept: at the usual pace the search would look through them all again within
    every few edits, which makes one edit in ten several times as long.
    """
    for name in ("driploop.planning", "driploop.what_if", "driploop.drawings.one_line"):
        import_module(name)
    gc.collect()
    gc.freeze()
    gc.set_threshold(*WASTE_PACE)


def _listen(host: str, port: int) -> socket.socket:
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    # The protocol is named, or what the loop accepts would gather small pieces and wait 40 ms for the other side.
    listening = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
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
