"""Who may do what: the first account, signing in, invitations, roles on every address, sessions, and who is let go."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from httpx2 import Response
from starlette.testclient import TestClient

from driploop.store import people
from driploop.store.tables import ROLES
from driploop.web.accounts import sessions_of
from driploop.web.app import SCREENS
from driploop.web.pages import Screen
from driploop.web.roles import ANYBODY, least_role, may
from web.hands import Shop, filled, plain

OWNER = {"name": "Ada Quill", "sign_in": "ada", "password": "a kettle of geese"}
PASSWORD = "nine wet otters"
ROUTES: list[Screen] = [route for screen in SCREENS for route in screen.ROUTES]


@contextmanager
def another_browser(shop: Shop, client: str = "127.0.0.1") -> Iterator[Shop]:
    with TestClient(shop.browser.app, client=(client, 1), raise_server_exceptions=False) as browser:
        yield Shop(browser, shop.store)


@pytest.fixture
def owned(shop: Shop) -> Shop:
    """The owner has an account and is signed in."""
    assert shop.post("/shop/first", **OWNER).status_code == 303
    return shop


def token_on(shop: Shop, address: str) -> str:
    found = re.search(r'name="token" value="([^"]+)"', shop.browser.get(address).text)
    assert found
    return found[1]


def sign_in(shop: Shop, name: str, password: str, back: str = "") -> Response:
    form = {"token": token_on(shop, "/sign-in"), "name": name, "password": password, "back": back}
    return shop.browser.post("/sign-in", data=form, follow_redirects=False)


def join(shop: Shop, owner: Shop, role: str, sign_in: str = "ben") -> str:
    """Let somebody into the shop by invitation, in their own browser. Returns their id."""
    page = owner.post("/people/invite", role=role)
    link = re.search(r"/invitation/[\w-]+", page.text)
    assert link
    form = {"token": token_on(shop, link[0]), "name": sign_in.title(), "sign_in": sign_in, "password": PASSWORD}
    assert shop.browser.post(link[0], data=form, follow_redirects=False).status_code == 303
    return next(each.id for each in people.everybody(shop.store) if each.sign_in == sign_in)


# --- the first account -----------------------------------------------------------------------------------------------


def test_alone_on_the_machine_nobody_is_asked(shop: Shop) -> None:
    words = plain(shop.browser.get("/shop"))
    assert "no password is asked for" in words
    assert shop.browser.get("/jobs").status_code == 200
    assert "no password is asked for" in plain(shop.browser.get("/account"))


def test_after_the_first_account_everybody_signs_in_at_this_machine_too(owned: Shop) -> None:
    assert owned.browser.get("/jobs", follow_redirects=False).status_code == 200
    with another_browser(owned) as other:
        sent = other.browser.get("/jobs?search=a b", follow_redirects=False)
        assert sent.status_code == 303
        assert sent.headers["location"] == "/sign-in?back=%2Fjobs%3Fsearch%3Da%2520b"
        assert "Ada" not in other.browser.get("/sign-in").text


def test_a_second_first_account_is_refused(owned: Shop) -> None:
    assert owned.post("/shop/first", **{**OWNER, "sign_in": "eve"}).status_code == 422
    assert len(people.everybody(owned.store)) == 1


@pytest.mark.parametrize(
    ("password", "why"), [("short", "10 or more"), ("a" * 12, "over and over"), ("Ada Quill ", "nobody can guess")]
)
def test_a_poor_password_is_refused_with_the_reason(shop: Shop, password: str, why: str) -> None:
    answer = shop.post("/shop/first", **{**OWNER, "password": password})
    assert answer.status_code == 422
    assert why in plain(answer)
    assert not people.everybody(shop.store)


# --- signing in ------------------------------------------------------------------------------------------------------


def test_name_and_password_open_the_door_and_lead_back(owned: Shop) -> None:
    with another_browser(owned, "192.0.2.7") as other:
        assert sign_in(other, "Ada", OWNER["password"], "/jobs/new").headers["location"] == "/jobs/new"
        assert other.browser.get("/jobs").status_code == 200


def test_the_cookie_of_a_session_is_kept_from_scripts(owned: Shop) -> None:
    with another_browser(owned) as other:
        cookie = sign_in(other, "ada", OWNER["password"]).headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=lax" in cookie
    assert "Secure" not in cookie


def test_over_https_the_cookies_never_go_over_http(owned: Shop) -> None:
    with another_browser(owned) as other:
        other.browser.base_url = "https://testserver"
        cookies = [other.browser.get("/sign-in").headers["set-cookie"]]
        cookies.append(sign_in(other, "ada", OWNER["password"]).headers["set-cookie"])
    assert all("Secure" in cookie for cookie in cookies)
    assert cookies[1].startswith("__Host-driploop_session=")


@pytest.mark.parametrize("back", ["https://elsewhere.example/", "//elsewhere.example", "/\\elsewhere.example", "jobs",
                                  "/sign-in?back=/sign-in", "/jobs\r\nX: y", "javascript:alert(1)"])  # fmt: skip
def test_signing_in_never_leads_elsewhere(owned: Shop, back: str) -> None:
    with another_browser(owned) as other:
        assert sign_in(other, "ada", OWNER["password"], back).headers["location"] == "/jobs"


@pytest.mark.parametrize(("name", "password"), [("ada", "wrong wrong"), ("nobody", OWNER["password"]), ("", "")])
def test_a_wrong_word_is_not_told_apart_from_a_wrong_name(owned: Shop, name: str, password: str) -> None:
    with another_browser(owned) as other:
        answer = sign_in(other, name, password)
        assert answer.status_code == 403
        assert "Name and password do not fit together" in plain(answer)
        assert other.browser.get("/jobs", follow_redirects=False).status_code == 303


def test_whoever_guesses_is_told_how_long_to_wait(owned: Shop) -> None:
    with another_browser(owned) as other:
        for _ in range(people.TRIES):
            assert sign_in(other, "ada", "a wrong guess").status_code == 403
        late = sign_in(other, "ada", OWNER["password"])
        assert late.status_code == 429
        assert "Too many tries. Try again in 15 minutes." in plain(late)
        assert late.headers["retry-after"] == "900"


def test_what_was_typed_while_the_session_ended_is_told_and_nothing_is_done(owned: Shop) -> None:
    job = owned.begin()
    text = owned.stored(job).text
    owned.browser.cookies.delete("driploop_session")
    answer = owned.browser.post(f"{job}/field", data={"path": "circuits.range.ocpd_a", "value": "30", "seen": "40"})
    assert answer.status_code == 401
    assert owned.stored(job).text == text
    assert owned.browser.get(f"{job}/others", headers={"HX-Request": "true"}).status_code == 401


def test_a_token_lasts_no_longer_than_its_session(owned: Shop) -> None:
    token = owned.token
    assert owned.browser.post("/sign-out", data={"token": token}, follow_redirects=False).status_code == 303
    assert sign_in(owned, "ada", OWNER["password"]).status_code == 303
    assert owned.browser.post("/jobs/new", data={"token": token, "from": "starter"}).status_code == 403


def test_a_form_sent_by_a_page_elsewhere_is_refused_even_with_the_token(owned: Shop) -> None:
    form = {"token": owned.token, "from": "starter"}
    for headers in ({"Origin": "https://elsewhere.example"}, {"Origin": "null"}, {"Origin": "http://["},
                    {"Sec-Fetch-Site": "cross-site"}, {"Sec-Fetch-Site": "same-site"}):  # fmt: skip
        assert owned.browser.post("/jobs/new", data=form, headers=headers).status_code == 403
    mine = {"Origin": "http://testserver", "Sec-Fetch-Site": "same-origin"}
    assert owned.browser.post("/jobs/new", data=form, headers=mine, follow_redirects=False).status_code == 303


# --- invitations -----------------------------------------------------------------------------------------------------


def test_an_invitation_lets_one_person_in_once(owned: Shop) -> None:
    link = re.search(r"http://testserver(/invitation/[\w-]+)", owned.post("/people/invite", role="crew").text)
    assert link
    assert link[1] not in owned.browser.get("/shop").text, "it is shown only once"
    with another_browser(owned, "192.0.2.7") as ben:
        form = {"token": token_on(ben, link[1]), "name": "Ben", "sign_in": "ben", "password": PASSWORD}
        assert ben.browser.post(link[1], data={**form, "password": "x"}).status_code == 422
        assert ben.browser.post(link[1], data=form, follow_redirects=False).headers["location"] == "/jobs"
        assert "Ben" in plain(ben.browser.get("/jobs"))
    with another_browser(owned) as late:
        assert late.browser.get(link[1]).status_code == 404
        form["token"] = token_on(late, "/sign-in")
        assert late.browser.post(link[1], data={**form, "sign_in": "eve"}).status_code == 404


def test_an_invitation_can_be_taken_back(owned: Shop) -> None:
    page = owned.post("/people/invite", role="view")
    link, id = re.search(r"/invitation/[\w-]+", page.text), re.search(r'name="invitation" value="(\w+)"', page.text)
    assert link
    assert id
    assert owned.post("/people/withdraw", invitation=id[1]).status_code == 303
    assert owned.browser.get(link[0]).status_code == 404


# --- roles -----------------------------------------------------------------------------------------------------------


def test_every_address_has_its_role() -> None:
    assert all(isinstance(route, Screen) for route in ROUTES), "made by shows() or changes(), which ask for the role"
    assert {route.least for route in ROUTES} <= {*ROLES, ANYBODY}
    assert {route.path for route in ROUTES if route.least == ANYBODY} == {"/sign-in", "/invitation/{word}"}


@pytest.mark.parametrize("role", ["crew", "view"])
def test_a_role_may_use_what_is_for_it_and_nothing_more(owned: Shop, role: str) -> None:
    with another_browser(owned) as other:
        join(other, owned, role)
        for route in ROUTES:
            for method in sorted((route.methods or set()) - {"HEAD"}):
                if route.path == "/sign-out":
                    continue
                form = {"data": {"token": token_on(other, "/account")}}
                sent = other.browser.request(method, filled(route.path), follow_redirects=False,
                                             **form if method == "POST" else {})  # fmt: skip
                told = f"{method} {route.path}: {sent.status_code}"
                kept_out = "This is for the owner" in sent.text and sent.status_code == 403
                assert kept_out is not may(role, route.least), told
                assert sent.status_code not in (401, 500), told


@pytest.mark.parametrize(
    ("method", "path", "least"),
    [
        ("GET", "/jobs", "view"), ("GET", "/jobs/{job}/papers/packet.pdf", "view"), ("POST", "/jobs/new", "crew"),
        ("GET", "/jobs/new", "crew"),
        ("POST", "/jobs/{job}/field", "crew"), ("POST", "/jobs/{job}/undo", "crew"),
        ("POST", "/jobs/{job}/anything/at/all", "crew"), ("POST", "/jobs/{job}/looked", "view"),
        ("POST", "/jobs/{job}/delete", "owner"), ("GET", "/shop", "owner"), ("GET", "/shop/history", "owner"),
        ("POST", "/shop/backup", "owner"), ("POST", "/people/{person}/role", "owner"), ("POST", "/shopping", "crew"),
    ],
)  # fmt: skip
def test_what_each_kind_of_address_asks_for(method: str, path: str, least: str) -> None:
    assert least_role(method, path) == least  # type: ignore[arg-type]


def test_without_a_session_no_address_but_the_door_is_open(owned: Shop) -> None:
    with another_browser(owned) as other:
        for route in ROUTES:
            for method in sorted((route.methods or set()) - {"HEAD"}):
                sent = other.browser.request(method, filled(route.path), follow_redirects=False)
                if route.least == ANYBODY:
                    assert sent.status_code in (200, 403, 404)
                elif method == "GET":
                    assert sent.status_code == 303
                    assert sent.headers["location"].startswith("/sign-in?back=")
                else:
                    assert sent.status_code == 401


def test_who_may_look_finds_no_link_to_what_is_not_for_them(owned: Shop) -> None:
    job = owned.begin()
    with another_browser(owned) as other:
        join(other, owned, "view")
        for address in ("/jobs", job, f"{job}/people"):
            page = other.browser.get(address)
            assert page.status_code == 200
            assert not re.search(r'href="(/shop|/jobs/new|/jobs/\w+/delete)"', page.text)
            assert 'data-role="view"' in page.text
        text = owned.stored(job).text
        form = {"token": token_on(other, "/account"), "path": "circuits.range.ocpd_a", "value": "30", "seen": "40"}
        assert other.browser.post(f"{job}/field", data=form).status_code == 403
        assert owned.stored(job).text == text


def test_a_role_that_is_changed_counts_at_once(owned: Shop) -> None:
    with another_browser(owned) as other:
        id = join(other, owned, "view")
        assert other.browser.get("/shop").status_code == 403
        assert owned.post(f"/people/{id}/role", role="owner").status_code == 303
        assert other.browser.get("/shop").status_code == 200
        assert owned.post(f"/people/{id}/role", role="king").status_code == 404


def test_the_last_owner_stays(owned: Shop) -> None:
    id = people.everybody(owned.store)[0].id
    for refused in (owned.post(f"/people/{id}/remove"), owned.post(f"/people/{id}/role", role="crew")):
        assert refused.status_code == 422
        assert "Somebody must stay owner" in plain(refused)
    assert people.everybody(owned.store)[0].role == "owner"


def test_who_is_removed_is_out_at_once_and_the_history_names_them(owned: Shop) -> None:
    job = owned.begin()
    with another_browser(owned) as other:
        id = join(other, owned, "crew")
        other.answer(job, "job.number", "D-9", "D-002")
        asked = plain(owned.browser.get(f"/people/{id}/remove"))
        assert "Remove Ben?" in asked
        assert "goes on naming Ben" in asked
        assert owned.post(f"/people/{id}/remove").status_code == 303
        assert other.browser.get("/jobs", follow_redirects=False).status_code == 303
    assert "ben" not in {each.sign_in for each in people.everybody(owned.store)}
    assert "Ben" in plain(owned.browser.get(f"{job}/people"))


# --- one's own account -----------------------------------------------------------------------------------------------


def test_a_new_password_signs_every_other_browser_out(owned: Shop) -> None:
    with another_browser(owned) as other:
        sign_in(other, "ada", OWNER["password"])
        assert plain(owned.browser.get("/account")).count("Another browser") == 1
        assert owned.post("/account/password", now="wrong wrong", new=PASSWORD).status_code == 403
        assert owned.post("/account/password", now=OWNER["password"], new="short").status_code == 422
        assert owned.post("/account/password", now=OWNER["password"], new="Ada").status_code == 422
        assert owned.browser.get("/jobs", follow_redirects=False).status_code == 200
        assert owned.post("/account/password", now=OWNER["password"], new=PASSWORD).status_code == 303
        assert owned.browser.get("/jobs", follow_redirects=False).status_code == 200
        assert other.browser.get("/jobs", follow_redirects=False).status_code == 303
        assert sign_in(other, "ada", OWNER["password"]).status_code == 403
        assert sign_in(other, "ada", PASSWORD).status_code == 303


def test_another_browser_can_be_signed_out_from_here(owned: Shop) -> None:
    with another_browser(owned) as lost, another_browser(owned) as found:
        for each in (lost, found):
            sign_in(each, "ada", OWNER["password"])
        ids = re.findall(r'name="session" value="(\w+)"', owned.browser.get("/account").text)
        assert len(ids) == 2, "this browser is not offered"
        owned.post("/account/sessions/end", session=ids[0])
        out = [each.browser.get("/jobs", follow_redirects=False).status_code for each in (found, lost)]
        assert sorted(out) == [200, 303]
        owned.post("/account/sessions/end")
        assert found.browser.get("/jobs", follow_redirects=False).status_code == 303
        assert owned.browser.get("/jobs", follow_redirects=False).status_code == 200


def test_nobody_ends_a_session_of_somebody_else(owned: Shop) -> None:
    with another_browser(owned) as other:
        id = join(other, owned, "crew")
        theirs = sessions_of(owned.store, id)
        owned.post("/account/sessions/end", session=theirs[0].id)
        assert sessions_of(owned.store, id) == theirs


def test_the_owner_signs_a_lost_phone_out(owned: Shop) -> None:
    with another_browser(owned) as other:
        id = join(other, owned, "crew")
        assert owned.post(f"/people/{id}/sessions/end").status_code == 303
        assert other.browser.get("/jobs", follow_redirects=False).status_code == 303


def test_signing_out_ends_the_session_itself(owned: Shop) -> None:
    word = owned.browser.cookies["driploop_session"]
    owned.post("/sign-out")
    assert people.session_of(owned.store, word) is None
