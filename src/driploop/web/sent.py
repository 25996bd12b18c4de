"""A job file that somebody sends: read by its own marks, refused in plain words where it is no text."""

from __future__ import annotations

import codecs

from starlette.datastructures import UploadFile

from driploop.survey.write import migrated_text
from driploop.worksheet import DriploopError

#: The largest job file that is read: a farm of hundreds of circuits has a tenth of it. [bytes]
MOST_BYTES = 2_000_000
_MARKS = ((codecs.BOM_UTF8, "utf-8-sig"), (codecs.BOM_UTF16_LE, "utf-16"), (codecs.BOM_UTF16_BE, "utf-16"))


class NoJobFileError(DriploopError):
    """What was sent is no text of a job file."""


def sent_text(upload: object) -> str:
    """The text of a file that a form sent, in today's format.

    Raises:
        NoJobFileError: there is none, it is too large, or no text in UTF-8.
        JobFileError: it is text and no job file.
    """
    raw = upload.file.read(MOST_BYTES + 1) if isinstance(upload, UploadFile) else b""
    if not raw.strip():
        raise NoJobFileError("There was no file, or nothing in it. Choose a job file first.")
    if len(raw) > MOST_BYTES:
        raise NoJobFileError(f"The file is larger than {MOST_BYTES // 1_000_000} MB; it is no job file.")
    encoding = next((name for mark, name in _MARKS if raw.startswith(mark)), "utf-8")
    try:
        text = raw.decode(encoding)
    except UnicodeDecodeError:
        raise NoJobFileError(
            "The file is no text in UTF-8. In the editor it was written with, save it again as UTF-8."
        ) from None
    if "\0" in text:
        raise NoJobFileError("The file is no text. Choose the job file, which ends in .toml.")
    return migrated_text(text, name="the file")
