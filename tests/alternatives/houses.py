"""Small hand-made jobs for the proposal's tests, and what is built from them."""

from __future__ import annotations

import re
from dataclasses import dataclass

from driploop.alternatives import ProposalError, propose
from driploop.editions import load_edition
from driploop.installation import Graph, Installation
from driploop.survey import read_job_text
from driploop.worksheet import Assumption

KINDS = (
    "service disconnect inside", "service disconnect outdoors", "emergency disconnect", "meter disconnect",
    "everything outdoors", "several service disconnects", "farm distribution point",
)  # fmt: skip

HEAD = """
format = 1
job.title = "A test"
town.edition = "NEC {edition}"
utility = {{ supply = "overhead", system = "120/240 V single-phase" }}
site.kind = "residence"
"""

METER = """
equipment.meter = { kind = "meter", building = "house", outdoors = true, rating_a = 100, fate = "replace" }
runs.drop = { from = "utility", to = "meter", owner = "utility", method = "overhead triplex", wires = 3 }
runs.entrance = { from = "meter", to = "box", owner = "customer", method = "SE cable", wires = 3, length_ft = 15, \
line_size = "6 AWG", metal = "copper", insulation = "TW", fate = "replace" }
"""

#: A house whose fuse box is the service disconnect. The range's cable has a bare neutral, one wire nobody measured.
HOUSE = (
    """
buildings.house = { use = "dwelling", floor_area_ft2 = 1500, garage_area_ft2 = 0, laundry = "in unit", \
gas_or_other_heat = true }
equipment.box = { kind = "panel", building = "house", outdoors = false, rating_a = 60, poles = 1, main = "fuses", \
main_a = 60, branch_protection = "plug fuses", spaces = 6, knockouts = "concentric", handle_height_in = 70, \
neutral_bonded = true, condition = "rusted", fate = "replace" }
circuits.range = { from = "box", poles = 2, ocpd = "cartridge fuse", ocpd_a = 50, wire_size = "8 AWG", \
metal = "copper", cable = "SE cable", ground = "none", neutral = "bare", \
neutral_covered = false, frame_grounded_by_neutral = true }
circuits.rooms = { from = "box", purpose = "general", poles = 1, ocpd = "plug fuse", ocpd_a = 30, \
wire_size = "14 AWG", \
metal = "copper", insulation = "TW" }
circuits.cellar = { from = "box", purpose = "general", poles = 1, ocpd = "plug fuse", ocpd_a = 20 }
loads.range = { kind = "range", circuit = "range", kw = 12, volts = 240, phase = 1 }
electrodes.water = { kind = "metal water pipe", building = "house", connected = true, conductor_to = "box", \
conductor_size = "8 AWG", conductor_metal = "copper", earth_contact_ft = 30, meter_jumper = false }
bonds.gas = { kind = "gas piping", building = "house", equipment = "box", present = false }
"""
    + METER
)

#: Five fused switches on a trough: two feed a panel each, three feed a circuit each.
WALL_OF_SWITCHES = (
    """
buildings.house = { use = "dwelling", floor_area_ft2 = 1500, laundry = "in unit", gas_or_other_heat = true }
equipment.meter = { kind = "meter", building = "house", outdoors = true, rating_a = 100 }
equipment.trough = { kind = "junction box", building = "house" }
runs.drop = { from = "utility", to = "meter", owner = "utility" }
runs.entrance = { from = "meter", to = "trough", owner = "customer", method = "RMC", wires = 3 }
"""
    + "".join(
        f"""
equipment.switch-{n} = {{ kind = "disconnect", building = "house", rating_a = {amperes}, main = "fuses", \
main_a = {amperes} }}
runs.tap-{n} = {{ from = "trough", to = "switch-{n}", owner = "customer", method = "busbar or nipple", wires = 3 }}
"""
        for n, amperes in ((1, 60), (2, 30), (3, 30), (4, 60), (5, 30))
    )
    + """
equipment.panel-a = { kind = "panel", building = "house", rating_a = 60, main = "none", \
branch_protection = "plug fuses", fate = "replace" }
equipment.panel-b = { kind = "panel", building = "house", rating_a = 100, main = "breaker", main_a = 60, \
branch_protection = "breakers", neutral_bonded = true, fate = "keep" }
runs.feed-a = { from = "switch-1", to = "panel-a", method = "SE cable", wires = 3, length_ft = 8, ocpd = "fuses", \
ocpd_a = 60, fate = "replace" }
runs.feed-b = { from = "switch-4", to = "panel-b", method = "SE cable", wires = 3, length_ft = 20, \
line_size = "8 AWG", metal = "copper", insulation = "TW", ocpd = "fuses", ocpd_a = 60, egc = "none", fate = "keep" }
circuits.range = { from = "switch-2", poles = 2, ocpd = "cartridge fuse", ocpd_a = 30, wire_size = "8 AWG", \
metal = "copper" }
circuits.tank = { from = "switch-3", poles = 2, ocpd = "cartridge fuse", ocpd_a = 30, wire_size = "10 AWG", \
metal = "copper" }
circuits.dryer = { from = "switch-5", poles = 2, ocpd = "cartridge fuse", ocpd_a = 30, wire_size = "10 AWG", \
metal = "copper" }
circuits.attic = { from = "panel-a", poles = 1, ocpd = "plug fuse", ocpd_a = 20, wire_size = "12 AWG", \
metal = "copper" }
circuits.bath = { from = "panel-b", poles = 1, ocpd = "breaker", ocpd_a = 30, wire_size = "12 AWG", metal = "copper" }
loads.range = { kind = "range", circuit = "range", kw = 12, volts = 240, phase = 1 }
loads.tank = { kind = "water heater", circuit = "tank", kw = 30, volts = 240, phase = 1 }
"""
)

#: A farm: meter and switch on a pole, a house and a barn fed from the switch.
FARM = """
buildings.pole = { use = "yard pole" }
buildings.house = { use = "dwelling", floor_area_ft2 = 1200, laundry = "in unit", gas_or_other_heat = true }
buildings.barn = { use = "livestock" }
equipment.meter = { kind = "meter", building = "pole", outdoors = true, rating_a = 200 }
equipment.pole-switch = { kind = "disconnect", building = "pole", outdoors = true, rating_a = 200, main = "fuses", \
main_a = 200, fate = "remove" }
equipment.house-panel = { kind = "panel", building = "house", rating_a = 100, main = "breaker", main_a = 100, \
branch_protection = "breakers", fate = "keep" }
equipment.barn-panel = { kind = "panel", building = "barn", rating_a = 60, main = "none", \
branch_protection = "plug fuses", fate = "replace" }
runs.drop = { from = "utility", to = "meter", owner = "utility" }
runs.nipple = { from = "meter", to = "pole-switch", owner = "customer", wires = 3 }
runs.to-house = { from = "pole-switch", to = "house-panel", wires = 3, method = "overhead triplex", length_ft = 90, \
line_size = "2 AWG", metal = "aluminum", ocpd = "fuses", ocpd_a = 100, fate = "keep" }
runs.to-barn = { from = "pole-switch", to = "barn-panel", wires = 3, method = "overhead triplex", length_ft = 150, \
ocpd = "fuses", ocpd_a = 60, fate = "replace" }
circuits.lamps = { from = "barn-panel", poles = 1, ocpd = "plug fuse", ocpd_a = 20, wire_size = "12 AWG", \
metal = "copper" }
"""


@dataclass(frozen=True)
class Built:
    """What ``propose`` made of a job."""

    installation: Installation
    graph: Graph
    assumptions: tuple[Assumption, ...]

    def assumed(self, where: str) -> str:
        """What was assumed at a place."""
        return next(each.assumed for each in self.assumptions if each.where == where)


def proposal(kind: str, **more: object) -> str:
    """A full-service proposal of 200 A on the house's wall; ``more`` are its other keys, None to leave one out."""
    keys: dict[str, object] = {
        "kind": kind, "rating_a": 200, "metal": "aluminum", "method": "PVC 80", "length_ft": 8,
        "outdoor_place": "house", "feeder_method": "SER cable", "feeder_length_ft": 10, **more,
    }  # fmt: skip
    lines = (f"proposal.{key} = {_toml(value)}" for key, value in keys.items() if value is not None)
    return "\n".join(["", *lines, ""])


def changed(survey: str, part: str, **keys: object) -> str:
    """The survey with other values in one of its parts, such as ``equipment.box``; None takes a key out."""
    head, mark, rest = survey.partition(f"{part} = {{ ")
    assert mark, f"no {part} in the survey"
    body, end, tail = rest.partition(" }\n")
    for key in keys:
        body = re.sub(rf'(, )?\b{key} = ("[^"]*"|[\w.]+)', "", body).removeprefix(", ")
    stated = [f"{key} = {_toml(value)}" for key, value in keys.items() if value is not None]
    body = ", ".join([*([body] if body else []), *stated])
    return head + mark + body + end + tail


def build(survey: str, proposed: str, *, edition: str = "2023") -> Built:
    """The installation as proposed."""
    job = read_job_text(HEAD.format(edition=edition) + survey + proposed, name="a job")
    built = propose(job, edition=load_edition(edition))
    assert built is not None
    return Built(built[0], Graph(built[0]), built[1])


def refusal(survey: str, proposed: str) -> ProposalError:
    """The refusal that a proposal meets."""
    try:
        build(survey, proposed)
    except ProposalError as error:
        return error
    raise AssertionError("the proposal was not refused")


def _toml(value: object) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {_toml(each)}" for key, each in value.items()) + " }"
    if isinstance(value, bool):
        return str(value).lower()
    return f'"{value}"' if isinstance(value, str) else str(value)
