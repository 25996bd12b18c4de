"""Ways to build the new service: from what was found to what is proposed.

Public: ``propose`` and ``with_sizes`` (build), ``ProposalError`` (errors).
"""

from driploop.alternatives.build import propose, with_sizes
from driploop.alternatives.errors import ProposalError

__all__ = ["ProposalError", "propose", "with_sizes"]
