"""What is taken home: the right kind, named after the job, the same bytes each time; and drawings to be followed."""

from __future__ import annotations

import html
import io
import json
import re
import time
import zipfile

import pytest

from driploop.documents.picture_files import all_drawings
from driploop.planning import plan
from driploop.survey import read_job_text, starter
from driploop.web.works import MOST_KEPT, Work, Works
from driploop.worksheet import DriploopError
from web.hands import Shop, plain

NAME = "new-distribution-point-at-thistlecomb-dairy"
KINDS = {
    "papers/packet.pdf": ("application/pdf", f"{NAME}.pdf", b"%PDF"),
    "papers/drawings-svg.zip": ("application/zip", f"{NAME}-drawings-svg.zip", b"PK"),
    "papers/drawings-dxf.zip": ("application/zip", f"{NAME}-drawings-dxf.zip", b"PK"),
    "papers/drawings/riser-1.svg": ("image/svg+xml", f"{NAME}-riser-1.svg", b"<svg"),
    "papers/drawings/riser-1.dxf": ("image/vnd.dxf", f"{NAME}-riser-1.dxf", b"  0\nSECTION"),
    "papers/schedules.xlsx": (
        "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", f"{NAME}-schedules.xlsx", b"PK",
    ),
    "papers/data.json": ("application/json", f"{NAME}.json", b"{"),
    "papers/job.toml": ("application/toml", f"{NAME}.toml", b""),
}  # fmt: skip


@pytest.mark.parametrize("paper", sorted(KINDS))
def test_every_paper_has_its_kind_its_name_and_the_same_bytes(shop: Shop, paper: str) -> None:
    job = shop.begin("goat-dairy")
    kind, name, start = KINDS[paper]
    answer = shop.browser.get(f"{job}/{paper}")
    assert answer.status_code == 200
    assert answer.headers["content-type"].split(";")[0] == kind
    assert answer.headers["content-disposition"] == f'attachment; filename="{name}"'
    assert answer.content.startswith(start)
    again = shop.begin("goat-dairy")
    assert shop.browser.get(f"{again}/{paper}").content == answer.content


@pytest.mark.parametrize("title", ['../../etc"; x=\r\nSet-Cookie: a=b', "Über häuser", "<b>\u202e", "   ", "a" * 300])
def test_a_name_cannot_break_out_of_its_place(shop: Shop, title: str) -> None:
    job = shop.take_in(starter(title=title))
    for paper in ("papers/data.json", "papers/job.toml", "papers/schedules.xlsx"):
        answer = shop.browser.get(f"{job}/{paper}")
        assert re.fullmatch(r'attachment; filename="[a-z0-9-]{1,80}\.\w+"', answer.headers["content-disposition"])
        assert "set-cookie" not in {name for name in answer.headers if "a=b" in answer.headers[name]}


def test_the_packet_tells_how_far_it_is_and_is_kept(shop: Shop) -> None:
    job = shop.begin()
    first = plain(shop.browser.get(f"{job}/papers/packet"))
    assert "s so far" in first or "is ready" in first
    for _ in range(600):
        page = shop.browser.get(f"{job}/papers/packet", headers={"HX-Request": "true"}).text
        if "Take the packet" in page:
            break
        assert 'hx-trigger="every' in page
        time.sleep(0.05)
    assert "Take the packet" in page
    started = time.process_time()
    assert shop.browser.get(f"{job}/papers/packet.pdf").content.startswith(b"%PDF")
    assert time.process_time() - started < 0.5  # it was laid out already


def test_an_archive_holds_every_drawing(shop: Shop) -> None:
    job = shop.begin("goat-dairy")
    wanted = all_drawings(plan(read_job_text(shop.stored(job).text, name="the job")))
    with zipfile.ZipFile(io.BytesIO(shop.browser.get(f"{job}/papers/drawings-svg.zip").content)) as archive:
        assert archive.namelist() == [f"{NAME}-{name}" for name in wanted]
        assert archive.testzip() is None


def test_the_data_hold_both_states_with_their_worksheets(shop: Shop) -> None:
    job = shop.begin("goat-dairy")
    data = json.loads(shop.browser.get(f"{job}/papers/data.json").content)
    assert data["edition"] == "NEC 2023"
    for state in ("found", "proposed"):
        assert data[state]["worksheets"]["load/house-panel/optional"]["lines"]
        assert data[state]["findings"]
    assert "new-main" in data["proposed"]["loads"]["enclosures"]
    assert "new-main" not in data["found"]["loads"]["enclosures"]


@pytest.mark.parametrize("address", [
    "papers/drawings/nothing.svg", "papers/drawings/riser-1.exe", "papers/drawings-exe.zip", "drawings/nothing",
    "papers/drawings/..%2f..%2fetc.svg",
])  # fmt: skip
def test_what_is_no_paper_is_not_there(shop: Shop, address: str) -> None:
    assert shop.browser.get(f"{shop.begin()}/{address}").status_code == 404


def test_labels_stand_on_a_sheet_to_print(shop: Shop) -> None:
    page = shop.browser.get(f"{shop.begin('goat-dairy')}/papers/labels").text
    assert page.count('<figure class="label">') == 10
    assert "EMERGENCY DISCONNECT" in page
    empty = shop.take_in("format = 1\n")
    assert "No label is called for yet" in shop.browser.get(f"{empty}/papers/labels").text


@pytest.mark.parametrize("practice", ["goat-dairy", "orchard"])
def test_every_drawing_has_a_page_whose_links_lead_somewhere(shop: Shop, practice: str) -> None:
    job = shop.begin(practice)
    names = re.findall(rf'href="{job}/drawings/([^"]+)"', shop.browser.get(f"{job}/drawings").text)
    leads: set[str] = set()
    assert len(names) > 10
    for name in names:
        answer = shop.browser.get(f"{job}/drawings/{name}")
        assert answer.status_code == 200
        assert len(answer.content) < 150_000
        in_the_drawing = set(re.findall(rf'<a href="({job}/places/[^"]+)"><g', answer.text))
        as_a_list = set(re.findall(rf'<li><a href="({job}/places/[^"]+)"', answer.text))
        assert in_the_drawing <= as_a_list
        leads |= in_the_drawing
    assert len(leads) > 20
    for lead in leads:
        assert shop.browser.get(html.unescape(lead)).status_code == 200, lead


def test_the_small_one_lines_lead_to_large_ones(shop: Shop) -> None:
    job = shop.begin("orchard")
    page = shop.browser.get(job).text
    for name in ("one-line-found-1", "one-line-proposed-1"):
        assert f'href="{job}/drawings/{name}"' in page
        assert shop.browser.get(f"{job}/drawings/{name}?size=large").status_code == 200


# --- long work -------------------------------------------------------------------------------------------------------


def test_the_same_work_is_done_once() -> None:
    works, times = Works(), []

    def work(told: Work) -> int:
        times.append(told)
        return 7

    first = works.start("a", work)
    assert first.done.wait(5)
    assert works.start("a", work) is first
    assert (first.result, len(times)) == (7, 1)


def test_a_work_that_failed_says_why_and_may_be_begun_again() -> None:
    works = Works()

    def refused(told: Work) -> None:
        raise DriploopError("the well is dry")

    def broken(told: Work) -> None:
        raise RuntimeError("a secret")

    for key, work, words in (("a", refused, "the well is dry"), ("b", broken, "A fault of this program")):
        made = works.start(key, work)
        assert made.done.wait(5)
        assert words in made.trouble
        assert "secret" not in made.trouble
        assert works.start(key, lambda told: 1) is not made


def test_a_work_is_cancelled_whether_it_has_begun_or_not() -> None:
    made, stopped = Work(), []
    made.cancel()
    made.begun(lambda: stopped.append("late"))
    other = Work()
    other.begun(lambda: stopped.append("early"))
    other.cancel()
    assert stopped == ["late", "early"]


def test_few_results_are_kept_and_those_of_a_job_are_let_go() -> None:
    works = Works()
    for number in range(MOST_KEPT + 4):
        assert works.start(("packet", f"job-{number}"), lambda told: b"pdf").done.wait(5)
    assert works.of(("packet", "job-0")) is None
    last = ("packet", f"job-{MOST_KEPT + 3}")
    assert works.of(last) is not None
    works.forget_job(last[1])
    assert works.of(last) is None
