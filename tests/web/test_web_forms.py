"""Whatever a form sends, no answer is 500 and every job stays readable."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from driploop.survey import read_job_text
from driploop.web.routes import alternatives, consequence, job_file, paste, photographs, proposal, questions, what_if
from web.hands import Shop

SCREENS = (alternatives, consequence, job_file, paste, photographs, proposal, questions, what_if)
CHANGING = sorted({r.path for each in SCREENS for r in each.ROUTES if "POST" in (r.methods or ())})
SHOWING = sorted({r.path for each in SCREENS for r in each.ROUTES if "GET" in (r.methods or ())})
NAMES = ["way", "digest", "replace", "path", "value", "seen", "number", "on", "off", "m-try-charger", "p-try-charger",
         "table", "from", "again", "heads", "take", "c0", "c1", "revision", "text", "file", "item", "picture",
         "photograph", "caption", "at", "kept", "taken", "count", "about"]  # fmt: skip
WORDS = st.one_of(
    st.sampled_from(["", "yes", "try-charger", "fuse-box", "Space\tServes\n9\tPump", "position", "serves", "1", "2",
                     "9" * 30, "-1", "\x00", "circuits.range", "alternative:keep:0", '"', "null", "[", "proposal.kind",
                     "runs.service", "../..", "keep", "%s", "{{ 7 * 7 }}", "\ufeff", "format = 1"]),
    st.text(max_size=40),
)  # fmt: skip
FORM = st.dictionaries(st.sampled_from(NAMES), st.one_of(WORDS, st.lists(WORDS, max_size=3)), max_size=8)
QUIET = settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))


def sendable(form: dict[str, Any]) -> dict[str, Any]:
    """What a browser could send: no half letters."""

    def plain(words: str) -> str:
        return words.encode("utf-8", "replace").decode()

    return {name: [plain(w) for w in said] if isinstance(said, list) else plain(said) for name, said in form.items()}


@pytest.mark.parametrize("path", CHANGING)
def test_no_form_breaks_a_page_that_changes(shop: Shop, path: str) -> None:
    job = shop.begin()
    token, address = shop.token, path.replace("/jobs/{job}", job)

    @QUIET
    @given(form=FORM, piece=st.booleans())
    def sent(form: dict[str, Any], piece: bool) -> None:
        headers = {"HX-Request": "true"} if piece else {}
        data = {**sendable(form), "token": token}
        answer = shop.browser.post(address, data=data, headers=headers, follow_redirects=False)
        assert answer.status_code < 500, form
        read_job_text(shop.stored(job).text)

    sent()


@pytest.mark.parametrize("path", SHOWING)
def test_no_address_breaks_a_page_that_shows(shop: Shop, path: str) -> None:
    job = shop.begin()
    text = shop.stored(job).text
    address = path.replace("/jobs/{job}", job).replace("{photograph}", "x").replace("{size}", "page")

    @QUIET
    @given(form=FORM, piece=st.booleans())
    def asked(form: dict[str, Any], piece: bool) -> None:
        headers = {"HX-Request": "true"} if piece else {}
        answer = shop.browser.get(address, params=sendable(form), headers=headers, follow_redirects=False)
        assert answer.status_code < 500, form

    asked()
    assert shop.stored(job).text == text, "looking changes nothing"
