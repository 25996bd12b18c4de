"""The workbook of schedules: text stays text, numbers are numbers, the same plan gives the same bytes."""

from __future__ import annotations

import io
import re
import xml.etree.ElementTree as ET
import zipfile
from pathlib import Path

import pytest

from driploop.documents.workbook import WorkbookMissingError, schedules, workbook
from driploop.planning import Plan, plan
from driploop.survey import read_job_text

DAIRY = (Path(__file__).resolve().parents[2] / "examples" / "goat-dairy.toml").read_text(encoding="utf-8")
NS = {"m": "http://schemas.openxmlformats.org/spreadsheetml/2006/main"}


def read(text: str) -> Plan:
    return plan(read_job_text(text, name="the job"))


def parts(content: bytes) -> dict[str, str]:
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        return {name: archive.read(name).decode() for name in archive.namelist()}


def test_the_same_plan_gives_the_same_bytes() -> None:
    assert workbook(read(DAIRY)) == workbook(read(DAIRY))


def test_every_schedule_has_a_sheet_of_its_own_name() -> None:
    book = ET.fromstring(parts(workbook(read(DAIRY)))["xl/workbook.xml"])
    names = [sheet.get("name", "") for sheet in book.iterfind("m:sheets/m:sheet", NS)]
    assert names[:3] == ["Loads", "Methods", "Conductors"]
    assert names[-1] == "Worksheets"
    assert len({name.lower() for name in names}) == len(names)
    assert all(len(name) <= 31 and not re.search(r"[\[\]:*?/\\]", name) for name in names)
    assert len(names) == sum(bool(data.rows) for _, data in schedules(read(DAIRY)))


@pytest.mark.parametrize(
    "name", ['=HYPERLINK("http://nowhere.invalid")', "+1+1", "-2", "@SUM(A1)", "=cmd|' /C calc'!A0"]
)
def test_what_people_typed_is_never_a_formula(name: str) -> None:
    text = DAIRY.replace('name = "House panel"', f"name = {name!r}" if '"' in name else f'name = "{name}"', 1)
    assert text != DAIRY
    content = parts(workbook(read(text)))
    sheets = [words for path, words in content.items() if path.startswith("xl/worksheets/")]
    assert all("<f>" not in words and "<f " not in words and "<hyperlink" not in words for words in sheets)
    strings = ET.fromstring(content["xl/sharedStrings.xml"])
    assert name in ["".join(each.itertext()) for each in strings]


def test_a_number_with_its_unit_is_a_number() -> None:
    content = parts(workbook(read(DAIRY)))
    loads = ET.fromstring(content["xl/worksheets/sheet1.xml"])
    values = {
        cell.get("r"): cell.findtext("m:v", "", NS) for cell in loads.iter(f"{{{NS['m']}}}c") if not cell.get("t")
    }
    # The house panel, by the method for an existing dwelling: 17,216 VA at 240 V.
    assert "17216" in values.values()
    assert '#,##0" VA"' in content["xl/styles.xml"].replace("&quot;", '"')


def test_without_the_library_it_says_how_to_get_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("driploop.documents.workbook.find_spec", lambda name: None)
    with pytest.raises(WorkbookMissingError, match=r"pip install"):
        workbook(read(DAIRY))
