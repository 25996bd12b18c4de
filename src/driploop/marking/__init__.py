"""Which labels an installation needs, with the exact words where the code sets them.

Public: read_labels, Label.
"""

from driploop.marking.labels import read_labels
from driploop.marking.results import Label

__all__ = ["Label", "read_labels"]
