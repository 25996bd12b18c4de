"""Photographs: checked by content, upright, small, without the place, and never outside their folder."""

from __future__ import annotations

import io
import struct
import zlib
from contextlib import suppress
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageChops

from driploop.store import NotThereError, Store, StoredJob, StoreError, jobs, photographs
from driploop.store import picture as pictures
from driploop.store.picture import prepared
from driploop.store.records import now
from driploop.store.strip import stripped
from driploop.store.tables import leftovers
from store.shop import ADA, BEN, JOB, picture

METER = "equipment.meter"


def opened(path: Path) -> Image.Image:
    with Image.open(path) as image:
        image.load()
        return image


def files(store: Store) -> list[str]:
    return sorted(path.name for path in store.folder.rglob("*") if path.is_file() and "sqlite" not in path.name)


@pytest.mark.parametrize("kind", pictures.KINDS)
def test_a_photograph_is_kept_in_three_sizes(store: Store, job: StoredJob, kind: str) -> None:
    content = picture(kind=kind, size=(2400, 1200))
    kept = photographs.add_photograph(store, job.row.id, METER, content, who=BEN, caption=" North side ")
    assert (kept.kind, kept.width, kept.height, kept.caption, kept.who) == (kind, 2400, 1200, "North side", "Ben Fern")
    assert photographs.photographs_of(store, job.row.id) == (kept,)
    expected = {"original": (2400, 1200), "page": (1600, 800), "thumbnail": (320, 160)}
    for size, points in expected.items():
        path, media = photographs.photograph_file(store, job.row.id, kept.id, size)
        assert opened(path).size == points
        assert media == (pictures.KINDS[kind][1] if size == "original" else "image/jpeg")
    assert path.parents[1].name == "photographs"
    original = photographs.photograph_file(store, job.row.id, kept.id, "original")[0]
    assert original.parents[1].name == "originals"  # kept apart


def test_a_small_photograph_is_not_made_larger(store: Store, job: StoredJob) -> None:
    kept = photographs.add_photograph(store, job.row.id, METER, picture(size=(40, 30)), who=ADA)
    assert opened(photographs.photograph_file(store, job.row.id, kept.id, "page")[0]).size == (40, 30)


@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
@pytest.mark.parametrize("turned", range(1, 9))
def test_every_turn_of_a_camera_is_put_right(kind: str, turned: int) -> None:
    """The picture as a viewer that heeds the camera's mark shows it; Pillow's own turning is the measure."""
    from PIL import ImageOps

    content = picture(kind=kind, size=(120, 80), turned=turned)
    made = prepared(content, keep_place=False)
    upright = ImageOps.exif_transpose(Image.open(io.BytesIO(content)).convert("RGB"))
    with Image.open(io.BytesIO(content)) as marked:
        upright = ImageOps.exif_transpose(marked).convert("RGB")
    with Image.open(io.BytesIO(made.page)) as page:
        assert page.size == upright.size == (made.width, made.height)
        difference = ImageChops.difference(page.convert("RGB"), upright).convert("L").resize((12, 8))
        assert max(difference.tobytes()) < 40
    with Image.open(io.BytesIO(made.original)) as original:  # the original still says which side is up
        assert original.getexif().get(0x0112, 1) == turned


@pytest.mark.parametrize("kind", pictures.KINDS)
def test_the_place_is_stripped_and_not_one_point_changes(store: Store, job: StoredJob, kind: str) -> None:
    content = picture(kind=kind, turned=1)
    with Image.open(io.BytesIO(content)) as before:
        assert before.getexif().get_ifd(0x8825), "the telephone's picture tells its place"
        points = before.convert("RGB").tobytes()
    kept = photographs.add_photograph(store, job.row.id, METER, content, who=ADA)
    for size in photographs.SIZES:
        path = photographs.photograph_file(store, job.row.id, kept.id, size)[0]
        with Image.open(path) as image:
            assert not image.getexif().get_ifd(0x8825)
            assert not dict(image.getexif())
            if size == "original":
                assert image.convert("RGB").tobytes() == points
        assert b"Invented camera" not in path.read_bytes()


def test_the_place_is_kept_in_the_original_alone_where_that_is_asked_for(store: Store, job: StoredJob) -> None:
    content = picture()
    kept = photographs.add_photograph(store, job.row.id, METER, content, who=ADA, keep_place=True)
    assert photographs.photograph_file(store, job.row.id, kept.id, "original")[0].read_bytes() == content
    assert b"Exif" not in photographs.photograph_file(store, job.row.id, kept.id, "page")[0].read_bytes()


def test_what_stands_in_comments_and_behind_the_end_of_a_picture_goes_too() -> None:
    content = picture(place=False)
    comment = b"\xff\xfe" + struct.pack(">H", 2 + 9) + b"N45 W93.0"
    xmp = b"http://ns.adobe.com/xap/1.0/\0<x>N45 W93.0</x>"
    told = content[:2] + comment + b"\xff\xe1" + struct.pack(">H", 2 + len(xmp)) + xmp + content[2:]
    film = b"a film with N45 W93.0"
    assert b"N45" not in stripped(told + film, "JPEG", turned=1)
    text = b"Comment\0N45 W93.0"
    chunk = struct.pack(">I", len(text)) + b"tEXt" + text + struct.pack(">I", zlib.crc32(b"tEXt" + text))
    png = picture(kind="PNG", place=False)
    assert b"N45" not in stripped(png[:33] + chunk + png[33:] + film, "PNG", turned=1)
    webp = picture(kind="WEBP")
    assert b"N45" not in stripped(webp + film, "WEBP", turned=1)


def test_a_progressive_picture_and_its_colours_survive_stripping() -> None:
    buffer = io.BytesIO()
    noise = Image.effect_noise((200, 150), 80)
    noise.convert("RGB").save(buffer, "JPEG", progressive=True, icc_profile=b"invented profile" * 9, comment=b"hush")
    bare = stripped(buffer.getvalue(), "JPEG", turned=6)
    with Image.open(io.BytesIO(bare)) as after, Image.open(io.BytesIO(buffer.getvalue())) as before:
        assert after.tobytes() == before.tobytes()
        assert after.info["icc_profile"] == b"invented profile" * 9
        assert after.getexif()[0x0112] == 6
    assert b"hush" not in bare


def test_a_file_with_two_pictures_as_some_telephones_make_is_taken_as_the_first(store: Store, job: StoredJob) -> None:
    buffer = io.BytesIO()
    first, second = Image.new("RGB", (64, 48), "red"), Image.new("RGB", (32, 24), "blue")
    first.save(buffer, "MPO", save_all=True, append_images=[second])
    with Image.open(io.BytesIO(buffer.getvalue())) as image:
        assert image.format == "MPO"
    kept = photographs.add_photograph(store, job.row.id, METER, buffer.getvalue(), who=ADA)
    assert (kept.kind, kept.width, kept.height) == ("JPEG", 64, 48)
    assert opened(photographs.photograph_file(store, job.row.id, kept.id, "original")[0]).format == "JPEG"


def test_a_clear_background_becomes_white(store: Store, job: StoredJob) -> None:
    buffer = io.BytesIO()
    Image.new("RGBA", (20, 20), (0, 0, 0, 0)).save(buffer, "PNG")
    kept = photographs.add_photograph(store, job.row.id, METER, buffer.getvalue(), who=ADA)
    page = opened(photographs.photograph_file(store, job.row.id, kept.id, "page")[0])
    assert page.getpixel((10, 10)) == (255, 255, 255)


def png_that_claims(width: int, height: int) -> bytes:
    """A small file that says it is a large picture: what it holds would fill the memory."""

    def chunk(name: bytes, content: bytes) -> bytes:
        return struct.pack(">I", len(content)) + name + content + struct.pack(">I", zlib.crc32(name + content))

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(bytes(9999))) + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"", "no photograph that can be opened"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "no photograph that can be opened"),
        (b"GIF89a" + bytes(200), "JPEG, PNG, WEBP"),
        (b"%PDF-1.7\n" + bytes(200), "no photograph that can be opened"),
        (b"\xff\xd8\xff\xe0" + bytes(100), "no photograph that can be opened"),
        (picture()[:3000], "cut off"),
        (picture(kind="PNG")[:-400], "cut off|no photograph"),
        (picture(kind="WEBP")[:-60], "cut off|no photograph"),
        (png_that_claims(9000, 9000), "at most 40 million"),
        (png_that_claims(60_000, 60_000), "no photograph|at most"),
        (png_that_claims(4000, 4000), "cut off|no photograph"),
        (bytes(pictures.LARGEST_BYTES + 1), "at most 25 MB"),
    ],
    ids=[
        "empty",
        "svg",
        "gif",
        "pdf",
        "head-only",
        "cut-jpeg",
        "cut-png",
        "cut-webp",
        "bomb",
        "bomb-2",
        "liar",
        "huge",
    ],
)
def test_what_is_no_photograph_is_refused_in_words_and_nothing_is_kept(
    store: Store, job: StoredJob, content: bytes, told: str
) -> None:
    with pytest.raises(StoreError, match=told):
        photographs.add_photograph(store, job.row.id, METER, content, who=ADA)
    assert photographs.photographs_of(store, job.row.id) == ()
    assert files(store) == []
    assert len(jobs.history(store, job.row.id)) == 1


@settings(max_examples=150)
@given(
    st.sampled_from(list(pictures.KINDS)),
    st.lists(st.tuples(st.floats(0, 1), st.integers(0, 255)), min_size=1, max_size=12),
    st.floats(0.2, 1.5),
)
def test_a_spoilt_file_is_opened_or_refused_in_words(kind: str, spoilt: list[tuple[float, int]], cut: float) -> None:
    content = bytearray(picture(kind=kind, size=(48, 32)))
    for at, value in spoilt:
        content[min(int(at * len(content)), len(content) - 1)] = value
    try:
        made = prepared(bytes(content[: int(cut * len(content))]), keep_place=False)
    except StoreError:  # anything else would be an answer of 500
        return
    with Image.open(io.BytesIO(made.page)) as page:
        page.load()


@pytest.mark.parametrize("item", ["", " ", ".", "equipment..meter", "equipment.\nmeter", "x" * 201, "a\0b"])
def test_an_item_that_is_none_is_refused(store: Store, job: StoredJob, item: str) -> None:
    with pytest.raises(StoreError, match="by its path"):
        photographs.add_photograph(store, job.row.id, item, picture(), who=ADA)


@pytest.mark.parametrize("words", ["../../escaped", "/etc/passwd", "..\\..\\x", "a/b/../../../../c"])
def test_no_word_that_is_sent_becomes_part_of_a_path(store: Store, job: StoredJob, words: str) -> None:
    outside = {path for path in store.folder.parent.rglob("*") if store.folder not in path.parents}
    with suppress(StoreError):
        photographs.add_photograph(store, job.row.id, words, picture(), who=ADA, caption=words)
    for ask in (
        lambda: photographs.photograph_file(store, job.row.id, words, "page"),
        lambda: photographs.photograph_file(store, words, words, "page"),
        lambda: photographs.delete_photograph(store, job.row.id, words, who=ADA),
        lambda: photographs.delete_photograph(store, words, words, who=ADA),
    ):
        with pytest.raises(NotThereError):
            ask()
    assert {path for path in store.folder.parent.rglob("*") if store.folder not in path.parents} == outside
    allowed = {"originals", "photographs", job.row.id}
    assert {path.name for path in store.folder.rglob("*") if path.is_dir()} <= allowed


def test_a_row_with_a_word_for_an_id_opens_no_other_file(store: Store, job: StoredJob) -> None:
    kept = photographs.add_photograph(store, job.row.id, METER, picture(), who=ADA)
    for bad in (replace(kept, id="../../x"), replace(kept, job="../x"), replace(kept, id="A" * 16)):
        with pytest.raises(StoreError, match="not the id"):
            photographs.file_of(store, bad, "page")


def test_a_size_that_is_none_and_another_jobs_photograph_are_not_there(store: Store, job: StoredJob) -> None:
    kept = photographs.add_photograph(store, job.row.id, METER, picture(), who=ADA)
    other = jobs.add_job(store, JOB, who=ADA).row.id
    for id, size in ((job.row.id, "huge"), (job.row.id, "../page"), (other, "page")):
        with pytest.raises(NotThereError):
            photographs.photograph_file(store, id, kept.id, size)


def test_the_same_photograph_sent_twice_is_kept_once(store: Store, job: StoredJob) -> None:
    first = photographs.add_photograph(store, job.row.id, METER, picture(), who=ADA)
    again = photographs.add_photograph(store, job.row.id, METER, picture(), who=BEN)
    assert again == first
    assert len(files(store)) == 3
    photographs.add_photograph(store, job.row.id, "equipment.panel", picture(), who=ADA)
    assert len(files(store)) == 6


def test_deleting_one_of_two_alike_leaves_the_other_its_files(store: Store, job: StoredJob) -> None:
    meter = photographs.add_photograph(store, job.row.id, METER, picture(), who=ADA)
    panel = photographs.add_photograph(store, job.row.id, "equipment.panel", picture(), who=ADA)
    photographs.delete_photograph(store, job.row.id, meter.id, who=BEN)
    assert len(files(store)) == 3
    assert photographs.photograph_file(store, job.row.id, panel.id, "page")[0].is_file()
    with pytest.raises(NotThereError):
        photographs.photograph_file(store, job.row.id, meter.id, "page")


def test_the_history_tells_of_photographs_and_sends_to_their_page(store: Store, job: StoredJob) -> None:
    kept = photographs.add_photograph(store, job.row.id, METER, picture(), who=ADA, caption="North")
    photographs.delete_photograph(store, job.row.id, kept.id, who=BEN)
    gone, came, _ = jobs.history(store, job.row.id)
    assert (gone.who, gone.path, gone.before, gone.after) == (
        "Ben Fern", "@photograph.equipment.meter", {"id": kept.id, "caption": "North"}, None,
    )  # fmt: skip
    assert (came.who, came.after) == ("Ada Quill", {"id": kept.id, "caption": "North"})
    with pytest.raises(StoreError, match="Use its page"):
        jobs.undo(store, job.row.id, gone.id, who=ADA)


def test_a_photograph_of_a_job_that_goes_meanwhile_leaves_no_file(
    store: Store, job: StoredJob, monkeypatch: pytest.MonkeyPatch
) -> None:
    write = photographs.put_file

    def deleted_meanwhile(path: Path, content: bytes) -> None:
        write(path, content)
        if "thumbnail" in path.name:
            jobs.delete_job(store, job.row.id)

    monkeypatch.setattr(photographs, "put_file", deleted_meanwhile)
    with pytest.raises(NotThereError):
        photographs.add_photograph(store, job.row.id, METER, picture(), who=ADA)
    assert files(store) == []


def test_no_room_is_told_in_words_and_leaves_nothing(
    store: Store, job: StoredJob, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(path: Path, content: bytes) -> None:
        if "page" in path.name:
            raise OSError(28, "No space left on device", str(path))
        path.write_bytes(content)

    monkeypatch.setattr(photographs, "write_atomic", full)
    with pytest.raises(StoreError, match="No space left"):
        photographs.add_photograph(store, job.row.id, METER, picture(), who=ADA)
    assert files(store) == []
    assert photographs.photographs_of(store, job.row.id) == ()


def test_what_a_crash_left_is_dropped_at_a_later_opening(
    store: Store, job: StoredJob, monkeypatch: pytest.MonkeyPatch
) -> None:
    def crash(*_: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:  # killed after the files, before the row; and no cleaning up
        patch.setattr(photographs, "_entered", crash)
        patch.setattr(photographs, "drop_files", lambda *_: None)
        with pytest.raises(KeyboardInterrupt):
            photographs.add_photograph(store, job.row.id, METER, picture(), who=ADA)
    kept = photographs.add_photograph(store, job.row.id, METER, picture(colour="red"), who=ADA)
    assert len(files(store)) == 6
    assert photographs.drop_leftovers(store) == 0  # it might still be at it
    monkeypatch.setattr(photographs, "now", lambda: now() + timedelta(hours=2))
    assert photographs.drop_leftovers(store) == 1
    assert len(files(store)) == 3
    assert photographs.photograph_file(store, job.row.id, kept.id, "page")[0].is_file()
    with store.reading() as connection:
        assert connection.execute(leftovers.select()).all() == []
