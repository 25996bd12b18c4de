"""A real browser before a real server: what a person sees and does, scripts and all."""

from __future__ import annotations

import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
import uvicorn
from playwright.sync_api import Browser, ConsoleMessage, Page, sync_playwright
from starlette.types import ASGIApp

#: Where a browser stands that the system has; None takes the one that came with the library.
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
WITHOUT = "DRIPLOOP_TEST_WITHOUT"
INSTALL = (
    "What the pages do is tried in a real browser, and none is on this machine. Install it:  apt-get install chromium\n"
    f"Or leave it out and have it reported as skipped:  {WITHOUT}=browser"
)
PHONE = {"width": 360, "height": 740}
LAPTOP = {"width": 1280, "height": 800}
SCREENS = pytest.mark.parametrize("width", [PHONE, LAPTOP], ids=["phone", "laptop"])
#: Where pictures of the pages are kept to be looked at.
ARTEFACTS = Path(os.environ.get("DRIPLOOP_ARTEFACTS") or Path(__file__).resolve().parents[2] / "out" / "pages")


@contextmanager
def chromium() -> Iterator[Browser]:
    """A browser without a window; the test fails with what to install where there is none, or is left out if told."""
    if "browser" in os.environ.get(WITHOUT, "").split(","):
        pytest.skip(f"left out by {WITHOUT}: what a browser does with the pages")
    with sync_playwright() as library:
        if CHROMIUM is None and not Path(library.chromium.executable_path).exists():
            pytest.fail(INSTALL, pytrace=False)
        browser = library.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield browser
        browser.close()


@contextmanager
def answering(app: ASGIApp) -> Iterator[str]:
    """An application that answers at an address of this machine."""
    listening = socket.create_server(("127.0.0.1", 0))
    server = uvicorn.Server(
        uvicorn.Config(app, log_level="error", access_log=False, proxy_headers=False, timeout_graceful_shutdown=1)
    )
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
    thread.start()
    until = time.monotonic() + 20
    while not server.started and time.monotonic() < until:
        time.sleep(0.01)
    yield f"http://127.0.0.1:{listening.getsockname()[1]}"
    server.should_exit = True
    thread.join(20)


@contextmanager
def served(folder: Path) -> Iterator[str]:
    """The program itself, as a person starts it, on an empty folder; its address, without a stroke at the end."""
    program = subprocess.Popen(
        [sys.executable, "-m", "driploop.cli.main", "serve", "--port", "0", "--data", str(folder)],
        stdout=subprocess.PIPE, text=True, env=os.environ,
    )  # fmt: skip
    try:
        assert program.stdout is not None
        address = re.search(r"http://127\.0\.0\.1:\d+", program.stdout.readline())
        assert address
        yield address[0]
    finally:
        program.send_signal(signal.SIGINT)
        program.wait(20)
        assert program.stdout is not None
        program.stdout.close()


def listen_to(page: Page) -> list[str]:
    """What the browser complains of from now on, with the page it was on."""
    said: list[str] = []

    def hear(message: ConsoleMessage) -> None:
        said.append(f"{page.url}: {message.text}")

    page.on("console", hear)
    page.on("pageerror", lambda error: said.append(f"{page.url}: {error}"))
    return said


def keep_picture(page: Page, name: str) -> None:
    """A picture of the whole page among the artefacts."""
    wide = page.viewport_size["width"] if page.viewport_size else 0
    page.screenshot(path=ARTEFACTS / str(wide) / f"{name}.png", full_page=True)


def too_wide(page: Page) -> int:
    """By how much a page is wider than what shows it. [px]"""
    wide: int = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    return wide
