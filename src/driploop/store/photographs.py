"""Photographs by item: checked by content, turned upright, made small for the page, without the place they were taken.

Files are named by the digest of what was uploaded, so that the same picture is kept once.
"""

from __future__ import annotations

import hashlib
import io
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import Connection, delete, insert, select
from sqlalchemy.exc import IntegrityError

from driploop.store.engine import Store
from driploop.store.errors import NotThereError, StoreError
from driploop.store.jobs import new_id, now, read_stored
from driploop.store.results import Photograph, Who
from driploop.store.tables import photographs
from driploop.survey.write import write_atomic

if TYPE_CHECKING:
    from PIL.Image import Image as Picture

#: What a phone takes, by the name Pillow gives it: ending and media type.
KINDS = {"JPEG": ("jpg", "image/jpeg"), "PNG": ("png", "image/png"), "WEBP": ("webp", "image/webp")}
LARGEST_BYTES = 25_000_000
LARGEST_PIXELS = 80_000_000
#: Longest side of the picture for the page, and of its thumbnail. [px]
PAGE_PX, THUMBNAIL_PX = 1600, 320
_ORIGINAL, _PAGE, _THUMBNAIL = "original", "page", "thumbnail"
SIZES = (_ORIGINAL, _PAGE, _THUMBNAIL)


def add_photograph(
    store: Store, job: str, item: str, content: bytes, *, who: Who, caption: str = "", keep_place: bool = False
) -> Photograph:
    """Keep a photograph of one item of a job.

    Args:
        job: id of the job.
        item: path of the item in the job file, as ``equipment.meter``.
        content: the file as it came.
        keep_place: keep where it was taken in the original; the smaller pictures never tell.

    Raises:
        NotThereError: there is no such job.
        StoreError: it is no picture of a kind that is taken, or too large.
    """
    read_stored(store, job)
    kind, image = _opened(content)
    original = content if keep_place else _without_place(content, kind)
    digest = hashlib.sha256(content).hexdigest()
    upright = _upright(image)
    files = {_ORIGINAL: original, _PAGE: _smaller(upright, PAGE_PX), _THUMBNAIL: _smaller(upright, THUMBNAIL_PX)}
    for size, written in files.items():
        path = file_of(store, digest, size, kind=kind)
        path.parent.mkdir(parents=True, exist_ok=True)
        write_atomic(path, written)
    photograph = Photograph(
        new_id(), job, item, caption.strip(), digest, kind, upright.width, upright.height, len(original), who.name,
        now(),
    )  # fmt: skip
    fields = Photograph.__dataclass_fields__
    try:
        with store.writing() as connection:
            connection.execute(insert(photographs).values({name: getattr(photograph, name) for name in fields}))
    except IntegrityError:
        same = [p for p in photographs_of(store, job) if (p.item, p.digest) == (item, digest)]
        if not same:
            raise NotThereError("The job was deleted meanwhile.") from None
        return same[0]
    return photograph


def photographs_of(store: Store, job: str) -> tuple[Photograph, ...]:
    """The photographs of a job, by item, oldest first."""
    asked = select(photographs).where(photographs.c.job == job).order_by(photographs.c.item, photographs.c.at)
    with store.reading() as connection:
        return tuple(Photograph(**row) for row in connection.execute(asked).mappings())


def photograph_file(store: Store, job: str, id: str, size: str) -> tuple[Path, str]:
    """A photograph's file in one of ``SIZES``, with its media type. Raises NotThereError."""
    found = next((each for each in photographs_of(store, job) if each.id == id), None)
    if found is None or size not in SIZES:
        raise NotThereError("There is no such photograph; it may have been deleted.")
    path = file_of(store, found.digest, size, kind=found.kind)
    return path, KINDS[found.kind][1] if size == _ORIGINAL else "image/jpeg"


def delete_photograph(store: Store, job: str, id: str) -> None:
    """Delete a photograph, and its files where no other job shows the same. Raises NotThereError."""
    with store.writing() as connection:
        mine = (photographs.c.job == job) & (photographs.c.id == id)
        digest = connection.execute(select(photographs.c.digest).where(mine)).scalar_one_or_none()
        if digest is None:
            raise NotThereError("There is no such photograph; it may have been deleted.")
        connection.execute(delete(photographs).where(mine))
    drop_files(store, [digest])


def files_of(connection: Connection, job: str) -> list[str]:
    """Digests of the files of a job's photographs."""
    return list(connection.execute(select(photographs.c.digest).where(photographs.c.job == job)).scalars())


def drop_files(store: Store, digests: list[str]) -> None:
    """Delete the files of these digests that no photograph needs any more."""
    with store.reading() as connection:
        asked = select(photographs.c.digest).where(photographs.c.digest.in_(digests))
        needed = set(connection.execute(asked).scalars())
    for digest in set(digests) - needed:
        for path in _folder(store, digest).glob(f"{digest}.*"):
            path.unlink(missing_ok=True)


def file_of(store: Store, digest: str, size: str, *, kind: str) -> Path:
    """Where a picture stands."""
    return _folder(store, digest) / f"{digest}.{size}.{KINDS[kind][0] if size == _ORIGINAL else 'jpg'}"


def _folder(store: Store, digest: str) -> Path:
    return store.folder / "photographs" / digest[:2]


def _opened(content: bytes) -> tuple[str, Picture]:
    from PIL import Image, UnidentifiedImageError

    allowed = ", ".join(KINDS)
    if len(content) > LARGEST_BYTES:
        most = LARGEST_BYTES // 1_000_000
        raise StoreError(
            f"The photograph has {len(content) / 1e6:.0f} MB; at most {most} MB are taken. Send it smaller."
        )
    try:
        image = Image.open(io.BytesIO(content), formats=tuple(KINDS))
        if image.width * image.height > LARGEST_PIXELS:
            raise StoreError(f"The photograph is too large to open: {image.width} by {image.height} points.")
        image.load()
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError, Image.DecompressionBombError):
        raise StoreError(f"This file is no picture that can be opened. Taken are: {allowed}.") from None
    return str(image.format), image


def _upright(image: Picture) -> Picture:
    from PIL import ImageOps

    return ImageOps.exif_transpose(image).convert("RGB")


def _smaller(image: Picture, longest_px: int) -> bytes:
    small = image.copy()
    small.thumbnail((longest_px, longest_px))
    return _as_jpeg(small)


def _as_jpeg(image: Picture) -> bytes:
    buffer = io.BytesIO()
    image.save(buffer, "JPEG", quality=82, optimize=True)
    return buffer.getvalue()


def _without_place(content: bytes, kind: str) -> bytes:
    """The same picture, point for point where the kind allows, without what a camera wrote of place and owner."""
    from PIL import Image

    image = Image.open(io.BytesIO(content))
    exif = image.getexif()
    turned = exif.get(_ORIENTATION)
    exif.clear()
    if turned:
        exif[_ORIENTATION] = turned
    buffer = io.BytesIO()
    if kind == "JPEG":
        image.save(buffer, kind, quality="keep", exif=exif)
    elif kind == "PNG":
        image.info.clear()
        image.save(buffer, kind, exif=exif)
    else:
        image.save(buffer, kind, lossless=True, exif=exif)
    return buffer.getvalue()


#: The tag that says which side is up.
_ORIENTATION = 0x0112
