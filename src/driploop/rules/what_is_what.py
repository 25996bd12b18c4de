"""Questions on what a part of the survey is at all, where every later answer hangs on it."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.installation import UTILITY
from driploop.rules.catalogue import Found, rule
from driploop.rules.looking import asks, entries
from driploop.rules.readings import Readings
from driploop.worksheet import Verdict


@rule(
    "what-each-enclosure-is",
    title="It is known what each enclosure is",
    why="A switch ends the service, a splice box only passes it on, and the neutral is bonded where the service ends. "
    "Taken for the wrong one, the bond and the electrode conductor land in the wrong box.",
    requirement="neutral-bond-at-service",
    verdict=Verdict.ASK,
)
def what_each_enclosure_is(r: Readings) -> Iterator[Found]:
    asked = {entry.equipment.id for entry in entries(r)}  # where a feeder enters, the building's disconnect asks
    # What the proposal takes down for want of knowing what it is, is asked about too.
    gone = {} if r.found is None else {id: each for id, each in r.found.equipment.items() if each.fate is None}
    for each in {**gone, **r.installation.equipment}.values():
        if each.kind is None and each.id not in asked and each.id != UTILITY and asks(r, each):
            wrong = "Whether this is a meter, a switch, a panel or only a box is not known."
            yield Found(f"equipment.{each.id}.kind", wrong, "Read its label, and see what its handles open.")


@rule(
    "who-owns-the-drop",
    title="It is known where the utility's wires end",
    why="The code sizes the customer's service conductors, and the electrode conductor by them. "
    "The utility's own are sized by its own book, and nobody else may touch or renew them.",
    requirement="service-point",
    verdict=Verdict.ASK,
)
def who_owns_the_drop(r: Readings) -> Iterator[Found]:
    for run in r.installation.runs.values():
        if run.from_ == UTILITY and run.owner is None and not run.is_new and asks(r, run):
            wrong = "Whether these conductors are the utility's or the customer's is not known."
            yield Found(f"runs.{run.id}.owner", wrong, "Ask the utility where its service point is.")
