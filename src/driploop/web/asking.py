"""What a walk asks of each kind of thing: its fields in order, those of the starter survey first, each with its help.

Everything is read from the models, the reference list and the starter survey, so that a new field appears by itself.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from driploop.survey.fields import Key, keys_of, unit_of
from driploop.survey.layout import BY_ID, SINGLE
from driploop.survey.new import starter
from driploop.survey.references import REFERENCES, Reference

#: What a walk does not ask: what the proposal decides, and the plan's own marks.
NOT_ASKED = frozenset({"is_new"})
#: Names of keys that no rule would turn into the trade's words.
_LABELS = {
    "va": "Volt-amperes", "kw": "Kilowatts", "hp": "Horsepower", "volts": "Volts", "rla_a": "Rated-load current (RLA)",
    "mca_a": "Minimum circuit ampacity (MCA)", "mocp_a": "Largest fuse or breaker (MOCP)",
    "lra_a": "Locked-rotor current (LRA)", "ocpd": "Fuse or breaker", "ocpd_a": "Its rating", "egc": "Equipment ground",
    "egc_size": "Equipment ground, size", "egc_metal": "Equipment ground, metal",
    "egc_insulated": "Equipment ground insulated", "gfci": "GFCI protected", "afci": "AFCI protected",
    "gfpe_upstream": "Ground-fault protection ahead", "main_a": "Main, rating", "from": "Comes from", "to": "Goes to",
    "year_installed": "Year installed", "note": "Note", "fate": "What becomes of it",
}  # fmt: skip
_LISTS = re.compile(r'(or )?"', re.I)
_HEADER = re.compile(r"(?:# )?\[(\w+)(?:\.[\w-]+)?\]$")
_KEY = re.compile(r"(?:# )?([a-z]\w*) = [^#]*?(?:\s*# (.*))?$")


@dataclass(frozen=True, slots=True)
class Asked:
    """One field that a form asks: the key, what to call it, what helps to answer, which ids it may name."""

    table: str
    key: Key
    label: str
    help: str
    often: bool
    names: Reference | None = None


@cache
def asked_of(table: str) -> Mapping[str, Asked]:
    """The fields of a table by key: what the starter survey asks first, then the rest in the model's order."""
    plain = table.removeprefix("proposal.")  # a part of the proposal has the fields of a part
    keys = keys_of(SINGLE.get(plain) or BY_ID[plain])
    mentioned = _starter().get(plain, {})
    first = [name for name in ("name", *mentioned) if name in keys]
    order = dict.fromkeys([*first, *(name for name in keys if name != "note"), "note"])
    fields = (
        Asked(table, keys[name], label_of(name), _help(plain, keys[name]), name in first, _names(table, name))
        for name in order
        if name in keys and name not in NOT_ASKED and keys[name].shape.kind != "parts"
    )
    return MappingProxyType({each.key.name: each for each in fields})


def label_of(key: str) -> str:
    """A key in the trade's words, without its unit."""
    if key in _LABELS:
        return _LABELS[key]
    words = key
    _, unit_words = unit_of(key)
    if unit_words:
        words = re.sub(r"_[a-z0-9]+$", "", key)
    words = words.replace("_", " ")
    return words[:1].upper() + words[1:]


def _help(table: str, key: Key) -> str:
    """The starter's words on where to look, else the model's on what it is."""
    said = _starter().get(table, {}).get(key.name, "")
    if table == "wishes" and not said:
        said = _starter().get("loads", {}).get(key.name, "")
    words = next((each for each in (said, key.description) if not _of_the_file(each, key)), "")
    words = re.sub(r"^ids? of (?:the |an? )?", "", re.sub(r"\s*\[[^\]]+\]$", "", words))
    words = words.replace("true if", "yes if").replace(', or "unknown"', "").replace(' or "unknown"', "")
    return words[:1].upper() + words[1:]


def _of_the_file(words: str, key: Key) -> bool:
    """Whether they tell how to write it into the job file, or list the words that stand in the field's own choice."""
    return " = " in words or (_LISTS.match(words) is not None and key.shape.kind in ("words", "list", "size"))


def _names(table: str, key: str) -> Reference | None:
    found = (each for each in REFERENCES if (each.table, each.key) == (table, key) and each.holds in ("one", "list"))
    return next(found, None)


@cache
def _starter() -> Mapping[str, Mapping[str, str]]:
    """Each table's keys that the starter survey names, with the comment behind each, live or waiting behind a #."""
    said: dict[str, dict[str, str]] = {}
    table = ""
    for line in starter().splitlines():
        if header := _HEADER.match(line):
            table = header[1]
        elif (pair := _KEY.match(line)) and table:
            keys = said.setdefault(table, {})
            keys[pair[1]] = keys.get(pair[1]) or pair[2] or ""
    return said
