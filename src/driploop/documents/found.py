"""The survey as found, on paper."""

from __future__ import annotations

from driploop.documents.tables import NOT_KNOWN, TableData, known, stated, table
from driploop.documents.text import NOTHING
from driploop.installation import Circuit, Electrode, Equipment, Graph, Installation, Load, Run


def survey_tables(installation: Installation, graph: Graph) -> tuple[TableData, ...]:
    """Buildings, equipment, runs, circuits by enclosure, loads, electrodes and bonds, as the survey holds them."""
    tables = [
        _buildings(installation),
        _equipment(installation, graph),
        _runs(installation),
        *_circuits(installation, graph),
        _loads(installation, graph),
        _electrodes(installation),
        _bonds(installation),
    ]
    return tuple(each for each in tables if each.rows)


def _buildings(installation: Installation) -> TableData:
    return table(
        "Buildings and structures",
        ["Building", "Use", ("Floor area", True), ("Built", True), "Conditions"],
        installation.buildings.values(),
        lambda b: (
            b.title,
            known(b.use),
            stated(b.floor_area_ft2, "ft²"),
            stated(b.year_built).replace(",", ""),
            ", ".join(word for word in ("wet", "corrosive", "dusty") if getattr(b, word)) or NOTHING,
        ),
    )


def _equipment(installation: Installation, graph: Graph) -> TableData:
    return table(
        "Meter, disconnects and panels",
        ["Equipment", "Role", "Where", ("Rating", True), "Main", "Branches",
         "Neutral", "Fate"],
        (installation.equipment[id] for id in graph.order),
        lambda e: (
            e.title,
            graph.roles[e.id] if e.kind not in ("meter", "junction box") else str(e.kind),
            ", ".join(word for word in (title_of(installation, e.building), e.location) if word) or NOT_KNOWN,
            known(e.rating_a, "A") if e.kind not in ("meter", "junction box") else stated(e.rating_a, "A"),
            main_of(e),
            stated(e.branch_protection),
            _neutral(e),
            stated(e.fate),
        ),
    )  # fmt: skip


def title_of(installation: Installation, building: str | None) -> str:
    """A building's name on paper; "" where none is stated."""
    known_building = installation.buildings.get(building or "")
    return known_building.title if known_building else (building or "")


def main_of(equipment: Equipment) -> str:
    """The main of an enclosure in words."""
    if equipment.kind in ("meter", "junction box"):
        return NOTHING
    if equipment.main == "none":
        return "no main"
    amperes = known(equipment.main_a, "A") if equipment.main_a else ""
    return f"{amperes} {equipment.main or NOT_KNOWN}".strip()


def _neutral(equipment: Equipment) -> str:
    if equipment.neutral_bonded is None:
        return NOT_KNOWN
    return "bonded" if equipment.neutral_bonded else "isolated"


def _runs(installation: Installation) -> TableData:
    return table(
        "Runs",
        ["Run", "From", "To", "Method", ("Length", True), ("Wires", True),
         "Conductors", "Device", "Fate"],
        installation.runs.values(),
        lambda r: (
            r.title, _title(installation, r.from_), _title(installation, r.to), known(r.method),
            known(r.length_ft, "ft"), known(r.wires), conductors_of(r), device_of(r), stated(r.fate),
        ),
    )  # fmt: skip


def _title(installation: Installation, id: str | None) -> str:
    equipment = installation.equipment.get(id or "")
    return equipment.title if equipment else known(id)


def conductors_of(run: Run) -> str:
    """The conductors of a run as found, in one line."""
    if run.line_size is None:
        return f"{run.metal or 'conductors'}, size not known"
    sets = f"{run.sets} × " if run.sets > 1 else ""
    neutral = f", neutral {run.neutral_size}" if run.neutral_size else ""
    ground = f", ground {run.egc_size}" if run.egc_size else ""
    return f"{sets}{run.line_size} {run.metal or 'metal not known'} {run.insulation or ''}".strip() + neutral + ground


def device_of(part: Run | Circuit) -> str:
    """The overcurrent device at the start of a run or circuit, in words."""
    if part.ocpd == "none":
        return "none"
    return f"{known(part.ocpd_a, 'A')} {part.ocpd or ''}".strip() if part.ocpd_a or part.ocpd else NOTHING


def _circuits(installation: Installation, graph: Graph) -> list[TableData]:
    return [
        table(
            f"Circuits at {installation.equipment[id].title}",
            ["Position", "Serves", ("Poles", True), "Device", "Wire", "Cable",
             "Ground"],
            graph.circuits_of(id),
            circuit_row,
        )
        for id in graph.order
        if graph.circuits_of(id)
    ]  # fmt: skip


def circuit_row(circuit: Circuit) -> tuple[str, ...]:
    """One circuit as found."""
    device = device_of(circuit)
    device = NOT_KNOWN if device == NOTHING else device
    wire = " ".join(word for word in (circuit.wire_size or "size not known", circuit.metal, circuit.insulation) if word)
    return (
        stated(circuit.position), circuit.serves or circuit.title, stated(circuit.poles), device, wire,
        stated(circuit.cable), known(circuit.ground),
    )  # fmt: skip


def _loads(installation: Installation, graph: Graph) -> TableData:
    return table(
        "Loads with a nameplate",
        ["Load", "Kind", "Nameplate", "Circuit", "Building"],
        installation.loads.values(),
        lambda load: (
            load.title, known(load.kind), nameplate(load), stated(load.circuit or load.panel),
            title_of(installation, graph.building_of(load)),
        ),
    )  # fmt: skip


def nameplate(load: Load) -> str:
    """A nameplate in one line, as read."""
    words = [
        f"{load.count} ×" if load.count > 1 else "",
        f"{load.kw:g} kW" if load.kw else "",
        f"{load.va:,.0f} VA" if load.va else "",
        f"{load.hp} hp" if load.hp else "",
        f"{load.current_a:g} A" if load.current_a else "",
        f"RLA {load.rla_a:g} A" if load.rla_a else "",
        f"MCA {load.mca_a:g} A" if load.mca_a else "",
        f"MOCP {load.mocp_a:g} A" if load.mocp_a else "",
        f"{load.volts} V" if load.volts else "",
        "continuous" if load.continuous else "",
    ]
    return " ".join(word for word in words if word) or NOT_KNOWN


def _electrodes(installation: Installation) -> TableData:
    def row(e: Electrode) -> tuple[str, ...]:
        return (
            e.title, known(e.kind), title_of(installation, e.building), known(e.connected),
            f"{e.conductor_size or NOT_KNOWN} {e.conductor_metal or ''}".strip(),
            _title(installation, e.conductor_to) if e.conductor_to else NOTHING,
            stated(e.spacing_ft, "ft"), stated(e.resistance_ohm, "Ω"),
        )  # fmt: skip

    return table(
        "Electrodes",
        ["Electrode", "Kind", "At", "Joined", "Conductor", "Lands at",
         ("Spacing", True), ("Resistance", True)],
        installation.electrodes.values(),
        row,
    )  # fmt: skip


def _bonds(installation: Installation) -> TableData:
    return table(
        "Bonds of piping and communication systems",
        ["Bond", "Kind", "At", "Present", "Size"],
        installation.bonds.values(),
        lambda b: (b.title, known(b.kind), title_of(installation, b.building), known(b.present), known(b.size)),
    )
