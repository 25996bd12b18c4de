"""The panel: a circuit is put at a space or refused with the reason; what is held is kept; the rest is solved."""

from __future__ import annotations

import html
import re
import time

import pytest

from driploop.panel import NoSolverError, illegal, solve_plain
from driploop.planning import plan
from driploop.survey import read_job_text
from driploop.web.panel_moves import offers
from panel.boxes import box, double, problem, single
from web.hands import Shop, plain

BARN = "panel/at/barn-panel"


def laid(shop: Shop, job: str, panel: str = "barn-panel") -> dict[str, tuple[int, ...]]:
    """Where every circuit of a panel stands, read from the job file by the engine itself."""
    read = plan(read_job_text(shop.stored(job).text, name="the job"))
    reading = next(each for each in read.panels if each.equipment == panel)
    assert reading.problem is not None
    assert reading.solved is not None
    assert illegal(reading.problem, reading.solved.layout) == ()
    return {place.circuit: place.spaces for place in reading.solved.layout}


def said(page: str) -> str:
    return " ".join(re.findall(r'role="alert">([^<]*)', page))


def test_a_circuit_is_put_at_a_space_and_the_others_stay(shop: Shop) -> None:
    job = shop.begin("goat-dairy")
    before = laid(shop, job)
    answer = shop.post(f"{job}/{BARN}/place", circuit="vacuum-pump", space="27")
    assert answer.status_code == 303
    after = laid(shop, job)
    assert after.pop("vacuum-pump") in ((27, 29), (29, 27))
    del before["vacuum-pump"]
    assert after == before
    page = shop.browser.get(f"{job}/{BARN}").text
    assert "Vacuum pump is held at 27-29" in page
    assert re.search(r'data-space="27">\s*<a[^>]+data-circuit="vacuum-pump"', page)


def test_what_lies_there_changes_place_with_it(shop: Shop) -> None:
    job = shop.begin("goat-dairy")
    before = laid(shop, job)
    fans, lamps = before["barn-fans"], before["kid-lamps"]
    assert shop.post(f"{job}/{BARN}/place", circuit="barn-fans", space=str(lamps[0])).status_code == 303
    after = laid(shop, job)
    assert (after["barn-fans"], after["kid-lamps"]) == (lamps, fans)


@pytest.mark.parametrize(
    ("circuit", "space", "why"), [
        ("barn-fans", "99", "the panel has no space 99"), ("barn-fans", "x", "the panel has no space x"),
        ("barn-fans", "", "the panel has no space"), ("vacuum-pump", "29", "the panel has no space 31"),
    ],
)  # fmt: skip
def test_an_illegal_space_is_refused_with_the_reason_and_nothing_is_written(
    shop: Shop, circuit: str, space: str, why: str
) -> None:
    job = shop.begin("goat-dairy")
    text = shop.stored(job).text
    answer = shop.post(f"{job}/{BARN}/place", circuit=circuit, space=space)
    assert answer.status_code == 422
    assert why.lower() in said(answer.text).lower()
    assert shop.stored(job).text == text


def test_a_held_circuit_is_not_pushed_away(shop: Shop) -> None:
    job = shop.begin("goat-dairy")
    shop.post(f"{job}/{BARN}/place", circuit="vacuum-pump", space="27")
    answer = shop.post(f"{job}/{BARN}/place", circuit="bulk-tank", space="27")
    assert answer.status_code == 422
    assert "Vacuum pump is held here: let it go first" in said(answer.text)


def test_choosing_a_circuit_shows_every_space_as_a_button_or_with_the_reason(shop: Shop) -> None:
    job = shop.begin("goat-dairy")
    page = shop.browser.get(f"{job}/{BARN}?move=vacuum-pump").text
    buttons = {int(each) for each in re.findall(r'name="space" value="(\d+)"', page)}
    refused = {int(n) for each in re.findall(r'class="no">([\d, ]+):', page) for n in each.split(", ")}
    assert buttons.isdisjoint(refused)
    here = set(laid(shop, job)["vacuum-pump"])
    assert buttons | refused | here == set(range(1, 31))
    for space in sorted(buttons)[:4]:
        fresh = shop.begin("goat-dairy")
        assert shop.post(f"{fresh}/{BARN}/place", circuit="vacuum-pump", space=str(space)).status_code == 303
        assert min(laid(shop, fresh)["vacuum-pump"]) == space


def test_the_rest_is_solved_around_what_is_held_and_all_may_be_let_go(shop: Shop) -> None:
    job = shop.begin("goat-dairy")
    first = laid(shop, job)
    shop.post(f"{job}/{BARN}/place", circuit="vacuum-pump", space="27")
    assert shop.post(f"{job}/{BARN}/solve", how="plain").status_code == 303
    assert "laid_places" not in shop.stored(job).text
    assert min(laid(shop, job)["vacuum-pump"]) == 27
    assert shop.post(f"{job}/{BARN}/let-go", circuit="vacuum-pump").status_code == 303
    assert "held_places" not in shop.stored(job).text
    assert laid(shop, job) == first


def test_the_exact_search_runs_beside_and_its_layout_is_taken(shop: Shop) -> None:
    job = shop.begin("goat-dairy")
    shop.post(f"{job}/{BARN}/place", circuit="vacuum-pump", space="27")
    begun = shop.post(f"{job}/{BARN}/solve", how="exact")
    assert begun.headers["location"] == f"{job}/{BARN}/search"
    for _ in range(400):
        page = shop.browser.get(f"{job}/{BARN}/search").text
        if "Take this layout" in page:
            break
        time.sleep(0.05)
    assert "no layout can cost less" in page
    assert shop.post(f"{job}/{BARN}/search/take").status_code == 303
    assert min(laid(shop, job)["vacuum-pump"]) == 27
    assert "laid_places" in shop.stored(job).text


def test_a_search_that_is_cancelled_changes_nothing(shop: Shop) -> None:
    job = shop.begin("goat-dairy")
    text = shop.stored(job).text
    shop.post(f"{job}/{BARN}/solve", how="exact")
    assert shop.post(f"{job}/{BARN}/search/cancel").status_code == 303
    assert shop.post(f"{job}/{BARN}/search/take").status_code == 409
    assert shop.stored(job).text == text


def test_as_found_and_without_a_proposal_nothing_can_be_moved(shop: Shop) -> None:
    job = shop.begin("goat-dairy")
    assert 'id="move-form"' not in shop.browser.get(f"{job}/{BARN}?state=found").text
    text = shop.stored(job).text.split("[proposal]")[0]
    bare = shop.take_in(text)
    assert 'id="move-form"' not in shop.browser.get(f"{bare}/panel/at/house-panel").text
    assert shop.post(f"{bare}/panel/at/house-panel/place", circuit="house-range", space="1").status_code == 404


def test_places_that_cannot_stand_are_told_on_the_panel(shop: Shop) -> None:
    job = shop.begin("goat-dairy")
    text = shop.stored(job).text.replace("[proposal]\n", '[proposal]\nheld_places = { vacuum-pump = "1-2" }\n', 1)
    words = plain(shop.browser.get(f"{shop.take_in(text)}/{BARN}"))
    assert "Vacuum pump is not held at 1-2: Vacuum pump: two poles stand one above the other" in words


@pytest.mark.parametrize("paper", ["card", "crew"])
def test_door_card_and_crew_sheet_are_pages_to_print(shop: Shop, paper: str) -> None:
    job = shop.begin("goat-dairy")
    words = plain(shop.browser.get(f"{job}/{BARN}/{paper}"))
    for expected in ("Vacuum pump", "NEC 2023", "Date:", "New distribution point at Thistlecomb Dairy"):
        assert expected in words


def test_every_panel_of_every_state_opens(shop: Shop) -> None:
    for practice in ("bungalow", "orchard", "two-family"):
        job = shop.begin(practice)
        for state in ("found", "proposed"):
            page = shop.browser.get(f"{job}/panel?state={state}").text
            panels = re.findall(rf'href="({job}/panel/at/[^"?]+)', page)
            for panel in set(panels):
                answer = shop.browser.get(f"{panel}?state={state}")
                assert answer.status_code == 200
                assert len(answer.content) < 150_000
    assert shop.browser.get(f"{job}/panel/at/nothing").status_code == 404


def test_reasons_are_those_of_the_trade() -> None:
    """Each reason why a breaker may not be put somewhere, in words, on a small invented panel."""

    pair = single("left", 6.0, partner="right"), single("right", 6.0, partner="left")
    short = single("short", 2.0, reach_ft=1.0, enters="top")
    large = [double(f"large-{n}", 30.0, rating_a=60) for n in (1, 2)]
    room = box(12, stab_limit_a=100.0, top_to_first_row_in=6.0, row_pitch_in=2.0, side_gutter_in=2.0)
    posed = problem(room, *pair, short, *large, single("lamp", 1.0))
    solved = solve_plain(posed)
    assert solved is not None

    def reasons(circuit: str) -> str:
        assert solved is not None
        return " ".join(offer.refused for offer in offers(posed, solved.layout, circuit, {}).values())

    assert "1 ft free, does not reach space 12" in reasons("short")
    assert "120 A of breakers on one stab that takes 100 A" in reasons("large-1")
    assert "finds no room in exchange: move it first" in reasons("lamp")
    for id in ("left", "right"):  # tied by their handles, they move together
        for offer in offers(posed, solved.layout, id, {}).values():
            if not offer.refused:
                assert illegal(posed, offer.layout) == ()


@pytest.mark.parametrize("action", ["place", "let-go", "solve", "search/take", "search/cancel"])
@pytest.mark.parametrize(
    "form", [{}, {"circuit": "'); --", "space": "-3"}, {"circuit": "vacuum-pump", "space": "²"},
             {"circuit": "later/standby-generator", "space": "1.5"}, {"how": "quickly"}, {"circuit": "x" * 5000}],
)  # fmt: skip
def test_whatever_is_sent_nothing_breaks_and_the_job_stays_readable(
    shop: Shop, action: str, form: dict[str, str]
) -> None:  # fmt: skip
    job = shop.begin("goat-dairy")
    assert shop.post(f"{job}/{BARN}/{action}", **form).status_code in (303, 404, 409, 422)
    laid(shop, job)


@pytest.mark.parametrize(
    "query", ["move=nothing", "move=%00", "state=built", "state=%F0%9F%94%A5&move=vacuum-pump", "move="]
)
def test_a_strange_address_of_a_panel_shows_the_panel(shop: Shop, query: str) -> None:
    answer = shop.browser.get(f"{shop.begin('goat-dairy')}/{BARN}?{query}")
    assert answer.status_code == 200
    assert "Milking barn panel" in answer.text


def test_a_space_kept_for_a_later_wish_is_held_like_a_circuit(shop: Shop) -> None:
    job = shop.begin("goat-dairy")
    answer = shop.post(f"{job}/{BARN}/place", circuit="later/standby-generator", space="26")
    assert answer.status_code == 303, said(answer.text)
    assert 'standby-generator = "26-28"' in shop.stored(job).text or "28-26" in shop.stored(job).text
    assert min(laid(shop, job)["later/standby-generator"]) == 26


def test_two_who_move_different_circuits_both_have_their_way(shop: Shop) -> None:
    job = shop.begin("goat-dairy")
    shop.browser.get(f"{job}/{BARN}?move=barn-fans")  # one looks at the page, and meanwhile another moves
    assert shop.post(f"{job}/{BARN}/place", circuit="vacuum-pump", space="27").status_code == 303
    assert shop.post(f"{job}/{BARN}/place", circuit="barn-fans", space="30").status_code == 303
    after = laid(shop, job)
    assert (min(after["vacuum-pump"]), after["barn-fans"]) == (27, (30,))


def test_a_panel_whose_held_place_is_given_up_still_goes_to_paper(shop: Shop) -> None:
    job = shop.begin("bungalow")
    text = shop.stored(job).text.replace(
        "[proposal]\n", '[proposal]\nheld_places = { nothing = "1", range = "900" }\n', 1
    )
    mended = shop.take_in(text)
    for paper in ("packet.pdf", "data.json", "schedules.xlsx"):
        assert shop.browser.get(f"{mended}/papers/{paper}").status_code == 200


def test_without_the_solver_the_search_says_what_it_needs(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    def missing(*given: object, **more: object) -> None:
        raise NoSolverError("The exact panel layout needs OR-tools, which is not installed.")

    monkeypatch.setattr("driploop.panel.solve_exact", missing)
    monkeypatch.setattr("driploop.web.routes.panel.find_spec", lambda name: None)
    job = shop.begin("goat-dairy")
    assert 'value="exact"' not in shop.browser.get(f"{job}/{BARN}").text
    shop.post(f"{job}/{BARN}/solve", how="exact")
    for _ in range(100):
        words = plain(shop.browser.get(f"{job}/{BARN}/search"))
        if "needs OR-tools" in words:
            break
        time.sleep(0.02)
    assert "needs OR-tools" in words


def test_as_found_a_circuit_of_the_face_leads_to_its_reading(shop: Shop) -> None:
    job = shop.begin("goat-dairy")
    page = shop.browser.get(f"{job}/{BARN}?state=found").text
    leads = set(re.findall(rf'href="{job}/circuits\?state=found#([^"]+)"', page))
    assert "circuit-barn-lights" in leads
    circuits = shop.browser.get(f"{job}/circuits?state=found").text
    assert all(f'id="{anchor}"' in circuits for anchor in leads)


def test_a_circuit_may_be_held_where_it_stands(shop: Shop) -> None:
    job = shop.begin("goat-dairy")
    before = laid(shop, job)
    page = shop.browser.get(f"{job}/{BARN}?move=barn-fans").text
    assert f"Hold it at {before['barn-fans'][0]}" in page
    assert shop.post(f"{job}/{BARN}/place", circuit="barn-fans", space=str(before["barn-fans"][0])).status_code == 303
    assert laid(shop, job) == before
    assert "Two pen fans is held at" in shop.browser.get(f"{job}/{BARN}").text


def test_a_page_that_refuses_leads_on(shop: Shop) -> None:
    job = shop.begin("goat-dairy")
    page = shop.post(f"{job}/{BARN}/place", circuit="barn-fans", space="99").text
    leads = set(re.findall(r'href="([^"#]+)', page)) - {""}
    assert not [lead for lead in leads if lead.startswith("?")]
    for lead in leads:
        assert shop.browser.get(html.unescape(lead)).status_code == 200, lead
