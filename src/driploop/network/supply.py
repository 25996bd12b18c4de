"""The utility's supply: a transformer with a tapped winding, two legs of a wye, or a stated current."""

from __future__ import annotations

import math
from cmath import rect
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from driploop.editions import common_table
from driploop.installation.graph import UTILITY
from driploop.installation.model import Utility
from driploop.network.model import Node, Source, Winding
from driploop.worksheet import Assumption

Strength = Literal["strong", "low", "weak"]

#: Volts of a leg to neutral, and of the tapped winding whole.
LEG_V, WHOLE_V = 120.0, 240.0


@dataclass(frozen=True, slots=True)
class Supply:
    """What stands behind the service point. [A, kVA, percent]

    ``stated_a`` where the utility's own figure is used instead of a transformer; ``primary_a`` None is a primary
    without limit. ``known`` says that no band had to be taken.
    """

    words: str
    wye: bool
    kva: float | None
    impedance_percent: float | None
    x_over_r: float
    primary_a: float | None
    stated_a: float | None
    known: bool

    def source(self) -> Source:
        """The windings at the utility's terminals."""
        a, b, n = Node(UTILITY, "A"), Node(UTILITY, "B"), Node(UTILITY, "N")
        if self.wye:
            own = self._leg_of_wye()
            second = rect(LEG_V, -2 * math.pi / 3)
            return Source((Winding(a, n, LEG_V + 0j), Winding(b, n, second)), ((own, 0j), (0j, own)))
        if self.stated_a is not None:
            # Each leg by itself: the figure then stands for both kinds of fault, and neither is less than stated.
            own = self._by_ratio(LEG_V / self.stated_a)
            shared = 0j
        else:
            shared, own = self._tapped()
        windings = (Winding(a, n, LEG_V + 0j), Winding(n, b, LEG_V + 0j))
        return Source(windings, ((shared + own, shared), (shared, shared + own)))

    def _tapped(self) -> tuple[complex, complex]:
        """Primary and one half of a tapped winding, both on the half's side. [ohm]"""
        assert self.kva is not None
        assert self.impedance_percent is not None
        rules = _facts("transformer_fault_rules")
        percent = self._by_ratio(self.impedance_percent)
        base = LEG_V**2 / (self.kva * 1000) / 100
        # Whole: primary + half / 2 = R + jX. One half: primary + half = 1.5 R + j1.2 X. So half and primary follow.
        half = complex(
            2 * (rules["half_winding_resistance_multiple"] - 1) * percent.real,
            2 * (rules["half_winding_reactance_multiple"] - 1) * percent.imag,
        )
        primary = percent - half / 2
        return primary * base + self._line(), half * base

    def _line(self) -> complex:
        """The utility's primary, on the side of one half. [ohm]"""
        if self.primary_a is None:
            return 0j
        primary_v = _facts("transformer_band")["primary_v"]
        return self._by_ratio(primary_v / self.primary_a * (LEG_V / primary_v) ** 2)

    def _leg_of_wye(self) -> complex:
        if self.stated_a is not None:
            return self._by_ratio(LEG_V / self.stated_a)
        assert self.kva is not None
        assert self.impedance_percent is not None
        return self._by_ratio(self.impedance_percent / 100 * LEG_V**2 / (self.kva / 3 * 1000)) + self._line()

    def _by_ratio(self, size: float) -> complex:
        resistance = size / math.hypot(1, self.x_over_r)
        return complex(resistance, resistance * self.x_over_r)


def supply_of(
    utility: Utility, *, load_va: float, rating_va: float, strength: Strength
) -> tuple[Supply, tuple[Assumption, ...]]:
    """The supply as strong or as weak as what is known of it allows.

    Args:
        utility: what the survey says.
        load_va: calculated load of the service, from which the least transformer follows. [VA]
        rating_va: of the service, from which the largest follows. [VA]
        strength: "strong" for what must be interrupted, "low" for the least that may have to be, "weak" for voltage and
            for whether a breaker trips.

    Returns:
        The supply, and what was assumed.
    """
    wye = utility.system is not None and utility.system.startswith("208Y")
    said: list[Assumption] = []
    if utility.available_fault_current_a is not None:
        return _stated(utility, wye, strength, said)
    band = _facts("transformer_band")
    kva = utility.transformer_kva
    if kva is None:
        kva = _strongest(rating_va, band) if strength == "strong" else _weakest(load_va, band)
        said.append(
            Assumption(
                "utility.transformer_kva",
                f"{_strongest(rating_va, band):g} kVA for the largest fault current, {_weakest(load_va, band):g} kVA "
                "for the smallest and for voltage",
                "the largest and the smallest transformer that are usual for such a service, each on its safe side",
                "the utility's transformer, or its stated fault current",
            )
        )
    row = _row(kva)
    percent = utility.transformer_impedance_percent
    tolerance = _facts("transformer_fault_rules")["impedance_tolerance_percent"] / 100
    least, most = row["least"], row["most"]
    if percent is None:
        said.append(
            Assumption(
                "utility.transformer_impedance_percent",
                f"{least:g} percent for the largest fault current, {most:g} percent for the smallest and for voltage",
                "the ends of the usual range for a transformer of this size",
                "the impedance on its plate, which the utility knows",
            )
        )
    else:
        least, most = percent * (1 - tolerance), percent * (1 + tolerance)
    strong = strength == "strong"
    used = least if strong else most
    return (
        Supply(
            words=f"{kva:g} kVA, {used:.3g} percent",
            wye=wye,
            kva=kva,
            impedance_percent=used,
            x_over_r=_x_over_r(utility, row["x_over_r"], strength, said),
            primary_a=None if strong else band["primary_weak_a"],
            stated_a=None,
            known=utility.transformer_kva is not None and percent is not None,
        ),
        tuple(said),
    )


def _stated(
    utility: Utility, wye: bool, strength: Strength, said: list[Assumption]
) -> tuple[Supply, tuple[Assumption, ...]]:
    stated = utility.available_fault_current_a
    assert stated is not None
    row = _row(utility.transformer_kva or _facts("transformer_band")["strongest_kva"])
    if strength == "weak":
        share = _facts("transformer_band")["stated_weak_percent"]
        stated *= share / 100
        said.append(
            Assumption(
                "utility.available_fault_current_a",
                f"{stated:,.0f} A ({share:g} percent of the stated figure) where the weakest supply is the safe side",
                "a stated figure is the most that the supply can give",
                "the utility's least figure, or its transformer with impedance",
            )
        )
    return (
        Supply(
            words=f"{stated:,.0f} A",
            wye=wye,
            kva=None,
            impedance_percent=None,
            x_over_r=_x_over_r(utility, row["x_over_r"], strength, said),
            primary_a=None,
            stated_a=stated,
            known=True,
        ),
        tuple(said),
    )


def _x_over_r(utility: Utility, usual: float, strength: Strength, said: list[Assumption]) -> float:
    """What is known, else the end of the band on the side that is asked for.

    Wires are mostly resistance: a supply that is mostly reactance adds least to theirs, so a high ratio lets the most
    through at the end of a run; so it does from one line to the neutral at a tapped winding, 1.5 R + j1.2 X.
    """
    if utility.x_over_r is not None:
        return utility.x_over_r
    spread = 1 + _facts("transformer_band")["x_over_r_spread_percent"] / 100
    least, most = usual / spread, usual * spread
    said.append(
        Assumption(
            "utility.x_over_r",
            f"{most:.2g} for the largest fault current, {least:.2g} for the smallest and for voltage",
            "round what is usual for the size; a high ratio lets more current through at the end of a run",
            "the ratio of reactance to resistance, which the utility knows",
        )
    )
    return most if strength == "strong" else least


@lru_cache(maxsize=16)
def _facts(table: str) -> dict[str, float]:
    return {str(row["item"]): float(row["value"] or 0) for row in common_table(table).rows}


def supply_facts() -> dict[str, float]:
    """What is taken of an unstated supply, by name."""
    return _facts("transformer_band")


@lru_cache(maxsize=64)
def _row(kva: float) -> dict[str, float]:
    """Usual impedance [percent] and ratio of reactance to resistance of a size; the nearest size below speaks."""
    rows = common_table("transformer_impedance").rows
    below = [row for row in rows if float(row["kva"] or 0) <= kva]
    if not below:
        band = _facts("transformer_band")
        return {
            "least": band["least_impedance_percent"],
            "most": band["most_impedance_percent"],
            "x_over_r": band["x_over_r_least"],
        }
    row = below[-1]
    return {
        "least": float(row["impedance_from_percent"] or 0),
        "most": float(row["impedance_to_percent"] or 0),
        "x_over_r": float(row["x_over_r"] or 0),
    }


def _sizes() -> list[float]:
    small = [float(row["kva"] or 0) for row in common_table("transformer_test_feeder").rows]
    large = [float(row["kva"] or 0) for row in common_table("transformer_impedance").rows]
    return sorted({*small, *large})


def _strongest(rating_va: float, band: dict[str, float]) -> float:
    wanted = max(band["strongest_kva"], rating_va / 1000)
    return next((size for size in _sizes() if size >= wanted), _sizes()[-1])


def _weakest(load_va: float, band: dict[str, float]) -> float:
    wanted = load_va / 1000 / (band["overload_percent"] / 100)
    return next((size for size in _sizes() if size >= wanted), _sizes()[-1])
