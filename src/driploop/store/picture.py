"""Opening a picture that a stranger sent: by its content, within limits, and refused in words."""

from __future__ import annotations

import io
import warnings
from dataclasses import dataclass
from typing import TYPE_CHECKING

from driploop.store.errors import StoreError
from driploop.store.strip import stripped

if TYPE_CHECKING:
    from PIL.Image import Image as Picture

#: What a phone takes, by the name Pillow gives it: ending and media type.
KINDS = {"JPEG": ("jpg", "image/jpeg"), "PNG": ("png", "image/png"), "WEBP": ("webp", "image/webp")}
LARGEST_BYTES = 25_000_000
#: Points of the largest picture: JPEG is opened at a smaller size straight away, the others take memory for each point.
LARGEST_POINTS = {"JPEG": 120_000_000, "PNG": 40_000_000, "WEBP": 40_000_000}
#: Longest side of the picture for the page, and of its thumbnail. [px]
PAGE_PX, THUMBNAIL_PX = 1600, 320
_ORIENTATION = 0x0112


@dataclass(frozen=True, slots=True)
class Prepared:
    """A picture ready to be kept. ``width`` and ``height`` are those of the original, upright. [px]"""

    kind: str
    width: int
    height: int
    original: bytes
    page: bytes
    thumbnail: bytes


def prepared(content: bytes, *, keep_place: bool) -> Prepared:
    """Check a picture by its content, turn it upright, make it small.

    Args:
        content: the file as it came.
        keep_place: leave the original as it came, with what the camera wrote of the place.

    Raises:
        StoreError: it is no picture of a kind that is taken, is broken, or too large.
    """
    if len(content) > LARGEST_BYTES:
        raise StoreError(
            f"The photograph has {len(content) / 1e6:.0f} MB; at most {LARGEST_BYTES / 1e6:.0f} MB are taken. "
            "Send it smaller."
        )
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # what a decoder finds odd but can read is no matter for the log
            return _prepared(content, keep_place=keep_place)
    except StoreError:
        raise
    except Exception as error:  # decoders meet whatever a stranger sends, and raise whatever they stumble over
        if "truncated" in str(error):
            raise StoreError("The photograph is cut off: part of its file is missing. Send it again.") from None
        raise StoreError(
            f"This file is no photograph that can be opened. Taken are: {', '.join(KINDS)}. "
            "A telephone that takes others can be set to take JPEG."
        ) from None


def _prepared(content: bytes, *, keep_place: bool) -> Prepared:
    from PIL import Image

    with Image.open(io.BytesIO(content), formats=tuple(KINDS)) as image:
        # A JPEG file with a second picture behind the first goes by another name; the first is what is meant.
        kind = image.format if image.format in KINDS else "JPEG"
        width, height = image.size
        most = LARGEST_POINTS[kind]
        if width * height > most:
            raise StoreError(
                f"The photograph has {width} by {height} points; at most {most / 1e6:.0f} million are taken. "
                "Send it smaller."
            )
        turned = _turned(image)
        image.draft("RGB", (PAGE_PX, PAGE_PX))
        image.load()
        page = _upright(_on_white(image), turned)
    page.thumbnail((PAGE_PX, PAGE_PX))
    original = content if keep_place else stripped(content, kind, turned=turned)
    small = page.copy()
    small.thumbnail((THUMBNAIL_PX, THUMBNAIL_PX))
    if turned >= 5:  # lies on its side
        width, height = height, width
    return Prepared(kind, width, height, original, _as_jpeg(page), _as_jpeg(small))


def _turned(image: Picture) -> int:
    """Which side is up, 1 to 8; 1 where the file tells nothing that can be read."""
    try:
        turned = image.getexif().get(_ORIENTATION, 1)
    except Exception:  # a block of EXIF can be wrong in every way there is, and the picture still be good
        return 1
    return turned if isinstance(turned, int) and 1 <= turned <= 8 else 1


def _on_white(image: Picture) -> Picture:
    from PIL import Image

    if image.mode in ("RGBA", "LA", "PA") or "transparency" in image.info:
        clear = image.convert("RGBA")
        clear.thumbnail((PAGE_PX, PAGE_PX))
        white = Image.new("RGBA", clear.size, "white")
        return Image.alpha_composite(white, clear).convert("RGB")
    return image.convert("RGB")


def _upright(image: Picture, turned: int) -> Picture:
    from PIL.Image import Transpose

    turns = {
        2: Transpose.FLIP_LEFT_RIGHT,
        3: Transpose.ROTATE_180,
        4: Transpose.FLIP_TOP_BOTTOM,
        5: Transpose.TRANSPOSE,
        6: Transpose.ROTATE_270,
        7: Transpose.TRANSVERSE,
        8: Transpose.ROTATE_90,
    }
    image.thumbnail((PAGE_PX, PAGE_PX))
    return image.transpose(turns[turned]) if turned in turns else image


def _as_jpeg(image: Picture) -> bytes:
    buffer = io.BytesIO()
    image.save(buffer, "JPEG", quality=82, optimize=True)
    return buffer.getvalue()
