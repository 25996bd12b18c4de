"""One thing an edition knows by name: a table, a parameter or a requirement."""

from __future__ import annotations

from dataclasses import dataclass

from driploop.worksheet import Value

#: "absent": the edition has no such rule. "unknown": it has, or may have, and what it says was not seen.
STATES = ("known", "absent", "unknown")


@dataclass(frozen=True, slots=True)
class Entry:
    """``kind`` is "table", "parameter" or "requirement"; ``value`` is None for what is no parameter.

    ``confirmed`` is the weakest of a table's rows; see ``driploop.worksheet.CONFIRMED``.
    """

    kind: str
    name: str
    title: str
    section: str
    source: str
    confirmed: str
    state: str = "known"
    note: str = ""
    requires: str = ""
    value: Value | None = None
    unit: str = ""
