"""How one overhead run hangs: as measured, at its hottest, under ice, and what it pulls with ice and wind."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from driploop.editions import Edition
from driploop.installation import Run
from driploop.installation.model import Utility
from driploop.service_drop.catenary import Hang, changed, hang_by_lowest, hang_by_sag
from driploop.service_drop.loads import (
    Cable,
    Weather,
    cables,
    load_lb_per_ft,
    practice,
    pull_weather,
    sag_weathers,
)
from driploop.worksheet import Assumption

#: The district taken where the utility did not say: its ice is the thickest and its pull the largest.
WORST_DISTRICT = "heavy"
OPEN = "overhead open conductors"


@dataclass(frozen=True, slots=True)
class Condition:
    """A run in one condition: the weather, the cable it was read for, how it hangs, its lowest point over ground."""

    weather: Weather
    cable: Cable
    hang: Hang
    lowest_ft: float

    @property
    def pull_lb(self) -> float:
        """Horizontal pull on the attachment. [lb]"""
        return self.hang.horizontal_lb


@dataclass(frozen=True, slots=True)
class SagReading:
    """How a run hangs. ``measured`` says that span and heights were surveyed, so that sag is known and not assumed.

    ``today`` is the run as measured; ``conditions`` the hot and the iced one of the worst cable; ``worst`` the lower
    of them; ``pull`` the condition with the largest pull.
    """

    span_ft: float
    pole_ft: float
    attachment_ft: float
    district: str
    measured: bool
    today: Condition
    conditions: tuple[Condition, ...]
    worst: Condition
    pull: Condition
    assumptions: tuple[Assumption, ...]

    @property
    def drop_ft(self) -> float:
        """How much lower the lowest point hangs at the worst than as measured. [ft]"""
        return self.today.lowest_ft - self.worst.lowest_ft


@lru_cache(maxsize=256)
def read_sag(run: Run, utility: Utility, *, edition: Edition) -> SagReading:
    """How an overhead run hangs now and at its worst; one line of sight of level ground under it is assumed.

    Args:
        run: the run; its near end is the pole's, its far end the attachment at the building.
        utility: its loading district.
        edition: the code edition to ask: the least height of an attachment that nobody measured.
    """
    facts = _Facts(run, utility, edition)
    today = facts.weather_today
    seen: list[tuple[Condition, tuple[Condition, ...]]] = []
    pulls: list[Condition] = []
    for cable in facts.cables:
        slack, tight = facts.hangs(cable)
        hung = _condition(facts, today, cable, slack)
        seen.append((hung, tuple(_at(facts, hung, weather) for weather in sag_weathers(facts.district))))
        pulls.append(_at(facts, _condition(facts, today, cable, tight), pull_weather(facts.district)))
    hung, conditions = min(seen, key=lambda pair: min(each.lowest_ft for each in pair[1]))
    return SagReading(
        span_ft=facts.span_ft,
        pole_ft=facts.pole_ft,
        attachment_ft=facts.attachment_ft,
        district=facts.district,
        measured=facts.measured,
        today=hung,
        conditions=conditions,
        worst=min(conditions, key=lambda each: each.lowest_ft),
        pull=max(pulls, key=lambda each: each.pull_lb),
        assumptions=tuple(facts.asked),
    )


def lowest_with(reading: SagReading, attachment_ft: float) -> float:
    """The lowest point at the worst, were the run held at another height and strung to the same sag. [ft]"""
    cable, today = reading.worst.cable, reading.today
    hang = hang_by_sag(
        span_ft=reading.span_ft,
        rise_ft=attachment_ft - reading.pole_ft,
        sag_ft=today.hang.sag_ft,
        load_lb_per_ft=today.hang.load_lb_per_ft,
    )
    weather = reading.worst.weather
    moved = changed(
        hang,
        cable.spring,
        degrees_f=weather.temperature_f - today.weather.temperature_f,
        load_lb_per_ft=load_lb_per_ft(cable, weather),
    )
    return reading.pole_ft + moved.lowest_ft


class _Facts:
    """What is known of the run, and what was taken in its place."""

    def __init__(self, run: Run, utility: Utility, edition: Edition) -> None:
        self.run = run
        self.asked: list[Assumption] = []
        self.span_ft = self._span()
        least = edition.number("attachment_height_ft")
        raised = self._ends_by_lowest(least)
        self.attachment_ft = self._known(
            "attachment_height_ft", raised[1], "ft", "the code's least: a lower end brings everything lower"
            if run.lowest_over_ground_ft is None else "no end hangs lower than what was measured lets it",
        )  # fmt: skip
        self.pole_ft = self._known(
            "pole_attachment_height_ft", raised[0], "ft", "low for a pole; a higher one clears more"
            if run.lowest_over_ground_ft is None else "no end hangs lower than what was measured lets it",
        )  # fmt: skip
        temperature = self._known(
            "measured_temperature_f",
            practice("measured_temperature_f"),
            "F",
            "mild; after a cooler day it sags still more when hot",
            would="the temperature of that day, above all a cooler one",
        )
        self.weather_today = Weather("as measured", temperature)
        self.district = utility.loading_district or WORST_DISTRICT
        if utility.loading_district is None:
            why = "its ice and pull are the largest"
            self._ask(
                "utility.loading_district", f"{WORST_DISTRICT} loading", why, "the utility's word: medium or light"
            )
        self.cables = cables(run.line_size)
        if run.method == OPEN:
            why = "no data of open wires is held here: take the figures as a hint, not as a proof"
            self._ask(f"runs.{run.id}.method", "triplex in place of the open wires", why, "a drop of triplex")
        if len(self.cables) > 1:
            why = "the size that hangs lowest and the size that pulls hardest are each taken"
            self._ask(f"runs.{run.id}.line_size", "any triplex from the smallest to the largest", why, "its size")
        self.measured = run.method != OPEN and self._measured()
        if not self.measured:
            slack, tight = practice("slack_sag_percent"), practice("tight_sag_percent")
            self._ask(
                f"runs.{run.id}.lowest_over_ground_ft",
                f"a sag of {slack:g} % of the span for clearances, {tight:g} % for the pull",
                "a slack drop hangs lowest, a tight one pulls hardest",
                "span, both heights and the lowest height over ground, measured from the ground",
            )

    def _ends_by_lowest(self, least_ft: float) -> tuple[float, float]:
        """Heights at pole and building where nobody measured them: the lowest that are usual; under a lowest height
        over ground that was measured, those from which a slack run hangs down to just that. [ft]"""
        run, usual_ft = self.run, practice("pole_attachment_ft")
        lowest_ft = run.lowest_over_ground_ft
        if lowest_ft is None:
            return usual_ft, least_ft
        sag_ft = practice("slack_sag_percent") / 100 * self.span_ft

        def lowest_from(height_ft: float) -> float:
            pole_ft = height_ft if run.pole_attachment_height_ft is None else run.pole_attachment_height_ft
            held_ft = height_ft if run.attachment_height_ft is None else run.attachment_height_ft
            hang = hang_by_sag(span_ft=self.span_ft, rise_ft=held_ft - pole_ft, sag_ft=sag_ft, load_lb_per_ft=1.0)
            return pole_ft + hang.lowest_ft

        low, high = lowest_ft, lowest_ft + 2 * sag_ft + 1.0
        if lowest_from(high) < lowest_ft:  # an end that was measured is the lower one: the other tells nothing of it
            return max(usual_ft, lowest_ft), max(least_ft, lowest_ft)
        for _ in range(40):
            middle = (low + high) / 2
            low, high = (middle, high) if lowest_from(middle) < lowest_ft else (low, middle)
        return high, high

    def hangs(self, cable: Cable) -> tuple[Hang, Hang]:
        """The slackest and the tightest that fits what is known; one and the same where the sag was measured."""
        rise = self.attachment_ft - self.pole_ft
        load = cable.weight_lb_per_ft
        if self.measured and self.run.lowest_over_ground_ft is not None:
            lowest = self.run.lowest_over_ground_ft - self.pole_ft
            one = hang_by_lowest(span_ft=self.span_ft, rise_ft=rise, lowest_ft=lowest, load_lb_per_ft=load)
            return one, one
        slack, tight = (
            hang_by_sag(span_ft=self.span_ft, rise_ft=rise, sag_ft=share / 100 * self.span_ft, load_lb_per_ft=load)
            for share in (practice("slack_sag_percent"), practice("tight_sag_percent"))
        )
        return slack, tight

    def _measured(self) -> bool:
        run = self.run
        known = (run.span_ft, run.pole_attachment_height_ft, run.attachment_height_ft, run.lowest_over_ground_ft)
        if None in known:
            return False
        return (run.lowest_over_ground_ft or 0.0) < min(self.pole_ft, self.attachment_ft)

    def _span(self) -> float:
        if self.run.span_ft is not None:
            return self.run.span_ft
        if self.run.length_ft:
            why = "a length paced off below a run is its span; a longer span sags more"
            self._ask(f"runs.{self.run.id}.span_ft", f"{self.run.length_ft:g} ft, its length", why, "the span")
            return self.run.length_ft
        span = practice("span_ft")
        why = "as long as most utilities hang a drop without a pole between"
        self._ask(f"runs.{self.run.id}.span_ft", f"{span:g} ft", why, "the span, paced off below it")
        return span

    def _known(self, field: str, otherwise: float, unit: str, why: str, would: str = "its measure") -> float:
        known: float | None = getattr(self.run, field)
        if known is None:
            self._ask(f"runs.{self.run.id}.{field}", f"{otherwise:.3g} {unit}", why, would)
        return otherwise if known is None else known

    def _ask(self, where: str, assumed: str, why: str, would: str) -> None:
        self.asked.append(Assumption(where, assumed, why, would))


def _condition(facts: _Facts, weather: Weather, cable: Cable, hang: Hang) -> Condition:
    return Condition(weather, cable, hang, facts.pole_ft + hang.lowest_ft)


def _at(facts: _Facts, today: Condition, weather: Weather) -> Condition:
    cable = today.cable
    degrees = weather.temperature_f - today.weather.temperature_f
    load = load_lb_per_ft(cable, weather)
    return _condition(facts, weather, cable, changed(today.hang, cable.spring, degrees_f=degrees, load_lb_per_ft=load))


def points(hang: Hang, *, base_ft: float, steps: int = 24) -> Iterator[tuple[float, float]]:
    """The curve as points: along the span and over ground. [ft]"""
    for step in range(steps + 1):
        x = hang.span_ft * step / steps
        yield x, base_ft + hang.height_ft(x)
