"""Signing in and out, an account by invitation, and one's own account: its password, where it is signed in."""

from __future__ import annotations

import re
from threading import BoundedSemaphore

from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import Response

from driploop.store import NotThereError, StoreError, people
from driploop.store.people import SESSION
from driploop.web.accounts import end_sessions, session_id, sessions_of
from driploop.web.door import session_cookie
from driploop.web.here import desk
from driploop.web.pages import changes, go_to, page, shows
from driploop.web.roles import ROLE_WORDS
from driploop.web.visitors import person, place_of

#: So many passwords are checked at a time: each check takes much memory on purpose.
_CHECKING = BoundedSemaphore(2)
_WAIT = re.compile(r"Wait (\d+) min")


def ask(request: Request) -> Response:
    """Who is it?"""
    back = _way_back(request.query_params.get("back", ""))
    if person(request).role:
        return go_to(back)
    return page(request, "people/sign_in.html", back=back, name="", refused="")


def enter(request: Request, form: FormData) -> Response:
    """Check a password and begin a session."""
    name, back = str(form.get("name", ""))[:200], _way_back(str(form.get("back", "")))
    try:
        with _CHECKING:
            found = people.sign_in(
                desk(request).store, name=name, password=str(form.get("password", "")), place=place_of(request)
            )
    except StoreError as error:
        return _wait(request, error, back, name)
    if found is None:
        refused = "Name and password do not fit together."
        return page(request, "people/sign_in.html", status=403, back=back, name=name, refused=refused)
    return _with_session(request, go_to(back), found[1])


def _wait(request: Request, error: StoreError, back: str, name: str) -> Response:
    minutes = _minutes(error)
    if not minutes:
        raise error
    answer = page(request, "people/sign_in.html", status=429, back=back, name=name, refused=_too_many(minutes))
    answer.headers["Retry-After"] = str(60 * minutes)
    return answer


def _minutes(error: StoreError) -> int:
    match = _WAIT.search(str(error))
    return int(match[1]) if match else 0


def _too_many(minutes: int) -> str:
    return f"Too many tries. Try again in {minutes} {'minute' if minutes == 1 else 'minutes'}."


def leave(request: Request, form: FormData) -> Response:
    """End this browser's session."""
    if word := _word(request):
        people.sign_out(desk(request).store, word)
    return _without_session(request, go_to("/sign-in" if person(request).id else "/jobs"))


def invited(request: Request) -> Response:
    """What an invitation gives, and the form of the account."""
    role = people.invited_role(desk(request).store, _invitation(request))
    return page(request, "people/invited.html", role=role, may=ROLE_WORDS[role], refused="", name="", sign_in="")


def accept(request: Request, form: FormData) -> Response:
    """Make the account that an invitation allows, and sign it in."""
    name, sign_in, password = (str(form.get(key, "")) for key in ("name", "sign_in", "password"))
    store, word = desk(request).store, _invitation(request)
    try:
        role = people.invited_role(store, word)
        with _CHECKING:
            made = people.accept(store, word, name=name, sign_in=sign_in, password=password)
    except NotThereError:
        raise
    except StoreError as error:
        return page(request, "people/invited.html", status=422, role=role, may=ROLE_WORDS[role], refused=str(error),
                    name=name[:200], sign_in=sign_in[:200])  # fmt: skip
    return _with_session(request, go_to("/jobs"), people.new_session(store, made.id))


def account(request: Request) -> Response:
    """One's own account."""
    return _account(request)


def _account(request: Request, *, refused: str = "", status: int = 200) -> Response:
    me, store = person(request), desk(request).store
    sign_in = next((each.sign_in for each in people.everybody(store) if each.id == me.id), "")
    return page(
        request, "people/account.html", status=status, refused=refused, may=ROLE_WORDS[me.role], sign_in=sign_in,
        sessions=sessions_of(store, me.id) if me.id else (), here=session_id(_word(request)),
    )  # fmt: skip


def change_password(request: Request, form: FormData) -> Response:
    """Give oneself another password; every other browser is signed out."""
    me, store = person(request), desk(request).store
    if me.id is None:
        raise NotThereError("There is no account yet, so there is no password. Make one under Shop.")
    mine = next(each for each in people.everybody(store) if each.id == me.id)
    now, new = str(form.get("now", "")), str(form.get("new", ""))
    try:
        with _CHECKING:  # signing in counts tries, so that a found phone cannot be used to guess
            right = people.sign_in(store, name=mine.sign_in, password=now, place=place_of(request))
        if right is None:
            return _account(request, refused="The password of now is not right. Nothing was changed.", status=403)
        people.sign_out(store, right[1])
        if new.strip().lower() in (mine.name.lower(), mine.sign_in):
            return _account(request, refused="The password is the name. Choose another.", status=422)
        with _CHECKING:
            people.set_password(store, me.id, new)
    except StoreError as error:
        minutes = _minutes(error)
        refused = _too_many(minutes) if minutes else str(error)
        return _account(request, refused=refused, status=429 if minutes else 422)
    return _with_session(request, go_to("/account"), people.new_session(store, me.id))


def end(request: Request, form: FormData) -> Response:
    """End one of one's own sessions, or all but this one."""
    me, only = person(request), str(form.get("session", ""))[:100]
    if me.id is not None:
        here = session_id(_word(request))
        end_sessions(desk(request).store, me.id, only=only, but="" if only else here)
    return go_to("/account")


def with_session(request: Request, answer: Response, id: str) -> Response:
    """An answer that signs a browser in as somebody who has just shown who they are."""
    return _with_session(request, answer, people.new_session(desk(request).store, id))


def _with_session(request: Request, answer: Response, word: str) -> Response:
    answer.set_cookie(
        session_cookie(request.url.scheme), word, max_age=int(SESSION.total_seconds()), httponly=True, samesite="lax",
        secure=request.url.scheme == "https", path="/",
    )  # fmt: skip
    return answer


def _without_session(request: Request, answer: Response) -> Response:
    answer.delete_cookie(
        session_cookie(request.url.scheme), httponly=True, samesite="lax", secure=request.url.scheme == "https"
    )
    return answer


def _word(request: Request) -> str:
    return request.cookies.get(session_cookie(request.url.scheme), "")


def _invitation(request: Request) -> str:
    word: str = request.path_params["word"]
    return word[:200]


def _way_back(back: str) -> str:
    """Where to go after signing in: a page of this program and nothing else."""
    plain = re.fullmatch(r"/[\w./~%-]*(?:\?[\w.,&=%+~-]*)?", back)
    return back if plain and not back.startswith(("//", "/sign-in")) and len(back) < 1000 else "/jobs"


ROUTES = (
    shows("/sign-in", ask),
    changes("/sign-in", enter),
    changes("/sign-out", leave),
    shows("/invitation/{word}", invited),
    changes("/invitation/{word}", accept),
    shows("/account", account),
    changes("/account/password", change_password),
    changes("/account/sessions/end", end),
)
