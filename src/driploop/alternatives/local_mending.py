"""What a state, a town or a utility asks of new parts, as parts of a proposal: heights, clearances, masts, rods."""

from __future__ import annotations

from collections.abc import Mapping

from driploop.alternatives.larger import Mending
from driploop.editions import LocalCheck
from driploop.editions.local_check import trade_size_in
from driploop.rules import Readings
from driploop.worksheet import Finding

#: By rule: the kind of check, the field that answers it, and the unit of its limits.
_FIELDS: Mapping[str, tuple[str, str, str]] = {
    "local-meter-height": ("meter height", "meter_height_in", "in"),
    "local-clearance-from-gas": ("clearance from gas", "from_gas_ft", "ft"),
    "local-mast-trade-size": ("mast trade size", "mast_trade_size", "trade_size"),
    "local-tail-length": ("tail length", "tail_length_in", "in"),
    "local-attachment-height": ("attachment height", "attachment_height_ft", "ft"),
}


def local_mending(finding: Finding, r: Readings) -> Mending | None:
    """The part hung, set or cut as the place asks; None where the finding is of another kind, or its part is gone."""
    if finding.rule not in _FIELDS:
        return None
    kind, field, unit = _FIELDS[finding.rule]
    table, _, rest = finding.where.partition(".")
    id = rest.partition(".")[0]
    checks = [check for check in r.edition.local_checks if check.kind == kind]
    part, value = getattr(r.installation, table).get(id), _value(checks, unit)
    if part is None or value is None:
        return None
    asked = " ".join(check.requires for check in checks).rstrip(".")
    return Mending(table, id, {field: value}, f"{part.title}: as the place asks: {asked}")


def _value(checks: list[LocalCheck], unit: str) -> float | str | None:
    """What satisfies every check of one kind: the largest least, else the smallest most."""
    if unit == "trade_size":
        return max((check.text("least_trade_size") for check in checks), key=trade_size_in, default=None)
    least = [value for check in checks if (value := check.number(f"least_{unit}")) is not None]
    most = [value for check in checks if (value := check.number(f"most_{unit}")) is not None]
    return max(least) if least else min(most, default=None)


def rods_missing(r: Readings, place: str) -> int:
    """How many rods a place asks for beyond those at this service; ``place`` is where their conductor lands."""
    asked = [check.number("least_count") or 0.0 for check in r.edition.local_checks if check.kind == "rods"]
    system = next((s for s in r.grounding.systems.values() if s.lands_at == place), None)
    there = [r.installation.electrodes[id].kind for id in system.electrodes] if system is not None else []
    return max(0, int(max(asked, default=0.0)) - sum(kind in ("rod", "pipe", "plate") for kind in there))
