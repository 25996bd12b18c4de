"""Words of labels: those the code sets word for word, from the edition; those it leaves to the shop, our own."""

from __future__ import annotations

from collections.abc import Iterable

from driploop.editions import Edition, NotInEdition, NotInTable
from driploop.editions.table import Row
from driploop.marking.results import Label
from driploop.worksheet import Value


def set_label(
    row_id: str, equipment: str, *, section: str, why: str, edition: Edition, where: str = "", id: str = ""
) -> Label | None:
    """A label whose words the code sets.

    Args:
        row_id: name of the label in the edition's table of label words.
        equipment: id of the enclosure it stands on.
        section: that calls for it.
        why: it is needed here.
        edition: the code edition to ask.
        where: it is placed, where the table's own words do not say it.
        id: of the label; "" = from ``row_id`` and ``equipment``.

    Returns:
        The label, None where the words are not known in this edition or it has no such label.
    """
    try:
        row = edition.table("label_words").row(label=row_id)
    except (NotInEdition, NotInTable):
        return None
    return Label(
        id=id or f"{row_id}/{equipment}",
        equipment=equipment,
        where=where or _word(row, "where"),
        words=tuple(line.strip() for line in _word(row, "words").split(",")),
        background=_word(row, "background"),
        letters=_word(row, "letters"),
        letter_height_in=_number(row["letter_height_in"]),
        section=section,
        why=why,
    )


def own_label(kind: str, equipment: str, words: Iterable[str], *, where: str, section: str, why: str) -> Label:
    """A label whose words are the shop's: the code says what it must tell, not how."""
    upper = tuple(line.upper() for line in words if line)
    return Label(f"{kind}/{equipment}", equipment, where, upper, "", "", None, section, why)


def _word(row: Row, column: str) -> str:
    value: Value | None = row[column]
    return "" if value is None else str(value)


def _number(value: Value | None) -> float | None:
    return float(value) if isinstance(value, (int, float)) else None
