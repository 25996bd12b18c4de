"""Folders import one way only, and the calculating core needs nothing but the standard library and pydantic."""

from __future__ import annotations

import ast
import re
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

PACKAGE = Path(__file__).resolve().parents[1] / "src" / "driploop"

#: Every folder or module of the package, each importing only from those before it.
ORDER = (
    "worksheet",
    "editions",
    "installation",
    "survey",
    "loads",
    "conductors",
    "grounding",
    "earth",
    "service_drop",
    "network",
    "fault_current",
    "voltage",
    "circuits",
    "marking",
    "rules",
    "panel",
    "alternatives",
    "planning",
    "what_if",
    "questions",
    "closeout",
    "drawings",
    "documents",
    "store",
    "web",
    "cli",
)
#: The package's two doors: they open onto everything and are imported by nobody inside.
DOORS = ("__init__", "__main__")
#: Folders at the edge, free to use other libraries.
EDGES = ("documents", "store", "web", "cli")
CORE_LIBRARIES = frozenset({"pydantic", "pydantic_core"})
#: Slow to load: only inside the function that needs them, so that `--help` answers at once.
HEAVY = frozenset({"typst", "rich", "ezdxf", "ortools", "numpy", "argon2", "PIL", "psycopg", "uvicorn"})
#: Libraries that one module of the core may use inside a function, because another does its work where they are absent.
OPTIONAL = {"panel/exact.py": "ortools", "network/many.py": "numpy"}
#: Modules that print; only a function that prints may import them.
PRINTERS = frozenset({"driploop.cli.columns", "driploop.cli.show", "driploop.cli.lookup"})


@dataclass(frozen=True)
class Import:
    """One name a module imports."""

    module: Path
    line: int
    target: str
    at_load: bool

    @property
    def place(self) -> str:
        return f"{self.module.relative_to(PACKAGE.parent)}:{self.line}"


def room(module: Path) -> str:
    """The folder or single module of the package that a file belongs to."""
    first = module.relative_to(PACKAGE).parts[0]
    return first.removesuffix(".py")


def imports_of(module: Path) -> Iterator[Import]:
    tree = ast.parse(module.read_text(encoding="utf-8"))
    inside_functions = {
        id(node)
        for function in ast.walk(tree)
        if isinstance(function, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda) or for_types_only(function)
        for node in ast.walk(function)
    }
    for node in ast.walk(tree):
        at_load = id(node) not in inside_functions
        if isinstance(node, ast.Import):
            yield from (Import(module, node.lineno, alias.name, at_load) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = absolute(node, module)
            names = [f"{base}.{alias.name}" for alias in node.names] if base == "driploop" else [base]
            yield from (Import(module, node.lineno, name, at_load) for name in names)


def for_types_only(node: ast.AST) -> bool:
    """Whether a block is read by the type checker alone."""
    return isinstance(node, ast.If) and isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING"


def absolute(node: ast.ImportFrom, module: Path) -> str:
    if not node.level:
        return node.module or ""
    folder = module.relative_to(PACKAGE.parent).parts[: -node.level]
    return ".".join([*folder, *([node.module] if node.module else [])])


MODULES = sorted(PACKAGE.rglob("*.py"))
IMPORTS = [found for module in MODULES for found in imports_of(module)]


def test_the_reader_of_imports_sees_every_way_to_import(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys.modules[__name__], "PACKAGE", tmp_path / "driploop")
    module = tmp_path / "driploop" / "loads" / "farm.py"
    module.parent.mkdir(parents=True)
    module.write_text(
        "import json, driploop.cli.main\nfrom driploop import plan\nfrom . import results\nfrom ..rules import one\n"
        "def late():\n    import typst\n"
    )
    seen = {(found.target, found.at_load) for found in imports_of(module)}
    assert seen == {
        ("json", True),
        ("driploop.cli.main", True),
        ("driploop.plan", True),
        ("driploop.loads", True),
        ("driploop.rules", True),
        ("typst", False),
    }


@pytest.mark.parametrize("module", MODULES, ids=lambda module: str(module.relative_to(PACKAGE)))
def test_every_module_has_its_place_in_the_order(module: Path) -> None:
    assert room(module) in (*ORDER, *DOORS), f"{room(module)} has no place in ORDER: decide what it may import"


def test_contributors_are_told_the_same_order() -> None:
    manual = (PACKAGE.parents[1] / "CONTRIBUTING.md").read_text(encoding="utf-8")
    told = re.findall(r"^\| `([a-z_]+)(?:/|\.py)` \|", manual, re.M)
    assert tuple(told) == ORDER


def test_folders_import_one_way_only() -> None:
    wrong = []
    for found in IMPORTS:
        here, parts = room(found.module), found.target.split(".")
        if here in DOORS or parts[0] != "driploop" or parts[1:] == ["__version__"]:
            continue
        there = parts[1] if len(parts) > 1 else "__init__"
        if there not in ORDER or ORDER.index(there) > ORDER.index(here):
            wrong.append(f"{found.place}: {here} may not import {found.target}")
    assert not wrong, "\n".join(wrong)


def test_the_core_needs_only_the_standard_library_and_pydantic() -> None:
    wrong = []
    for found in IMPORTS:
        library = found.target.split(".")[0]
        if library in {"driploop", *CORE_LIBRARIES} or library in sys.stdlib_module_names:
            continue
        if room(found.module) in EDGES or OPTIONAL.get(found.module.relative_to(PACKAGE).as_posix()) == library:
            continue
        wrong.append(f"{found.place}: the core may not import {found.target}")
    assert not wrong, "\n".join(wrong)


def test_heavy_libraries_are_imported_only_where_they_are_used() -> None:
    printers = {PACKAGE.parent / f"{name.replace('.', '/')}.py" for name in PRINTERS}
    wrong = [
        f"{found.place}: import {found.target} inside the function that uses it"
        for found in IMPORTS
        if found.at_load
        and (found.target.split(".")[0] in HEAVY or found.target in PRINTERS)
        and found.module not in printers
    ]
    assert not wrong, "\n".join(wrong)
