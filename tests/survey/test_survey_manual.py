"""The schema, the starter survey and the manual's page are all written from the same models."""

from __future__ import annotations

import json
import re
import tomllib
from pathlib import Path
from typing import Any

import pytest

from driploop.survey import json_schema, read_job_text, starter
from driploop.survey.fields import keys_of
from driploop.survey.layout import BY_ID, SINGLE, TABLES
from driploop.survey.reference import main, page

ROOT = Path(__file__).resolve().parents[2]
EXAMPLES = sorted((ROOT / "examples").glob("*.toml"))


def fits(value: Any, schema: dict[str, Any], root: dict[str, Any]) -> bool:
    """Whether a value fits a schema; of the language, what ours uses, and nothing else is let through."""
    for word, asked in schema.items():
        match word:
            case "$schema" | "title" | "description" | "$defs":
                continue
            case "$ref":
                ok = fits(value, root["$defs"][asked.rsplit("/", 1)[1]], root)
            case "anyOf":
                ok = any(fits(value, option, root) for option in asked)
            case "const":
                ok = type(value) is type(asked) and value == asked
            case "enum":
                ok = any(type(value) is type(option) and value == option for option in asked)
            case "type":
                kinds = {"object": dict, "array": list, "string": str, "integer": int, "number": (int, float)}
                ok = isinstance(value, kinds[asked]) and not isinstance(value, bool)  # type: ignore[arg-type]
            case "minimum":
                ok = value >= asked
            case "exclusiveMinimum":
                ok = value > asked
            case "maximum":
                ok = value <= asked
            case "pattern":
                ok = re.search(asked, value) is not None
            case "required":
                ok = all(key in value for key in asked)
            case "items":
                ok = all(fits(item, asked, root) for item in value)
            case "properties":
                ok = all(fits(item, asked[key], root) for key, item in value.items() if key in asked)
            case "patternProperties":
                ((pattern, inner),) = asked.items()
                ok = all(fits(item, inner, root) for key, item in value.items() if re.search(pattern, key))
            case "additionalProperties":
                named = schema.get("properties", {})
                (pattern,) = schema.get("patternProperties", {"$.": {}})
                others = [item for key, item in value.items() if key not in named and not re.search(pattern, key)]
                ok = not others if asked is False else all(fits(item, asked, root) for item in others)
            case _:
                raise AssertionError(f"a word of the language this check does not know: {word}")
        if not ok:
            return False
    return True


def valid(text: str) -> bool:
    schema = json_schema()
    return fits(tomllib.loads(text), schema, schema)


@pytest.mark.parametrize("file", EXAMPLES, ids=lambda file: file.stem)
def test_every_example_reads_and_fits_the_schema(file: Path) -> None:
    text = file.read_text(encoding="utf-8")
    read_job_text(text, name=file.name)
    assert valid(text)


def test_the_starter_fits_the_schema() -> None:
    assert valid(starter())


@pytest.mark.parametrize(
    "body",
    [
        "[circuits.a]\npoles = 4",
        "[circuits.a]\nocpd_a = 0",
        "[circuits.a]\nopcd_a = 4",
        "[circuits.a]\nocpd_a = '40'",
        "[circuits.A]",
        "[runs.a]\nmetal_paths = ['rope']",
        "[loads.a]\ncode_letter = 'g'",
        "[weather]",
        "[proposal.runs.a]\nsets = 9",
        "[proposal]\ndisconnect_ratings_a = { a = 0 }",
    ],
)
def test_the_schema_refuses_what_reading_refuses(body: str) -> None:
    assert not valid(f"format = 1\n{body}")


@pytest.mark.parametrize(
    "body",
    [
        "[circuits.a]\npoles = 'unknown'\ngfci = 'yes'",
        "[circuits]\na = 'unknown'",
        "[runs.a]\nmetal_paths = 'none'",
        "[proposal]\ndisconnect_ratings_a = { a = 60, b = 'unknown' }",
    ],
)
def test_the_schema_takes_what_reading_takes(body: str) -> None:
    assert valid(f"format = 1\n{body}")


def test_the_schema_has_every_table_and_every_key_and_each_may_be_unknown() -> None:
    schema = json_schema()
    assert list(schema["properties"]) == list(TABLES)
    for model in (*SINGLE.values(), *BY_ID.values()):
        properties = schema["$defs"][model.__name__]["properties"]
        fields = {info.alias or name for name, info in model.model_fields.items()} - {"id"}
        assert set(properties) == fields
        for key, described in properties.items():
            assert described["description"], key
            assert {"const": "unknown"} in described["anyOf"], key


def test_the_schema_tells_units() -> None:
    run = json_schema()["$defs"]["Run"]["properties"]
    assert run["length_ft"]["description"] == "length [ft]"
    assert run["ocpd_a"]["description"] == "ocpd [A]"


def test_the_schema_is_json_and_names_its_dialect() -> None:
    schema = json.loads(json.dumps(json_schema()))
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"


# --- the starter ----------------------------------------------------------------------------------------------------


def test_the_starter_reads_and_names_its_job() -> None:
    job = read_job_text(starter(title='The "old" mill, C:\\'))
    assert job.header.title == 'The "old" mill, C:\\'
    assert job.proposal is None
    assert list(job.found.runs) == ["drop", "service-cable"]


def test_the_starter_knows_nothing_that_nobody_has_seen() -> None:
    given = re.findall(r'^(?!#)(\w+) = (?!"unknown")', starter(), re.M)
    assert set(given) <= {"format", "title", "from", "to", "owner", "kind", "building", "use", "room", "purpose"}


def test_what_the_starter_leaves_in_comments_reads_too() -> None:
    written = re.sub(r"^# (?=\[[a-z0-9._-]+\]$|\w+ = )", "", starter(), flags=re.M)
    job = read_job_text(written)
    assert job.proposal is not None
    assert {"shed"} <= job.found.buildings.keys()
    assert {"vehicle-charger", "heat-pump"} == job.wishes.keys()
    assert job.found.equipment["main-panel"].neutral_bonded is True


def test_the_starter_is_a_walk_and_says_how_to_see_things_safely() -> None:
    text = starter()
    walk = ["1. Outside", "2. Inside", "3. Other buildings", "4. Wishes", "5. Proposal"]
    assert [text.index(step) for step in walk] == sorted(text.index(step) for step in walk)
    assert text.index("CAUTION.") < text.index(walk[0])
    assert "supply disconnected and tested dead" in re.sub(r"\n# ", " ", text)


# --- the manual's page ----------------------------------------------------------------------------------------------


def test_the_page_in_docs_is_current() -> None:
    written = (ROOT / "docs" / "job-file.md").read_text(encoding="utf-8")
    assert written == page(), "write it again: python -m driploop.survey.reference"


def test_the_page_has_every_key() -> None:
    sections = {part.split("`")[1]: part for part in page().split("\n## ")[1:] if part.startswith("`")}
    for table, model in {**SINGLE, **BY_ID}.items():
        section = sections[f"[{table}]" if table in SINGLE else f"[{table}.ID]"]
        assert re.findall(r"^\| `(\w+)` \|", section, re.M) == list(keys_of(model))


def test_the_page_is_written_where_it_is_wanted(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / "docs" / "page.md"
    assert main([str(target)]) == 0
    assert target.read_text(encoding="utf-8") == page()
    assert "page.md" in capsys.readouterr().out
