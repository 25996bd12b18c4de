"""What the repository promises to whoever clones it."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
import textwrap
import tomllib
from collections.abc import Iterator
from itertools import combinations
from pathlib import Path

import pytest

from driploop.editions import load_edition, read_overlay

ROOT = Path(__file__).resolve().parents[1]
PACKAGE = ROOT / "src" / "driploop"
FONTS = PACKAGE / "documents" / "fonts"
NOT_OURS = {".git", ".venv", "build", "dist", "out", "__pycache__"}
BINARY = {".otf", ".ttf", ".png", ".pdf", ".pyc"}
LOCKS = (
    "requirements.txt", "requirements-web.txt", "requirements-dev.txt", "requirements-bench.txt",
    "requirements-pandapower.txt",
)  # fmt: skip
#: Those that are installed side by side; the last is an environment of its own.
SHARED = LOCKS[:-1]
MOST_LINES = 600

MACHINE_PATH = re.compile(r"(?<![\w./~$})>*-])(/(home|root|tmp|work|opt|mnt|Users|private)/|[A-Z]:\\Users)")
REGISTRY = re.compile(r"\b(pypi|pythonhosted|npmjs|yarnpkg|debian|anaconda|jsdelivr|unpkg)\.(org|com|net|io)\b", re.I)


def ours() -> Iterator[Path]:
    """The files of the project, whatever else a person's checks have left in the folder."""
    for path in sorted(ROOT.rglob("*")):
        parts = path.relative_to(ROOT).parts
        hidden_cache = any(part in NOT_OURS or part.endswith(("_cache", ".egg-info")) for part in parts)
        if path.is_file() and not hidden_cache and ".hypothesis" not in parts:
            yield path


TEXTS = {path: path.read_text(encoding="utf-8") for path in ours() if path.suffix not in BINARY}


def lines_that_match(pattern: re.Pattern[str]) -> list[str]:
    return [
        f"{path.relative_to(ROOT)}:{number}: {line.strip()}"
        for path, text in TEXTS.items()
        for number, line in enumerate(text.splitlines(), 1)
        if pattern.search(line)
    ]


def python(*arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, *arguments], capture_output=True, text=True, check=False, cwd=ROOT)


# --- what the files say ---------------------------------------------------------------------------------------------


def test_no_file_names_a_path_of_somebodys_machine() -> None:
    assert not lines_that_match(MACHINE_PATH)


def test_no_file_names_a_package_registry() -> None:
    assert not lines_that_match(REGISTRY)


@pytest.mark.parametrize("lock", LOCKS)
def test_lock_file_pins_every_requirement_by_hash_and_names_no_address(lock: str) -> None:
    text = TEXTS[ROOT / lock]
    requirements = re.findall(r"^[A-Za-z0-9_.-]+.*(?:\n    .*)*", text, re.M)
    assert requirements
    for requirement in requirements:
        assert re.match(r"[a-z0-9-]+==\S+ ", requirement), requirement
        assert "--hash=sha256:" in requirement, requirement
    assert not re.search(r"://|^-|file:|@ ", text, re.M)


def test_the_locks_agree_on_what_they_share() -> None:
    held = [re.findall(r"^([a-z0-9-]+)==(\S+)", TEXTS[ROOT / lock], re.M) for lock in SHARED]
    for first, second in combinations(held, 2):
        shared = {name for name, _ in first} & {name for name, _ in second}
        assert {each for each in first if each[0] in shared} == {each for each in second if each[0] in shared}


def test_lock_holds_everything_the_package_declares() -> None:
    project = tomllib.loads(TEXTS[ROOT / "pyproject.toml"])
    wanted = project["project"]["dependencies"] + project["build-system"]["requires"]
    extras = project["project"]["optional-dependencies"]
    for lock, names in (("requirements.txt", wanted), ("requirements-web.txt", extras["web"] + extras["postgresql"])):
        locked = set(re.findall(r"^([a-z0-9-]+)==", TEXTS[ROOT / lock], re.M))
        assert {re.split(r"[^a-z0-9-]", name.lower())[0] for name in names} <= locked


def test_readme_names_the_two_commands() -> None:
    readme = TEXTS[ROOT / "README.md"]
    assert "make demo" in readme
    assert "make test" in readme


def test_every_command_the_manuals_name_exists() -> None:
    targets = set(re.findall(r"^([a-z]+):", TEXTS[ROOT / "Makefile"], re.M))
    manuals = "\n".join(TEXTS[ROOT / name] for name in ("README.md", "CONTRIBUTING.md", ".ci/run"))
    named = set(re.findall(r"(?:`|^ *)make ([a-z]+)", manuals, re.M))
    assert {"demo", "test"} <= named <= targets


def test_links_in_the_manuals_lead_somewhere() -> None:
    dead = [
        f"{path.relative_to(ROOT)}: {link}"
        for path, text in TEXTS.items()
        if path.suffix == ".md"
        for link in re.findall(r"\]\(([^)#\s]+)[^)]*\)", text)
        if "://" not in link and not (path.parent / link).exists()
    ]
    assert not dead


def test_the_overlay_shown_to_contributors_can_be_read() -> None:
    shown = re.search(r"^    \[overlay\]\n(?:    .*\n|\n(?=    ))*", TEXTS[ROOT / "CONTRIBUTING.md"], re.M)
    assert shown
    overlay = read_overlay(textwrap.dedent(shown[0]), where="CONTRIBUTING.md")
    assert load_edition("NEC 2020", overlays=(overlay,)).number("rod_spacing_ft") == 8


@pytest.mark.parametrize("path", [path for path in TEXTS if path.suffix in {".py", ".typ"}], ids=str)
def test_file_is_short_enough_to_read(path: Path) -> None:
    assert len(TEXTS[path].splitlines()) < MOST_LINES


# --- what the package holds -----------------------------------------------------------------------------------------


def public_without_docstring(module: Path) -> Iterator[str]:
    def visit(body: list[ast.stmt], prefix: str) -> Iterator[str]:
        for node in body:
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef) and node.name[0] != "_":
                if ast.get_docstring(node) is None and not overload(node) and not is_rule(node):
                    yield f"{module.relative_to(ROOT)}:{node.lineno}: {prefix}{node.name}"
                if isinstance(node, ast.ClassDef):
                    yield from visit(node.body, f"{node.name}.")

    tree = ast.parse(TEXTS[module])
    if tree.body and ast.get_docstring(tree) is None:
        yield f"{module.relative_to(ROOT)}:1: the module itself"
    yield from visit(tree.body, "")


def overload(node: ast.stmt) -> bool:
    decorators = getattr(node, "decorator_list", [])
    return any(isinstance(name, ast.Name) and name.id == "overload" for name in decorators)


def is_rule(node: ast.stmt) -> bool:
    """A rule says in its decorator what it is for and why: its title and its reason are printed in the catalogue."""
    calls = [name for name in getattr(node, "decorator_list", []) if isinstance(name, ast.Call)]
    return any(isinstance(call.func, ast.Name) and call.func.id == "rule" for call in calls)


def test_everything_public_says_what_it_is() -> None:
    silent = [
        line
        for module in TEXTS
        if module.suffix == ".py" and PACKAGE in module.parents and module.name[0] != "_"
        for line in public_without_docstring(module)
    ]
    assert not silent, "\n".join(silent)


def test_an_install_carries_every_data_file() -> None:
    """A data file that no pattern of pyproject.toml names would be missing from an installed copy."""
    settings = tomllib.loads(TEXTS[ROOT / "pyproject.toml"])["tool"]["setuptools"]
    carried = {path for pattern in settings["package-data"]["driploop"] for path in PACKAGE.glob(pattern)}
    data = {path for path in ours() if PACKAGE in path.parents and path.suffix != ".py"}
    left_behind = sorted(str(path.relative_to(PACKAGE)) for path in data - carried)
    assert not left_behind


def test_fonts_are_shipped_with_their_licence() -> None:
    assert {path.name for path in FONTS.glob("*.otf")} == {
        "SourceSans3-Regular.otf",
        "SourceSans3-Bold.otf",
        "SourceSans3-It.otf",
    }
    assert "SIL OPEN FONT LICENSE Version 1.1" in TEXTS[FONTS / "OFL.txt"]


def test_widths_of_the_drawings_are_those_of_the_shipped_font() -> None:
    checked = python("scripts/font_widths.py", "--check")
    assert checked.returncode == 0, checked.stderr


def test_licence_is_whole() -> None:
    licence = TEXTS[ROOT / "LICENSE"]
    assert "Apache License" in licence
    assert "END OF TERMS AND CONDITIONS" in licence


# --- the doors ------------------------------------------------------------------------------------------------------

HELP = """
import sys
from driploop.cli.main import main
sys.argv = ["driploop", "--help"]
try:
    main()
except SystemExit as end:
    assert not end.code, end.code
slow = [name for name in ("pydantic", "rich", "typst", "tomlkit", "sqlalchemy") if name in sys.modules]
assert not slow, slow
"""


def test_help_answers_without_loading_the_slow_libraries() -> None:
    answer = python("-c", HELP)
    assert answer.returncode == 0, answer.stderr
    assert "packet" in answer.stdout


@pytest.mark.parametrize("before", ["", "import driploop.planning; ", "import driploop.cli.main; "])
def test_the_python_door_gives_two_functions_whatever_was_imported_before(before: str) -> None:
    """`plan` is a module and a function of the same name: the door must hand out the function every time."""
    asked = python("-c", before + "from driploop import plan, read_job; assert callable(plan) and callable(read_job)")
    assert asked.returncode == 0, asked.stderr
    twice = python(
        "-c", before + "import driploop; driploop.read_job; from driploop import plan; assert callable(plan)"
    )
    assert twice.returncode == 0, twice.stderr


def test_continuous_check_is_the_command_a_person_types() -> None:
    assert TEXTS[ROOT / ".ci/run"].rstrip().endswith("make test")
    assert (ROOT / ".ci/run").stat().st_mode & 0o111
