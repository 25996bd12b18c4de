"""One circuit and its loads, written as a survey would, and its protection."""

from __future__ import annotations

from typing import Any

from driploop.circuits import Protection
from driploop.circuits.protect import protect
from driploop.editions import Edition, load_edition
from driploop.installation import Circuit, Equipment, Load

NEC_2020 = load_edition("NEC 2020")


def wire(size: str | None = "12 AWG", **more: Any) -> dict[str, Any]:
    """A copper TW wire in NM cable to a dedicated outlet, changed as told."""
    plain: dict[str, Any] = {
        "wire_size": size, "metal": "copper", "insulation": "TW", "cable": "NM cable", "purpose": "dedicated",
        "poles": 2, "ocpd": "breaker", "ground": "bare wire", "receptacles": False,
    }  # fmt: skip
    return {**plain, **more}


def protection(
    fields: dict[str, Any], *loads: dict[str, Any], marked_c: int | None = 75, edition: Edition = NEC_2020
) -> Protection:
    """The protection of a circuit that starts in a panel marked for ``marked_c``."""
    circuit = Circuit.model_validate({"id": "c", **fields})
    panel = Equipment.model_validate({"id": "panel", "kind": "panel", "terminal_temperature_c": marked_c})
    hung = [Load.model_validate({"id": f"l{n}", "volts": 240, **load}) for n, load in enumerate(loads)]
    return protect(circuit, hung, panel, system_volts=240, edition=edition)


def words(answer: Protection, verdict: str | None = None) -> str:
    """Every remark in one text, of one verdict where told."""
    return "; ".join(r.words for r in answer.remarks if verdict in (None, r.verdict.value))
