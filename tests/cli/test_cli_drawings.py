"""``driploop drawings``: every drawing as a file, DXF on wish only."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from driploop.documents import dxf

EXAMPLES = Path(__file__).parents[2] / "examples"


def test_every_drawing_is_written_as_svg_and_the_folder_made(run: Callable) -> None:
    ran = run("drawings", EXAMPLES / "bungalow.toml", "--folder", "out/drawings")
    names = {path.name for path in Path("out/drawings").iterdir()}
    assert ran.code == 0
    assert {"riser-1.svg", "riser-found-1.svg", "site-1.svg", "one-line-proposed-1.svg", "decision-1.svg"} <= names
    assert all(name.endswith(".svg") for name in names)
    assert f"{len(names)} drawings written to out" in ran.out


def test_on_wish_each_is_written_as_dxf_too(run: Callable) -> None:
    assert run("drawings", EXAMPLES / "bungalow.toml", "--folder", "out", "--dxf").code == 0
    svg, dxf_files = ({path.stem for path in Path("out").glob(f"*.{kind}")} for kind in ("svg", "dxf"))
    assert svg == dxf_files


def test_without_the_library_nothing_is_written(run: Callable, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(dxf, "find_spec", lambda name: None)
    ran = run("drawings", EXAMPLES / "bungalow.toml", "--folder", "out", "--dxf")
    assert ran.code == 2
    assert "not installed" in ran.err
    assert not Path("out").exists()


def test_a_file_in_the_way_of_the_folder_is_refused(run: Callable) -> None:
    Path("out").write_text("mine", encoding="utf-8")
    ran = run("drawings", EXAMPLES / "bungalow.toml", "--folder", "out")
    assert ran.code == 2
    assert "in the way of the folder" in ran.err
    assert Path("out").read_text(encoding="utf-8") == "mine"
