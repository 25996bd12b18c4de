"""Several people, and people who type anything: no change is lost, nothing is half saved, nothing breaks."""

from __future__ import annotations

import json
from concurrent.futures import ThreadPoolExecutor

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from driploop.survey import read_job_text
from driploop.survey.syntax import parse_toml
from driploop.web.asking import asked_of
from web.hands import Shop

CIRCUITS = 12


def test_people_who_write_at_the_same_moment_all_keep_their_work(shop: Shop) -> None:
    job = shop.begin()
    token = shop.token
    for number in range(CIRCUITS):
        shop.post(f"{job}/things", table="circuits", id=f"mine-{number}")

    def write(number: int) -> int:
        form = {"token": token, "path": f"circuits.mine-{number}.ocpd_a", "value": str(15 + number), "seen": "null"}
        return shop.browser.post(f"{job}/field", data=form, headers={"HX-Request": "true"}).status_code

    with ThreadPoolExecutor(6) as people:
        assert list(people.map(write, range(CIRCUITS))) == [200] * CIRCUITS
    circuits = read_job_text(shop.stored(job).text).found.circuits
    assert [circuits[f"mine-{number}"].ocpd_a for number in range(CIRCUITS)] == [15 + n for n in range(CIRCUITS)]


def test_one_of_those_who_answer_the_same_question_is_asked(shop: Shop) -> None:
    job = shop.begin()
    token = shop.token
    shop.post(f"{job}/things", table="circuits", id="ours")

    def write(amperes: int) -> int:
        form = {"token": token, "path": "circuits.ours.ocpd_a", "value": str(amperes), "seen": "null"}
        return shop.browser.post(f"{job}/field", data=form, headers={"HX-Request": "true"}).status_code

    with ThreadPoolExecutor(4) as people:
        assert sorted(people.map(write, (15, 20, 25, 30))) == [200, 409, 409, 409]


FIELDS = [
    *(f"circuits.range.{key}" for key in asked_of("circuits")),
    *(f"equipment.fuse-box.{key}" for key in asked_of("equipment")),
    *(f"runs.lateral.{key}" for key in asked_of("runs")),
    *(f"soil.{key}" for key in asked_of("soil")),
    *(f"town.{key}" for key in asked_of("town")),
    *(f"job.{key}" for key in asked_of("job")),
]
TYPED = st.one_of(
    st.sampled_from(["", "none", "unknown", "yes", "no", "0", "-1", "1e999", "9" * 12, "0.000001", "12' 6\"", "a, b",
                     "a: 1",
                     "2/0", "2/0 AWG", "\x00", "'''", '"""\n"', "\\", "[x]\n", "# no", "fuse-box", "2026-11-25"]),
    st.text(max_size=30),
    st.integers(-10, 10**7).map(str),
)  # fmt: skip


def test_whatever_is_typed_nothing_breaks(shop: Shop, caplog: pytest.LogCaptureFixture) -> None:
    job = shop.begin()
    token = shop.token

    @settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
    @given(path=st.sampled_from(FIELDS), typed=st.lists(TYPED, max_size=3))
    def answered(path: str, typed: list[str]) -> None:
        found = parse_toml(shop.stored(job).text, name="it")
        for step in path.split("."):
            found = found.get(step) if isinstance(found, dict) else None  # type: ignore[assignment]
        form = {"token": token, "path": path, "value": typed, "seen": json.dumps(found, default=str)}
        answer = shop.browser.post(f"{job}/field", data=form, headers={"HX-Request": "true"})
        assert answer.status_code in (200, 409, 422), (path, typed)
        read_job_text(shop.stored(job).text)

    answered()
    for screen in ("", "/walk", "/readings", "/findings", "/panel", "/circuits", "/consequence"):
        assert shop.browser.get(job + screen).status_code == 200
    assert not [record for record in caplog.records if record.levelname == "ERROR"], "a plan met a fault of the program"
