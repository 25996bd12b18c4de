"""Every drawing on a page of its own, with links: to be drawn along, made larger without a script, read as a list."""

from __future__ import annotations

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from driploop.web.blocks import Making, picture, to_places
from driploop.web.here import job_id, plan_of
from driploop.web.job_page import job_page
from driploop.web.pages import shows
from driploop.web.states import plan_in


def listing(request: Request) -> Response:
    """All drawings by what they show."""
    return job_page(request, "drawings/list.html", screen="papers", drawings=drawings_of(request))


def drawings_of(request: Request) -> list[tuple[str, str]]:
    """Name and title of every drawing, labels left out: they have a sheet of their own."""
    from driploop.documents.picture_files import all_drawings

    drawings = all_drawings(plan_of(request))
    return [(name.removesuffix(".svg"), each.title) for name, each in drawings.items() if not name.startswith("label-")]


def show(request: Request) -> Response:
    """One drawing. ``?size=large`` shows it larger than the page."""
    from driploop.documents.picture_files import all_drawings

    name, plan = request.path_params["name"], plan_of(request)
    found = all_drawings(plan).get(f"{name}.svg")
    if found is None:
        raise HTTPException(404, "There is no such drawing now; the papers list those there are.")
    state = "found" if "found" in name or plan.proposed is None else "proposed"
    making = Making(plan_in(request, state), state, f"/jobs/{job_id(request)}")
    names = [each for each, _ in drawings_of(request)]
    place = names.index(name) if name in names else 0
    return job_page(
        request, "drawings/one.html", screen="papers", name=name, each=picture(found, to_places(making)),
        large=request.query_params.get("size") == "large", before=names[place - 1] if place else "",
        after=names[place + 1] if place + 1 < len(names) else "",
    )  # fmt: skip


ROUTES = (shows("/jobs/{job}/drawings", listing), shows("/jobs/{job}/drawings/{name}", show))
