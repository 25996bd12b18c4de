"""A pasted table: columns guessed, faults at their cell, nothing taken before it is confirmed, taken back as one."""

from __future__ import annotations

from typing import Any

import pytest
from httpx2 import Response
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from driploop.store import jobs as stored_jobs
from driploop.survey import read_job_text
from driploop.survey.syntax import parse_toml
from driploop.web.pasted import MOST_ROWS, columns_known, read_pasted
from driploop.web.practice_jobs import practice_text
from web.hands import Shop, plain

TEXT = practice_text("bungalow")
TABLES = parse_toml(TEXT, name="it")
TABLE = (
    "Space\tWhat it feeds\tBreaker\tWire\tCu/Al\tLength (ft)\tGFCI\n"
    "7\tBath heater\t20A 2P\t12/2\tCu\t30'-6\"\tn\n"
    "8\tPorch lights\t15\t#14\tCU\t40\tx\n"
)


def paste(shop: Shop, job: str, table: str, **form: Any) -> Response:
    return shop.post(f"{job}/paste", **{"table": table, "from": "fuse-box", **form})


def take(shop: Shop, job: str, table: str, **form: Any) -> Response:
    return paste(shop, job, table, take="yes", **form)


def read(table: str, panel: str = "fuse-box", **said: Any) -> Any:
    return read_pasted(table, text=TEXT, tables=TABLES, panel=panel, **said)


def test_columns_are_guessed_and_cells_read_in_the_trades_words() -> None:
    pasted = read(TABLE)
    assert pasted.columns == ("position", "serves", "ocpd_a", "wire_size", "metal", "length_ft", "gfci")
    assert [(edit.path, edit.value) for edit in pasted.edits] == [
        ("circuits.bath-heater", {"from": "fuse-box", "position": "7", "serves": "Bath heater", "poles": 2,
                                  "ocpd_a": 20, "wire_size": "12 AWG", "metal": "copper", "length_ft": 30.5,
                                  "gfci": False}),
        ("circuits.porch-lights", {"from": "fuse-box", "position": "8", "serves": "Porch lights", "ocpd_a": 15,
                                   "wire_size": "14 AWG", "metal": "copper", "length_ft": 40, "gfci": True}),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("head", "key"),
    [("Spaces", "position"), ("CKT", "position"), ("No.", "position"), ("Description", "serves"), ("AMPS", "ocpd_a"),
     ("Fuse size", "ocpd_a"), ("Device", "ocpd"), ("Wire size", "wire_size"), ("AWG", "wire_size"), ("Poles", "poles"),
     ("Cable type", "cable"), ("Remarks", "note"), ("Panel", "from"), ("wire_size", "wire_size"), ("Colour", "")],
)  # fmt: skip
def test_heads_of_the_trade(head: str, key: str) -> None:
    assert read(f"{head}\tRoom\n1\tx\n").columns[0] == key


def test_a_table_without_heads_waits_for_its_columns() -> None:
    pasted = read("7\tBath heater\t20\n")
    assert not pasted.has_heads
    assert pasted.columns == ("", "", "")
    assert pasted.edits == ()
    pasted = read("7\tBath heater\t20\n", columns=["position", "serves", "ocpd_a"], has_heads=False)
    assert [edit.path for edit in pasted.edits] == ["circuits.bath-heater"]


def test_a_column_that_names_the_panel_wins_over_the_choice() -> None:
    pasted = read("Panel\tSpace\tServes\nCar shed box\t5\tLift\n")
    assert pasted.edits[0].value["from"] == "car-shed-box"


def test_a_comma_and_quotes_do_as_well() -> None:
    pasted = read('Space,Serves,Amps\n7,"Kitchen, left ""counter""",20\n')
    assert pasted.edits[0].value["serves"] == 'Kitchen, left "counter"'


def test_what_is_in_the_job_already_is_left_out_and_told() -> None:
    pasted = read("Space\tServes\n1\tcounter again\n9\tPump\n")
    assert pasted.rows[0].left_out.startswith("space 1 is in the job already: kitchen counter")
    assert [edit.path for edit in pasted.edits] == ["circuits.pump"]


def test_two_rows_in_one_space_are_marked() -> None:
    pasted = read("Space\tServes\n9\tPump\n7-9\tHeater\n")
    assert pasted.wrong == 1
    assert "stands in another row" in pasted.rows[1].cells[0].wrong


def test_two_of_one_name_get_ids_of_their_own() -> None:
    pasted = read("Space\tServes\n9\tLights\n10\tLights\n11\tRange\n")
    assert [edit.path for edit in pasted.edits] == ["circuits.lights", "circuits.lights-2", "circuits.range-2"]


# --- on the page -----------------------------------------------------------------------------------------------------


def test_nothing_is_taken_before_it_is_confirmed(shop: Shop) -> None:
    job = shop.begin()
    text = shop.stored(job).text
    seen = paste(shop, job, TABLE)
    assert seen.status_code == 200
    assert "2 to take in" in plain(seen)
    assert "12/2 → 12 AWG" in plain(seen)
    assert shop.stored(job).text == text


def test_a_fault_stands_at_its_cell_and_nothing_is_taken(shop: Shop) -> None:
    job = shop.begin()
    text = shop.stored(job).text
    table = TABLE + "9\tPump\tforty\tthick\tgold\tfar\tx\n"
    seen = take(shop, job, table)
    assert seen.status_code == 200
    words = plain(seen)
    assert "1 to be set right first" in words
    for head, cell in (("Breaker", "forty"), ("Wire", "thick"), ("Cu/Al", "gold"), ("Length (ft)", "far")):
        assert f'Row 3, {head}: "{cell}" cannot be used here' in words
    assert "Take in" not in words
    assert shop.stored(job).text == text


def test_a_column_is_set_right_in_the_preview(shop: Shop) -> None:
    job = shop.begin()
    table = "Space\tWhat\n7\tPump\n"
    answer = take(shop, job, table, again="yes", heads="yes", c0="position", c1="serves")
    assert answer.status_code == 303
    assert read_job_text(shop.stored(job).text).found.circuits["pump"].serves == "Pump"


def test_all_is_taken_in_one_saving_and_taken_back_as_one(shop: Shop) -> None:
    job = shop.begin()
    before = shop.stored(job)
    taken = take(shop, job, TABLE)
    after = shop.stored(job)
    assert after.row.revision == before.row.revision + 1
    assert {"bath-heater", "porch-lights"} < set(read_job_text(after.text).found.circuits)
    offered = shop.browser.get(taken.headers["location"])
    assert "2 circuits taken in" in plain(offered)
    assert shop.post(f"{job}/take-back", revision=str(after.row.revision)).status_code == 303
    assert parse_toml(shop.stored(job).text, name="it") == parse_toml(before.text, name="it")
    assert shop.stored(job).row.revision == after.row.revision + 1
    assert "circuits taken in" not in plain(shop.browser.get(taken.headers["location"]))


def test_a_paste_is_not_taken_back_by_halves(shop: Shop) -> None:
    job = shop.begin()
    take(shop, job, TABLE)
    revision = shop.stored(job).row.revision
    shop.answer(job, "circuits.porch-lights.ocpd_a", "20", 15)
    text = shop.stored(job).text
    answer = shop.post(f"{job}/take-back", revision=str(revision))
    assert answer.status_code == 409
    assert "changed again" in plain(answer)
    assert shop.stored(job).text == text


@pytest.mark.parametrize("revision", ["", "0", "1", "99", "x", "9" * 50])
def test_what_never_was_is_not_taken_back(shop: Shop, revision: str) -> None:
    job = shop.begin()
    text = shop.stored(job).text
    assert shop.post(f"{job}/take-back", revision=revision).status_code == 404
    assert shop.stored(job).text == text


def test_the_comments_of_the_file_stay(shop: Shop) -> None:
    job = shop.begin()
    comments = [line for line in shop.stored(job).text.splitlines() if line.startswith("#")]
    take(shop, job, TABLE)
    assert [line for line in shop.stored(job).text.splitlines() if line.startswith("#")] == comments


# --- hostile ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "table",
    ["", "   \n\t\n", "\x00\x01\x02\xff" * 500, "a" * 300_000, "x\t" * 5000, "Space\tServes\n" + "1\ta\n" * 5000,
     '"' * 999, '"Space\tServes\n1\tx', "Space\n" + "=cmd|' /C calc'!A0\n", "\ud800",
     "\ufeffSpace\tServes\n9\t\u202ex\n",
     "Space\tSpace\tSpace\n1\t2\t3\n", "Serves\n" + "'''\n" + '"""\n' + "\\\n",
     "Space\tServes\n9\t<script>alert(1)</script>\n",
     "Serves\n[circuits.x]\n", "Space\tLength\n9\t1e999\n", "Space\tAmps\n9\t99999999999999999999\n"],
    ids=range(17),
)  # fmt: skip
def test_no_paste_breaks_anything(shop: Shop, table: str) -> None:
    job = shop.begin()
    text = shop.stored(job).text
    table = table.encode("utf-8", "replace").decode()
    for form in ({}, {"take": "yes"}, {"again": "yes", "c0": "position", "c1": "serves", "take": "yes"}):
        answer = paste(shop, job, table, **form)
        assert answer.status_code in (200, 303, 422)
        assert "<script>alert" not in answer.text
        assert len(answer.content) < 900_000
        read_job_text(shop.stored(job).text)
    assert shop.stored(job).text.startswith(text.splitlines()[0])


def test_bytes_in_a_wrong_encoding_are_no_fault_of_the_program(shop: Shop) -> None:
    job = shop.begin()
    body = f"token={shop.token}&from=fuse-box&take=yes&table=".encode() + b"Space%09Serves%0A9%09caf\xe9%FF%FE\xfe\x00"
    answer = shop.browser.post(
        f"{job}/paste", content=body, headers={"Content-Type": "application/x-www-form-urlencoded"},
        follow_redirects=False,
    )  # fmt: skip
    assert answer.status_code in (200, 303, 422)
    read_job_text(shop.stored(job).text)


def test_more_rows_than_a_farm_has_are_refused_whole(shop: Shop) -> None:
    rows = "".join(f"{space}\tPump {space}\n" for space in range(100, 101 + MOST_ROWS))
    answer = take(shop, shop.begin(), f"Space\tServes\n{rows}")
    assert answer.status_code == 422
    assert f"at most {MOST_ROWS}" in plain(answer)


CELL = st.one_of(
    st.sampled_from(["", "20", "20A", "#12", "Cu", "yes", "unknown", "none", "7", "7-9", "range", "2P", "12/2"]),
    st.text(max_size=12),
)
COLUMN = st.sampled_from(["", *(key for key, _ in columns_known())])


@settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    rows=st.lists(st.lists(CELL, min_size=1, max_size=6), max_size=5), columns=st.lists(COLUMN, max_size=6),
    heads=st.booleans(), panel=st.sampled_from(["", "fuse-box"]),
)  # fmt: skip
def test_whatever_is_pasted_what_would_be_taken_in_fits(
    rows: list[list[str]], columns: list[str], heads: bool, panel: str
) -> None:
    from driploop.store.edits import written

    pasted = read("\n".join("\t".join(row) for row in rows), panel, columns=columns, has_heads=heads)
    if pasted.edits and not pasted.wrong:
        circuits = read_job_text(written(TEXT, pasted.edits)).found.circuits
        assert {edit.path.removeprefix("circuits.") for edit in pasted.edits} <= set(circuits)


def test_a_paste_stands_in_the_history(shop: Shop) -> None:
    job = shop.begin()
    take(shop, job, TABLE)
    past = stored_jobs.history(shop.store, job.rpartition("/")[2])
    assert {each.path for each in past[:2]} == {"circuits.bath-heater", "circuits.porch-lights"}
    assert len({each.revision for each in past[:2]}) == 1
