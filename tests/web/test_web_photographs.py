"""Photographs: kept by item, shown small, taken away; what is no picture is told and leaves nothing behind."""

from __future__ import annotations

import io
import re

import pytest
from httpx2 import Response
from PIL import Image

from driploop.store import photographs
from web.hands import Shop, plain

ITEM = "circuits.range"


def jpeg(width: int = 900, height: int = 600, colour: tuple[int, int, int] = (90, 120, 150)) -> bytes:
    buffer = io.BytesIO()
    Image.new("RGB", (width, height), colour).save(buffer, "JPEG")
    return buffer.getvalue()


def send(shop: Shop, job: str, *pictures: bytes, item: str = ITEM, piece: bool = True, caption: str = "") -> Response:
    return shop.browser.post(
        f"{job}/photographs", data={"token": shop.token, "item": item, "caption": caption},
        files=[("picture", (f"{number}.jpg", each, "image/jpeg")) for number, each in enumerate(pictures)],
        headers={"HX-Request": "true"} if piece else {}, follow_redirects=False,
    )  # fmt: skip


def kept(shop: Shop, job: str) -> tuple[photographs.Photograph, ...]:
    return photographs.photographs_of(shop.store, job.rpartition("/")[2])


def test_a_form_offers_the_camera_and_the_gallery(shop: Shop) -> None:
    page = shop.browser.get(f"{shop.begin()}/walk/circuits/range").text
    assert re.search(r'type="file" accept="image/\*" capture="environment"', page)
    assert re.search(r'id="gallery"[^>]* multiple', page)


def test_a_photograph_stands_beside_its_thing(shop: Shop) -> None:
    job = shop.begin()
    answer = send(shop, job, jpeg(), caption="On its back")
    assert answer.status_code == 200
    assert "On its back" in plain(answer)
    page = shop.browser.get(f"{job}/walk/circuits/range").text
    small = re.search(r'<img src="([^"]+/thumbnail)" alt="On its back"', page)
    assert small
    picture = shop.browser.get(small[1])
    assert picture.headers["content-type"] == "image/jpeg"
    assert "private" in picture.headers["cache-control"]
    assert Image.open(io.BytesIO(picture.content)).width <= 320
    assert "On its back" not in shop.browser.get(f"{job}/walk/circuits/boiler").text
    assert "Range" in plain(shop.browser.get(f"{job}/photographs"))


def test_several_are_sent_without_a_script(shop: Shop) -> None:
    job = shop.begin()
    answer = send(shop, job, jpeg(colour=(1, 2, 3)), jpeg(colour=(200, 2, 3)), piece=False)
    assert answer.status_code == 303
    assert answer.headers["location"] == f"{job}/walk/circuits/range#photographs"
    assert len(kept(shop, job)) == 2


def test_a_photograph_is_taken_away_for_good(shop: Shop) -> None:
    job = shop.begin()
    send(shop, job, jpeg())
    (photograph,) = kept(shop, job)
    answer = shop.post(f"{job}/photographs/remove", piece=True, photograph=photograph.id)
    assert answer.status_code == 200
    assert "None yet" in plain(answer)
    assert shop.browser.get(f"{job}/photographs/{photograph.id}/page").status_code == 404
    assert shop.post(f"{job}/photographs/remove", photograph=photograph.id).status_code == 404


def bomb() -> bytes:
    """A picture of few bytes and very many points."""
    buffer = io.BytesIO()
    Image.new("1", (30_000, 30_000)).save(buffer, "PNG")
    return buffer.getvalue()


@pytest.mark.parametrize(
    "content",
    [b"", b"no picture", b"\x00" * 5000, jpeg()[:200], b"\x89PNG\r\n\x1a\n" + b"\xff" * 300, b"GIF89a" + b"\x00" * 50,
     b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>", b"RIFF\x00\x00\x00\x00WEBPVP8 ",
     bomb()],
    ids=["empty", "words", "zeros", "cut short", "broken png", "gif", "svg", "broken webp", "bomb"],
)  # fmt: skip
def test_what_is_no_picture_is_told_and_leaves_nothing(shop: Shop, content: bytes) -> None:
    job = shop.begin()
    answer = send(shop, job, content)
    assert answer.status_code == 422
    assert "0.jpg" in plain(answer)
    assert kept(shop, job) == ()
    assert not list(shop.store.folder.glob("photographs/*/*"))
    assert send(shop, job, content, piece=False).status_code == 422


def test_the_good_ones_of_several_are_kept(shop: Shop) -> None:
    job = shop.begin()
    answer = send(shop, job, jpeg(), b"no picture")
    assert answer.status_code == 422
    assert "1.jpg" in plain(answer)
    assert len(kept(shop, job)) == 1


@pytest.mark.parametrize(
    "item", ["", "circuits", "circuits.nothing", "proposal", "proposal.runs.x", "nothing", "job.x.y"]
)
def test_what_is_not_in_the_job_takes_no_photograph(shop: Shop, item: str) -> None:
    job = shop.begin()
    assert send(shop, job, jpeg(), item=item).status_code == 404
    assert kept(shop, job) == ()


def test_another_jobs_photograph_is_not_shown(shop: Shop) -> None:
    job, other = shop.begin(), shop.begin("two-family")
    send(shop, job, jpeg())
    (photograph,) = kept(shop, job)
    assert shop.browser.get(f"{other}/photographs/{photograph.id}/page").status_code == 404
    for size in ("page", "thumbnail", "original"):
        assert shop.browser.get(f"{job}/photographs/{photograph.id}/{size}").status_code == 200
    assert shop.browser.get(f"{job}/photographs/{photograph.id}/huge").status_code == 404


def test_a_form_without_a_file_says_what_to_do(shop: Shop) -> None:
    job = shop.begin()
    answer = shop.post(f"{job}/photographs", piece=True, item=ITEM)
    assert answer.status_code == 422
    assert "Choose a photograph first" in plain(answer)
