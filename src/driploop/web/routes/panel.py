"""Every panel that will stand: its face to be moved about on, the rest solved, the door card and the crew sheet."""

from __future__ import annotations

from importlib.util import find_spec
from typing import TYPE_CHECKING, Any

from markupsafe import Markup
from starlette.datastructures import FormData
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from driploop.store import Edit
from driploop.store.edits import value_at
from driploop.web.here import desk, job_id, plan_of, planned, save, stored_job
from driploop.web.job_page import job_page
from driploop.web.pages import changes, go_to, is_piece, page, shows
from driploop.web.panel_moves import (
    face_of,
    holding,
    kept_after,
    laid_after,
    may_be_held,
    offers,
    panel_of,
    slug_of,
)
from driploop.web.states import plan_in, plan_shown

if TYPE_CHECKING:
    from driploop.panel import PanelProblem, PanelReading, Solved
    from driploop.web.works import Work

_HELD, _LAID = "proposal.held_places", "proposal.laid_places"


def listing(request: Request) -> Response:
    """The panels, in the order of supply."""
    from driploop.documents.panel import quality_words

    plan, state = plan_shown(request)
    rows = [(each, slug_of(each.equipment), quality_words(each.solved) if each.solved else "") for each in plan.panels]
    return job_page(request, "panel/list.html", screen="panel", rows=rows, state=state, plan=plan_of(request))


def show(request: Request) -> Response:
    """One panel. ``?move=`` chooses a circuit and shows where it may go."""
    return _panel(request, move=request.query_params.get("move", ""))


def _panel(request: Request, *, move: str = "", refused: str = "", status: int = 200) -> Response:
    from driploop.documents.panel import balance_table, quality_words
    from driploop.web.sheets import Citing
    from driploop.web.shown import shown

    plan, state = plan_shown(request)
    reading = panel_of(plan.panels, request.path_params["panel"])
    if reading is None:
        raise HTTPException(404, "There is no such panel in this state of the job.")
    held, citing, problem = _held(request), Citing(), reading.problem
    layout = reading.solved.layout if reading.solved is not None else ()
    chosen = (
        next((each for each in problem.circuits if each.id == move), None) if problem is not None and layout else None
    )
    may_move = state == "proposed" and bool(layout)
    drawn = _drawn(request, reading) if layout else None
    return job_page(
        request, "panel/one.html", screen="panel", status=status, plan=plan_of(request), state=state, reading=reading,
        slug=slug_of(reading.equipment), face=face_of(problem, layout) if problem is not None and layout else (),
        quality=quality_words(reading.solved) if reading.solved is not None else "",
        balance=shown(balance_table(reading, citing), citing, state=state, title=""), refused=refused,
        chosen=chosen if may_move else None, held=held, may_move=may_move, may_be_held=may_be_held,
        offers=offers(problem, layout, chosen.id, held) if problem is not None and chosen is not None else {},
        both=not refused and _stands_in_both(request),
        exact=find_spec("ortools") is not None, drawn=drawn,
        given_up=[each for each in reading.assumptions if each.where.startswith("proposal.held_places")],
    )  # fmt: skip


def _stands_in_both(request: Request) -> bool:
    """Whether the panel was found and will stand."""
    slug, plan = request.path_params["panel"], plan_of(request)
    return all(slug in map(slug_of, each.installation.equipment) for each in (plan.found, plan.final))


def _drawn(request: Request, reading: PanelReading) -> Markup:
    from driploop.drawings import panel_faces, to_svg

    here = f"/jobs/{job_id(request)}/panel/at/{slug_of(reading.equipment)}"
    (drawing,) = panel_faces([reading])

    def link(group: str) -> str | None:
        kind, _, id = group.partition("/")
        return f"{here}?move={id}#face" if kind == "circuits" else None

    return Markup(to_svg(drawing, link=link))  # it escapes every word it writes


# --- moves by hand ---------------------------------------------------------------------------------------------------


def place(request: Request, form: FormData) -> Response:
    """Put a circuit at a space; what lies there changes place with it. Refused with the reason where it may not be."""
    reading, problem, solved = _laid(request)
    circuit, raw = str(form.get("circuit", "")), str(form.get("space", ""))
    moved = next((each for each in problem.circuits if each.id == circuit), None)
    if moved is None or not may_be_held(moved):
        raise HTTPException(404, "There is no such circuit in this panel, or it finds its place by itself.")
    space = int(raw) if raw.isascii() and raw.isdigit() and len(raw) < 4 else 0
    offer = offers(problem, solved.layout, circuit, _held(request)).get(space)
    if offer is None or offer.refused:
        why = offer.refused if offer is not None else f"the panel has no space {raw[:20]}"
        return _panel(request, move=circuit, status=422, refused=f"Not at space {space or raw[:20]}. {_sentence(why)}")
    held, laid = kept_after(problem, offer.layout, circuit, _held(request), _laid_places(request))
    _write(request, held, laid)
    return _back(reading, request)


def let_go(request: Request, form: FormData) -> Response:
    """Let one circuit go, or all of this panel: they find their places with the rest."""
    from driploop.panel.held import key_of

    reading, problem, _ = _laid(request)
    named = str(form.get("circuit", ""))
    mine = {key_of(each.id) for each in problem.circuits}
    going = {key_of(named)} & mine if named else mine
    held = {key: words for key, words in _held(request).items() if key not in going}
    laid = {key: words for key, words in _laid_places(request).items() if key not in mine}
    _write(request, held, laid)
    return _back(reading, request)


def solve(request: Request, form: FormData) -> Response:
    """Lay the rest anew around what is held: at once by the plain method, or begin the exact search."""
    reading, problem, _ = _laid(request)
    if form.get("how") == "exact":
        _begin(request, reading, holding(problem, _held(request)))
        return go_to(f"/jobs/{job_id(request)}/panel/at/{slug_of(reading.equipment)}/search")
    mine = laid_after(problem, (), {}, _laid_places(request))
    _write(request, _held(request), mine)
    return _back(reading, request)


# --- the exact search ------------------------------------------------------------------------------------------------


def _begin(request: Request, reading: PanelReading, problem: PanelProblem) -> Work:
    from driploop.panel import solve_exact, solve_plain

    return desk(request).works.start(
        _key(request, reading), lambda work: solve_exact(problem, hint=solve_plain(problem), watch=work)
    )


def _key(request: Request, reading: PanelReading) -> tuple[str, str, str, str]:
    return "panel", job_id(request), stored_job(request).text, reading.equipment


def search(request: Request) -> Response:
    """How far the exact search is; when it is done, what it found beside what stands."""
    from driploop.documents.panel import quality_words

    reading, _, solved = _laid(request)
    work = desk(request).works.of(_key(request, reading))
    if work is None:
        return _back(reading, request)
    found: Any = work.result if work.done.is_set() and not work.trouble else None
    said: dict[str, Any] = {
        "work": work, "reading": reading, "slug": slug_of(reading.equipment), "now": quality_words(solved),
        "found": quality_words(found) if found is not None else "", "at": f"/jobs/{job_id(request)}",
        "better": found is not None and found.cost.total < solved.cost.total,
    }  # fmt: skip
    if is_piece(request):
        return page(request, "panel/searching.html", **said)
    del said["at"]
    return job_page(request, "panel/search.html", screen="panel", **said)


def cancel(request: Request, form: FormData) -> Response:
    """End the search; nothing of the panel has changed."""
    reading, _, _ = _laid(request)
    desk(request).works.forget(_key(request, reading))
    return _back(reading, request)


def take(request: Request, form: FormData) -> Response:
    """Put the layout that was found in the place of what stands."""
    reading, problem, _ = _laid(request)
    work = desk(request).works.of(_key(request, reading))
    if work is None or work.result is None:
        raise HTTPException(409, "The job was changed since this layout was searched. Search again.")
    held = _held(request)
    _write(request, held, laid_after(problem, work.result.layout, held, _laid_places(request)))
    desk(request).works.forget(_key(request, reading))
    return _back(reading, request)


# --- paper -----------------------------------------------------------------------------------------------------------


def card(request: Request) -> Response:
    """The card inside the door."""
    return _paper(request, "panel/card.html")


def crew(request: Request) -> Response:
    """The crew sheet: in which order the wires are landed."""
    return _paper(request, "panel/crew.html")


def _paper(request: Request, template: str) -> Response:
    from driploop.documents.panel import CREW_LEAD

    plan, state = plan_shown(request)
    reading = panel_of(plan.panels, request.path_params["panel"])
    if reading is None or not reading.directory:
        raise HTTPException(404, "This panel is not laid out yet; its page says why.")
    return job_page(
        request, template, screen="panel", reading=reading, slug=slug_of(reading.equipment), state=state,
        edition=plan.edition.name, section=plan.edition.section("directory"), lead=CREW_LEAD,
        header=planned(request).job.header,
    )  # fmt: skip


# --- what stands in the job file -------------------------------------------------------------------------------------


def _laid(request: Request) -> tuple[PanelReading, PanelProblem, Solved]:
    reading = panel_of(plan_in(request, "proposed").panels, request.path_params["panel"])
    if reading is None or reading.problem is None or reading.solved is None:
        raise HTTPException(404, "There is no such panel with a layout now; the panels list those there are.")
    return reading, reading.problem, reading.solved


def _held(request: Request) -> dict[str, str]:
    return dict(value_at(planned(request).tables, _HELD) or {})


def _laid_places(request: Request) -> dict[str, str]:
    return dict(value_at(planned(request).tables, _LAID) or {})


def _write(request: Request, held: dict[str, str], laid: dict[str, str]) -> None:
    tables = planned(request).tables
    edits = [Edit(path, value or None, value_at(tables, path)) for path, value in ((_HELD, held), (_LAID, laid))]
    if save(request, edits).conflicts:
        raise HTTPException(
            409, "Somebody moved a circuit in this very moment. Look at the panel again, then move yours."
        )


def _back(reading: PanelReading, request: Request) -> Response:
    return go_to(f"/jobs/{job_id(request)}/panel/at/{slug_of(reading.equipment)}#face")


def _sentence(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}."


_AT = "/jobs/{job}/panel/at/{panel}"
ROUTES = (
    shows("/jobs/{job}/panel", listing),
    shows(_AT, show),
    changes(f"{_AT}/place", place),
    changes(f"{_AT}/let-go", let_go),
    changes(f"{_AT}/solve", solve),
    shows(f"{_AT}/search", search),
    changes(f"{_AT}/search/cancel", cancel),
    changes(f"{_AT}/search/take", take),
    shows(f"{_AT}/card", card),
    shows(f"{_AT}/crew", crew),
)
