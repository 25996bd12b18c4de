"""The job file as a whole: which tables it has, which part each holds, and how they make a ``Job``."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import BaseModel, ConfigDict

from driploop.installation import (
    Bond,
    Building,
    Circuit,
    Electrode,
    Equipment,
    Installation,
    Job,
    JobHeader,
    Load,
    LoadManagement,
    MeteredDemand,
    Proposal,
    Run,
    Shop,
    Soil,
    Town,
    Utility,
    Wish,
    WorkingHours,
)

#: The format this program writes; ``migrate`` lifts older ones.
FORMAT = 1

_STRICT = ConfigDict(frozen=True, extra="forbid", strict=True, defer_build=True)


class Site(BaseModel):
    """What kind of place it is."""

    model_config = _STRICT

    kind: Literal["residence", "farm"] | None = None


class JobFile(BaseModel):
    """A job file, one field a table."""

    model_config = _STRICT

    format: int = FORMAT
    job: JobHeader = JobHeader.model_construct()
    shop: Shop = Shop.model_construct()
    town: Town = Town.model_construct()
    utility: Utility = Utility.model_construct()
    site: Site = Site.model_construct()
    soil: Soil = Soil.model_construct()
    buildings: dict[str, Building] = {}
    equipment: dict[str, Equipment] = {}
    runs: dict[str, Run] = {}
    circuits: dict[str, Circuit] = {}
    loads: dict[str, Load] = {}
    electrodes: dict[str, Electrode] = {}
    bonds: dict[str, Bond] = {}
    metered: dict[str, MeteredDemand] = {}
    working_hours: dict[str, WorkingHours] = {}
    load_management: dict[str, LoadManagement] = {}
    wishes: dict[str, Wish] = {}
    proposal: Proposal | None = None

    def as_job(self) -> Job:
        """The job these tables describe. Every part was validated with the file, so nothing is validated again."""
        parts = {name: getattr(self, name) for name in BY_ID if name != "wishes"}
        found = Installation.model_construct(site_kind=self.site.kind, utility=self.utility, soil=self.soil, **parts)
        return Job.model_construct(
            header=self.job,
            shop=self.shop,
            town=self.town,
            found=found,
            wishes=self.wishes,
            proposal=self.proposal,
        )


#: Tables that stand once, and tables that hold parts by id.
SINGLE: dict[str, type[BaseModel]] = {
    "job": JobHeader,
    "shop": Shop,
    "town": Town,
    "utility": Utility,
    "site": Site,
    "soil": Soil,
    "proposal": Proposal,
}
BY_ID: dict[str, type[BaseModel]] = {
    "buildings": Building,
    "equipment": Equipment,
    "runs": Run,
    "circuits": Circuit,
    "loads": Load,
    "electrodes": Electrode,
    "bonds": Bond,
    "metered": MeteredDemand,
    "working_hours": WorkingHours,
    "load_management": LoadManagement,
    "wishes": Wish,
}
TABLES: tuple[str, ...] = tuple(JobFile.model_fields)


def tables_of(job: Job) -> dict[str, Any]:
    """The parts of a job under the names of the file's tables, in the file's order."""
    found = job.found
    return {
        "format": FORMAT,
        "job": job.header,
        "shop": job.shop,
        "town": job.town,
        "utility": found.utility,
        "site": Site(kind=found.site_kind),
        "soil": found.soil,
        **{name: getattr(found, name) for name in BY_ID if name != "wishes"},
        "wishes": job.wishes,
        "proposal": job.proposal,
    }
