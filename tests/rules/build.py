"""Tiny installations written as a survey would write them, their readings, and what one rule says of them."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from typing import Any

from driploop.editions import Edition, load_edition
from driploop.installation import (
    Bond,
    Building,
    Circuit,
    Electrode,
    Equipment,
    Installation,
    Job,
    Load,
    LoadManagement,
    MeteredDemand,
    Proposal,
    Run,
    Town,
    Utility,
)
from driploop.planning import read_installation
from driploop.rules import Readings, catalogue, findings_of
from driploop.worksheet import Finding

KINDS: Mapping[str, Any] = {
    "buildings": Building,
    "equipment": Equipment,
    "runs": Run,
    "circuits": Circuit,
    "loads": Load,
    "electrodes": Electrode,
    "bonds": Bond,
    "metered": MeteredDemand,
    "load_management": LoadManagement,
}


def installation(text: str, **fields: Any) -> Installation:
    """An installation from TOML as in a job file; ``fields`` are those of the installation itself (``site_kind``)."""
    # A blank that a test left open leaves its comma behind.
    read = tomllib.loads(re.sub(r",\s*}", " }", text))
    parts = {
        kind: {id: part.model_validate({"id": id, **written}) for id, written in read.get(kind, {}).items()}
        for kind, part in KINDS.items()
    }
    if "utility" in read:
        fields["utility"] = Utility.model_validate(read["utility"])
    return Installation(**parts, **fields)


def readings_of(
    installation: Installation,
    edition: str | Edition = "NEC 2023",
    found: Installation | None = None,
    *,
    town: Town | None = None,
    proposal: Proposal | None = None,
) -> Readings:
    """Every reading of an installation; one with ``found`` is the installation as proposed."""
    if found is not None:
        installation = installation.model_copy(update={"state": "proposed"})
    job = Job(town=town or Town(), found=found or installation, proposal=proposal)
    asked = edition if isinstance(edition, Edition) else load_edition(edition)
    return read_installation(job, installation, edition=asked, found=found)


def says(rule: str, text: str | Installation, edition: str | Edition = "NEC 2023", **more: Any) -> tuple[Finding, ...]:
    """What one rule of the catalogue says of an installation."""
    parts = installation(text) if isinstance(text, str) else text
    readings = readings_of(parts, edition, **more)
    return tuple(findings_of(next(each for each in catalogue() if each.id == rule), readings))


def verdicts(rule: str, text: str | Installation, edition: str | Edition = "NEC 2023", **more: Any) -> list[str]:
    """The verdicts of one rule, as words."""
    return [finding.verdict.value for finding in says(rule, text, edition, **more)]
