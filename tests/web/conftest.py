"""An application on an empty database."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from driploop.store import open_store
from driploop.web.app import create_app
from web.hands import Shop

HERE = ("127.0.0.1", 50000)


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    store = open_store(f"sqlite:///{tmp_path / 'jobs.sqlite'}", folder=tmp_path)
    app = create_app(store, hosts=["testserver", "127.0.0.1"])
    with TestClient(app, client=HERE, raise_server_exceptions=False) as browser:
        yield Shop(browser, store)
    store.close()
