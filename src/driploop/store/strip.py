"""A picture's file without what a camera wrote of place, time and owner: the points stay as they are, bit for bit.

Only the parts of the file that show the picture are kept: what is not known to be needed is left out, and so is
whatever hangs behind its end, where some cameras put a film or a second picture with its own place.
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Iterator

#: A marker in the coded points of a JPEG file that is neither filling nor a restart.
_NEXT_MARKER = re.compile(rb"\xff+[^\x00\xff\xd0-\xd7]", re.DOTALL)
_END, _SCAN = 0xD9, 0xDA
_PNG_HEAD = b"\x89PNG\r\n\x1a\n"
_PNG_KEPT = frozenset(
    {b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"gAMA", b"cHRM", b"sRGB", b"iCCP", b"sBIT", b"pHYs", b"bKGD"}
)
_WEBP_KEPT = frozenset({b"VP8 ", b"VP8L", b"VP8X", b"ALPH", b"ANIM", b"ANMF", b"ICCP"})
_WEBP_EXIF, _WEBP_XMP = 0x08, 0x04


def stripped(content: bytes, kind: str, *, turned: int) -> bytes:
    """The file of a picture with nothing but the picture and which side is up.

    Args:
        content: a file that could be opened.
        kind: "JPEG", "PNG" or "WEBP".
        turned: which side is up, 1 to 8 as EXIF tells it.

    Raises:
        ValueError: the parts of the file do not follow each other as its kind asks.
    """
    exif = _exif(turned) if turned != 1 else b""
    return {"JPEG": _jpeg, "PNG": _png, "WEBP": _webp}[kind](content, exif)


def _exif(turned: int) -> bytes:
    """A TIFF block that tells the orientation (tag 0x0112, one short) and nothing else."""
    return b"MM\x00*\x00\x00\x00\x08\x00\x01\x01\x12\x00\x03\x00\x00\x00\x01" + bytes([0, turned]) + bytes(6)


def _jpeg(content: bytes, exif: bytes) -> bytes:
    kept = [b"\xff\xd8"]
    if exif:
        kept.append(_jpeg_segment(0xE1, b"Exif\0\0" + exif))
    at = 2
    while True:
        if at >= len(content) or content[at] != 0xFF:
            raise ValueError("a part of the file does not begin where the one before ends")
        while content[at : at + 1] == b"\xff":
            at += 1
        marker = content[at] if at < len(content) else _END
        if marker == _END:
            return b"".join([*kept, b"\xff\xd9"])
        at += 1
        length = int.from_bytes(content[at : at + 2], "big")
        segment = content[at + 2 : at + length]
        if length < 2 or len(segment) != length - 2:
            raise ValueError("a part of the file is cut off")
        at += length
        if _jpeg_needed(marker, segment):
            kept.append(_jpeg_segment(marker, segment))
        if marker == _SCAN:
            following = _NEXT_MARKER.search(content, at)
            end = following.start() if following else len(content)
            kept.append(content[at:end])
            if not following:
                return b"".join([*kept, b"\xff\xd9"])
            at = end


def _jpeg_segment(marker: int, segment: bytes) -> bytes:
    return bytes([0xFF, marker]) + (len(segment) + 2).to_bytes(2, "big") + segment


def _jpeg_needed(marker: int, segment: bytes) -> bool:
    """Tables, frames and scans; of the application's parts those that say how the colours are meant."""
    if marker == 0xFE:  # a comment
        return False
    if 0xE0 <= marker <= 0xEF:
        known = {0xE0: b"JFIF\0", 0xE2: b"ICC_PROFILE\0", 0xEE: b"Adobe"}
        return marker in known and segment.startswith(known[marker])
    return True


def _png(content: bytes, exif: bytes) -> bytes:
    kept = [_PNG_HEAD]
    at = len(_PNG_HEAD)
    while at < len(content):
        length = int.from_bytes(content[at : at + 4], "big")
        name, chunk = content[at + 4 : at + 8], content[at : at + 12 + length]
        if len(chunk) != 12 + length:
            raise ValueError("a part of the file is cut off")
        if name in _PNG_KEPT:
            kept.append(chunk)
        if name == b"IHDR" and exif:
            crc = zlib.crc32(b"eXIf" + exif).to_bytes(4, "big")
            kept.append(len(exif).to_bytes(4, "big") + b"eXIf" + exif + crc)
        if name == b"IEND":
            break
        at += len(chunk)
    return b"".join(kept)


def _webp(content: bytes, exif: bytes) -> bytes:
    kept = []
    for name, chunk in _webp_chunks(content):
        if name == b"VP8X":
            flags = chunk[0] & ~(_WEBP_EXIF | _WEBP_XMP) | (_WEBP_EXIF if exif else 0)
            chunk = bytes([flags]) + chunk[1:]
        if name in _WEBP_KEPT:
            kept.append(_webp_chunk(name, chunk))
    if exif and kept and kept[0].startswith(b"VP8X"):  # a file without that part cannot tell, and was never turned
        kept.append(_webp_chunk(b"EXIF", exif))
    body = b"WEBP" + b"".join(kept)
    return b"RIFF" + len(body).to_bytes(4, "little") + body


def _webp_chunks(content: bytes) -> Iterator[tuple[bytes, bytes]]:
    at, end = 12, min(len(content), 8 + int.from_bytes(content[4:8], "little"))
    while at + 8 <= end:
        length = int.from_bytes(content[at + 4 : at + 8], "little")
        chunk = content[at + 8 : at + 8 + length]
        if len(chunk) != length or (content[at : at + 4] == b"VP8X" and length < 10):
            raise ValueError("a part of the file is cut off")
        yield content[at : at + 4], chunk
        at += 8 + length + length % 2


def _webp_chunk(name: bytes, chunk: bytes) -> bytes:
    return name + len(chunk).to_bytes(4, "little") + chunk + bytes(len(chunk) % 2)
