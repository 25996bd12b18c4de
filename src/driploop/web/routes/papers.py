"""What the job gives on paper and as files, and its job file in and out."""

from __future__ import annotations

import re

from starlette.datastructures import FormData, UploadFile
from starlette.requests import Request
from starlette.responses import Response

from driploop.store import jobs as stored_jobs
from driploop.survey import JobFileError
from driploop.survey.write import migrated_text
from driploop.web.here import desk, job_id, plan_of, stored_job
from driploop.web.job_page import job_page
from driploop.web.pages import changes, go_to, shows
from driploop.web.visitors import person


def show(request: Request) -> Response:
    """What there is to take home."""
    return job_page(request, "papers.html", screen="papers", refused="", revision=stored_job(request).row.revision)


def packet(request: Request) -> Response:
    """The packet as PDF."""
    from driploop.documents import packet_pdf

    pdf = packet_pdf(plan_of(request))
    return _file(pdf, "application/pdf", f"{_name(request)}.pdf")


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
        return _refused(request, str(error))
    with desk(request).editing[job_id(request)]:
        saved = stored_jobs.replace_text(
            desk(request).store, job_id(request), text, who=person(request).who,
            seen_revision=int(seen) if seen.isascii() and seen.isdigit() and len(seen) < 10 else 0,
        )  # fmt: skip
    if saved.conflicts:
        return _refused(request, "The job was changed while this page was open. Look at it, then send the file again.")
    return go_to(f"/jobs/{job_id(request)}")


def _refused(request: Request, words: str) -> Response:
    row = stored_job(request).row
    return job_page(request, "papers.html", screen="papers", status=422, refused=words, revision=row.revision)


def _name(request: Request) -> str:
    words = re.sub(r"[^a-z0-9]+", "-", stored_job(request).row.title.lower()).strip("-")
    return words[:60].strip("-") or "job"


def _file(content: bytes, kind: str, name: str) -> Response:
    return Response(content, media_type=kind, headers={"Content-Disposition": f'attachment; filename="{name}"'})


ROUTES = (
    shows("/jobs/{job}/papers", show),
    shows("/jobs/{job}/papers/packet.pdf", packet),
    shows("/jobs/{job}/papers/job.toml", job_file),
    changes("/jobs/{job}/papers/job-file", take_in),
)
