"""What the neutral of a farm puts between the metal of a stock building and the earth under it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from driploop.rules.catalogue import Found, rule
from driploop.rules.looking import asks
from driploop.rules.readings import Readings
from driploop.worksheet import Verdict

if TYPE_CHECKING:
    from driploop.voltage import EarthVoltage


@rule(
    "neutral-to-earth-where-animals-stand",
    title="The neutral of a stock building stays near the voltage of the earth",
    why="Cows and goats feel a volt between waterer and floor, and drink and let down less. It comes from what the "
    "neutral loses, over a rod that reaches the earth poorly.",
    requirement="equipotential-plane",
    verdict=Verdict.KNOW,
)
def neutral_to_earth_where_animals_stand(r: Readings) -> Iterator[Found]:
    worst: dict[str, EarthVoltage] = {}
    for found in r.voltages.earth_voltages:
        if found.building not in worst or found.most_v > worst[found.building].most_v:
            worst[found.building] = found
    for found in worst.values():
        where = f"buildings.{found.building}"
        if found.surely_over:
            wrong = f"{found.scenario}: the metal there stands {found.least_v:.1f} V or more from earth."
            yield Found(where, f"{wrong} Passed: {'; '.join(found.surely_over)}.", _MEND)
        elif found.over and asks(r):
            band = f"{found.least_v:.1f} to {found.most_v:.1f} V"
            wrong = (
                f"{found.scenario}: the metal there stands {band} from earth, as soil and electrodes leave it open. "
                f"Perhaps passed: {'; '.join(found.over)}."
            )
            yield Found(where, wrong, f"{_MEND} A measured rod or a described soil narrows it.", Verdict.ASK)


_MEND = (
    "Have a qualified person measure it under load before and after the work. A ground of its own beside the neutral, "
    "loads shared between the legs and a heavier neutral bring it down; so does a better electrode."
)
