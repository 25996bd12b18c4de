"""The readings of one state, a page each; every number leads to its worksheet."""

from __future__ import annotations

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from driploop.web.blocks import Making
from driploop.web.here import job_id, plan_of
from driploop.web.job_page import job_page
from driploop.web.pages import go_to, is_piece, page, shows
from driploop.web.states import plan_in, plan_shown


def listing(request: Request) -> Response:
    """The readings with their key figures."""
    from driploop.web.figures import figures_of

    plan = plan_of(request)
    _, state = plan_shown(request)
    figures = figures_of(plan, state)
    return job_page(request, "readings/list.html", screen="readings", state=state, figures=figures, plan=plan)


def reading(request: Request) -> Response:
    """One reading."""
    return reading_page(request, request.path_params["reading"], screen="readings")


def circuits(request: Request) -> Response:
    """The circuits, which are a reading and a screen of their own."""
    return reading_page(request, "circuits", screen="circuits")


def reading_page(request: Request, slug: str, *, screen: str) -> Response:
    """The page of one reading, as found or as proposed."""
    from driploop.web.reading_pages import PAGES

    if slug not in PAGES:
        raise HTTPException(404, "There is no such reading; the readings list those there are.")
    plan, state = plan_shown(request)
    making = Making(plan, state, f"/jobs/{job_id(request)}")
    blocks = [block for block in PAGES[slug].blocks(making) if not block.empty]
    return job_page(
        request, "readings/page.html", screen=screen, state=state, reading=PAGES[slug], blocks=blocks,
        plan=plan_of(request), pages=PAGES,
    )  # fmt: skip


def sheet(request: Request) -> Response:
    """One worksheet, its sections and how well each value is known. ``?line=`` marks the line that is meant."""
    from driploop.web.sheets import KNOWN, sheet_of

    state = request.path_params["state"]
    plan = plan_in(request, state)
    found = sheet_of(plan, request.path_params["id"])
    if found is None:
        raise HTTPException(404, "There is no such worksheet now; the readings list those there are.")
    raw = request.query_params.get("line", "")
    line = int(raw) if raw.isascii() and raw.isdigit() and len(raw) < 6 else 0
    said = {"sheet": found, "line": line, "known": KNOWN, "edition": plan.edition.name, "state": state}
    if is_piece(request):
        return page(request, "readings/opened.html", as_row=request.query_params.get("as") == "row", **said)
    return job_page(request, "readings/sheet.html", screen="readings", **said)


def numbered(request: Request) -> Response:
    """A worksheet by its number on the plan's own list leads to the same by its id."""
    number = request.path_params["number"]
    found = plan_of(request).worksheets().get(number)
    if found is None:
        raise HTTPException(404, "There is no worksheet of this number now; the readings list those there are.")
    state = "found" if number[0] != "P" else "proposed"
    return go_to(f"/jobs/{job_id(request)}/sheets/{state}/{found.id}")


ROUTES = (
    shows("/jobs/{job}/readings", listing),
    shows("/jobs/{job}/readings/{reading}", reading),
    shows("/jobs/{job}/circuits", circuits),
    shows("/jobs/{job}/sheets/{state}/{id:path}", sheet),
    shows("/jobs/{job}/worksheets/{number}", numbered),
)
