"""The code's tables, values and section numbers, one folder an edition; every stage asks here and nowhere else.

Public: load_edition, edition_names, Edition, Entry, Table, Overlay, read_overlay, common_table and the errors.
"""

from driploop.editions.entry import Entry
from driploop.editions.errors import NotInEdition, NotInTable, OverlayFault, UnknownEdition
from driploop.editions.local_check import LocalCheck
from driploop.editions.lookup import Edition, common_table, common_table_names, edition_names, load_edition
from driploop.editions.overlay import Forbidden, Overlay, read_overlay
from driploop.editions.table import Table

__all__ = [
    "Edition",
    "Entry",
    "Forbidden",
    "LocalCheck",
    "NotInEdition",
    "NotInTable",
    "Overlay",
    "OverlayFault",
    "Table",
    "UnknownEdition",
    "common_table",
    "common_table_names",
    "edition_names",
    "load_edition",
    "read_overlay",
]
