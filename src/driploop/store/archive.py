"""Writing a zip file whole or not at all, for nobody but its owner to read."""

from __future__ import annotations

import os
import secrets
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from driploop.store.errors import StoreError


@contextmanager
def new_archive(path: Path) -> Iterator[zipfile.ZipFile]:
    """A zip file to fill; it stands under its name once it is whole.

    Raises:
        StoreError: there is a file of that name already, or it cannot be written.
    """
    if path.exists():
        raise StoreError(f"{path}: is there already and is left as it is. Choose another name.")
    temporary = path.with_name(f".{path.name}.{secrets.token_hex(4)}.tmp")
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        handle = os.open(temporary, os.O_RDWR | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o600)
        with os.fdopen(handle, "w+b") as file:
            with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
                yield archive
            file.flush()
            os.fsync(file.fileno())
        os.replace(temporary, path)
    except OSError as error:
        raise StoreError(f"{path}: cannot be written: {error.strerror}.") from error
    finally:
        with suppress(OSError):
            temporary.unlink(missing_ok=True)
