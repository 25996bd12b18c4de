"""Where each table and key of a TOML text stands: for the line number of a fault and for small edits in place.

The text must already be valid TOML; this only finds places, it judges nothing.
"""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass, field

Path = tuple[str, ...]

_SPACE = re.compile(r"(?:[ \t\r\n]+|#[^\n]*)*")
_BLANK = re.compile(r"[ \t]*")
_BARE = re.compile(r"[A-Za-z0-9_-]+")
_SCALAR = re.compile(r"[^,\]}#\r\n]+")
_STRINGS = (
    re.compile(r'"""(?:\\[\s\S]|"{1,2}(?!")|[^"\\]+)*"{3,5}'),
    re.compile(r"'''(?:'{1,2}(?!')|[^']+)*'{3,5}"),
    re.compile(r'"(?:\\.|[^"\\\n]+)*"'),
    re.compile(r"'[^'\n]*'"),
)


@dataclass(frozen=True, slots=True)
class Place:
    """Where one key stands. Offsets count characters of the text; ``block`` is the table header it stands under."""

    key_start: int
    value_start: int
    value_end: int
    block: int
    inline: bool


@dataclass(slots=True)
class Block:
    """A table header with the keys under it. ``start`` is the header's line, ``end`` is past its last key's line."""

    path: Path
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Places:
    """All places of one text. Paths are keys from the top of the file; items of lists are counted from 0."""

    keys: Mapping[Path, Place]
    blocks: tuple[Block, ...]
    _line_starts: tuple[int, ...] = field(repr=False)

    def line_at(self, offset: int) -> int:
        """The line of an offset, counted from 1."""
        return bisect_right(self._line_starts, offset)

    def line(self, path: Path) -> int | None:
        """The line of a key or table, or of the nearest thing around it that is written; None when nothing is."""
        for length in range(len(path), 0, -1):
            offset = self._offset(path[:length])
            if offset is not None:
                return self.line_at(offset)
        return None

    def _offset(self, path: Path) -> int | None:
        if path in self.keys:
            return self.keys[path].key_start
        headers = [block.start for block in self.blocks[1:] if block.path[: len(path)] == path]
        exact = [block.start for block in self.blocks[1:] if block.path == path]
        dotted = [place.key_start for key, place in self.keys.items() if key[: len(path)] == path]
        return next(iter(exact or sorted(headers + dotted)), None)


def find_places(text: str) -> Places:
    """The places of a valid TOML text."""
    return _Scanner(text).scan()


class _Scanner:
    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.keys: dict[Path, Place] = {}
        self.blocks = [Block((), 0, 0)]
        self.list_counts: dict[Path, int] = {}

    def scan(self) -> Places:
        self._skip(_SPACE)
        while self.at < len(self.text):
            if self.text[self.at] == "[":
                self._header()
            else:
                self._key_value(self.blocks[-1].path, inline=False)
            self.blocks[-1].end = self._line_end(self.at)
            self._skip(_SPACE)
        starts = (0, *(match.end() for match in re.finditer("\n", self.text)))
        return Places(self.keys, tuple(self.blocks), starts)

    def _skip(self, pattern: re.Pattern[str]) -> None:
        match = pattern.match(self.text, self.at)
        self.at = match.end() if match else self.at

    def _line_end(self, offset: int) -> int:
        end = self.text.find("\n", offset)
        return len(self.text) if end < 0 else end + 1

    def _header(self) -> None:
        start = self.at
        double = self.text.startswith("[[", start)
        self.at += 2 if double else 1
        path = self._key()
        self.at += 2 if double else 1
        if double:
            count = self.list_counts.get(path, 0)
            self.list_counts[path] = count + 1
            path = (*path, str(count))
        self.blocks.append(Block(path, self.text.rfind("\n", 0, start) + 1, start))

    def _key(self) -> Path:
        parts: list[str] = []
        while True:
            self._skip(_BLANK)
            parts.append(self._key_part())
            self._skip(_BLANK)
            if not self.text.startswith(".", self.at):
                return tuple(parts)
            self.at += 1

    def _key_part(self) -> str:
        quote = self.text[self.at]
        if quote not in "\"'":
            return self._take(_BARE)
        written = self._take(_STRINGS[2 if quote == '"' else 3])
        return written[1:-1] if quote == "'" else str(tomllib.loads(f"k = {written}")["k"])

    def _take(self, pattern: re.Pattern[str]) -> str:
        match = pattern.match(self.text, self.at)
        if match is None:
            raise ValueError(f"not valid TOML at offset {self.at}")
        self.at = match.end()
        return match.group()

    def _key_value(self, above: Path, *, inline: bool) -> None:
        start = self.at
        path = (*above, *self._key())
        self.at += 1  # the equals sign
        self._skip(_BLANK)
        value_start = self.at
        self._value(path)
        self.keys[path] = Place(start, value_start, self.at, len(self.blocks) - 1, inline)

    def _value(self, path: Path) -> None:
        first = self.text[self.at]
        if first == "{":
            self._members("}", path)
        elif first == "[":
            self._members("]", path)
        elif first in "\"'":
            for pattern in _STRINGS:
                if match := pattern.match(self.text, self.at):
                    self.at = match.end()
                    return
        else:
            self.at += len(self._take(_SCALAR).rstrip())

    def _members(self, closing: str, path: Path) -> None:
        """The keys of an inline table, or the items of a list."""
        self.at += 1
        count = 0
        self._skip(_SPACE)
        while self.text[self.at] != closing:
            if closing == "}":
                self._key_value(path, inline=True)
            else:
                start = self.at
                self._value((*path, str(count)))
                self.keys[(*path, str(count))] = Place(start, start, self.at, len(self.blocks) - 1, True)
            count += 1
            self._skip(_SPACE)
            if self.text[self.at] == ",":
                self.at += 1
                self._skip(_SPACE)
        self.at += 1
