"""Starting the program: its address, and whom it refuses to open to."""

from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
import urllib.request
from pathlib import Path

import pytest

from driploop.web.serving import ServeError, _listen, serve
from driploop.web.visitors import is_loopback


@pytest.mark.parametrize(
    ("host", "here"),
    [("127.0.0.1", True), ("::1", True), ("localhost", True), ("127.8.0.1", True), ("0.0.0.0", False), ("::", False),
     ("192.0.2.1", False), ("shop.example", False), ("", False)],
)  # fmt: skip
def test_what_is_this_machine_alone(host: str, here: bool) -> None:
    assert is_loopback(host) is here


@pytest.mark.parametrize("host", ["0.0.0.0", "::", "192.0.2.1"])
def test_nobody_else_is_let_in_while_nobody_has_a_password(tmp_path: Path, host: str) -> None:
    with pytest.raises(ServeError, match="nobody has an account with a password yet"):
        serve(host=host, port=0, folder=tmp_path)


def test_a_port_that_cannot_be_had_is_told_in_plain_words(tmp_path: Path) -> None:
    with pytest.raises(ServeError, match="cannot listen there"):
        serve(port=70000, folder=tmp_path)


def test_what_is_accepted_sends_at_once() -> None:
    """Else every page of more than one piece waits for the browser's word that the first has come."""
    with _listen("127.0.0.1", 0) as listening, socket.create_connection(listening.getsockname()):
        accepted, _ = listening.accept()
        with accepted:
            assert accepted.proto == socket.IPPROTO_TCP, "by this the loop knows that it may send at once"


def test_the_command_prints_its_address_and_answers(tmp_path: Path) -> None:
    program = subprocess.Popen(
        [sys.executable, "-m", "driploop.cli.main", "serve", "--port", "0", "--data", str(tmp_path)],
        stdout=subprocess.PIPE, text=True, env=os.environ,
    )  # fmt: skip
    try:
        assert program.stdout is not None
        address = re.search(r"http://127\.0\.0\.1:\d+/", program.stdout.readline())
        assert address
        with urllib.request.urlopen(address[0] + "jobs", timeout=20) as answer:
            assert b"No job is here yet" in answer.read()
    finally:
        program.send_signal(signal.SIGINT)
        program.wait(20)
        assert program.stdout is not None
        program.stdout.close()
    assert (tmp_path / "driploop.sqlite").exists()
