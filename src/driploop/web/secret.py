"""The program's own secret: made on first run beside the database, for its owner's eyes alone."""

from __future__ import annotations

import os
import secrets
from pathlib import Path

from driploop.store import StoreError

NAME, BYTES = "secret.key", 32


def secret_of(folder: Path) -> bytes:
    """The secret that stands in a folder, made where there is none.

    Raises:
        StoreError: it cannot be read or made, or others on this machine may read it.
    """
    path = folder / NAME
    try:
        if not path.exists():
            _make(path)
        if os.name == "posix" and path.stat().st_mode & 0o077:
            raise StoreError(f"{path}: others on this machine may read it.\n  do       chmod 600 {path}")
        kept = path.read_bytes()
    except OSError as error:
        raise StoreError(f"{path}: cannot be read or made: {error.strerror}.") from error
    if len(kept) != BYTES:
        raise StoreError(f"{path}: is not whole.\n  do       Delete it; another is made at the next start.")
    return kept


def _make(path: Path) -> None:
    # Written aside first: of two programs that start at once, both then read the same one.
    aside = path.with_name(f"{NAME}.{secrets.token_hex(4)}")
    with os.fdopen(os.open(aside, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600), "wb") as file:
        file.write(secrets.token_bytes(BYTES))
        file.flush()
        os.fsync(file.fileno())
    try:
        os.link(aside, path)
    except FileExistsError:
        pass
    finally:
        aside.unlink()
