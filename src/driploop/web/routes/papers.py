"""What is taken home: packet, labels, door cards, drawings, data; and a job file put in the place of this one."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Mapping
from importlib.util import find_spec
from threading import Lock
from typing import TYPE_CHECKING, Any

from markupsafe import Markup
from starlette.datastructures import FormData, UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from driploop.store import jobs as stored_jobs
from driploop.survey import JobFileError
from driploop.survey.write import migrated_text
from driploop.web.here import desk, job_id, plan_of, planned, stored_job
from driploop.web.job_page import job_page
from driploop.web.pages import changes, go_to, is_piece, page, shows
from driploop.web.panel_moves import slug_of
from driploop.web.visitors import person

if TYPE_CHECKING:
    from driploop.drawings import Drawing
    from driploop.web.works import Work

_PDF, _SVG, _DXF, _ZIP, _JSON = (
    "application/pdf",
    "image/svg+xml",
    "image/vnd.dxf",
    "application/zip",
    "application/json",
)
_XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
#: The library that writes DXF holds one switch for all threads.
_ONE_DXF = Lock()


def show(request: Request) -> Response:
    """What there is to take home."""
    return _papers(request)


def _papers(request: Request, *, refused: str = "", status: int = 200) -> Response:
    plan = planned(request).plan
    panels = [(each.title, slug_of(each.equipment)) for each in plan.panels if each.directory] if plan else []
    return job_page(
        request, "papers.html", screen="papers", status=status, refused=refused, plan=plan, panels=panels,
        revision=stored_job(request).row.revision, dxf=find_spec("ezdxf") is not None,
        xlsx=find_spec("xlsxwriter") is not None,
    )  # fmt: skip


# --- the packet ------------------------------------------------------------------------------------------------------


def _packet(request: Request) -> Work:
    from driploop.documents import packet_pdf

    plan = plan_of(request)

    def lay_out(work: Work) -> bytes:
        work.said = "Schedules and drawings are written, then the pages are set; that takes a few seconds"
        return packet_pdf(plan)

    return desk(request).works.start(("packet", job_id(request), stored_job(request).text), lay_out)


def packet_page(request: Request) -> Response:
    """How far the packet is; when it is done, the way to it."""
    work = _packet(request)
    said: dict[str, Any] = {"work": work, "kilobytes": len(work.result) // 1024 if work.result else 0}
    if is_piece(request):
        return page(request, "papers/packing.html", at=f"/jobs/{job_id(request)}", **said)
    return job_page(request, "papers/packet.html", screen="papers", **said)


def packet(request: Request) -> Response:
    """The packet as PDF: at once where it was laid out already, else as soon as it is."""
    work = _packet(request)
    work.done.wait()
    if work.trouble:
        raise HTTPException(422, work.trouble)
    return _file(work.result, _PDF, f"{_name(request)}.pdf")


# --- drawings, labels, data ------------------------------------------------------------------------------------------


def labels(request: Request) -> Response:
    """Every label that must be read on the enclosures, one under the other, at true size in print."""
    from driploop.drawings import label_drawings, to_svg

    plan = plan_of(request)
    shown = [Markup(to_svg(each)) for each in label_drawings(plan.final.labels)]  # it escapes every word it writes
    return job_page(request, "papers/labels.html", screen="papers", labels=shown, edition=plan.edition.name)


def drawing(request: Request) -> Response:
    """One drawing as SVG or DXF."""
    from driploop.drawings import to_svg

    name, kind = request.path_params["name"], request.path_params["kind"]
    found = _drawings(request).get(f"{name}.svg")
    if found is None or kind not in ("svg", "dxf"):
        raise HTTPException(404, "There is no such drawing now; the papers list those there are.")
    content = to_svg(found).encode() if kind == "svg" else _as_dxf(found)
    return _file(content, _SVG if kind == "svg" else _DXF, f"{_name(request)}-{name}.{kind}")


def drawings(request: Request) -> Response:
    """All drawings in one archive, as SVG or as DXF."""
    from driploop.drawings import to_svg

    kind = request.path_params["kind"]
    if kind not in ("svg", "dxf"):
        raise HTTPException(404, "Drawings are given as svg or as dxf.")
    name = _name(request)
    files = {
        f"{name}-{each.removesuffix('.svg')}.{kind}": to_svg(drawn).encode() if kind == "svg" else _as_dxf(drawn)
        for each, drawn in _drawings(request).items()
    }
    return _file(_archive(files), _ZIP, f"{name}-drawings-{kind}.zip")


def _drawings(request: Request) -> Mapping[str, Drawing]:
    from driploop.documents.picture_files import all_drawings

    return all_drawings(plan_of(request))


def _as_dxf(drawn: Drawing) -> bytes:
    from driploop.documents.dxf import to_dxf

    with _ONE_DXF:
        return to_dxf(drawn)


def _archive(files: Mapping[str, bytes]) -> bytes:
    """The files in one archive whose clock stands still: the same files, the same bytes."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(zipfile.ZipInfo(name, (2020, 1, 1, 0, 0, 0)), content, zipfile.ZIP_DEFLATED)
    return out.getvalue()


def workbook(request: Request) -> Response:
    """The schedules as a workbook."""
    from driploop.documents.workbook import workbook

    return _file(workbook(plan_of(request)), _XLSX, f"{_name(request)}-schedules.xlsx")


def data(request: Request) -> Response:
    """Everything that was read of the job, as JSON."""
    from driploop.web.data import data_of

    plan = plan_of(request)
    return _file(data_of(plan, planned(request).as_found or plan), _JSON, f"{_name(request)}.json")


# --- the job file ----------------------------------------------------------------------------------------------------


def job_file(request: Request) -> Response:
    """The job file as it stands."""
    return _file(stored_job(request).text.encode(), "application/toml", f"{_name(request)}.toml")


def take_in(request: Request, form: FormData) -> Response:
    """Put another job file in the place of this one; refused where the job was changed since the page was made."""
    upload, seen = form.get("file"), str(form.get("revision", ""))
    raw = upload.file.read() if isinstance(upload, UploadFile) else b""
    try:
        text = migrated_text(raw.decode("utf-8", "replace").replace("\0", "\ufffd"), name="the file")
    except JobFileError as error:
        return _papers(request, refused=str(error), status=422)
    with desk(request).editing[job_id(request)]:
        saved = stored_jobs.replace_text(
            desk(request).store, job_id(request), text, who=person(request).who,
            seen_revision=int(seen) if seen.isascii() and seen.isdigit() and len(seen) < 10 else 0,
        )  # fmt: skip
    if saved.conflicts:
        said = "The job was changed while this page was open. Look at it, then send the file again."
        return _papers(request, refused=said, status=422)
    return go_to(f"/jobs/{job_id(request)}")


def _name(request: Request) -> str:
    words = re.sub(r"[^a-z0-9]+", "-", stored_job(request).row.title.lower()).strip("-")
    return words[:60].strip("-") or "job"


def _file(content: bytes, kind: str, name: str) -> Response:
    return Response(content, media_type=kind, headers={"Content-Disposition": f'attachment; filename="{name}"'})


ROUTES = (
    shows("/jobs/{job}/papers", show),
    shows("/jobs/{job}/papers/packet", packet_page),
    shows("/jobs/{job}/papers/packet.pdf", packet),
    shows("/jobs/{job}/papers/labels", labels),
    shows("/jobs/{job}/papers/drawings-{kind}.zip", drawings),
    shows("/jobs/{job}/papers/drawings/{name}.{kind}", drawing),
    shows("/jobs/{job}/papers/schedules.xlsx", workbook),
    shows("/jobs/{job}/papers/data.json", data),
    shows("/jobs/{job}/papers/job.toml", job_file),
    changes("/jobs/{job}/papers/job-file", take_in),
)
