"""Which facts a piece of the program may read: the names in its code, and in the code it calls.

An answer is tried only on what can read it. A name that only looks like a field costs a moment; one that is missed
would cost the truth, so everything reachable counts, words in texts and tables too.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cache, cached_property
from importlib import import_module
from types import CodeType, FunctionType, ModuleType
from typing import Any

from driploop.rules import Readings

_OURS = "driploop"
#: Readings that are made when they are asked for: a name of one leads into its stage.
_LATE = {name: held for name, held in vars(Readings).items() if isinstance(held, cached_property | property)}


@dataclass(frozen=True, slots=True)
class _Code:
    """What one function or class itself holds: names, words in its texts and tables, and what it leads to."""

    names: frozenset[str]
    words: frozenset[str]
    leads_to: tuple[FunctionType | type, ...]


@cache
def names_reached(start: Callable[..., Any], *, words: bool = True) -> frozenset[str]:
    """Every name of an attribute in a function's code and in all of this program that it calls.

    Args:
        start: the function, or a class for all that it can do.
        words: also every word in its texts and tables, as ``getattr`` may use them. Without them, what a function
            only hands on by name is left out.
    """
    first = start if isinstance(start, type) else _function(start)
    reached = {first} if first is not None else set()
    waiting = list(reached)
    while waiting:
        for led in _code_of(waiting.pop()).leads_to:
            if led not in reached:
                reached.add(led)
                waiting.append(led)
    codes = [_code_of(each) for each in reached]
    names = frozenset[str]().union(*(code.names for code in codes))
    return names.union(*(code.words for code in codes)) if words else names


@cache
def _code_of(start: FunctionType | type) -> _Code:
    """Read once, however many rules and stages come by here."""
    names: set[str] = set()
    words: set[str] = set()
    leads_to: list[FunctionType | type] = []
    seen: set[int] = set()
    waiting: list[Any] = list(_members(start) if isinstance(start, type) else _called(start, names))
    while waiting:
        here = waiting.pop()
        if id(here) in seen:
            continue
        seen.add(id(here))
        if isinstance(here, str):
            words.add(here)
        elif isinstance(here, tuple | list | frozenset | set):
            waiting.extend(here)
        elif isinstance(here, dict):
            waiting.extend((*here, *here.values()))
        elif isinstance(here, type):
            leads_to.append(here)
        elif (inner := _function(here)) is not None:
            leads_to.append(inner)
    return _Code(frozenset(names), frozenset(words), tuple(dict.fromkeys(leads_to)))


def _function(here: Any) -> FunctionType | None:
    """The plain function in a cached, bound or property-wrapped one; None for anything that is not ours to read."""
    for inside in ("__func__", "fget", "func", "__wrapped__"):
        here = getattr(here, inside, here)
    return here if isinstance(here, FunctionType) and here.__module__.startswith(_OURS) else None


def _members(kind: type) -> Iterator[Any]:
    if kind.__module__.startswith(_OURS):
        yield from vars(kind).values()


def _called(function: FunctionType, names: set[str]) -> Iterator[Any]:
    """What a function's code names: what it calls and holds, while its own words go to ``names``."""
    held = [cell.cell_contents for cell in function.__closure__ or () if _is_filled(cell)]
    yield from held
    yield from function.__defaults__ or ()
    for code in _codes(function.__code__):
        names.update(code.co_names)
        yield from (each for each in code.co_consts if isinstance(each, str | tuple | frozenset))
        for name in code.co_names:
            if name in _LATE:
                yield _LATE[name]
            if name.startswith(f"{_OURS}."):  # imported where it is used
                yield from _members_named(import_module(name), code.co_names)
            found = function.__globals__.get(name)
            if isinstance(found, ModuleType):
                yield from _members_named(found, code.co_names)
            elif found is not None:
                yield found


def _members_named(module: ModuleType, wanted: Iterable[str]) -> Iterator[Any]:
    if module.__name__.startswith(_OURS):
        yield from (getattr(module, name) for name in wanted if hasattr(module, name))


def _codes(code: CodeType) -> Iterator[CodeType]:
    yield code
    for inside in code.co_consts:
        if isinstance(inside, CodeType):
            yield from _codes(inside)


def _is_filled(cell: Any) -> bool:
    try:
        cell.cell_contents  # noqa: B018
    except ValueError:
        return False
    return True
