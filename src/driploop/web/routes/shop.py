"""The owner's pages: who may do what, every change of every job, everything in one file to take home."""

from __future__ import annotations

import shutil
import tempfile
from datetime import UTC, datetime
from pathlib import Path

from starlette.background import BackgroundTask
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import FileResponse, Response

from driploop.store import NotThereError, Person, StoreError, people
from driploop.store.tables import ROLES
from driploop.web.accounts import end_sessions, sessions_of
from driploop.web.here import desk
from driploop.web.pages import changes, go_to, page, shows
from driploop.web.past import from_to, what_words
from driploop.web.past_rows import shop_history
from driploop.web.roles import ROLE_WORDS
from driploop.web.routes.sign_in import with_session
from driploop.web.visitors import is_loopback, person

_A_PAGE = 100


def show(request: Request) -> Response:
    """The people of the shop."""
    return _people(request)


def _people(request: Request, *, status: int = 200, refused: str = "", link: str = "", role: str = "") -> Response:
    store = desk(request).store
    rows = [(each, len(sessions_of(store, each.id))) for each in people.everybody(store)]
    return page(
        request, "shop/people.html", status=status, refused=refused, rows=rows, roles=ROLE_WORDS, link=link, role=role,
        invitations=people.open_invitations(store), here_alone=is_loopback(request.url.hostname or ""),
        names={each.id: each.name for each, _ in rows},
    )  # fmt: skip


def first(request: Request, form: FormData) -> Response:
    """The account of the one owner: from now on everybody signs in, the owner too."""
    store = desk(request).store
    if people.everybody(store):
        raise StoreError("There is an account already. Invite others from there.")
    name, sign_in, password = (str(form.get(key, "")) for key in ("name", "sign_in", "password"))
    try:
        made = people.add_person(store, name=name, sign_in=sign_in, password=password, role="owner")
    except StoreError as error:
        return _people(request, status=422, refused=str(error))
    desk(request).has_accounts = True
    return with_session(request, go_to("/shop"), made.id)


def invite(request: Request, form: FormData) -> Response:
    """An invitation, whose link is shown this once."""
    role = str(form.get("role", ""))
    if role not in ROLES:
        raise NotThereError("There is no such role.")
    if not people.everybody(desk(request).store):
        raise StoreError("Make your own account first: the first person is the owner.")
    word = people.invite(desk(request).store, role=role, by=person(request).id)
    return _people(request, link=f"{request.url.scheme}://{request.url.netloc}/invitation/{word}", role=role)


def withdraw(request: Request, form: FormData) -> Response:
    """Take an open invitation back."""
    people.withdraw(desk(request).store, str(form.get("invitation", ""))[:100])
    return go_to("/shop")


def change_role(request: Request, form: FormData) -> Response:
    """Trust somebody with more, or with less."""
    role = str(form.get("role", ""))
    if role not in ROLES:
        raise NotThereError("There is no such role.")
    try:
        people.change_person(desk(request).store, request.path_params["person"], role=role)
    except NotThereError:
        raise
    except StoreError as error:
        return _people(request, status=422, refused=str(error))
    return go_to("/shop" if person(request).id != request.path_params["person"] or role == "owner" else "/jobs")


def sign_out_everywhere(request: Request, form: FormData) -> Response:
    """End every session of somebody, as when a phone is lost."""
    end_sessions(desk(request).store, request.path_params["person"])
    return go_to("/shop")


def ask_remove(request: Request) -> Response:
    """Whether somebody shall really go."""
    return page(request, "shop/remove.html", who=_one(request))


def remove(request: Request, form: FormData) -> Response:
    """Delete somebody's account."""
    try:
        people.remove_person(desk(request).store, _one(request).id)
    except NotThereError:
        raise
    except StoreError as error:
        return _people(request, status=422, refused=str(error))
    return go_to("/shop")


def _one(request: Request) -> Person:
    found = (each for each in people.everybody(desk(request).store) if each.id == request.path_params["person"])
    one = next(found, None)
    if one is None:
        raise NotThereError("There is no such person; they may have been removed.")
    return one


def history(request: Request) -> Response:
    """Every change of every job, the last first."""
    search, before = request.query_params.get("search", "")[:200], request.query_params.get("before", "")
    start = int(before) if before.isascii() and before.isdigit() and len(before) < 16 else 0
    past = shop_history(desk(request).store, search=search, before=start, count=_A_PAGE)
    return page(request, "shop/history.html", past=past, search=search, more=len(past) == _A_PAGE, what=what_words,
                from_to=from_to)  # fmt: skip


def files(request: Request) -> Response:
    """Backups and the export."""
    kept = [(path.name, path.stat().st_size, _moment(path)) for path in _backups(request)]
    return page(request, "shop/files.html", kept=kept)


def back_up_now(request: Request, form: FormData) -> Response:
    """Make a backup beside the database; the page then hands it out."""
    from driploop.store.backup import back_up

    made = back_up(desk(request).store, _folder(request) / f"backup-{_stamp()}.zip")
    return go_to(f"/shop/files?made={made.path.name}")


def backup_file(request: Request) -> Response:
    """One backup."""
    return FileResponse(_backup(request), media_type="application/zip", filename=_backup(request).name)


def delete_backup(request: Request, form: FormData) -> Response:
    """Delete one backup."""
    _backup(request).unlink(missing_ok=True)
    return go_to("/shop/files")


def export(request: Request, form: FormData) -> Response:
    """All jobs as files that other programs read."""
    from driploop.store.export import export_everything

    aside = Path(tempfile.mkdtemp(prefix="export-", dir=desk(request).store.folder))
    try:
        made = export_everything(desk(request).store, aside / "driploop.zip")
    except BaseException:
        shutil.rmtree(aside, ignore_errors=True)
        raise
    return FileResponse(
        made.path, media_type="application/zip", filename=f"driploop-{_stamp()}.zip",
        background=BackgroundTask(shutil.rmtree, aside, ignore_errors=True),
    )  # fmt: skip


def _folder(request: Request) -> Path:
    return desk(request).store.folder / "backups"


def _backups(request: Request) -> list[Path]:
    return sorted(_folder(request).glob("*.zip"), key=_moment, reverse=True)


def _backup(request: Request) -> Path:
    """The backup that the address names, one of those in the folder: a name never leads out of it."""
    for path in _backups(request):
        if path.name == request.path_params["name"]:
            return path
    raise NotThereError("There is no such backup.")


def _moment(path: Path) -> datetime:
    return datetime.fromtimestamp(path.stat().st_mtime, UTC)


def _stamp() -> str:
    return datetime.now(UTC).strftime("%Y%m%d-%H%M%S-%f")[:19]


ROUTES = (
    shows("/shop", show),
    changes("/shop/first", first),
    shows("/shop/history", history),
    shows("/shop/files", files),
    changes("/shop/backup", back_up_now),
    shows("/shop/backups/{name}", backup_file),
    changes("/shop/backups/{name}/delete", delete_backup),
    changes("/shop/export", export),
    changes("/people/invite", invite),
    changes("/people/withdraw", withdraw),
    changes("/people/{person}/role", change_role),
    changes("/people/{person}/sessions/end", sign_out_everywhere),
    shows("/people/{person}/remove", ask_remove),
    changes("/people/{person}/remove", remove),
)
