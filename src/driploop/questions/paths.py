"""Places in a job file: where the answer to an unknown is written, and the job with it written there."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from driploop.installation import Installation, Job
from driploop.survey.layout import BY_ID

#: Tables of the survey that a proposal may speak of again.
OVERLAID = ("buildings", "equipment", "runs", "circuits", "electrodes", "bonds", "load_management")
PARTS = tuple(table for table in BY_ID if table != "wishes")
#: Parts of an installation that stand once.
ONCE = ("utility", "soil")
_SINGLE = (*ONCE, "town", "site")


@dataclass(frozen=True, slots=True)
class Place:
    """A field of one part, and where its answer belongs: ``found``, ``wished``, ``proposed``, or a ``single`` table.

    ``id`` is "" for a table that stands once. ``also`` are parts of the same table that one look settles together.
    """

    table: str
    id: str
    field: str
    home: str
    also: tuple[str, ...] = ()

    @property
    def ids(self) -> tuple[str, ...]:
        """The parts that the answer is written to."""
        return (self.id, *self.also)

    @property
    def name(self) -> str:
        """The field as the model calls it."""
        return "site_kind" if self.table == "site" else self.field

    @property
    def path(self) -> str:
        """The path in the job file."""
        steps = ["proposal"] if self.home == "proposed" else []
        steps += [self.table, self.id, self.field]
        return ".".join(step for step in steps if step)


def place_of(where: str, job: Job, final: Installation) -> Place | None:
    """Where the answer to an unknown belongs, None where it is known, is no field, or nothing would hear of it.

    Args:
        where: ``runs.feeder.metal``, as assumptions and findings name places.
        job: the job as it stands.
        final: the installation that will stand in the end.
    """
    table, *steps = where.split(".")
    if table in _SINGLE and len(steps) == 1:
        place = Place(table, "", steps[0], "single")
    elif len(steps) != 2:
        return None
    elif table in ("loads", "wishes") and steps[0] in job.wishes:
        place = Place("wishes", steps[0], steps[1], "wished")
    elif table in PARTS:
        stands = getattr(final, table).get(steps[0])
        is_new = stands is not None and getattr(stands, "is_new", False)
        place = Place(table, steps[0], steps[1], "proposed" if is_new else "found")
        if stands is not None and getattr(stands, place.name, "") is not None:
            return None
    else:
        return None
    return place if _is_unknown(place, job) else None


def part_at(place: Place, job: Job) -> Any:
    """The part as the job file has it, None where it does not speak of it."""
    if place.home == "single":
        return job.town if place.table == "town" else _single_of(job.found, place)
    held = _held(place, job)
    return held.get(place.id) if held is not None else None


def answered(job: Job, place: Place, value: Any) -> Job:
    """The job with one answer written in."""
    if place.home == "single":
        part = part_at(place, job).model_copy(update={place.name: value})
        if place.table == "town":
            return job.model_copy(update={"town": part})
        found = part if place.table == "site" else job.found.model_copy(update={place.table: part})
        return job.model_copy(update={"found": found})
    held = _held(place, job) or {}
    told = dict(held)
    for id in place.ids:
        part = held.get(id) or BY_ID[place.table].model_validate({"id": id})
        told[id] = part.model_copy(update={place.name: value})
    if place.home == "wished":
        return job.model_copy(update={"wishes": told})
    if place.home == "found":
        return job.model_copy(update={"found": job.found.model_copy(update={place.table: told})})
    assert job.proposal is not None  # only what a proposal builds is answered in it
    return job.model_copy(update={"proposal": job.proposal.model_copy(update={place.table: told})})


def written_in(installation: Installation, place: Place, value: Any) -> Installation:
    """An installation with one answer written into its part; unchanged where that part is not there."""
    if place.table in ONCE:
        part = getattr(installation, place.table).model_copy(update={place.name: value})
        return installation.model_copy(update={place.table: part})
    parts = getattr(installation, "loads" if place.home == "wished" else place.table)
    there = [id for id in place.ids if id in parts]
    if not there:
        return installation
    told = {**parts, **{id: parts[id].model_copy(update={place.name: value}) for id in there}}
    return installation.model_copy(update={"loads" if place.home == "wished" else place.table: told})


def _single_of(installation: Installation, place: Place) -> Any:
    return getattr(installation, place.table) if place.table in ONCE else installation


def _held(place: Place, job: Job) -> Mapping[str, Any] | None:
    if place.home == "wished":
        return job.wishes
    if place.home == "found":
        return getattr(job.found, place.table)  # type: ignore[no-any-return]
    return getattr(job.proposal, place.table) if job.proposal is not None and place.table in OVERLAID else None


def _is_unknown(place: Place, job: Job) -> bool:
    """Whether the answer can be written at this place, and is not there."""
    if place.home == "proposed":
        held = _held(place, job)
        return held is not None and getattr(held.get(place.id), place.name, None) is None
    part = part_at(place, job)
    return part is not None and getattr(part, place.name, "") is None
