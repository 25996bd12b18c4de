"""The walk: stations in order, one short form a thing, every answer saved by itself as soon as it is given."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from starlette.datastructures import FormData
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from driploop.store import Edit
from driploop.store import jobs as stored_jobs
from driploop.survey import JobFileError
from driploop.survey.layout import BY_ID
from driploop.survey.write import UpdateError
from driploop.web import stations
from driploop.web.fields import FieldView, asked_at, faults_of, field_view, form_of
from driploop.web.here import desk, job_id, planned, save, tables_now
from driploop.web.job_page import job_page
from driploop.web.moved import moved
from driploop.web.pages import changes, go_to, is_piece, page, shows
from driploop.web.proposals import PROPOSAL, address_of_proposed, is_proposed, split
from driploop.web.questions import open_questions
from driploop.web.routes.photographs import of_item
from driploop.web.typed import value_of
from driploop.web.visitors import person
from driploop.web.words import faults_words

#: Equipment that no circuit leaves.
_NO_CIRCUITS = ("meter", "utility", "junction box")


def overview(request: Request) -> Response:
    """All stations with what is met at each."""
    tables = planned(request).tables
    met = [(station, stations.things_at(station, tables)) for station in stations.STATIONS]
    stops = [(station, things, stations.progress(things)) for station, things in met]
    return job_page(request, "walk/overview.html", screen="walk", stops=stops, questions=open_questions(request))


def station(request: Request) -> Response:
    """One station: its things, and what may be added. ``?removed=`` offers to take a removal back."""
    stop = stations.station_of(request.path_params["station"])
    if stop is None:
        raise HTTPException(404, "The walk has no such station.")
    tables = planned(request).tables
    order = [each.slug for each in stations.STATIONS]
    after = order.index(stop.slug) + 1
    things = stations.things_at(stop, tables)
    adds = [
        (table, stations.KINDS[table][0], stations.next_id(tables, table),
         stations.last_of(things, table) if table in stations.SERIES else None)
        for table in stop.adds
    ]  # fmt: skip
    return job_page(
        request, "walk/station.html", screen="walk", station=stop, things=things, adds=adds,
        progress=stations.progress(things), questions=open_questions(request),
        following=stations.STATIONS[after] if after < len(order) else None,
        removed=_number(request.query_params.get("removed", "")), what=request.query_params.get("what", "")[:100],
    )  # fmt: skip


def thing(request: Request) -> Response:
    """The form of one thing."""
    return _thing(request, request.path_params["table"], request.path_params.get("id"))


def _thing(
    request: Request, table: str, id: str | None, *, told: FieldView | None = None, refused: str = ""
) -> Response:
    """The form of one thing; ``told`` stands in the place of its field where an answer was refused."""
    tables = planned(request).tables
    if not stations.is_there(tables, table, id):
        raise HTTPException(404, "There is no such thing in this job; it may have been removed.")
    met = stations.thing_of(tables, table, id)
    slug = stations.where_met(met, tables)
    beside = [each for each in stations.things_of(tables) if stations.where_met(each, tables) == slug]
    here = next(place for place, each in enumerate(beside) if each.path == met.path)
    fields = [told if told is not None and each.path == told.path else each for each in form_of(tables, table, id)]
    return job_page(
        request, "walk/thing.html", screen="walk", status=422 if told is not None or refused else 200, thing=met,
        station=stations.station_of(slug), first=[each for each in fields if each.often or each.error or each.conflict],
        more=[each for each in fields if not (each.often or each.error or each.conflict)], refused=refused,
        new_id=stations.id_like(tables, table, id) if id is not None else "",
        leaving=_leaving(tables, table, id), photographs=of_item(request, met.path), questions=open_questions(request),
        before=beside[here - 1] if here else None, after=beside[here + 1] if here + 1 < len(beside) else None,
    )  # fmt: skip


def _leaving(tables: Mapping[str, Any], table: str, id: str | None) -> tuple[stations.Thing, ...] | None:
    """The circuits of a panel or box; None where none can leave."""
    if table != "equipment" or id is None or tables["equipment"][id].get("kind") in _NO_CIRCUITS:
        return None
    return stations.leaving(tables, id)


def field(request: Request) -> Response:
    """One field as it stands, in place of what was typed."""
    view = field_view(tables_now(request), request.query_params.get("path", ""))
    return page(request, "walk/one_field.html", field=view, at=f"/jobs/{job_id(request)}")


def answer(request: Request, form: FormData) -> Response:
    """Save one answer, if what stands there is still what the form showed."""
    path = str(form.get("path", ""))
    asked, typed = asked_at(path), [str(value) for value in form.getlist("value")]
    table, id = _place(path)
    if not _is_asked(request, path, table, id):
        raise HTTPException(404, "This thing was removed while you typed. Add it again to keep the answer.")
    view: FieldView
    try:
        saved = save(request, [Edit(path, value_of(asked.key, typed), _seen(form))])
    except JobFileError as error:
        view, status = field_view(tables_now(request), path).typed_as(typed, *faults_of(error, path)), 422
    except UpdateError as error:
        view, status = field_view(tables_now(request), path).typed_as(typed, str(error)), 422
    else:
        view, status = replace(field_view(tables_now(request), path), saved=True), 200
        if saved.conflicts:
            view, status = replace(view, held=tuple(typed), saved=False, conflict=saved.conflicts[0]), 409
    if is_piece(request):
        shown = {"field": view, "at": f"/jobs/{job_id(request)}", "moved": moved(request)}
        answered = page(request, "walk/answered.html", status=status, **shown)
        if status == 200:
            answered.headers["HX-Trigger"] = "answered"  # what stands beside looks again
        return answered
    if table == PROPOSAL:
        if status != 200:
            raise HTTPException(status, f"{view.label}: {view.error or 'somebody changed this in between.'}")
        return go_to(f"/jobs/{job_id(request)}{address_of_proposed(path)}")
    if status != 200:
        return _thing(request, table, id, told=view)
    return go_to(f"/jobs/{job_id(request)}/walk/{path.rpartition('.')[0].replace('.', '/')}#f-{view.id}")


def add(request: Request, form: FormData) -> Response:
    """One more thing, empty or like another, at once on its own form."""
    table, called = str(form.get("table", "")), str(form.get("id", "")).strip()[:60]
    id = stations.id_of(called)
    tables = planned(request).tables
    if table not in BY_ID or table not in stations.KINDS:
        raise HTTPException(404, "There is no such kind of thing.")
    copied = str(form.get("like", ""))
    values = stations.like(tables, table, copied) if copied else {}
    if stations.is_there(tables, table, id) or not id:
        is_like = stations.is_there(tables, table, copied)
        id = stations.id_like(tables, table, copied) if is_like else stations.next_id(tables, table)
    if table == "circuits" and stations.is_there(tables, "equipment", leaves := str(form.get("from", ""))):
        values["from"] = leaves
    if called and stations.id_of(called) not in (called, ""):  # not an id, so a name of its own
        values["name"] = called
    try:
        saved = save(request, [Edit(f"{table}.{id}", values, None)])
    except (JobFileError, UpdateError) as error:
        raise HTTPException(422, faults_words(error)) from error
    if saved.conflicts:  # somebody took the id in this very moment
        raise HTTPException(409, "Somebody just added a thing of this name. Go back and add yours again.")
    return go_to(f"/jobs/{job_id(request)}/walk/{table}/{id}")


def remove(request: Request, form: FormData) -> Response:
    """Take one thing away; the next page offers to take that back."""
    path = str(form.get("path", ""))
    table, id = _place(f"{path}.")
    tables = planned(request).tables
    if id is None or not stations.is_there(tables, table, id):
        raise HTTPException(404, "There is no such thing in this job; it may have been removed already.")
    met = stations.thing_of(tables, table, id)
    slug = stations.where_met(met, tables)
    try:
        save(request, [Edit(path, None, tables[table][id])])
    except (JobFileError, UpdateError) as error:
        return _thing(request, table, id, refused=faults_words(error))
    change = stored_jobs.history(desk(request).store, job_id(request), count=1)[0].id
    return go_to(f"/jobs/{job_id(request)}/walk/at/{slug}?removed={change}&what={table}.{id}")


def undo(request: Request, form: FormData) -> Response:
    """Take one change of the history back."""
    change = _number(str(form.get("change", "")))
    if change is None:
        raise HTTPException(404, "There is no such change.")
    with desk(request).editing[job_id(request)]:
        saved = stored_jobs.undo(desk(request).store, job_id(request), change, who=person(request).who)
    if saved.conflicts:
        raise HTTPException(409, "The same thing was changed again since. Take the later change back first.")
    back = saved.written[0].split(".")
    known = len(back) > 1 and back[0] in BY_ID
    return go_to(f"/jobs/{job_id(request)}/walk" + (f"/{back[0]}/{back[1]}" if known else ""))


def _seen(form: FormData) -> Any:
    try:
        return json.loads(str(form.get("seen", "null")))
    except (ValueError, RecursionError):
        raise HTTPException(400, "The form was not whole. Load the page again.") from None


def _place(path: str) -> tuple[str, str | None]:
    """Table and id of a field's path."""
    steps = path.split(".")
    return steps[0], steps[1] if len(steps) == 3 else None


def _is_asked(request: Request, path: str, table: str, id: str | None) -> bool:
    """Whether the thing of a field is in the job; of a proposal, whether it may say something of that part."""
    proposed = split(path)
    if proposed is None:
        return stations.is_there(tables_now(request), table, id)
    found = planned(request)
    return proposed[1] is None or is_proposed(found.tables, found.plan, proposed[0], proposed[1])


def _number(words: str) -> int | None:
    return int(words) if words.isascii() and words.isdigit() and len(words) < 16 else None


ROUTES = (
    shows("/jobs/{job}/walk", overview),
    shows("/jobs/{job}/walk/at/{station}", station),
    shows("/jobs/{job}/walk/{table}", thing),
    shows("/jobs/{job}/walk/{table}/{id}", thing),
    shows("/jobs/{job}/field", field),
    changes("/jobs/{job}/field", answer),
    changes("/jobs/{job}/things", add),
    changes("/jobs/{job}/things/remove", remove),
    changes("/jobs/{job}/undo", undo),
)
