"""Which unknowns of a survey decide something, the most decisive first: every plausible answer is tried.

Public: ``questions_of`` and ``settle_most`` (ranking), ``LawfulWays`` (ways), ``Question``, ``Answer``,
``Outcome`` (results).
"""

from driploop.questions.ranking import questions_of, settle_most
from driploop.questions.results import Answer, Gravity, Outcome, Question
from driploop.questions.ways import LawfulWays

__all__ = ["Answer", "Gravity", "LawfulWays", "Outcome", "Question", "questions_of", "settle_most"]
