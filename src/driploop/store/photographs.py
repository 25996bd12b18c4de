"""Photographs by item: checked by content, turned upright, made small for the page, without the place they were taken.

Originals are kept in a folder of their own. Files are named by the photograph's id, which this program makes: nothing
that a person sends becomes part of a path.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Sequence
from contextlib import suppress
from datetime import timedelta
from pathlib import Path

from sqlalchemy import Connection, delete, insert, select
from sqlalchemy.exc import IntegrityError

from driploop.store.engine import Store
from driploop.store.errors import NotThereError, StoreError
from driploop.store.picture import KINDS, prepared
from driploop.store.records import Change, new_id, now, remember, stored
from driploop.store.results import Photograph, Who
from driploop.store.tables import leftovers, photographs
from driploop.survey.write import write_atomic

_ORIGINAL, _PAGE, _THUMBNAIL = "original", "page", "thumbnail"
SIZES = (_ORIGINAL, _PAGE, _THUMBNAIL)
FOLDERS = {_ORIGINAL: "originals", _PAGE: "photographs", _THUMBNAIL: "photographs"}
LONGEST_ITEM, LONGEST_CAPTION = 200, 1000
_ID = re.compile(r"[0-9a-f]{16}")
#: How photographs are called in the history.
_HISTORY = "@photograph."
#: No photograph takes this long to be written: what is unfinished after it was left by a crash.
_UNFINISHED = timedelta(hours=1)


def add_photograph(
    store: Store, job: str, item: str, content: bytes, *, who: Who, caption: str = "", keep_place: bool = False
) -> Photograph:
    """Keep a photograph of one item of a job. One that the item has already is handed out as it is.

    Args:
        job: id of the job.
        item: path of the item in the job file, as ``equipment.meter``.
        content: the file as it came.
        keep_place: keep where it was taken in the original; the smaller pictures never tell.

    Raises:
        NotThereError: there is no such job.
        StoreError: it is no picture of a kind that is taken, or too large; or there is no room for it.
    """
    item, caption = _item(item), caption.strip()
    if len(caption) > LONGEST_CAPTION:
        raise StoreError(f"The caption has {len(caption)} signs; at most {LONGEST_CAPTION} are kept.")
    digest = hashlib.sha256(content).hexdigest()
    with store.reading() as connection:
        stored(connection, job)
        if there := _same(connection, job, item, digest):
            return there
    picture = prepared(content, keep_place=keep_place)
    photograph = Photograph(
        new_id(), job, item, caption, digest, picture.kind, picture.width, picture.height, len(picture.original),
        who.name, now(),
    )  # fmt: skip
    with store.writing() as connection:
        connection.execute(insert(leftovers).values(photograph=photograph.id, job=job, at=now()))
    try:
        for size, written in ((_ORIGINAL, picture.original), (_PAGE, picture.page), (_THUMBNAIL, picture.thumbnail)):
            put_file(file_of(store, photograph, size), written)
        return _entered(store, photograph, who)
    except BaseException:
        drop_files(store, [(job, photograph.id)])
        raise


def photographs_of(store: Store, job: str) -> tuple[Photograph, ...]:
    """The photographs of a job, by item, oldest first."""
    asked = select(photographs).where(photographs.c.job == job)
    with store.reading() as connection:
        rows = connection.execute(asked.order_by(photographs.c.item, photographs.c.at, photographs.c.id)).mappings()
        return tuple(Photograph(**row) for row in rows)


def photograph_file(store: Store, job: str, id: str, size: str) -> tuple[Path, str]:
    """A photograph's file in one of ``SIZES``, with its media type. Raises NotThereError."""
    asked = select(photographs).where(photographs.c.job == job, photographs.c.id == id)
    with store.reading() as connection:
        row = connection.execute(asked).mappings().one_or_none()
    if row is None or size not in SIZES:
        raise NotThereError("There is no such photograph; it may have been deleted.")
    found = Photograph(**row)
    path = file_of(store, found, size)
    if not path.is_file():
        raise NotThereError("The file of this photograph is missing. It may be in a backup.")
    return path, KINDS[found.kind][1] if size == _ORIGINAL else "image/jpeg"


def delete_photograph(store: Store, job: str, id: str, *, who: Who) -> None:
    """Delete a photograph and its files. Raises NotThereError."""
    with store.writing() as connection:
        row = stored(connection, job, hold=True).row
        mine = (photographs.c.job == job) & (photographs.c.id == id)
        gone = connection.execute(select(photographs).where(mine)).one_or_none()
        if gone is None:
            raise NotThereError("There is no such photograph; it may have been deleted.")
        connection.execute(delete(photographs).where(mine))
        connection.execute(insert(leftovers).values(photograph=id, job=job, at=now()))
        past = Change(f"{_HISTORY}{gone.item}", {"id": id, "caption": gone.caption}, None)
        remember(connection, job, row.revision, now(), who, [past])
    drop_files(store, [(job, id)])


def give_up(connection: Connection, job: str) -> list[tuple[str, str]]:
    """Note the photographs of a job whose rows are about to go, so that their files go too, even after a crash."""
    ids = connection.execute(select(photographs.c.id).where(photographs.c.job == job)).scalars().all()
    if ids:
        connection.execute(insert(leftovers), [{"photograph": id, "job": job, "at": now()} for id in ids])
    return [(job, id) for id in ids]


def drop_leftovers(store: Store) -> int:
    """Delete the files that a crash left without a photograph. Returns how many photographs' they were."""
    with store.reading() as connection:
        asked = select(leftovers.c.job, leftovers.c.photograph).where(leftovers.c.at < now() - _UNFINISHED)
        found = [(job, id) for job, id in connection.execute(asked)]
    drop_files(store, found)
    return len(found)


def drop_files(store: Store, given_up: Sequence[tuple[str, str]]) -> None:
    """Delete the files of photographs that have no row, and forget that they were there."""
    for job, id in given_up:
        for folder in sorted(set(FOLDERS.values())):
            here = store.folder / folder / _safe(job)
            for path in here.glob(f"{_safe(id)}.*"):
                path.unlink(missing_ok=True)
    if given_up:
        with store.writing() as connection:
            connection.execute(delete(leftovers).where(leftovers.c.photograph.in_([id for _, id in given_up])))


def drop_folders(store: Store, job: str) -> None:
    """Take away the folders of a job that is gone, its files being gone already."""
    for folder in set(FOLDERS.values()):
        with suppress(OSError):
            (store.folder / folder / _safe(job)).rmdir()


def file_of(store: Store, photograph: Photograph, size: str) -> Path:
    """Where a picture stands."""
    ending = KINDS[photograph.kind][0] if size == _ORIGINAL else "jpg"
    name = f"{_safe(photograph.id)}.{ending}" if size == _ORIGINAL else f"{_safe(photograph.id)}.{size}.{ending}"
    return store.folder / FOLDERS[size] / _safe(photograph.job) / name


def put_file(path: Path, content: bytes) -> None:
    """Write a picture's file. Raises StoreError where there is no room or no right to."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        write_atomic(path, content)
    except OSError as error:
        raise StoreError(f"The photograph could not be kept: {error.strerror}. Nothing was changed.") from error


def _entered(store: Store, photograph: Photograph, who: Who) -> Photograph:
    """Enter a photograph whose files are written; where the same was entered meanwhile, that one stands."""
    values = {name: getattr(photograph, name) for name in Photograph.__dataclass_fields__}
    after = {"id": photograph.id, "caption": photograph.caption}
    try:
        with store.writing() as connection:
            row = stored(connection, photograph.job, hold=True).row
            connection.execute(insert(photographs).values(values))
            connection.execute(delete(leftovers).where(leftovers.c.photograph == photograph.id))
            past = Change(f"{_HISTORY}{photograph.item}", None, after)
            remember(connection, photograph.job, row.revision, photograph.at, who, [past])
    except IntegrityError:
        with store.reading() as connection:
            there = _same(connection, photograph.job, photograph.item, photograph.digest)
        if there is None:
            raise
        drop_files(store, [(photograph.job, photograph.id)])
        return there
    return photograph


def _same(connection: Connection, job: str, item: str, digest: str) -> Photograph | None:
    mine = (photographs.c.job == job) & (photographs.c.item == item) & (photographs.c.digest == digest)
    row = connection.execute(select(photographs).where(mine)).mappings().one_or_none()
    return None if row is None else Photograph(**row)


def _item(item: str) -> str:
    item = item.strip()
    if not 0 < len(item) <= LONGEST_ITEM or not item.isprintable() or not all(item.split(".")):
        raise StoreError("A photograph is of one item of the job: name it by its path, as equipment.meter.")
    return item


def _safe(id: str) -> str:
    if not _ID.fullmatch(id):
        raise StoreError("This is not the id of a job or photograph.")
    return id
