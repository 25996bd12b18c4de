"""Words for a door card: what a circuit feeds and where, clear to whoever stands before it in twenty years."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence

from driploop.installation import Circuit, Installation
from driploop.installation.graph import AGRICULTURAL_USES
from driploop.panel.habits import words_of_animals, words_of_who

NOT_TRACED = "NOT TRACED: find out what it feeds"
NAME_THE_ROOM = "NAME THE ROOM"


def depends_on_who(words: str, *, animals: bool = False) -> bool:
    """Whether words hang on who lives there: a person, a kinship, or what somebody owns.

    ``animals``: in a building that holds them, where a kid is a goat.
    """
    if re.search(r"\b[A-Za-z]+['\u2019]s\b|\b[a-z]+s['\u2019](?=\s)", words):
        return True
    who = words_of_who() - (words_of_animals() if animals else frozenset())
    return bool(set(re.findall(r"[a-z]+", words.lower())) & who)


def circuit_words(circuit: Circuit, installation: Installation, *, at_building: str | None) -> str:
    """The words of one circuit: room, what it feeds, and the building where that is another one.

    What hangs on who lives there is left out; its room stands for it, or a note to name the room.
    """
    serves = circuit.serves or ""
    room = circuit.room or ""
    holds = installation.buildings.get(circuit.building or at_building or "")
    animals = holds is not None and holds.use in AGRICULTURAL_USES
    if serves and depends_on_who(serves, animals=animals):
        serves = room or NAME_THE_ROOM
    if room and depends_on_who(room, animals=animals):
        room = ""
        serves = NAME_THE_ROOM if serves == circuit.room else serves
    if not serves:
        serves = _by_loads(circuit, installation) or NOT_TRACED
    parts = [serves]
    if room and room.lower() not in serves.lower():
        parts.insert(0, room)
    building = installation.buildings.get(circuit.building or "")
    if building is not None and circuit.building != at_building and building.title.lower() not in serves.lower():
        parts.insert(0, building.title)
    words = ": ".join(parts) if len(parts) == 2 else ", ".join(parts)
    return words[:1].upper() + words[1:]


def _by_loads(circuit: Circuit, installation: Installation) -> str:
    names = [load.title for load in installation.loads.values() if load.circuit == circuit.id]
    return ", ".join(name for name in names if not depends_on_who(name))


def told_apart(words: Mapping[str, str], order: Sequence[str]) -> dict[str, str]:
    """Words that would stand twice on one card, numbered."""
    count = Counter(words[id].lower() for id in order)
    seen: Counter[str] = Counter()
    told = {}
    for id in order:
        key = words[id].lower()
        seen[key] += 1
        several = count[key] > 1 and not words[id].startswith((NOT_TRACED, NAME_THE_ROOM))
        told[id] = f"{words[id]} ({seen[key]} of {count[key]})" if several else words[id]
    return told
