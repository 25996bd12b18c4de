"""Writes how wide the shipped font's characters are, so that drawings can keep labels off lines without a font library.

    python scripts/font_widths.py            writes src/driploop/drawings/widths.json
    python scripts/font_widths.py --check    fails when that file is not what the fonts say

Reads the tables `head`, `hhea`, `hmtx`, `name` and `cmap` (format 4 and 12) of an OpenType file; standard library only.
"""

from __future__ import annotations

import json
import struct
import sys
from pathlib import Path

PACKAGE = Path(__file__).resolve().parents[1] / "src" / "driploop"
FONTS = PACKAGE / "documents" / "fonts"
TARGET = PACKAGE / "drawings" / "widths.json"
STYLES = {"regular": "SourceSans3-Regular.otf", "bold": "SourceSans3-Bold.otf", "italic": "SourceSans3-It.otf"}

ASCII = "".join(map(chr, range(0x20, 0x7F)))
LATIN = "".join(map(chr, range(0xA0, 0x180)))
SYMBOLS = "½¼¾⅓⅔⅛⅜⅝⅞×÷±−Ω°²³→←↑↓≥≤≠≈–—‘’“”′″•·…§µ√Δφ✓✗□☐☑■●○△▲"
CHARACTERS = "".join(dict.fromkeys(ASCII + LATIN + SYMBOLS))


class Font:
    """One OpenType file, read far enough to tell how wide each character is."""

    def __init__(self, path: Path) -> None:
        self.data = path.read_bytes()
        count = struct.unpack_from(">H", self.data, 4)[0]
        records = (struct.unpack_from(">4sIII", self.data, 12 + 16 * i) for i in range(count))
        self.start = {tag.decode(): offset for tag, _, offset, _ in records}
        self.units_per_em: int = struct.unpack_from(">H", self.data, self.start["head"] + 18)[0]
        self.full_widths: int = struct.unpack_from(">H", self.data, self.start["hhea"] + 34)[0]
        self.glyphs = self._glyphs()

    def name(self, wanted: int) -> str:
        """A string of the name table, such as 5, the version."""
        base = self.start["name"]
        _, count, strings = struct.unpack_from(">HHH", self.data, base)
        for i in range(count):
            platform, _, _, name, length, offset = struct.unpack_from(">6H", self.data, base + 6 + 12 * i)
            if (platform, name) == (3, wanted):
                first = base + strings + offset
                return self.data[first : first + length].decode("utf-16-be")
        raise KeyError(f"the font has no name {wanted}")

    def width(self, character: str) -> int | None:
        """How far this character moves the pen [1/1000 of the type size], None where the font has none."""
        glyph = self.glyphs.get(ord(character))
        if glyph is None:
            return None
        entry = min(glyph, self.full_widths - 1)
        advance: int = struct.unpack_from(">H", self.data, self.start["hmtx"] + 4 * entry)[0]
        return round(advance * 1000 / self.units_per_em)

    def _glyphs(self) -> dict[int, int]:
        base = self.start["cmap"]
        count = struct.unpack_from(">H", self.data, base + 2)[0]
        offsets = {struct.unpack_from(">HHI", self.data, base + 4 + 8 * i)[2] for i in range(count)}
        found: dict[int, int] = {}
        for offset in sorted(offsets):
            table = base + offset
            form = struct.unpack_from(">H", self.data, table)[0]
            if form == 4:
                found |= self._format_4(table)
            elif form == 12:
                found |= self._format_12(table)
        return found

    def _format_4(self, table: int) -> dict[int, int]:
        segments = struct.unpack_from(">H", self.data, table + 6)[0] // 2
        ends, starts, deltas, ranges = (
            struct.unpack_from(f">{segments}H", self.data, table + at)
            for at in (14, 16 + 2 * segments, 16 + 4 * segments, 16 + 6 * segments)
        )
        glyphs: dict[int, int] = {}
        for i, (first, last, delta, offset) in enumerate(zip(starts, ends, deltas, ranges, strict=True)):
            for code in range(first, min(last, 0xFFFE) + 1):
                glyph = code
                if offset:
                    place = table + 16 + 6 * segments + 2 * i + offset + 2 * (code - first)
                    glyph = struct.unpack_from(">H", self.data, place)[0]
                    if glyph == 0:
                        continue
                glyphs[code] = (glyph + delta) % 0x10000
        return {code: glyph for code, glyph in glyphs.items() if glyph}

    def _format_12(self, table: int) -> dict[int, int]:
        count = struct.unpack_from(">I", self.data, table + 12)[0]
        groups = (struct.unpack_from(">III", self.data, table + 16 + 12 * i) for i in range(count))
        return {first + n: glyph + n for first, last, glyph in groups for n in range(last - first + 1)}


def widths() -> str:
    """The file's text: one line a style, characters in order of their code."""
    fonts = {style: Font(FONTS / file) for style, file in STYLES.items()}
    regular = fonts["regular"]
    lines = [
        f'  "font": {json.dumps(regular.name(1))}',
        f'  "version": {json.dumps(regular.name(5).split(";")[0])}',
        '  "unit": "1/1000 of the type size"',
    ]
    for style, font in fonts.items():
        table = {character: font.width(character) for character in sorted(CHARACTERS)}
        known = {character: width for character, width in table.items() if width is not None}
        lines.append(f'  "{style}": {json.dumps(known, ensure_ascii=False, separators=(", ", ": "))}')
    return "{\n" + ",\n".join(lines) + "\n}\n"


def main() -> int:
    """Write the widths, or with --check compare them."""
    if "--check" not in sys.argv[1:]:
        TARGET.write_text(widths(), encoding="utf-8")
        return 0
    if TARGET.read_text(encoding="utf-8") == widths():
        return 0
    print("drawings/widths.json is not what the fonts say; run: python scripts/font_widths.py", file=sys.stderr)
    return 1


if __name__ == "__main__":
    sys.exit(main())
