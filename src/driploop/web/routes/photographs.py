"""Photographs of the things of a job: taken with the phone, shown beside the thing, taken away for good."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import groupby
from typing import Any

from starlette.datastructures import FormData, UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, Response

from driploop.store import Photograph, StoreError
from driploop.store import photographs as stored
from driploop.web.here import desk, job_id, planned
from driploop.web.job_page import job_page
from driploop.web.pages import changes, go_to, is_piece, page, shows
from driploop.web.places import address_of, place_words
from driploop.web.stations import is_there
from driploop.web.visitors import person

_MOST_CAPTION = 200
#: A picture never changes under its address; this browser alone keeps it. [s]
_KEPT = "private, max-age=86400, immutable"


def of_item(request: Request, item: str) -> tuple[Photograph, ...]:
    """The photographs of one thing, oldest first."""
    return tuple(each for each in stored.photographs_of(desk(request).store, job_id(request)) if each.item == item)


def show(request: Request) -> Response:
    """All photographs of the job, thing by thing."""
    tables = planned(request).tables
    every = stored.photographs_of(desk(request).store, job_id(request))
    groups = [
        (place_words(tables, item), address_of(tables, item), list(each))
        for item, each in groupby(every, key=lambda photograph: photograph.item)
    ]
    return job_page(request, "photographs.html", screen="walk", groups=groups)


def picture(request: Request) -> Response:
    """One photograph in one of its sizes."""
    path, kind = stored.photograph_file(
        desk(request).store, job_id(request), request.path_params["photograph"], request.path_params["size"]
    )
    if not path.exists():
        raise HTTPException(404, "The file of this photograph is not beside the database; a backup may hold it.")
    return FileResponse(path, media_type=kind, headers={"Cache-Control": _KEPT})


def add(request: Request, form: FormData) -> Response:
    """Keep what was photographed; what is no picture is told by its name, and the others are kept."""
    item = str(form.get("item", ""))
    if not _is_item(planned(request).tables, item):
        raise HTTPException(404, "What was photographed is not in this job; it may have been removed.")
    files = [each for each in form.getlist("picture") if isinstance(each, UploadFile) and (each.size or each.filename)]
    refused = [] if files else ["Choose a photograph first."]
    for each in files:
        try:
            stored.add_photograph(
                desk(request).store, job_id(request), item, each.file.read(), who=person(request).who,
                caption=str(form.get("caption", ""))[:_MOST_CAPTION],
            )  # fmt: skip
        except StoreError as error:
            refused.append(f"{_name(each)}: {error}")
    return _answered(request, item, refused)


def remove(request: Request, form: FormData) -> Response:
    """Take a photograph away for good."""
    id = str(form.get("photograph", ""))
    every = stored.photographs_of(desk(request).store, job_id(request))
    item = next((each.item for each in every if each.id == id), "")
    stored.delete_photograph(desk(request).store, job_id(request), id, who=person(request).who)
    return _answered(request, item, [])


def _answered(request: Request, item: str, refused: list[str]) -> Response:
    at, status = f"/jobs/{job_id(request)}", 422 if refused else 200
    if is_piece(request):
        shown = {"photographs": of_item(request, item), "item": item, "refused": refused, "at": at}
        return page(request, "walk/photographs.html", status=status, **shown)
    if refused:
        raise HTTPException(422, " ".join(refused))
    back = address_of(planned(request).tables, item)
    return go_to(f"{at}{back}#photographs" if back else f"{at}/photographs")


def _is_item(tables: Mapping[str, Any], item: str) -> bool:
    table, _, id = item.partition(".")
    return is_there(tables, table, id or None) and bool(address_of(tables, item))


def _name(file: UploadFile) -> str:
    return (file.filename or "the photograph")[-80:]


ROUTES = (
    shows("/jobs/{job}/photographs", show),
    changes("/jobs/{job}/photographs", add),
    changes("/jobs/{job}/photographs/remove", remove),
    shows("/jobs/{job}/photographs/{photograph}/{size}", picture),
)
