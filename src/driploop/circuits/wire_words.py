"""The wire of a circuit in words: its worksheet lines, and what was assumed where it is not known."""

from __future__ import annotations

from driploop.circuits.wire import ROOF, Wire, WireLimit, ambient_of, may_share_a_raceway
from driploop.conductors.ampacity import write_figures
from driploop.conductors.insulation import unknown_insulation
from driploop.editions import Edition
from driploop.installation import Circuit
from driploop.worksheet import Assumption, WorksheetWriter


def wire_words(circuit: Circuit) -> str:
    """The wire as the trade says it: ``12 AWG copper, TW in NM cable``."""
    size = circuit.wire_size or "size not known"
    metal = f" {circuit.metal}" if circuit.metal else ""
    inside = circuit.insulation or "insulation not known"
    if circuit.wire_size is None and circuit.insulation is None:
        return f"{size}{metal}"
    return f"{size}{metal}, {inside}{f' in {circuit.cable}' if circuit.cable else ''}"


def say_wire(writer: WorksheetWriter, wire: Wire, limit: WireLimit | None, *, edition: Edition) -> None:
    """The lines of ampacity (``ampacity``) and of the largest device by the wire alone (``ordinary``)."""
    if limit is None:
        answer = "not known" if wire.size is None else "none"
        writer.write("Wire", wire.size or "size not known", answer, "", edition.section("breaker-matches-wire"),
                     key="ampacity")  # fmt: skip
        return
    if wire.ambient_c is None and wire.hot_place not in (None, "none"):
        writer.number("Hottest place", wire.hot_place or "", ambient_of(wire, edition=edition), "C",
                      edition.section("roof_sun_adder_c") if wire.hot_place == ROOF else "common practice",
                      key="ambient")  # fmt: skip
    writer.write("Terminals", limit.terminals.working, limit.terminals.temperature_c, "C",
                 limit.terminals.cited.section, key="terminals")  # fmt: skip
    write_figures(writer, limit.size, limit.conditions, limit.found, edition=edition)
    working = "its ampacity, next standard rating where allowed; small conductors by their own limit"
    writer.cite("Largest device by the wire", working, limit.ordinary, key="ordinary")


def wire_assumptions(circuit: Circuit, wire: Wire, limit: WireLimit | None, *, edition: Edition) -> list[Assumption]:
    """What was taken on the safe side because nobody read it."""
    at, said = f"circuits.{circuit.id}", []
    if wire.size is None:
        said.append(
            Assumption(f"{at}.wire_size", "no breaker is chosen",
                       "a breaker chosen without knowing the wire may let it burn",
                       "the size read on the wire at the old fuse decides the breaker")
        )  # fmt: skip
        return said
    if wire.metal is None and limit is not None:
        said.append(
            Assumption(f"{at}.metal", limit.conditions.metal, "the metal that carries less",
                       "the cut end shows the metal; copper carries more")
        )  # fmt: skip
    if wire.insulation is None:
        said.append(unknown_insulation(f"{at}.insulation"))
    if wire.cable is None:
        said.append(
            Assumption(f"{at}.cable", "a cable held to the 60 C column", "no wiring method lets the wire carry less",
                       "how it is run: a raceway, or the marking on the cable")
        )  # fmt: skip
    if wire.ambient_c is None and wire.hot_place is None:
        base = edition.value("ambient_base_c")
        said.append(
            Assumption(f"{at}.hot_place", f"not over {base.text}", "usual in walls and cellars; common practice",
                       "a wire through an attic, past a boiler or in the sun carries less: state the place")
        )  # fmt: skip
    if may_share_a_raceway(wire):
        said.append(
            Assumption(f"{at}.current_carrying", f"not over {edition.number('adjustment_free_conductors'):g} together",
                       "a raceway that holds this circuit alone", "other circuits in it lower what each wire carries")
        )  # fmt: skip
    held = limit is not None and limit.conditions.limit is not None and limit.conditions.limit.binds(limit.size)
    if wire.in_thermal_insulation is None and held and wire.cable in ("armored cable", "SE cable", "SER cable"):
        said.append(
            Assumption(f"{at}.in_thermal_insulation", "in thermal insulation",
                       "such cable in insulation is held to the lower column",
                       "a cable that nowhere touches insulation carries more")
        )  # fmt: skip
    return said
