"""The commands that keep the jobs of the shop as files."""

from __future__ import annotations

import sys
import zipfile
from pathlib import Path

import pytest

from driploop.cli.main import BAD_INPUT, FINE, main
from driploop.store import Who, jobs, open_store

JOB = 'format = 1\n\n[job]\ntitle = "Lane house"\n'


@pytest.fixture
def data(tmp_path: Path) -> Path:
    """A folder with one job in it, as the pages leave it."""
    folder = tmp_path / "shop"
    store = open_store(f"sqlite:///{folder}/driploop.sqlite", folder=folder)
    jobs.add_job(store, JOB, who=Who("Ada Quill"))
    store.close()
    return folder


def titles(folder: Path) -> list[str]:
    store = open_store(f"sqlite:///{folder}/driploop.sqlite", folder=folder)
    found = [row.title for row in jobs.list_jobs(store)[0]]
    store.close()
    return found


def test_a_backup_is_made_and_restored_by_one_command_each(
    data: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["backup", str(tmp_path / "all.zip"), "--data", str(data)]) == FINE
    assert "1 job and 0 photographs" in capsys.readouterr().out
    new = tmp_path / "new"
    assert main(["restore", str(tmp_path / "all.zip"), "--data", str(new)]) == FINE
    assert "1 job and 0 photographs are back" in capsys.readouterr().out
    assert titles(new) == ["Lane house"]


def test_a_backup_without_a_name_goes_among_the_backups(data: Path) -> None:
    assert main(["backup", "--data", str(data)]) == FINE
    [path] = (data / "backups").iterdir()
    assert zipfile.is_zipfile(path)


def test_restore_asks_before_it_takes_the_place_of_what_is_there(
    data: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    main(["backup", str(tmp_path / "all.zip"), "--data", str(data)])
    assert main(["restore", str(tmp_path / "all.zip"), "--data", str(data)]) == BAD_INPUT
    assert "already" in capsys.readouterr().err
    assert main(["restore", str(tmp_path / "all.zip"), "--replace", "--data", str(data)]) == FINE
    assert "What was there before is in" in capsys.readouterr().out
    assert titles(data) == ["Lane house"]


def test_the_export_is_a_zip_of_plain_files(data: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["export", str(tmp_path / "plain.zip"), "--data", str(data)]) == FINE
    with zipfile.ZipFile(tmp_path / "plain.zip") as archive:
        [name] = [name for name in archive.namelist() if name.endswith("job.toml")]
        assert archive.read(name).decode() == JOB


@pytest.mark.parametrize("command", ["backup", "export"])
def test_a_folder_without_jobs_is_told_of_and_none_is_made(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([command, str(tmp_path / "all.zip"), "--data", str(tmp_path / "none")]) == BAD_INPUT
    assert "--data FOLDER" in capsys.readouterr().err
    assert not (tmp_path / "none").exists()


def test_what_is_not_installed_is_named(
    data: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:

    for name in [name for name in sys.modules if name.startswith("driploop.store")]:
        monkeypatch.delitem(sys.modules, name)
    monkeypatch.setitem(sys.modules, "sqlalchemy", None)
    assert main(["backup", "--data", str(data)]) == BAD_INPUT
    assert "driploop[web]" in capsys.readouterr().err
