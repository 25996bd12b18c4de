"""Agricultural buildings: whether the article applies, the distribution point, the equipotential plane."""

from __future__ import annotations

from dataclasses import dataclass

from driploop.editions import Edition, NotInTable
from driploop.installation.graph import AGRICULTURAL_USES
from driploop.installation.kinds import Metal
from driploop.installation.model import Building
from driploop.installation.sizes import rank
from driploop.worksheet import Assumption, Worksheet, WorksheetWriter

#: Animals that stand on a plane; poultry is not among them.
_STOCK_USES = frozenset({"livestock"})


@dataclass(frozen=True, slots=True)
class AgriculturalScope:
    """Whether the agricultural article governs one building. Decided building by building."""

    building: str
    applies: bool
    livestock: bool
    why: str
    section: str
    assumptions: tuple[Assumption, ...] = ()


@dataclass(frozen=True, slots=True)
class DistributionGround:
    """The equipment ground that runs on from a distribution point: as large as the lines."""

    size: str
    metal: Metal
    section: str
    worksheet: Worksheet


def agricultural_scope(building: Building, *, edition: Edition) -> AgriculturalScope:
    """Whether the agricultural article applies to a building.

    Args:
        building: its use and air as surveyed; what is not known counts as present where the use is agricultural.
        edition: the code edition to ask.

    Returns:
        The answer with its reason and what was assumed.

    Source:
        The edition's scope of the agricultural article.
    """
    section = edition.section("ag-scope")
    livestock = building.use in _STOCK_USES
    air = {"excessive dust": building.dusty, "corrosive air": building.corrosive, "wash-down wet": building.wet}
    present = [words for words, there in air.items() if there]
    if building.use in ("livestock", "poultry"):
        return AgriculturalScope(building.id, True, livestock, f"{building.use} is housed here", section)
    if building.use is not None and building.use not in AGRICULTURAL_USES:
        applies = bool(building.dusty or building.corrosive) and building.use in ("storage", "workshop", "other")
        why = ", ".join(present) if applies else "not an agricultural use, or neither dusty nor corrosive"
        return AgriculturalScope(building.id, applies, False, why, section)
    if present:
        return AgriculturalScope(building.id, True, livestock, ", ".join(present), section)
    asked = tuple(
        Assumption(
            f"buildings.{building.id}.{field}",
            "the air is such that the agricultural article applies",
            "its wiring methods and grounding are the stricter",
            "a use that is not agricultural, or no dust, corrosion and wet together: the article does not apply",
        )
        for field in ("use", "dusty", "corrosive", "wet")
        if getattr(building, field) is None
    )
    why = "not shown to be free of dust, corrosion and wet" if asked else "neither dust, corrosive air nor wet"
    return AgriculturalScope(building.id, bool(asked), livestock, why, section, asked)


def needs_equipotential_plane(building: Building) -> bool | None:
    """Whether animals stand on concrete here with metal in reach; None where the survey does not say."""
    if building.use in _STOCK_USES:
        return building.concrete_confinement
    return building.use in AGRICULTURAL_USES and building.use != "poultry" and bool(building.concrete_confinement)


def distribution_equipment_ground(
    line_size: str, line_metal: Metal, *, metal: Metal, edition: Edition, id: str = "grounding/distribution-ground"
) -> DistributionGround:
    """Equipment ground of a run from a distribution point to a building with its own disconnect and protection.

    Args:
        line_size: largest line conductor of the run.
        line_metal: its metal.
        metal: of the equipment ground; in the other metal, the size beside it in the equipment ground table.
        edition: the code edition to ask.
        id: of the worksheet.

    Raises:
        NotInTable: ``line_size`` is no size of the tables.

    Source:
        The edition's rule on runs from a distribution point.
    """
    section = edition.section("ag-distribution-egc")
    writer = WorksheetWriter(id, "Equipment ground from the distribution point")
    writer.write("Largest line conductor", line_metal, line_size, key="lines")
    size = line_size if metal == line_metal else _in_other_metal(line_size, line_metal, metal, edition)
    writer.write(f"Equipment ground, {metal}", "as large as the line conductors", size, "", section, key="egc")
    return DistributionGround(size, metal, section, writer.done())


def _in_other_metal(size: str, line_metal: Metal, metal: Metal, edition: Edition) -> str:
    """The other metal's size in the first row of the equipment ground table that reaches the line conductor's."""
    table = edition.table("equipment_grounding_conductor")
    for row in table.rows:
        if rank(str(row[line_metal])) >= rank(size):
            return str(table.cite(row, metal).value)
    raise NotInTable(
        f"{table.section}: no equipment ground in {metal} stands for lines of {size} {line_metal}; run sets."
    )
