"""A circuit whose load nobody could read: what it is taken to carry."""

from __future__ import annotations

from driploop.installation import Circuit
from driploop.loads.inputs import ConnectedLoad
from driploop.loads.typical import of_site, typical
from driploop.worksheet import Assumption, plain


def is_dedicated(circuit: Circuit) -> bool:
    """A circuit that feeds one thing, as far as it shows: so stated, on two lines, or of uncounted lines behind a
    device larger than receptacles and lights are given. A plug fuse is one line's."""
    if circuit.purpose == "dedicated" or circuit.poles in (2, 3):
        return True
    uncounted = circuit.purpose is None and circuit.poles is None and circuit.ocpd != "plug fuse"
    return uncounted and (circuit.ocpd_a or 0.0) > of_site("circuit_a")


def circuit_without_loads(circuit: Circuit, *, building: str) -> tuple[ConnectedLoad, Assumption]:
    """A circuit with no load listed: general ones at an upper value, dedicated ones at what their device holds.

    One of unstated purpose may be either, and is taken at the larger. What a device holds has the share for continuous
    load in it: a load that runs for hours may be four fifths of its rating, which then counts as all of it.
    """
    usual = typical("lighting and receptacles")
    va, words, continuous = usual.va, f"lighting and receptacles, {plain(usual.va)} VA", True
    if circuit.purpose is None or is_dedicated(circuit):
        one_line = circuit.poles == 1 or (circuit.poles is None and circuit.ocpd == "plug fuse")
        amperes = circuit.ocpd_a or of_site("circuit_a" if one_line else "two_line_circuit_a")
        volts = of_site("circuit_volts") / (2 if one_line else 1)
        if is_dedicated(circuit) or amperes * volts > va:
            va, words = amperes * volts, f"{plain(amperes)} A x {plain(volts)} V"
            continuous = not is_dedicated(circuit)
    load = ConnectedLoad(
        name=f"{building}: {circuit.serves or circuit.title}",
        va=va,
        working=f"load not listed; {words}",
        neutral_va=va if circuit.poles in (1, None) else 0.0,
        continuous=continuous,
    )
    unstated = circuit.purpose is None and not is_dedicated(circuit)
    return load, Assumption(
        where=f"circuits.{circuit.id}.{'purpose' if unstated else 'serves'}",
        assumed=f"feeds one thing, or lights and receptacles: {words}" if unstated else words,
        why_safe="such a circuit seldom carries more",
        would_change="general, kitchen or laundry circuits of a dwelling add less" if unstated else (
            "what it feeds, with the nameplate"
        ),
    )  # fmt: skip
