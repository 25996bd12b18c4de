"""Who asks for what: the functions of the package that ask an edition for a name, read from the sources themselves."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from functools import lru_cache
from importlib.resources import files
from importlib.resources.abc import Traversable

from driploop.editions.lookup import common_table_names, edition_names, load_edition

#: Calls whose string arguments are names of an edition's entries.
_ASKING = frozenset({"value", "number", "table", "section", "has", "known", "entry", "common_table", "by_size"})


@lru_cache(maxsize=1)
def _usage() -> dict[str, tuple[str, ...]]:
    known = {name for edition in edition_names() for name in load_edition(edition).names()} | set(common_table_names())
    askers: dict[str, set[str]] = {}
    for module, source in _modules(files("driploop"), "driploop"):
        for name, asker in _asked(ast.parse(source), module):
            if name in known:
                askers.setdefault(name, set()).add(asker)
    return {name: tuple(sorted(askers[name])) for name in sorted(askers)}


def asked_by() -> dict[str, tuple[str, ...]]:
    """For each name that is asked for: the functions that ask, as ``driploop.loads.optional.optional_load``.

    A name is found where it stands as a string in the arguments of a call such as ``edition.number("...")``; a name
    nobody asks for is not among the keys. Names that are put together at run time cannot be seen.
    """
    return dict(_usage())


def _modules(folder: Traversable, package: str) -> Iterator[tuple[str, str]]:
    for item in sorted(folder.iterdir(), key=lambda item: item.name):
        if item.is_dir():
            yield from _modules(item, f"{package}.{item.name}")
        elif item.name.endswith(".py"):
            stem = item.name.removesuffix(".py")
            yield (package if stem == "__init__" else f"{package}.{stem}"), item.read_text(encoding="utf-8")


def _asked(node: ast.AST, where: str) -> Iterator[tuple[str, str]]:
    """(string, dotted place) of every string in the arguments of an asking call below ``node``."""
    for child in ast.iter_child_nodes(node):
        inner = where
        if isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            inner = f"{where}.{child.name}"
        elif isinstance(child, ast.Call) and _called(child.func) in _ASKING:
            for argument in child.args:
                for part in ast.walk(argument):
                    if isinstance(part, ast.Constant) and isinstance(part.value, str):
                        yield part.value, where
        yield from _asked(child, inner)


def _called(function: ast.expr) -> str:
    if isinstance(function, ast.Attribute):
        return function.attr
    return function.id if isinstance(function, ast.Name) else ""
