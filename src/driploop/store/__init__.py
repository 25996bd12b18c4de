"""Jobs, people, history and photographs in a database: nothing acknowledged is lost, nothing is half saved.

Public: ``open_store`` (migrate), ``Store`` (engine), ``jobs``, ``people``, ``photographs``, ``backup``, ``export``, the
types of ``results``, ``StoreError``, ``NotThereError`` and ``BusyError`` (errors).
"""

from driploop.store.engine import Store
from driploop.store.errors import BusyError, NotThereError, StoreError
from driploop.store.migrate import open_store
from driploop.store.results import (
    BackedUp,
    Conflict,
    Edit,
    JobRow,
    PastChange,
    Person,
    Photograph,
    Restored,
    Saved,
    StoredJob,
    Who,
)

__all__ = [
    "BackedUp",
    "BusyError",
    "Conflict",
    "Edit",
    "JobRow",
    "NotThereError",
    "PastChange",
    "Person",
    "Photograph",
    "Restored",
    "Saved",
    "Store",
    "StoreError",
    "StoredJob",
    "Who",
    "open_store",
]
