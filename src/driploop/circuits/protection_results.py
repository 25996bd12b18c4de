"""What the protection of one circuit comes to."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from driploop.worksheet import Assumption, Verdict, Worksheet

DeviceKind = Literal["inverse-time breaker", "fuse kept", "none"]
FoundVerdict = Literal["suits", "too large", "perhaps too large", "too small", "no device", "not known", "new"]
GroundState = Literal["wire", "bare wire", "raceway", "armor", "sheath that is not a ground", "none", "not known"]
OverloadState = Literal["present", "missing", "lost with the fuses", "not known"]


@dataclass(frozen=True, slots=True)
class Remark:
    """One thing to mend, to ask or to know about a circuit, in words, with its section."""

    verdict: Verdict
    words: str
    section: str


@dataclass(frozen=True, slots=True)
class NamedException:
    """Why a device may be larger than the wire's ordinary limit."""

    name: str
    section: str


@dataclass(frozen=True, slots=True)
class ProposedDevice:
    """The device to put in. Ratings in A, None where it asks.

    Of kept fuses ``rating_a`` is the fuses' own, and ``ahead_a`` the breaker in the panel ahead of them, which
    protects the wire by its ordinary limit.
    """

    kind: DeviceKind
    poles: int | None
    rating_a: float | None
    ahead_a: float | None = None

    @property
    def in_the_panel_a(self) -> float | None:
        """Rating of the breaker that takes spaces in the panel. [A]"""
        return self.ahead_a if self.kind == "fuse kept" else self.rating_a

    @property
    def words(self) -> str:
        """The device as the trade says it: ``20 A 1-pole``."""
        if self.rating_a is None:
            return "none yet"
        poles = f" {self.poles}-pole" if self.poles else ""
        if self.kind == "fuse kept":
            ahead = f" behind a {self.ahead_a:g} A breaker" if self.ahead_a is not None else ""
            return f"{self.rating_a:g} A fuses{ahead}"
        return f"{self.rating_a:g} A{poles}"


@dataclass(frozen=True, slots=True)
class GroundFound:
    """The equipment ground of a circuit. ``serves`` is None where somebody must look.

    ``receptacles`` and ``panel`` say what follows for receptacles on it and for the new panel; "" where nothing does.
    """

    state: GroundState
    serves: bool | None
    least_size: str | None
    receptacles: str
    panel: str
    section: str


@dataclass(frozen=True, slots=True)
class Protection:
    """The protection of one circuit. Currents and ratings in A.

    ``ordinary_a`` is the largest device by the wire alone; ``largest_a`` the largest that wire and load allow, None
    where a device is refused (``refused`` says why); ``least_a`` the smallest that the load lets. ``until_then_a``:
    where only new wire serves, what may protect the old wire until then. ``exception`` stands only where the proposed
    or the largest device is larger than ``ordinary_a``. ``new_wire`` says that no answer would save the wire.
    """

    circuit: str
    title: str
    wire: str
    poles: int | None
    ampacity_a: float | None
    ordinary_a: float | None
    largest_a: float | None
    least_a: float | None
    refused: str
    new_wire: bool
    until_then_a: float | None
    device: ProposedDevice
    exception: NamedException | None
    found_a: float | None
    found_kind: str | None
    found: FoundVerdict
    found_words: str
    overload: OverloadState | None
    start: str | None
    ground: GroundFound
    remarks: tuple[Remark, ...]
    worksheet: Worksheet
    assumptions: tuple[Assumption, ...]

    @property
    def findings(self) -> tuple[Remark, ...]:
        """What must be mended or is worth knowing."""
        return tuple(remark for remark in self.remarks if remark.verdict is not Verdict.ASK)

    @property
    def questions(self) -> tuple[Remark, ...]:
        """What must be asked."""
        return tuple(remark for remark in self.remarks if remark.verdict is Verdict.ASK)
