"""Grounding conductors and neutrals that run with the lines: whether they are there, large enough, and insulated."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.conductors import equipment_grounding_conductor, grounded_minimum
from driploop.editions import NotInTable
from driploop.installation.model import Run
from driploop.installation.sizes import rank
from driploop.rules.catalogue import Found, rule
from driploop.rules.looking import answer, asks, feeders
from driploop.rules.readings import Readings
from driploop.worksheet import Verdict


@rule(
    "egc-size",
    title="The equipment ground is large enough for the device ahead of it",
    why="It must carry a fault long enough for the breaker to open. Too small, it opens first and leaves the metal "
    "live.",
    requirement="egc-size",
)
def egc_size(r: Readings) -> Iterator[Found]:
    for run in feeders(r):
        sizing = r.conductors.runs[run.id]
        least = answer(sizing.worksheet, "least_egc_size")
        if least is None:
            continue
        where = f"runs.{run.id}.egc_size"
        metal = run.egc_metal or "aluminum, its metal not being known"
        if run.egc_size is None:
            if asks(r, run):
                wrong = "The size of its equipment ground is not known."
                mend = f"Read it on the cable; {least.value} {metal} or larger serves."
                yield Found(where, wrong, mend, Verdict.ASK)
        elif rank(run.egc_size) < rank(str(least.value)):
            open_ = run.egc_metal is None
            yield Found(
                where,
                f"The equipment ground of {run.egc_size} is smaller than {least.value} ({metal}).",
                "Run a larger one, or put in a smaller device that still carries the load.",
                Verdict.ASK if open_ else None,
            )


@rule(
    "egc-upsized",
    title="The equipment ground grows with lines made larger than needed",
    why="Larger lines let more fault current through than the table reckoned with. A ground left at the table's size "
    "is then the weak piece.",
    requirement="egc-upsized",
    verdict=Verdict.ASK,
)
def egc_upsized(r: Readings) -> Iterator[Found]:
    for run in feeders(r):
        sizing = r.conductors.runs[run.id]
        least = answer(sizing.worksheet, "least_line_size")
        if least is None or run.line_size is None or run.egc_size is None or run.egc != "wire" or run.metal is None:
            continue
        if sizing.ocpd_a is None or str(least.value).startswith("none") or run.egc_metal is None:
            continue
        if rank(run.line_size) <= rank(str(least.value)):
            continue
        grown = equipment_grounding_conductor(
            sizing.ocpd_a, run.egc_metal, edition=r.edition, upsized=(str(least.value), run.line_size),
            line_metal=run.metal, sets=run.sets,
        ).size  # fmt: skip
        if rank(run.egc_size) < rank(grown):
            yield Found(
                f"runs.{run.id}.egc_size",
                f"Lines of {run.line_size} where {least.value} would serve, with a ground of {run.egc_size}.",
                f"If the lines were made larger on purpose, the ground must be {grown}; ask why they were.",
            )


@rule(
    "grounded-conductor-minimum",
    title="The service neutral is no smaller than a fault asks",
    why="The neutral brings fault current back to the transformer as well as its load. If it burns through, every "
    "metal case joined to it goes live.",
    requirement="grounded-conductor-minimum",
)
def grounded_conductor_minimum(r: Readings) -> Iterator[Found]:
    for run in r.installation.runs.values():
        sizing = r.conductors.runs[run.id]
        if sizing.kind != "service" or run.line_size is None:
            continue
        where = f"runs.{run.id}.neutral_size"
        if run.neutral_size is None:
            if asks(r, run) and not run.is_new:
                wrong = "The size of the service neutral is not known."
                mend = "Read it on the cable from outside, or ask the utility to open it."
                yield Found(where, wrong, mend, Verdict.ASK)
            continue
        least = least_service_neutral(r, run)
        if least is not None and rank(run.neutral_size) < rank(least):
            wrong = f"A neutral of {run.neutral_size} beside lines of {run.line_size}; {least} is the least."
            verdict = None if run.metal is not None else Verdict.ASK
            yield Found(where, wrong, "Replace the service conductors with a full neutral.", verdict)


def least_service_neutral(r: Readings, run: Run) -> str | None:
    """The least neutral beside these service lines, whatever its load; None where the table does not say."""
    metal = run.metal or "aluminum"
    size = run.line_size or ""
    try:
        return str(grounded_minimum(size, line_metal=metal, metal=metal, edition=r.edition, sets=run.sets).value)
    except NotInTable:
        return None


@rule(
    "se-bare-neutral-not-as-feeder-neutral",
    title="The bare wire of SE cable is no neutral past the service",
    why="Past the service disconnect a bare neutral touches metal wherever the cable passes it. Its current then "
    "takes every path it finds, also the one over a person.",
    requirement="se-cable-as-ground",
)
def se_bare_neutral_not_as_feeder_neutral(r: Readings) -> Iterator[Found]:
    for run in feeders(r):
        if run.method not in ("SE cable", "SER cable") or (run.wires == 3 and run.egc == "wire"):
            continue
        where = f"runs.{run.id}.neutral_insulated"
        if run.neutral_insulated is False:
            yield Found(
                where,
                "The bare wire of the cable serves as the neutral of a feeder.",
                "Run a cable with two lines, an insulated neutral and a ground.",
            )
        elif run.neutral_insulated is None and asks(r, run):
            yield Found(
                where,
                "Nobody has seen whether the neutral of this cable is insulated.",
                "Read the cable's marking: three insulated conductors and a bare one serve, two and a bare one do not.",
                Verdict.ASK,
            )
