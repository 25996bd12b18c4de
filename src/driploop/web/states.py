"""Which state of the installation a page shows: as found, or as proposed where something is proposed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from starlette.exceptions import HTTPException
from starlette.requests import Request

from driploop.web.here import plan_of, planned

if TYPE_CHECKING:
    from driploop.planning import Plan


def plan_shown(request: Request) -> tuple[Plan, str]:
    """The plan whose final state is the one that ``?state=`` asks for, and that state's name."""
    plan = plan_of(request)
    state = "found" if plan.proposed is None or request.query_params.get("state") == "found" else "proposed"
    return plan_in(request, state), state


def plan_in(request: Request, state: str) -> Plan:
    """The plan whose final state is this one.

    Raises:
        HTTPException: 404, there is no such state, or nothing is proposed.
    """
    plan = plan_of(request)
    if state == "proposed" and plan.proposed is not None:
        return plan
    if state != "found":
        raise HTTPException(404, "Nothing is proposed yet, so nothing was worked out for it.")
    as_found = planned(request).as_found
    assert as_found is not None
    return as_found
