"""Phones and proxies: https with a certificate of one's own, a proxy in front, and whose word is taken for what."""

from __future__ import annotations

import http.client
import os
import re
import shutil
import signal
import socketserver
import ssl
import subprocess
import sys
import threading
import urllib.request
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from driploop.store import open_store, people
from driploop.web.app import LOOPBACK, create_app
from driploop.web.serving import ServeError, serve

DOCS = Path(__file__).resolve().parents[2] / "docs" / "serving.md"


@pytest.fixture
def owned(tmp_path: Path) -> Path:
    """A folder whose database has an owner."""
    store = open_store(f"sqlite:///{tmp_path / 'driploop.sqlite'}", folder=tmp_path)
    people.add_person(store, name="Ada", sign_in="ada", password="a kettle of geese", role="owner")
    store.close()
    return tmp_path


@contextmanager
def served(folder: Path, *arguments: str) -> Iterator[list[str]]:
    """The program as it is started by hand; what it said first."""
    program = subprocess.Popen(
        [sys.executable, "-u", "-m", "driploop.cli.main", "serve", "--port", "0", "--data", str(folder), *arguments],
        stdout=subprocess.PIPE, text=True, env=os.environ,
    )  # fmt: skip
    assert program.stdout is not None
    try:
        lines = 2 if "--invite-owner" in arguments else 1
        yield [program.stdout.readline() for _ in range(lines)]
    finally:
        program.send_signal(signal.SIGINT)
        program.wait(20)
        program.stdout.close()


def port_of(said: list[str]) -> int:
    match = re.search(r":(\d+)/", said[0])
    assert match, said
    return int(match[1])


@pytest.fixture
def certificate(tmp_path: Path) -> Path:
    """A certificate made by the very command that the documentation gives."""
    if shutil.which("openssl") is None:
        pytest.fail("openssl is not installed: the documented way to make a certificate cannot be tested")
    told = re.search(r"^    (openssl req .*?serverAuth\")$", DOCS.read_text(encoding="utf-8"), re.M | re.S)
    assert told
    command = told[1].replace("192.168.1.20", "127.0.0.1")
    subprocess.run(command, shell=True, cwd=tmp_path, check=True, capture_output=True)
    return tmp_path / "driploop.crt"


def test_a_page_comes_over_https_and_the_certificate_vouches_for_it(owned: Path, certificate: Path) -> None:
    key = certificate.with_suffix(".key")
    with served(owned, "--certificate", str(certificate), "--key", str(key)) as said:
        assert "https://127.0.0.1" in said[0]
        address = f"https://127.0.0.1:{port_of(said)}/sign-in"
        with urllib.request.urlopen(
            address, context=ssl.create_default_context(cafile=certificate), timeout=20
        ) as page:
            assert b"Sign in" in page.read()
            assert "Secure" in page.headers["set-cookie"]
        with pytest.raises(urllib.error.URLError, match="CERTIFICATE_VERIFY_FAILED"):
            urllib.request.urlopen(address, context=ssl.create_default_context(), timeout=20)


def test_a_certificate_that_does_not_do_is_told_before_anything_opens(tmp_path: Path) -> None:
    wrong = tmp_path / "wrong.crt"
    wrong.write_text("no certificate")
    with pytest.raises(ServeError, match="is no certificate with its key"):
        serve(folder=tmp_path / "jobs", certificate=wrong, port=0)
    with pytest.raises(ServeError, match=r"missing\.key: cannot be read"):
        serve(folder=tmp_path / "jobs", certificate=wrong, key=tmp_path / "missing.key", port=0)
    with pytest.raises(ServeError, match="--certificate"):
        serve(folder=tmp_path / "jobs", key=wrong, port=0)
    assert not (tmp_path / "jobs").exists()


class Proxy(BaseHTTPRequestHandler):
    """A web server that passes on what it is asked, as the documentation configures one."""

    to, scheme = 0, "https"

    def do_GET(self) -> None:
        """One request."""
        passed = http.client.HTTPConnection("127.0.0.1", self.to, timeout=20)
        headers = {"Host": self.headers["Host"], "X-Forwarded-For": "192.0.2.7", "X-Forwarded-Proto": self.scheme}
        passed.request("GET", self.path, headers=headers)
        answer = passed.getresponse()
        body = answer.read()
        self.send_response(answer.status)
        for name, value in answer.getheaders():
            if name.lower() not in ("content-length", "connection"):
                self.send_header(name, value)
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)
        passed.close()

    def log_message(self, *_: object) -> None:
        """Nothing is logged."""


@contextmanager
def proxy(to: int) -> Iterator[int]:
    handler = type("Here", (Proxy,), {"to": to})
    with socketserver.ThreadingTCPServer(("127.0.0.1", 0), handler) as server:
        thread = threading.Thread(target=server.serve_forever, daemon=True)
        thread.start()
        yield server.server_address[1]
        server.shutdown()
        thread.join()


def fetched(port: int, path: str, host: str) -> tuple[int, Mapping[str, str], bytes]:
    asking = http.client.HTTPConnection("127.0.0.1", port, timeout=20)
    asking.request("GET", path, headers={"Host": host})
    answer = asking.getresponse()
    told = answer.status, answer.headers, answer.read()
    asking.close()
    return told


def test_a_proxy_that_is_announced_lets_people_in_by_their_passwords(owned: Path) -> None:
    with served(owned, "--behind-proxy", "--name", "jobs.example.com") as said, proxy(port_of(said)) as port:
        status, headers, page = fetched(port, "/sign-in", "jobs.example.com")
        assert status == 200
        assert b"Sign in" in page
        assert "Secure" in headers["set-cookie"], "the person's side is https"
        assert fetched(port, "/jobs", "jobs.example.com")[0] == 303
        assert fetched(port, "/sign-in", "elsewhere.example")[0] == 400


def test_a_proxy_that_was_not_announced_is_refused(tmp_path: Path) -> None:
    with served(tmp_path) as said, proxy(port_of(said)) as port:
        status, _, page = fetched(port, "/jobs", "localhost")
        assert status == 403
        assert b"--behind-proxy" in page
        assert fetched(port_of(said), "/jobs", "localhost")[0] == 200, "the person at the machine is"


def test_behind_a_proxy_nobody_is_the_owner_of_the_machine(tmp_path: Path) -> None:
    with pytest.raises(ServeError, match="nobody has an account with a password yet"):
        serve(folder=tmp_path, behind_proxy=True, port=0)


def test_the_first_owner_comes_in_by_a_printed_link(tmp_path: Path) -> None:
    with served(tmp_path, "--behind-proxy", "--invite-owner") as said:
        port = port_of(said)
        link = re.search(r"/invitation/[\w-]+", said[1])
        assert link
        assert fetched(port, "/jobs", "localhost")[0] == 403
        assert b"You are invited as <b>owner</b>" in fetched(port, link[0], "localhost")[2]


# --- what the headers of a proxy may say -----------------------------------------------------------------------------


@contextmanager
def behind(folder: Path, *, peer: str = "127.0.0.1", **settings: object) -> Iterator[TestClient]:
    store = open_store(f"sqlite:///{folder / 'driploop.sqlite'}", folder=folder)
    app = create_app(store, hosts=(*LOOPBACK, "testserver"), **settings)  # type: ignore[arg-type]
    with TestClient(app, client=(peer, 1), raise_server_exceptions=False) as browser:
        yield browser
    store.close()


@pytest.mark.parametrize(
    "header", ["Forwarded", "X-Forwarded-For", "X-Forwarded-Proto", "X-Forwarded-Host", "X-Real-IP"]
)
def test_any_sign_of_a_proxy_is_enough_to_refuse_it(tmp_path: Path, header: str) -> None:
    with behind(tmp_path) as browser:
        assert browser.get("/jobs").status_code == 200
        assert browser.get("/jobs", headers={header: "127.0.0.1"}).status_code == 403


def test_a_proxy_on_another_machine_is_not_believed(owned: Path) -> None:
    with behind(owned, peer="192.0.2.9", behind_proxy=True) as browser:
        assert browser.get("/sign-in", headers={"X-Forwarded-For": "127.0.0.1"}).status_code == 403


def test_tries_are_counted_by_what_the_nearest_proxy_saw(owned: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    seen = []
    monkeypatch.setattr("driploop.web.routes.sign_in.people.sign_in", lambda *_, place, **__: seen.append(place))
    with behind(owned, behind_proxy=True) as browser:
        page = browser.get("/sign-in", headers={"X-Forwarded-For": "x"})
        token = re.search(r'name="token" value="([^"]+)"', page.text)
        assert token
        for passed_on in ("192.0.2.7", "127.0.0.1, 192.0.2.8", " , 192.0.2.9 "):
            headers = {"X-Forwarded-For": passed_on}
            browser.post("/sign-in", data={"token": token[1], "name": "a", "password": "b"}, headers=headers)
    assert seen == ["192.0.2.7", "192.0.2.8", "192.0.2.9"]


@pytest.mark.parametrize(
    ("host", "known"),
    [("127.0.0.1", True), ("127.0.0.1:8420", True), ("localhost:1", True), ("[::1]:8420", True), ("LOCALHOST", True),
     ("localhost.", True), ("elsewhere.example", False), ("192.168.1.20", False), ("", False),
     ("localhost@elsewhere", False),
     ("127.0.0.1.elsewhere.example", False), ("localhost:x", False), ("[::1", False)],
)  # fmt: skip
def test_by_which_names_the_program_may_be_called(tmp_path: Path, host: str, known: bool) -> None:
    with behind(tmp_path) as browser:
        assert (browser.get("/jobs", headers={"Host": host}).status_code == 200) is known


def test_on_a_network_its_numbers_are_names_too(owned: Path) -> None:
    with behind(owned, peer="192.0.2.9", any_number=True) as browser:
        assert browser.get("/sign-in", headers={"Host": "192.168.1.20:8420"}).status_code == 200
        assert browser.get("/sign-in", headers={"Host": "[fe80::1]:8420"}).status_code == 200
        assert browser.get("/sign-in", headers={"Host": "elsewhere.example"}).status_code == 400


# --- the secret ------------------------------------------------------------------------------------------------------


def test_the_secret_is_made_once_for_its_owner_alone(tmp_path: Path) -> None:
    from driploop.store import StoreError
    from driploop.web.secret import NAME, secret_of

    made = secret_of(tmp_path)
    assert len(made) == 32
    assert secret_of(tmp_path) == made
    assert (tmp_path / NAME).stat().st_mode & 0o777 == 0o600
    assert [path.name for path in tmp_path.iterdir()] == [NAME]
    (tmp_path / NAME).chmod(0o644)
    with pytest.raises(StoreError, match="chmod 600"):
        secret_of(tmp_path)
    (tmp_path / NAME).write_bytes(b"short")
    (tmp_path / NAME).chmod(0o600)
    with pytest.raises(StoreError, match="not whole"):
        secret_of(tmp_path)
