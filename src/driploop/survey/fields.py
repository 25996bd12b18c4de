"""What each key of a job file may hold, read from the models: one description for errors, schema and manual."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType, NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from driploop.installation.kinds import HORSEPOWER
from driploop.installation.sizes import SIZES, canonical_size

Kind = Literal["yes or no", "words", "whole number", "number", "text", "size", "list", "table", "parts", "rows"]

_PLAIN: dict[Any, Kind] = {bool: "yes or no", int: "whole number", float: "number", str: "text"}
#: Units as the end of a key tells them, longest ending first.
_UNITS = (
    ("ft2", "ft2", "square feet"),
    ("ft", "ft", "feet"),
    ("in", "in", "inches"),
    ("kva", "kVA", "kilovolt-amperes"),
    ("va", "VA", "volt-amperes"),
    ("kw", "kW", "kilowatts"),
    ("ka", "kA", "kiloamperes"),
    ("degrees", "°", "degrees"),
    ("ohm", "ohm", "ohms"),
    ("percent", "%", "percent"),
    ("minutes", "min", "minutes"),
    ("months", "months", "months"),
    ("days", "days", "days"),
    ("volts", "V", "volts"),
    ("c", "°C", "degrees Celsius"),
    ("f", "°F", "degrees Fahrenheit"),
    ("a", "A", "amperes"),
)


@dataclass(frozen=True, slots=True)
class Shape:
    """What a value may be. ``item`` is the shape of each item of a list or table, ``model`` that of parts by id,
    or of the rows of a list of tables."""

    kind: Kind
    words: tuple[str | int, ...] = ()
    low: float | None = None
    above: float | None = None
    high: float | None = None
    pattern: str | None = None
    item: Shape | None = None
    model: type[BaseModel] | None = None


@dataclass(frozen=True, slots=True)
class Key:
    """One key of a table of the job file."""

    name: str
    shape: Shape
    unit: str
    unit_words: str
    description: str

    @property
    def described(self) -> str:
        """What it is: the model's own words, else the key's name without its unit."""
        words = self.name
        for ending, unit, _ in _UNITS:
            if unit == self.unit and words.endswith(f"_{ending}"):
                words = words.removesuffix(f"_{ending}")
        return self.description or words.replace("_", " ")

    @property
    def allowed(self) -> str:
        """What may be written, in words."""
        return allowed_words(self.shape, self.unit_words)


@cache
def keys_of(model: type[BaseModel]) -> Mapping[str, Key]:
    """The keys a part's table may have, in the model's order. The id is the table's own name, so it is not a key."""
    keys = (_key(info.alias or name, info) for name, info in model.model_fields.items() if name != "id")
    return MappingProxyType({key.name: key for key in keys})


def allowed_words(shape: Shape, unit_words: str = "") -> str:
    """What a shape allows, in words for the person who writes the file."""
    if shape.kind == "yes or no":
        return "true or false"
    if shape.kind == "words":
        return ", ".join(quoted(word) for word in shape.words)
    if shape.kind == "size":
        return f"a conductor size: {SIZES[0]} to {SIZES[-1]}, as 14 AWG, 2/0 AWG or 250 kcmil"
    if shape.kind == "text":
        return f"text in quotes{_pattern_words(shape.pattern)}"
    if shape.item is not None and shape.kind == "list":
        return f'a list in square brackets, or "none"; each item: {allowed_words(shape.item)}'
    if shape.item is not None:
        return f"a table in braces, ids to values; each value: {allowed_words(shape.item, unit_words)}"
    if shape.kind == "parts":
        return "tables with ids"
    if shape.kind == "rows" and shape.model is not None:
        return f'a list of tables in braces, or "none"; each with: {", ".join(keys_of(shape.model))}'
    unit = f" of {unit_words}" if unit_words else ""
    return f"a {shape.kind}{unit}{_limits(shape)}"


def quoted(word: str | int) -> str:
    """A word as the file writes it: text in quotes, a number bare."""
    return f'"{word}"' if isinstance(word, str) else str(word)


def unit_of(key: str) -> tuple[str, str]:
    """Unit and unit in words that a key's ending tells, ``("", "")`` where it tells none."""
    for ending, unit, words in _UNITS:
        if key == ending or key.endswith(f"_{ending}"):
            return unit, words
    return "", ""


def _pattern_words(pattern: str | None) -> str:
    if pattern is None:
        return ""
    if pattern == HORSEPOWER:
        return ', as the tables write it: "1/2", "3", "7-1/2"'
    letters = pattern.strip("^$").strip("[]")
    return f": one capital letter, {letters[0]} to {letters[-1]}"


def _limits(shape: Shape) -> str:
    # Years are the only lower limits of four figures; a comma in a year reads wrong.
    style = ".0f" if shape.low is not None and shape.low >= 1000 else ",.0f"
    limits = [
        f", {before}{limit:{style}}{after}"
        for before, limit, after in (
            ("", shape.low, " or more"),
            ("above ", shape.above, ""),
            ("at most ", shape.high, ""),
        )
        if limit is not None
    ]
    return "".join(limits)


def _key(name: str, info: FieldInfo) -> Key:
    shape = _shape(info.annotation, info.metadata)
    numeric = shape.item if shape.kind == "table" and shape.item else shape
    measured = numeric.kind in ("number", "whole number") or (numeric.kind == "words" and _numbers(numeric.words))
    unit, words = unit_of(name) if measured else ("", "")
    return Key(name, shape, unit, words, info.description or "")


def _numbers(words: Iterable[str | int]) -> bool:
    return all(isinstance(word, int) for word in words)


def _shape(annotation: Any, metadata: Iterable[Any] = ()) -> Shape:
    origin, args = get_origin(annotation), get_args(annotation)
    if origin in (Union, UnionType):
        (known,) = (arg for arg in args if arg is not NoneType)
        return _shape(known, metadata)
    if origin is Annotated:
        return _shape(args[0], [*_flat(args[1:]), *metadata])
    if origin is Literal:
        return Shape("words", words=args)
    if origin is tuple and isinstance(args[0], type) and issubclass(args[0], BaseModel):
        return Shape("rows", model=args[0])
    if origin is tuple:
        return Shape("list", item=_shape(args[0]))
    if origin is dict and isinstance(args[1], type) and issubclass(args[1], BaseModel):
        return Shape("parts", model=args[1])
    if origin is dict:
        return Shape("table", item=_shape(args[1]))
    limits = list(metadata)
    if any(getattr(limit, "func", None) is canonical_size for limit in limits):
        return Shape("size")
    return Shape(
        _PLAIN[annotation],
        low=_first(limits, "ge"),
        above=_first(limits, "gt"),
        high=_first(limits, "le"),
        pattern=_first(limits, "pattern"),
    )


def _flat(metadata: Iterable[Any]) -> Iterable[Any]:
    for entry in metadata:
        if isinstance(entry, FieldInfo):
            yield from entry.metadata
        else:
            yield entry


def _first(limits: Iterable[Any], name: str) -> Any:
    return next((getattr(limit, name) for limit in limits if getattr(limit, name, None) is not None), None)
