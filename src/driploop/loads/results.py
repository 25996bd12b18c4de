"""What the load stage answers: every method side by side, which are permitted, which governs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from driploop.worksheet import Assumption, Worksheet

Permission = Literal["yes", "no", "ask"]
Method = Literal[
    "standard", "optional", "existing", "metered", "two dwellings", "multifamily", "farm building", "farm total",
    "connected", "set point",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class LoadResult:
    """One method's calculated load.

    ``load_va`` and ``current_a`` are None only where the method cannot be computed; ``why`` then says what is missing
    (an edition whose factors are not known, a record that was not given) and ``permitted`` is "no" or "ask".
    ``current_a`` is at the system's line-to-line voltage, before rounding.
    """

    method: Method
    title: str
    section: str
    permitted: Permission
    why: str
    load_va: float | None
    current_a: float | None
    worksheet: Worksheet
    assumptions: tuple[Assumption, ...] = ()


@dataclass(frozen=True, slots=True)
class NeutralLoad:
    """Largest unbalanced load between the neutral and any one line."""

    load_va: float
    current_a: float
    worksheet: Worksheet
    assumptions: tuple[Assumption, ...] = ()


@dataclass(frozen=True, slots=True)
class NodeLoad:
    """The calculated load at one piece of equipment: all that hangs below it.

    ``governing`` is the smallest result of a permitted method (each permitted method is lawful by itself).
    ``conductor_current_a`` is what conductors and overcurrent devices must carry: the governing current with the
    continuous part at its percentage, where the method did not already count it so.
    """

    equipment: str
    voltage_v: float
    results: tuple[LoadResult, ...]
    governing: LoadResult
    neutral: NeutralLoad
    conductor_current_a: float
    worksheet: Worksheet

    def result(self, method: Method) -> LoadResult | None:
        """The result of one method, None where it does not apply to this node."""
        return next((r for r in self.results if r.method == method), None)

    @property
    def load_va(self) -> float:
        """The governing load. [VA]"""
        assert self.governing.load_va is not None  # governing results are always computed
        return self.governing.load_va

    @property
    def current_a(self) -> float:
        """The governing load as a current. [A]"""
        assert self.governing.current_a is not None
        return self.governing.current_a


@dataclass(frozen=True, slots=True)
class Held:
    """What one system holds, and whether its set point stands as the load there. Currents in amperes. [A]

    ``equipment`` is where the load is held: the stated place, or where the chargers hang. ``unmanaged_a`` is what
    stays with everything held back; None where that need not be known.
    """

    management: str
    equipment: str | None
    set_point_a: float | None
    loads: tuple[str, ...]
    unmanaged_a: float | None
    permitted: Permission
    why: str
    section: str


@dataclass(frozen=True, slots=True)
class LoadReading:
    """Calculated load of every panel, disconnect and meter of an installation, by equipment id.

    ``buildings`` is the load of each building by itself, by building id; empty where not asked for, and on a site of
    one building, where it would say nothing new. ``held`` is what each load management system holds, by its id.
    """

    nodes: Mapping[str, NodeLoad]
    assumptions: tuple[Assumption, ...] = ()
    buildings: Mapping[str, NodeLoad] = field(default_factory=dict)
    held: Mapping[str, Held] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class WishStep:
    """What one wish adds to the service's load when it is added to all wishes before it."""

    wish: str
    title: str
    load_a: float
    margin_a: float
    fits: bool


@dataclass(frozen=True, slots=True)
class Headroom:
    """How much of a service rating is left, and which wish would use it up.

    ``load_a`` is what the device must carry: the governing load with its continuous part at its percentage. [A]
    """

    equipment: str
    rating_a: float
    load_a: float
    margin_a: float
    method: Method
    steps: tuple[WishStep, ...]
    used_up_by: str | None
    worksheet: Worksheet
    assumptions: tuple[Assumption, ...] = ()

    @property
    def enough(self) -> bool:
        """Whether the rating carries the load with no wish added: no upgrade needed for the load as it is."""
        return self.margin_a >= 0
