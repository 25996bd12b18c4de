"""The catalogue of rules and what they find in one installation.

Public: ``Readings`` (readings), ``Rule``, ``catalogue``, ``check_rules`` (catalogue).
"""

from driploop.rules.catalogue import Found, Rule, catalogue, check_rules, findings_of, section_of
from driploop.rules.readings import Readings

__all__ = ["Found", "Readings", "Rule", "catalogue", "check_rules", "findings_of", "section_of"]
