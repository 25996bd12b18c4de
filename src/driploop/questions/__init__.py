"""Which unknowns of a survey decide something, the most decisive first: every plausible answer is tried.

Public: ``questions_of`` and ``settle_most`` (ranking), ``Question``, ``Answer``, ``Outcome`` (results).
"""

from driploop.questions.ranking import questions_of, settle_most
from driploop.questions.results import Answer, Gravity, Outcome, Question

__all__ = ["Answer", "Gravity", "Outcome", "Question", "questions_of", "settle_most"]
