"""An invented shop for the tests: two people, a job, photographs as a telephone makes them."""

from __future__ import annotations

import io

from PIL import Image

from driploop.store import Who

ADA, BEN = Who("Ada Quill"), Who("Ben Fern")
JOB = """format = 1
# A survey of the tests; every name is invented.

[job]
title = "Lane house"          # as on the sign
number = "D-001"
customer = "The people of the lane"
address = "3 Ladder Lane"

[town]
name = "Upper Quillby"
edition = "NEC 2023"

[buildings.house]
name = "House"
use = "dwelling"
floor_area_ft2 = 1450  # paced outside

[equipment.meter]
name = "Meter"
kind = "meter"
building = "house"

[equipment.panel]
name = "Panel"
kind = "panel"
building = "house"

[runs.service]
from = "meter"
to = "panel"

# The range is the first to go.
[circuits.range]
from = "panel"
name = "Range"
ocpd_a = 40            # read off the fuse

[circuits.lights]
from = "panel"
name = "Lights"
"""


def picture(
    *, kind: str = "JPEG", size: tuple[int, int] = (640, 480), turned: int = 1, place: bool = True, colour: str = "teal"
) -> bytes:
    """A photograph as a telephone makes it: left half coloured, with where it was taken."""
    image = Image.new("RGB", size, "white")
    image.paste(colour, (0, 0, size[0] // 2, size[1]))
    exif = Image.Exif()
    if turned != 1:
        exif[0x0112] = turned
    if place:
        exif[0x010F] = "Invented camera"
        exif.get_ifd(0x8825).update({1: "N", 2: (45.0, 1.0, 2.0), 3: "W", 4: (93.0, 3.0, 4.0)})
    buffer = io.BytesIO()
    image.save(buffer, kind, exif=exif, **({"lossless": True} if kind == "WEBP" else {}))
    return buffer.getvalue()
