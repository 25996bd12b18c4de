"""Jobs, people, history and photographs in a database: nothing acknowledged is lost, nothing is half saved.

Public: ``open_store`` (migrate), ``Store`` (engine), ``jobs``, ``people``, ``photographs``, ``backup``, the types of
``results``, ``StoreError`` and ``NotThereError`` (errors).
"""

from driploop.store.engine import Store
from driploop.store.errors import NotThereError, StoreError
from driploop.store.migrate import open_store
from driploop.store.results import Conflict, Edit, JobRow, PastChange, Person, Photograph, Saved, StoredJob, Who

__all__ = [
    "Conflict",
    "Edit",
    "JobRow",
    "NotThereError",
    "PastChange",
    "Person",
    "Photograph",
    "Saved",
    "Store",
    "StoreError",
    "StoredJob",
    "Who",
    "open_store",
]
