"""A table of circuits pasted from a spreadsheet: shown as it was understood, set right, then taken in as one."""

from __future__ import annotations

from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import Response

from driploop.survey import JobFileError
from driploop.survey.write import UpdateError
from driploop.web.here import job_id, planned, stored_job
from driploop.web.job_page import job_page
from driploop.web.pages import changes, go_to, shows
from driploop.web.pasted import MOST_COLUMNS, MOST_LETTERS, Pasted, columns_known, read_pasted
from driploop.web.places import place_words
from driploop.web.together import save_together
from driploop.web.words import faults_words

_TAKEN = (
    "Somebody added a circuit of the same name just now. Paste the table again: what is in the job already is left out."
)


def show(request: Request) -> Response:
    """The place to paste into. ``?from=`` names the panel, ``?taken=`` offers to take the last paste back."""
    return _page(request, "", Pasted(), panel=request.query_params.get("from", ""))


def look(request: Request, form: FormData) -> Response:
    """The table as it is understood; taken in where that is asked for and nothing stands in the way."""
    words, panel = str(form.get("table", "")), str(form.get("from", ""))
    tables, text = planned(request).tables, stored_job(request).text
    panel = panel if panel in tables.get("equipment", {}) else ""
    guess = form.get("again") != "yes"
    columns = None if guess else [str(form.get(f"c{number}", "")) for number in range(MOST_COLUMNS)]
    heads = None if guess else form.get("heads") == "yes"
    pasted = read_pasted(words, text=text, tables=tables, panel=panel, columns=columns, has_heads=heads)
    if form.get("take") != "yes" or pasted.trouble or pasted.wrong or not pasted.edits:
        trouble = pasted.trouble or ("" if pasted.rows else "Nothing was pasted yet.")
        return _page(request, words, pasted, panel=panel, refused=trouble, status=422 if trouble else 200)
    try:
        saved = save_together(request, pasted.edits, taken=_TAKEN)
    except (JobFileError, UpdateError) as error:
        return _page(request, words, pasted, panel=panel, refused=faults_words(error), status=422)
    return go_to(f"/jobs/{job_id(request)}/paste?taken={saved.job.row.revision}&count={len(pasted.edits)}")


def _page(
    request: Request, words: str, pasted: Pasted, *, panel: str, refused: str = "", status: int = 200
) -> Response:
    tables = planned(request).tables
    panels = [(id, place_words(tables, f"equipment.{id}")) for id, each in tables.get("equipment", {}).items()
              if each.get("kind") != "meter"]  # fmt: skip
    return job_page(
        request, "paste.html", screen="walk", status=status, table=words[:MOST_LETTERS], pasted=pasted, panel=panel,
        panels=panels, columns=columns_known(), refused=refused, taken=_number(request, "taken"),
        count=_number(request, "count"),
    )  # fmt: skip


def _number(request: Request, name: str) -> int | None:
    words = request.query_params.get(name, "")
    return int(words) if words.isascii() and words.isdigit() and len(words) < 10 else None


ROUTES = (shows("/jobs/{job}/paste", show), changes("/jobs/{job}/paste", look))
