"""A small invented dairy: a milking barn panel that stays, a workshop panel that is renewed, two working hours."""

from __future__ import annotations

from driploop.planning import Plan, plan
from driploop.survey import read_job_text

JOB = """
format = 1
[town]
edition = "NEC 2023"
[site]
kind = "farm"
[utility]
supply = "overhead"
[buildings.barn]
use = "livestock"
[buildings.shop]
name = "Workshop"
use = "workshop"
[equipment.meter]
kind = "meter"
building = "barn"
[equipment.barn-panel]
name = "Barn panel"
kind = "panel"
building = "barn"
rating_a = 200
main = "breaker"
main_a = 200
branch_protection = "breakers"
spaces = 20
circuits_max = 20
stab_limit_a = 200
[equipment.shop-panel]
name = "Shop panel"
kind = "panel"
building = "shop"
outdoors = false
rating_a = 100
main = "breaker"
main_a = 60
branch_protection = "plug fuses"
fate = "replace"
[runs.drop]
from = "utility"
to = "meter"
owner = "utility"
[runs.riser]
from = "meter"
to = "barn-panel"
wires = 3
length_ft = 10
line_size = "4/0 AWG"
metal = "aluminum"
[runs.shop-feeder]
from = "barn-panel"
to = "shop-panel"
wires = 4
length_ft = 60
line_size = "1 AWG"
metal = "copper"
insulation = "THWN"
ocpd = "breaker"
ocpd_a = 100

[circuits.vacuum]
from = "barn-panel"
position = "1-3"
serves = "vacuum pump"
poles = 2
ocpd = "breaker"
ocpd_a = 30
WIRE
[circuits.cooler]
from = "barn-panel"
position = "2-4"
serves = "bulk tank cooler"
poles = 2
ocpd = "breaker"
ocpd_a = 30
WIRE
[circuits.parlor]
from = "barn-panel"
position = "5"
serves = "parlor lights"
poles = 1
ocpd = "breaker"
ocpd_a = 15
WIRE
[circuits.pens]
from = "barn-panel"
position = "6"
serves = "pen lights"
poles = 1
ocpd = "breaker"
ocpd_a = 15
WIRE
[circuits.wash]
from = "barn-panel"
position = "7"
serves = "wash heater"
poles = 1
ocpd = "breaker"
ocpd_a = 20
WIRE
[circuits.spare]
from = "barn-panel"
position = "9"
purpose = "spare"
poles = 1
[circuits.bench]
from = "shop-panel"
position = "1"
serves = "bench receptacles"
poles = 1
ocpd = "plug fuse"
ocpd_a = 20
multiwire_with = "drill"
leg = "A"
WIRE
[circuits.drill]
from = "shop-panel"
position = "2"
serves = "drill press"
poles = 1
ocpd = "plug fuse"
ocpd_a = 20
multiwire_with = "bench"
leg = "B"
WIRE
[circuits.lamps]
from = "shop-panel"
position = "3"
serves = "Otto's lamps"
room = "loft"
poles = 1
ocpd = "plug fuse"
ocpd_a = 15
leg = "A"
reach_ft = 1.5
WIRE
[circuits.old]
from = "shop-panel"
position = "4"
poles = 1
ocpd = "plug fuse"
ocpd_a = 30
leg = "A"

[loads]
vacuum-motor = { kind = "milking equipment", circuit = "vacuum", va = 4800, volts = 240, phase = 1, continuous = false }
tank = { kind = "refrigeration", circuit = "cooler", va = 3600, volts = 240, phase = 1, continuous = false }
parlor-lamps = { kind = "lighting", circuit = "parlor", va = 1200, volts = 120, phase = 1, continuous = false }
pen-lamps = { kind = "lighting", circuit = "pens", va = 960, volts = 120, phase = 1, continuous = false }
wash-heater = { kind = "other", circuit = "wash", va = 1800, volts = 120, phase = 1, continuous = false }
bench-tools = { kind = "receptacles", circuit = "bench", va = 1440, volts = 120, phase = 1, continuous = false }
press = { kind = "workshop machine", circuit = "drill", va = 1200, volts = 120, phase = 1, continuous = false }
loft-lamps = { kind = "lighting", circuit = "lamps", va = 600, volts = 120, phase = 1, continuous = false }

[working_hours.milking]
name = "Milking"
circuits = ["vacuum", "parlor", "pens"]
loads = ["tank"]
share_percent = { tank = 50 }

[working_hours.repairs]
name = "Repairs"
circuits = ["bench", "drill", "lamps", "wash"]

[wishes.planer]
name = "Planer"
kind = "workshop machine"
when = "later"
panel = "shop-panel"
building = "shop"
hp = "3"
volts = 240
phase = 1

[proposal]
kind = "service disconnect inside"
rating_a = 200
metal = "aluminum"
method = "SE cable"
panel = "barn-panel"
"""
WIRE = """\
wire_size = "10 AWG"
metal = "copper"
insulation = "THWN"
cable = "EMT"
ground = "wire"
neutral = "insulated"\
"""


def dairy(extra: str = "", *, solver: str = "plain", shop_a: int | None = None) -> Plan:
    """The plan of the dairy; ``extra`` is added to the job, ``shop_a`` is the main of a larger shop panel [A]."""
    text = JOB.replace("WIRE", WIRE) + extra
    if shop_a is not None:
        smaller = 'rating_a = 100\nmain = "breaker"\nmain_a = 60'
        text = text.replace(smaller, f'rating_a = {shop_a}\nmain = "breaker"\nmain_a = {shop_a}')
    job = read_job_text(text)
    return plan(job, panel_solver=solver)  # type: ignore[arg-type]
