"""The readings of one state: every worksheet with its last line, each opening to the lines a person would write."""

from __future__ import annotations

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from driploop.web.here import plan_of
from driploop.web.job_page import job_page
from driploop.web.pages import is_piece, page, shows

#: Where a worksheet's id begins, the anchor of its group, what the group is called.
_GROUPS = (
    ("headroom", "headroom", "Room left"),
    ("load", "load", "Load"),
    ("conductor", "conductors", "Conductors"),
    ("", "grounding", "Bonding and grounding"),
)


def show(request: Request) -> Response:
    """The worksheets of the state that is asked for."""
    plan = plan_of(request)
    state = "found" if plan.proposed is None or request.query_params.get("state") == "found" else "proposed"
    wanted = "F" if state == "found" else "P"
    groups: dict[str, tuple[str, list[tuple[str, object]]]] = {anchor: (title, []) for _, anchor, title in _GROUPS}
    for number, sheet in plan.worksheets().items():
        if number[0] in (wanted, "H"):
            anchor = next(anchor for start, anchor, _ in _GROUPS if sheet.id.startswith(start))
            groups[anchor][1].append((number, sheet))
    return job_page(
        request, "readings/list.html", screen="readings", state=state, groups=groups, plan=plan,
    )  # fmt: skip


def worksheet(request: Request) -> Response:
    """One worksheet, by its number on paper."""
    number = request.path_params["number"]
    sheet = plan_of(request).worksheets().get(number)
    if sheet is None:
        raise HTTPException(404, "There is no worksheet of this number now; the readings list those there are.")
    if is_piece(request):
        return page(request, "readings/lines.html", sheet=sheet)
    return job_page(request, "readings/worksheet.html", screen="readings", sheet=sheet, number=number)


ROUTES = (shows("/jobs/{job}/readings", show), shows("/jobs/{job}/worksheets/{number}", worksheet))
