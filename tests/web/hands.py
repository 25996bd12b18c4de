"""Hands to use the pages with: a browser, the store behind it, and what a page says."""

from __future__ import annotations

import html
import json
import re
from dataclasses import dataclass
from typing import Any

from httpx2 import Response
from starlette.testclient import TestClient

from driploop.store import Store, StoredJob, Who, jobs


@dataclass
class Shop:
    """A browser before the application, and the store behind it."""

    browser: TestClient
    store: Store

    @property
    def token(self) -> str:
        found = re.search(r'name="token" value="([^"]+)"', self.browser.get("/jobs/new").text)
        assert found
        return found[1]

    def post(self, address: str, *, piece: bool = False, **form: Any) -> Response:
        headers = {"HX-Request": "true"} if piece else {}
        return self.browser.post(address, data={"token": self.token, **form}, headers=headers, follow_redirects=False)

    def begin(self, practice: str = "bungalow") -> str:
        """A practice job; its address."""
        return self.post("/jobs/new", **{"from": "practice", "practice": practice}).headers["location"]

    def take_in(self, text: str) -> str:
        """A job from a text; its address."""
        return f"/jobs/{jobs.add_job(self.store, text, who=Who('a test')).row.id}"

    def stored(self, address: str) -> StoredJob:
        return jobs.read_stored(self.store, address.rpartition("/")[2])

    def answer(self, address: str, path: str, value: Any, seen: Any = None) -> Response:
        """One answer, as the form's script sends it."""
        return self.post(f"{address}/field", piece=True, path=path, value=value, seen=json.dumps(seen))


def plain(response: Response) -> str:
    """A page's words, without its marks."""
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", response.text)).split())


#: What stands in an address for a thing that may or may not be there.
_IN_ADDRESSES = {
    "panel": "house-panel", "job": "nothing", "station": "outside", "table": "runs", "id": "drop", "number": "F1",
    "word": "none", "person": "nobody", "name": "none.zip", "photograph": "none", "size": "page", "state": "found",
    "reading": "load", "kind": "one-line",
}  # fmt: skip


def filled(path: str) -> str:
    """A route's path with something in every place that wants it."""
    return re.sub(r"{(\w+)(?::\w+)?}", lambda name: _IN_ADDRESSES[name[1]], path)
