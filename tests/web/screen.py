"""A real browser before a real server: what a person sees and does, scripts and all."""

from __future__ import annotations

import shutil
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager

import uvicorn
from playwright.sync_api import Browser, sync_playwright
from starlette.types import ASGIApp

#: Where a browser stands that the system has; None takes the one that came with the library.
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
PHONE = {"width": 360, "height": 740}
LAPTOP = {"width": 1280, "height": 800}


@contextmanager
def chromium() -> Iterator[Browser]:
    """A browser without a window."""
    with sync_playwright() as library:
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
