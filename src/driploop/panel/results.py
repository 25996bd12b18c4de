"""What a panel layout is made of: the box, the circuits that want a space, where each went, and how good that is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from driploop.worksheet import Assumption, Worksheet

Leg = Literal["A", "B"]
Side = Literal["left", "right"]
Enters = Literal["top", "bottom", "left", "right"]
Solver = Literal["plain", "exact"]
Half = Literal["", "upper", "lower"]


@dataclass(frozen=True, slots=True)
class PanelBox:
    """A single-phase panel: two columns of spaces, odd numbers left, even right, its rows on line A and B in turn.

    ``stab_limit_a`` is the most that the breakers of one row, left and right together, may be rated [A].
    ``interlock_space`` is the upper space of the breaker that a mechanical interlock ties to the main.
    Lengths say how far a wire has to go inside the enclosure [in].
    """

    id: str
    title: str
    spaces: int
    circuits_max: int
    bus_a: float
    main: Literal["breaker", "lugs"]
    main_a: float | None = None
    tandem_spaces: tuple[int, ...] = ()
    lugs_smallest: str = ""
    lugs_largest: str = ""
    feed_through_lugs: bool = False
    plug_on_neutral: bool = False
    outdoors: bool = False
    stab_limit_a: float | None = None
    interlock_space: int | None = None
    top_to_first_row_in: float = 0.0
    row_pitch_in: float = 1.0
    last_row_to_bottom_in: float = 0.0
    side_gutter_in: float = 0.0
    across_in: float = 0.0


@dataclass(frozen=True, slots=True)
class PanelCircuit:
    """A circuit that wants a place in a panel.

    ``amperes`` holds, pole by pole, the current of that pole in each working hour [A]. ``partner`` is the other
    circuit of a multiwire pair, whose handles are tied. ``room`` is what it is kept together with. ``present_space``
    is the upper space it holds today in a panel that stays, ``present_half`` the half of it on a tandem breaker, where
    the survey says which; ``held`` the spaces where the shop wants it, pole by pole. ``reach_ft`` is the free wire
    inside the enclosure, counted from where it comes in [ft].
    """

    id: str
    words: str
    poles: int
    rating_a: float
    amperes: tuple[tuple[float, ...], ...]
    partner: str | None = None
    room: str = ""
    reach_ft: float | None = None
    enters: Enters | None = None
    tandem: bool = False
    present_space: int | None = None
    present_half: Half = ""
    held: tuple[int, ...] = ()
    interlocked: bool = False
    kind: Literal["circuit", "feeder", "reserved"] = "circuit"


@dataclass(frozen=True, slots=True)
class PanelProblem:
    """Which circuits go into which box, and the names of the working hours that ``amperes`` speak of."""

    box: PanelBox
    circuits: tuple[PanelCircuit, ...]
    hours: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Place:
    """Where one circuit landed: its spaces in the order of its poles; a half where it shares a space."""

    circuit: str
    spaces: tuple[int, ...]
    half: Half = ""


#: Where every circuit landed, in the order of the circuits.
Layout = tuple[Place, ...]


@dataclass(frozen=True, slots=True)
class Cost:
    """How good a layout is; less is better. ``total`` weighs the parts as ``driploop.panel.cost`` says."""

    difference_a: int
    rows: int
    moved: int
    total: int


@dataclass(frozen=True, slots=True)
class Solved:
    """A layout, its cost, and the bound below which no lawful layout can be.

    ``others`` are further layouts that are exactly as good but put circuits on other lines.
    """

    solver: Solver
    layout: Layout
    cost: Cost
    bound: int
    others: tuple[Layout, ...] = ()

    @property
    def proven(self) -> bool:
        """Whether nothing better exists."""
        return self.bound >= self.cost.total

    @property
    def gap_percent(self) -> float:
        """How far over the best it can be at most. [%]"""
        return 100.0 * max(self.cost.total - self.bound, 0) / max(self.bound, 1)


@dataclass(frozen=True, slots=True)
class AsGood:
    """Another layout that costs the same. ``circuits`` are what differs: two that change places (``swap``), else those
    that hang on the other line. ``lines`` holds the line of every circuit's first pole, ``neutral_a`` the neutral in
    each hour [A]."""

    circuits: tuple[str, ...]
    swap: bool
    lines: tuple[str, ...]
    neutral_a: tuple[float, ...]
    layout: Layout


@dataclass(frozen=True, slots=True)
class HourBalance:
    """Both lines and the neutral in one working hour, as found and as laid out. None where it is not known. [A]"""

    id: str
    title: str
    line_a_a: float
    line_b_a: float
    neutral_a: float
    neutral_before_a: float | None


@dataclass(frozen=True, slots=True)
class PanelChoice:
    """Which box was chosen for a place, why, and why the others were not."""

    box: PanelBox
    why: tuple[str, ...]
    refused: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class DirectoryLine:
    """One line of the door card. ``circuit`` is "" for a spare space."""

    spaces: str
    first_space: int
    words: str
    amperes: str
    poles: int
    leg: str
    circuit: str = ""


@dataclass(frozen=True, slots=True)
class Trace:
    """Where a circuit was found and where it goes, in words."""

    circuit: str
    words: str
    found: str
    proposed: str
    stays: bool = False


@dataclass(frozen=True, slots=True)
class LandingStep:
    """One line of the crew sheet."""

    space: str
    circuit: str
    words: str
    wires: str
    breaker: str
    check: str


@dataclass(frozen=True, slots=True)
class PanelReading:
    """Everything about one panel as it will stand. Without a layout ``solved`` is None, and ``refused`` says why."""

    equipment: str
    title: str
    choice: PanelChoice | None
    problem: PanelProblem | None
    solved: Solved | None
    refused: tuple[str, ...]
    balance: tuple[HourBalance, ...]
    directory: tuple[DirectoryLine, ...]
    traces: tuple[Trace, ...]
    steps: tuple[LandingStep, ...]
    worksheet: Worksheet
    assumptions: tuple[Assumption, ...] = ()
    as_good: tuple[AsGood, ...] = ()
