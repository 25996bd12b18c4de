"""Farms: where the agricultural article applies, its wiring, grounds and planes, and the distribution point."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from driploop.circuits.duties_farm import GROUND_FAULT_DO
from driploop.conductors import drop_by_resistance, drop_percent, resistance
from driploop.editions import NotInTable
from driploop.grounding import agricultural_scope, distribution_equipment_ground
from driploop.grounding.agricultural import AgriculturalScope, needs_equipotential_plane
from driploop.installation import UTILITY, Building, Circuit, Equipment, Run
from driploop.installation.graph import DWELLING_USES
from driploop.installation.sizes import rank
from driploop.rules.catalogue import Found, rule
from driploop.rules.facts import named, rating_a
from driploop.rules.looking import asks, building_of, entries, unless_held
from driploop.rules.readings import Readings
from driploop.rules.separate_buildings import on_three_wires
from driploop.worksheet import Verdict

_ELECTRIC_HEAT = frozenset({"electric heat", "heat pump", "supplemental heat", "thermal storage heat"})


def _scopes(r: Readings) -> Iterator[tuple[Building, AgriculturalScope]]:
    """Buildings to which the agricultural article applies, surely or for want of knowing better."""
    for building in r.installation.buildings.values():
        if building.use == "yard pole":
            continue
        scope = agricultural_scope(building, edition=r.edition)
        if scope.applies:
            yield building, scope


def _verdict(scope: AgriculturalScope) -> Verdict | None:
    return Verdict.ASK if scope.assumptions else None


@rule(
    "article-547-scope",
    title="Which buildings are agricultural",
    why="Dust, damp and manure eat ordinary wiring, and stock feel a volt or two. Each building is decided by itself: "
    "the house and the tractor shed stay out.",
    requirement="ag-scope",
    verdict=Verdict.KNOW,
)
def article_547_scope(r: Readings) -> Iterator[Found]:
    for building, scope in _scopes(r):
        if not scope.assumptions:
            wrong = f"The agricultural article applies to {building.title}: {scope.why}."
            yield Found(f"buildings.{building.id}", wrong, "Wire it with what the article lists, inside and to it.")
        elif asks(r):
            fields = ", ".join(a.where.rsplit(".", 1)[-1] for a in scope.assumptions)
            wrong = f"Whether the agricultural article applies to {building.title} is not known: {fields}."
            mend = "Say what is done there: dust, wash-down, manure. Until then it is taken to apply."
            yield Found(f"buildings.{building.id}", wrong, mend, Verdict.ASK)


@rule(
    "wet-or-corrosive-wiring-method",
    title="Wiring in an agricultural building withstands damp and manure",
    why="Paper-filled house cable soaks up damp and ammonia, and its ground wire is the first to go. The fault then "
    "waits on a wet floor.",
    requirement="ag-wiring-methods",
)
def wet_or_corrosive_wiring_method(r: Readings) -> Iterator[Found]:
    unseen: dict[str, list[str]] = defaultdict(list)
    for duty in r.duties:
        if duty.id != "agricultural-wiring" or duty.answer != "yes":
            continue
        circuit = r.installation.circuits[duty.part]
        if circuit.cable is not None:
            yield Found(f"{duty.where}.cable", duty.reason, duty.do, Verdict.ASK if duty.assumptions else None)
        elif (home := r.change.building_of(circuit)) is not None:
            unseen[home.id].append(circuit.id)
    for building, circuits in unseen.items():
        if asks(r):
            wrong = f"How these circuits are wired is not known: {', '.join(circuits)}."
            yield Found(f"buildings.{building}", wrong, "Read the print on the cable.", Verdict.ASK)


@rule(
    "agricultural-receptacles-have-ground-fault-protection",
    title="Receptacles where stock stands or floors are wet have ground-fault protection",
    why="A heater or a pump on a cord stands on a wet floor among animals, and its case may be live. Ground-fault "
    "protection opens before a person or a cow is hurt.",
    requirement="ag-gfci",
    verdict=Verdict.KNOW,
)
def agricultural_receptacles_have_ground_fault_protection(r: Readings) -> Iterator[Found]:
    unseen: dict[str, list[Circuit]] = defaultdict(list)
    without: dict[str, list[Circuit]] = defaultdict(list)
    for duty in r.duties:
        circuit = r.installation.circuits.get(duty.part)
        if duty.id != "agricultural-receptacles" or circuit is None or not circuit.receptacles or circuit.gfci:
            continue
        home = r.change.building_of(circuit)
        if circuit.is_new and circuit.gfci is False:
            yield Found(f"{duty.where}.gfci", duty.reason, duty.do, Verdict.MEND)
        elif home is not None:
            (unseen if circuit.gfci is None else without)[home.id].append(circuit)
    for building, circuits in without.items():
        yield Found(
            f"buildings.{building}",
            f"These receptacles have no ground-fault protection: {named(circuits)}.",
            GROUND_FAULT_DO,
        )
    for building, circuits in unseen.items():
        if asks(r):
            wrong = f"Whether these receptacles have ground-fault protection is not known: {named(circuits)}."
            look = "Look for the test button on the receptacle or the breaker."
            yield Found(f"buildings.{building}", wrong, look, Verdict.ASK)


@rule(
    "agricultural-egc-copper",
    title="Buried grounds to agricultural buildings are covered, and copper where stock is housed",
    why="Bare or aluminum wire in farm earth corrodes through within years. The building then has no ground, and "
    "nothing shows it.",
    requirement="ag-egc-copper",
)
def agricultural_egc_copper(r: Readings) -> Iterator[Found]:
    scopes = {building.id: scope for building, scope in _scopes(r)}
    for run in r.installation.runs.values():
        to = r.installation.equipment.get(run.to or "")
        building = building_of(r, to) if to is not None else None
        if building is None or building.id not in scopes or run.egc != "wire":
            continue
        verdict = _verdict(scopes[building.id])
        if building.use in ("livestock", "poultry") and _underground(run) is not False:
            yield from _copper(r, run, verdict)
        if _underground(run):
            yield from _covered(r, run, verdict)


def _underground(run: Run) -> bool | None:
    """Whether a run lies in the earth; None where nobody said how it goes."""
    if run.buried or run.method in ("direct-buried conductors", "UF cable", "USE cable"):
        return True
    overhead = run.overhead or run.method in ("overhead triplex", "overhead open conductors")
    return False if overhead or run.buried is False else None


def _copper(r: Readings, run: Run, verdict: Verdict | None) -> Iterator[Found]:
    where = f"runs.{run.id}.egc_metal"
    if run.egc_metal == "aluminum":
        yield Found(where, "The ground of this run is aluminum, and animals are housed here.", "Use copper.", verdict)
    elif run.egc_metal is None and asks(r, run):
        yield Found(where, "The metal of this run's ground is not known.", "Copper is asked for here.", Verdict.ASK)


def _covered(r: Readings, run: Run, verdict: Verdict | None) -> Iterator[Found]:
    where = f"runs.{run.id}.egc_insulated"
    if run.egc_insulated is False:
        yield Found(where, "The buried ground of this run is bare.", "Use an insulated or covered one.", verdict)
    elif run.egc_insulated is None and asks(r, run):
        wrong = "Whether the buried ground of this run is insulated or covered is not stated."
        yield Found(where, wrong, "Order or show a covered one.", Verdict.ASK)


@rule(
    "equipotential-plane",
    title="Animals on concrete stand on an equipotential plane",
    why="A cow feels what a person does not: a volt between the floor and the waterer keeps her from drinking. The "
    "plane makes floor and metal one.",
    requirement="equipotential-plane",
)
def equipotential_plane(r: Readings) -> Iterator[Found]:
    wire = r.edition.value("equipotential_bond").value
    for building in r.installation.buildings.values():
        needed = needs_equipotential_plane(building)
        where = f"buildings.{building.id}"
        if needed is None:
            if asks(r):
                wrong = f"Whether animals stand on concrete in {building.title}, with metal in reach, is not known."
                yield Found(f"{where}.concrete_confinement", wrong, "Look, and say.", Verdict.ASK)
        elif needed and building.equipotential_plane is False:
            mend = (
                f"Have one built: metal and floor steel joined with {wire} copper or larger to the building's ground."
            )
            yield Found(where, f"{building.title} has no equipotential plane.", mend)
        elif needed and building.equipotential_plane is None and asks(r):
            wrong = f"Whether the floor of {building.title} has an equipotential plane is not known."
            mend = "Ask who poured the floor; have the voltage between floor and metal measured."
            yield Found(f"{where}.equipotential_plane", wrong, mend, Verdict.ASK)


# --- the distribution point -----------------------------------------------------------------------------------------


def _distribution_points(r: Readings) -> Iterator[tuple[str, list[Equipment], int]]:
    """Poles with what hangs on them, and how many agricultural buildings hang below."""
    agricultural = {building.id for building, _ in _scopes(r)}
    hung: dict[str, list[Equipment]] = defaultdict(list)
    for equipment in r.installation.equipment.values():
        building = building_of(r, equipment)
        if building is not None and building.use == "yard pole":
            hung[building.id].append(equipment)
    for pole, there in hung.items():
        below = {b.id for equipment in there for b in r.graph.buildings_below(equipment.id)}
        yield pole, there, len(below & agricultural)


@rule(
    "site-isolating-device",
    title="A pole that feeds two or more agricultural buildings has one device that opens them all",
    why="In a barn fire somebody must make the whole yard dead from one place, standing clear of the buildings.",
    requirement="ag-distribution-point",
)
def site_isolating_device(r: Readings) -> Iterator[Found]:
    for pole, there, count in _distribution_points(r):
        roles = [r.graph.roles[equipment.id] for equipment in there]
        if count < 2 or "site-isolating device" in roles:
            continue
        feeds = f"{count} agricultural buildings hang on this pole"
        if roles.count("service disconnect") == 1:
            wrong = f"{feeds}; no site-isolating device is named, and one service disconnect opens all."
            mend = "Ask whether it counts as the site-isolating device, and mark it so."
            yield Found(f"buildings.{pole}", wrong, mend, Verdict.ASK)
        else:
            wrong = f"{feeds}, and no one device opens them all."
            yield Found(
                f"buildings.{pole}",
                wrong,
                "Put a site-isolating device on the pole, its neutral joined to an electrode.",
            )


@rule(
    "site-isolating-device-carries-the-load",
    title="The site-isolating device is rated for the load of the farm",
    why="All current of the yard goes through its blades, and no breaker at the pole limits it. Too small, the switch "
    "overheats in the rush of harvest and may not open on the day it must.",
    requirement="ag-distribution-point",
)
def site_isolating_device_carries_the_load(r: Readings) -> Iterator[Found]:
    dropped = r.edition.number("ampere_fraction_dropped_below")
    for id, role in r.graph.roles.items():
        device, node = r.graph.equipment(id), r.loads.nodes.get(id)
        if role != "site-isolating device" or node is None:
            continue
        where, rating = f"equipment.{id}.rating_a", rating_a(device)
        if rating is None:
            if asks(r, device):
                yield Found(where, "Its rating is not known.", "Read its label from outside.", Verdict.ASK)
        elif node.current_a - rating >= dropped:
            wrong = f"The calculated load is {node.current_a:.0f} A; the site-isolating device is rated {rating:g} A."
            yield Found(where, wrong, "A larger device, or less load behind it.", unless_held(r, id, rating))


@rule(
    "distribution-point-full-size-ground",
    title="From the distribution point the ground is as large as the lines",
    why="No fuse stands at the pole: a fault in the run is opened only by the utility's. The ground must bring all of "
    "that current back.",
    requirement="ag-distribution-egc",
)
def distribution_point_full_size_ground(r: Readings) -> Iterator[Found]:
    for run in r.installation.runs.values():
        if r.graph.roles.get(run.from_ or "") != "site-isolating device" or run.ocpd_a is not None:
            continue
        if run.egc != "wire" or run.line_size is None or run.metal is None:
            continue
        metal = run.egc_metal or run.metal
        least = distribution_equipment_ground(run.line_size, run.metal, metal=metal, edition=r.edition).size
        where = f"runs.{run.id}.egc_size"
        if run.egc_size is None:
            if asks(r, run):
                wrong = "The size of the ground from the distribution point is not known."
                yield Found(where, wrong, f"{least} {metal} or larger is asked for.", Verdict.ASK)
        elif rank(run.egc_size) < rank(least):
            wrong = f"The ground from the distribution point is {run.egc_size}; the lines ask for {least} {metal}."
            yield Found(where, wrong, "Run one as large as the lines, or put overcurrent protection at the pole.")


@rule(
    "two-services-plaque",
    title="Two supplies on one farm name each other",
    why="Whoever opens the one main believes the yard is dead. A plaque at each says that there is another, and where.",
    requirement="ag-two-services-plaque",
    verdict=Verdict.ASK,
)
def two_services_plaque(r: Readings) -> Iterator[Found]:
    supplies = [run for run in r.installation.runs.values() if run.from_ == UTILITY]
    agricultural = next(_scopes(r), None)
    if len(supplies) > 1 and agricultural is not None:
        near = r.edition.value("distribution_points_plaque_ft").text
        wrong = f"The utility supplies this farm {len(supplies)} times: {', '.join(run.id for run in supplies)}."
        yield Found("utility", wrong, f"If they are nearer than {near}, mount a plaque at each that names the other.")


# --- loads and lines ------------------------------------------------------------------------------------------------


@rule(
    "grain-drying-bars-optional",
    title="Electric heat with grain drying bars the optional method for the farmhouse",
    why="In a wet cold autumn the dryer and the heat run at the same hours. The optional method reckons on loads that "
    "take turns.",
    requirement="farm-dwelling-optional-bar",
    verdict=Verdict.KNOW,
)
def grain_drying_bars_optional(r: Readings) -> Iterator[Found]:
    for id in r.graph.service_disconnects:
        loads = r.graph.loads_below(id)
        dries = any(load.kind == "grain dryer" for load in loads)
        if r.installation.site_kind != "farm" or not dries:
            continue
        heats = [load for load in loads if load.kind in _ELECTRIC_HEAT and _at_home(r, r.graph.building_of(load))]
        if heats:
            wrong = f"Grain drying and electric heat ({', '.join(h.title for h in heats)}) hang on one service."
            yield Found(f"equipment.{id}", wrong, "The farmhouse is figured by the standard method.")


def _at_home(r: Readings, building: str | None) -> bool:
    known = r.installation.buildings.get(building or "")
    return known is not None and known.use in DWELLING_USES


@rule(
    "voltage-drop-advice",
    title="Long feeders lose voltage",
    why="Motors that start on low voltage run hot and fail early, and lights dip each time. A larger wire is bought "
    "once.",
    requirement="voltage-drop",
    verdict=Verdict.KNOW,
)
def voltage_drop_advice(r: Readings) -> Iterator[Found]:
    farm = r.installation.site_kind == "farm"
    most = r.edition.number("farm_voltage_drop_percent" if farm else "voltage_drop_feeder_percent")
    for run in r.installation.runs.values():
        sizing, node = r.conductors.runs[run.id], r.loads.nodes.get(run.to or "")
        size, metal = run.line_size or sizing.line_size, run.metal or sizing.metal
        if sizing.kind == "utility" or run.length_ft is None or node is None or size is None or metal is None:
            continue
        try:
            ohms = resistance(size, metal, edition=r.edition).number / run.sets
        except NotInTable:
            continue
        drop_v = drop_by_resistance(node.current_a, run.length_ft, ohm_per_kft=ohms)
        percent = drop_percent(drop_v, system_v=node.voltage_v)
        if percent > most:
            wrong = (
                f"At full load about {percent:.1f} percent of the voltage is lost over {run.length_ft:g} ft of {size}."
            )
            yield Found(f"runs.{run.id}", wrong, f"{most:g} percent or less is advised: consider a larger wire.")


@rule(
    "metal-paths-between-buildings",
    title="No metal path between buildings carries neutral current",
    why="Where the neutral is bonded at both ends, pipes, fences and cable shields between share its current. It "
    "shocks at taps and troughs and eats the pipes.",
    requirement="stray-current-paths",
)
def metal_paths_between_buildings(r: Readings) -> Iterator[Found]:
    for entry in entries(r):
        if not entry.run.metal_paths or entry.equipment.neutral_bonded is False or on_three_wires(r, entry):
            continue
        paths = ", ".join(entry.run.metal_paths)
        where = f"runs.{entry.run.id}.metal_paths"
        if entry.equipment.neutral_bonded:
            wrong = f"The neutral is bonded at both ends, and metal joins them: {paths}."
            yield Found(where, wrong, "Run four wires and isolate the neutral at the fed building.")
        elif asks(r, entry.run):
            wrong = f"Metal joins the buildings ({paths}); whether the neutral is bonded at the far end is not known."
            yield Found(where, wrong, "Have it looked at with the feeder off.", Verdict.ASK)
