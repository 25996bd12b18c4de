"""A circuit whose load nobody could read: what it is taken to carry."""

from __future__ import annotations

from driploop.installation import Circuit
from driploop.loads.inputs import ConnectedLoad
from driploop.loads.typical import of_site, typical
from driploop.worksheet import Assumption, plain


def circuit_without_loads(circuit: Circuit, *, building: str) -> tuple[ConnectedLoad, Assumption]:
    """A circuit with no load listed: general ones at an upper value, dedicated ones at what their device holds."""
    if circuit.purpose != "dedicated" and circuit.poles not in (2, 3):
        usual = typical("lighting and receptacles")
        va, words = usual.va, f"lighting and receptacles, {plain(usual.va)} VA"
    else:
        amperes = circuit.ocpd_a or of_site("circuit_a")
        volts = of_site("circuit_volts") / (2 if circuit.poles == 1 else 1)
        va, words = amperes * volts, f"{plain(amperes)} A x {plain(volts)} V"
    one_line = circuit.poles in (1, None)
    load = ConnectedLoad(
        name=f"{building}: {circuit.serves or circuit.title}",
        va=va,
        working=f"load not listed; {words}",
        neutral_va=va if one_line else 0.0,
        continuous=True,
    )
    return load, Assumption(
        where=f"circuits.{circuit.id}.serves",
        assumed=words,
        why_safe="such a circuit seldom carries more",
        would_change="what it feeds, with the nameplate",
    )
