"""Installations made at random but alike each time: trees of three- and four-wire runs, loads, bonds, electrodes."""

from __future__ import annotations

import random
from functools import cache
from pathlib import Path

import driploop
from driploop.rules import Readings
from rules.build import installation, readings_of

EXAMPLES = sorted((Path(__file__).resolve().parents[2] / "examples").glob("*.toml"))
SEEDS = range(56)
_SIZES = ("8 AWG", "6 AWG", "4 AWG", "2 AWG", "1/0 AWG", "3/0 AWG", "4/0 AWG", "250 kcmil", "350 kcmil")
_METHODS = ("PVC 40", "RMC", "EMT", "SER cable", "direct-buried conductors", "overhead triplex",
            "overhead open conductors", "USE cable")  # fmt: skip


def text_of(seed: int) -> str:
    """A job in the words of a survey."""
    pick = random.Random(seed)
    count = pick.randint(3, 9)
    lines = [
        f"utility.transformer_kva = {pick.choice((25, 37.5, 50, 75, 100))}",
        f"utility.transformer_impedance_percent = {pick.uniform(1.3, 4.0):.3f}",
    ]
    lines += [
        f'buildings.b{n} = {{ use = "{pick.choice(("storage", "livestock", "workshop"))}" }}' for n in range(count)
    ]
    for n in range(count):
        above = "utility" if n == 0 else f"p{pick.randint(max(0, n - 3), n - 1)}"
        four = n > 0 and pick.random() < 0.6
        size = pick.choice(_SIZES)
        smaller = pick.choice(_SIZES[: _SIZES.index(size) + 1])
        bonded = str(n == 0 or not four or pick.random() < 0.1).lower()
        lines.append(f'equipment.p{n} = {{ kind = "panel", building = "b{n}", main = "breaker", main_a = 100, '
                     f"rating_a = 200, interrupting_rating_a = 10000, neutral_bonded = {bonded} }}")  # fmt: skip
        ground = f'egc = "wire", egc_size = "{smaller}", egc_metal = "copper"' if four else 'egc = "none"'
        lines.append(
            f'runs.r{n} = {{ from = "{above}", to = "p{n}", owner = "{"utility" if n == 0 else "customer"}", '
            f'method = "{pick.choice(_METHODS)}", length_ft = {pick.uniform(3, 400):.1f}, wires = {4 if four else 3}, '
            f'line_size = "{size}", neutral_size = "{smaller}", metal = "{pick.choice(("copper", "aluminum"))}", '
            f'sets = {pick.choice((1, 1, 1, 2))}, ocpd = "breaker", ocpd_a = 100, {ground} }}'
        )
        if pick.random() < 0.7:
            ohm = pick.uniform(3, 200)
            lines.append(f'electrodes.e{n} = {{ kind = "rod", building = "b{n}", connected = true, '
                         f'conductor_to = "p{n}", resistance_ohm = {ohm:.1f} }}')  # fmt: skip
        for m, volts in enumerate((120, 120, 240)):
            if pick.random() < 0.8:
                kw = pick.uniform(0.05, 0.6)
                lines.append(f'loads.l{n}-{m} = {{ kind = "other", panel = "p{n}", building = "b{n}", kw = {kw:.2f}, '
                             f"volts = {volts}, phase = 1, continuous = false }}")  # fmt: skip
        if pick.random() < 0.3:
            lines.append(f'loads.m{n} = {{ kind = "well pump", panel = "p{n}", building = "b{n}", hp = "1/2", '
                         f"volts = 240, phase = 1, continuous = false }}")  # fmt: skip
    return "\n".join(lines) + "\n"


@cache
def made(seed: int) -> Readings:
    """The readings of one of them."""
    return readings_of(installation(text_of(seed), site_kind="farm"))


@cache
def example(path: Path) -> Readings:
    """An example job as it will stand."""
    return driploop.plan(driploop.read_job(path)).final


def far_end(r: Readings) -> str:
    """The enclosure farthest from the utility, in runs."""
    return max(r.faults.largest, key=lambda id: sum(1 for _ in r.graph.path_up(id)))
