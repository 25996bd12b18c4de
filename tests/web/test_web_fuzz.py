"""Whatever is sent to any address, nothing breaks and nothing is half saved. The addresses are read from the routes."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from typing import Any
from urllib.parse import quote

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from driploop.store import Who, jobs, people
from driploop.survey import read_job_text
from driploop.web.app import SCREENS
from driploop.web.door import STRANGERS_BYTES
from driploop.web.pages import TEMPLATES, Screen
from driploop.web.practice_jobs import practice_text
from driploop.web.security import MOST_BYTES
from web.hands import Shop

ROUTES: list[Screen] = [route for screen in SCREENS for route in screen.ROUTES]
CHANGES = sorted(route.path for route in ROUTES if "POST" in (route.methods or ()))
SHOWS = sorted(route.path for route in ROUTES if "GET" in (route.methods or ()))
#: Every name that a field of any form has.
NAMES = sorted(
    {name for template in TEMPLATES.rglob("*.html")
     for name in re.findall(r'\bname="([a-z_]+)"', template.read_text(encoding="utf-8"))} - {"token", "viewport"}
)  # fmt: skip
URLENCODED = {"Content-Type": "application/x-www-form-urlencoded"}
FEW = settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck))

WORDS = [
    "",
    " ",
    "0",
    "1",
    "-1",
    "2",
    "1e999",
    "9" * 400,
    "none",
    "unknown",
    "yes",
    "null",
    "[]",
    "{}",
    "{",
    '"x"',
    "40",
    "NaN",
    "circuits.range.ocpd_a",
    "circuits.range",
    "equipment.fuse-box",
    "job.title",
    "circuits",
    "range",
    "fuse-box",
    "wishes",
    "loads",
    "town",
    "starter",
    "practice",
    "file",
    "bungalow",
    "surveyed",
    "quoted",
    "town",
    "owner",
    "crew",
    "view",
    "king",
    "../../etc/passwd",
    "\x00",
    "a\x00b",
    "\r\nX: y",
    "'''",
    '"""',
    "\\",
    "[x]\n",
    "# no",
    "'; DROP TABLE jobs; --",
    "%00",
    "<script>alert(1)</script>",
    "{{ 7*7 }}",
    "\ud800",
    "\ufeff",
    "\u202e",
    "١٢",
    "ﬁ",
    "😀" * 50,
    "x" * 5000,
    "[" * 3000,
    json.dumps([[[[]]]]),
    "2026-11-25",
    "12' 6\"",
    "2/0",
    "a: 1",
    "true",
    "0x10",
    "1_000",
    "٣",
]
WORD = st.one_of(st.sampled_from(WORDS), st.text(max_size=40), st.integers().map(str))
FORM = st.lists(st.tuples(st.one_of(st.sampled_from(NAMES), st.text(max_size=8)), WORD), max_size=8)
PIECE = st.one_of(
    st.binary(max_size=200),
    st.sampled_from([b"", b"\xff\xd8\xff\xe0 no picture", b"\x89PNG\r\n\x1a\n", b"GIF89a", b"%PDF-1.7", b"PK\x03\x04",
                     b"format = 1\n", b"format = 99\n", b"\xef\xbb\xbfformat = 1\n", b"[" * 3000, b"\x00" * 500,
                     b"format = 1\n[job]\ntitle = '''\n", practice_text("bungalow").encode(),
                     practice_text("bungalow").replace("D-002", "D-3\x00").encode(),
                     practice_text("bungalow").encode("utf-16")]),
)  # fmt: skip


class Held:
    """A shop of two people with one job, put right again before every request."""

    def __init__(self, shop: Shop) -> None:
        self.shop, self.store = shop, shop.store
        shop.post("/shop/first", name="Ada", sign_in="ada", password="a kettle of geese")
        self.job, self.text, self.token, self.other = "", "", "", ""

    def ready(self) -> None:
        everybody = people.everybody(self.store)
        ada = next(each for each in everybody if each.sign_in == "ada")
        if ada.role != "owner":
            people.change_person(self.store, ada.id, role="owner")
        self.other = next((each.id for each in everybody if each.sign_in != "ada"), "")
        if not self.other:
            self.other = people.add_person(
                self.store, name="Ben", sign_in="ben", password="nine wet otters", role="owner"
            ).id
        word = self.shop.browser.cookies.get("driploop_session") or ""
        if people.session_of(self.store, word) is None:
            self.shop.browser.cookies.clear()
            word = people.new_session(self.store, ada.id)
            self.shop.browser.cookies.set("driploop_session", word)
        session = people.session_of(self.store, word)
        assert session
        self.token = session.form_key
        rows, _ = jobs.list_jobs(self.store)
        if len(rows) != 1:
            for row in rows:
                jobs.delete_job(self.store, row.id)
            rows = (jobs.add_job(self.store, practice_text("bungalow"), who=Who("a test")).row,)
        self.job = rows[0].id
        self.text = jobs.read_stored(self.store, self.job).text

    def address(self, path: str, data: st.DataObject) -> str:
        known = {"job": self.job, "person": self.other, "table": "circuits", "id": "range", "station": "inside"}

        def one(name: re.Match[str]) -> str:
            fitting = known.get(name[1])
            words = data.draw(st.one_of(st.just(fitting), st.just(fitting), WORD) if fitting else WORD)
            return quote(words, safe="", errors="replace") or "x"

        return re.sub(r"{(\w+)(?::\w+)?}", one, path)

    def is_whole(self) -> None:
        """Every job's text can be read, and the history has come as far as the text."""
        for row in jobs.list_jobs(self.store, count=1000)[0]:
            stored = jobs.read_stored(self.store, row.id)
            past = jobs.history(self.store, row.id, count=10**6)
            read_job_text(stored.text)
            assert max(each.revision for each in past) == stored.row.revision
            if row.id == self.job and stored.text != self.text:
                assert stored.row.revision > 1
        assert any(each.role == "owner" and each.active for each in people.everybody(self.store))


@pytest.fixture
def held(shop: Shop) -> Held:
    found = Held(shop)
    found.ready()
    return found


def test_the_forms_that_are_sent_get_past_the_door(held: Held) -> None:
    """Else all that follows would prove nothing."""
    form = {"token": held.token, "path": "circuits.range.ocpd_a", "value": "35", "seen": "40"}
    answer = held.shop.browser.post(f"/jobs/{held.job}/field", content=encoded(list(form.items())), headers=URLENCODED)
    assert answer.status_code in (200, 303)
    assert "ocpd_a = 35" in jobs.read_stored(held.store, held.job).text
    file = [("file", practice_text("orchard").encode())]
    sent = held.shop.browser.post("/jobs/new", content=parts([("token", held.token), ("from", "file")], file),
                                  headers={"Content-Type": "multipart/form-data; boundary=edge"})  # fmt: skip
    assert sent.status_code == 200
    assert jobs.list_jobs(held.store)[1] == 2


def encoded(form: list[tuple[str, str]]) -> bytes:
    return "&".join(f"{quote(n, errors='replace')}={quote(v, errors='replace')}" for n, v in form).encode()


def parts(form: list[tuple[str, str]], files: list[tuple[str, bytes]]) -> bytes:
    body = b""
    for name, value in form:
        plain = re.sub(r'["\r\n]', "", name).encode("utf-8", "replace")
        body += b'--edge\r\nContent-Disposition: form-data; name="' + plain + b'"\r\n\r\n'
        body += value.encode("utf-8", "replace") + b"\r\n"
    for name, content in files:
        head = f'--edge\r\nContent-Disposition: form-data; name="{name}"; filename="../a\\b.toml"\r\n\r\n'
        body += head.encode() + content + b"\r\n"
    return body + b"--edge--\r\n"


@pytest.mark.parametrize("path", CHANGES)
def test_no_form_breaks_anything(held: Held, path: str, caplog: pytest.LogCaptureFixture) -> None:
    @FEW
    @given(data=st.data(), form=FORM, piece=st.booleans())
    def sent(data: st.DataObject, form: list[tuple[str, str]], piece: bool) -> None:
        held.ready()
        headers = {"Content-Type": "application/x-www-form-urlencoded", **({"HX-Request": "true"} if piece else {})}
        body = encoded([("token", held.token), *form])
        answer = held.shop.browser.post(held.address(path, data), content=body, headers=headers, follow_redirects=False)
        assert answer.status_code < 500, answer.text
        held.is_whole()

    sent()
    assert not [record for record in caplog.records if record.levelname == "ERROR"]


@pytest.mark.parametrize("path", CHANGES)
def test_no_upload_breaks_anything(held: Held, path: str, caplog: pytest.LogCaptureFixture) -> None:
    names = st.sampled_from(["file", "files", "photograph", "photo", "picture", "value", "token", "paste"])

    @FEW
    @given(data=st.data(), form=FORM, files=st.lists(st.tuples(names, PIECE), max_size=3))
    def sent(data: st.DataObject, form: list[tuple[str, str]], files: list[tuple[str, bytes]]) -> None:
        held.ready()
        body = parts([("token", held.token), *form], files)
        headers = {"Content-Type": "multipart/form-data; boundary=edge"}
        answer = held.shop.browser.post(held.address(path, data), content=body, headers=headers, follow_redirects=False)
        assert answer.status_code < 500, answer.text
        held.is_whole()

    sent()
    assert not [record for record in caplog.records if record.levelname == "ERROR"]


TYPES = [
    "application/x-www-form-urlencoded",
    "multipart/form-data",
    "multipart/form-data; boundary=edge",
    "text/plain",
    "multipart/form-data; boundary=",
    "application/json",
    "",
    "x",
    'multipart/form-data; boundary="\u00e9"',
]
RAW = st.one_of(
    st.binary(max_size=300),
    st.sampled_from(
        [
            b"path=%ff%fe&value=\xff\xfe",
            b"%",
            b"&&&===",
            b"a=%zz",
            b"--edge\r\n\r\n\r\n--edge--",
            b"--edge\r\nContent-Disposition: form-data\r\n\r\nx",
            b"--edge\r\n" + b"X: y\r\n" * 500,
            b'--edge\r\nContent-Disposition: form-data; name="\xff"\r\n\r\n\xff\r\n--edge--\r\n',
            b"a=1&" * 3000,
        ]
    ),
)


@pytest.mark.parametrize("path", CHANGES)
def test_no_bytes_break_anything(held: Held, path: str) -> None:
    @FEW
    @given(data=st.data(), body=RAW, kind=st.sampled_from(TYPES))
    def sent(data: st.DataObject, body: bytes, kind: str) -> None:
        held.ready()
        headers = {"Content-Type": kind.encode("latin-1"), "X-Driploop-Token": held.token.encode()}
        answer = held.shop.browser.post(held.address(path, data), content=body, headers=headers, follow_redirects=False)
        assert answer.status_code < 500, answer.text
        held.is_whole()

    sent()


@pytest.mark.parametrize("path", SHOWS)
def test_no_address_breaks_anything(held: Held, path: str, caplog: pytest.LogCaptureFixture) -> None:
    @FEW
    @given(data=st.data(), asked=FORM, piece=st.booleans())
    def sent(data: st.DataObject, asked: list[tuple[str, str]], piece: bool) -> None:
        held.ready()
        address = f"{held.address(path, data)}?{encoded(asked).decode()}"
        answer = held.shop.browser.get(
            address, headers={"HX-Request": "true"} if piece else {}, follow_redirects=False
        )  # fmt: skip
        assert answer.status_code < 500, answer.text
        assert jobs.read_stored(held.store, held.job).text == held.text, "to look changes nothing"

    sent()
    assert not [record for record in caplog.records if record.levelname == "ERROR"]


# --- too much --------------------------------------------------------------------------------------------------------


def poured(count: int) -> Iterator[bytes]:
    yield b"title="
    for _ in range(count // 65536 + 1):
        yield b"x" * 65536


@pytest.mark.parametrize("told", [True, False], ids=["said beforehand", "only poured in"])
def test_a_body_that_is_too_large_is_refused_in_plain_words(held: Held, told: bool) -> None:
    headers = {"Content-Type": "application/x-www-form-urlencoded", "X-Driploop-Token": held.token}
    body: Any = b"x" * (MOST_BYTES + 1) if told else poured(MOST_BYTES)
    answer = held.shop.browser.post("/jobs/new", content=body, headers=headers)
    assert answer.status_code == 413
    assert "32 megabytes" in answer.text
    assert jobs.list_jobs(held.store)[1] == 1


def test_a_file_that_is_too_large_is_refused_while_it_comes(held: Held) -> None:
    def body() -> Iterator[bytes]:
        yield b'--edge\r\nContent-Disposition: form-data; name="file"; filename="a.toml"\r\n\r\n'
        for _ in range(MOST_BYTES // 65536 + 1):
            yield b"#" * 65536

    headers = {"Content-Type": "multipart/form-data; boundary=edge", "X-Driploop-Token": held.token}
    answer = held.shop.browser.post("/jobs/new", content=body(), headers=headers)
    assert answer.status_code == 413
    assert "Nothing was kept" in answer.text
    assert jobs.list_jobs(held.store)[1] == 1


def test_a_stranger_may_send_little(held: Held) -> None:
    held.shop.browser.cookies.clear()
    headers = {"Content-Type": "application/x-www-form-urlencoded"}
    answer = held.shop.browser.post("/sign-in", content=b"name=" + b"x" * STRANGERS_BYTES, headers=headers)
    assert answer.status_code == 413
