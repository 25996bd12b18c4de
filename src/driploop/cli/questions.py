"""``driploop questions``: the unknowns of a survey that decide something, the most decisive first."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from driploop.cli.main import FINE
from driploop.worksheet import DriploopError

if TYPE_CHECKING:
    from driploop.questions import Question

NOTHING = "changes nothing"


def questions(arguments: Namespace) -> int:
    """Print the questions of a job with what each answer changes, and the three that settle most together."""
    from driploop.cli.commands import overlays_of, print_json
    from driploop.editions import load_edition
    from driploop.planning import FALLBACK_EDITION
    from driploop.questions import LawfulWays, questions_of, settle_most
    from driploop.survey import read_job

    if arguments.most < 0:
        raise DriploopError(f"--most {arguments.most}: how many questions to list; 0 lists all.")
    job = read_job(arguments.job)
    overlays = overlays_of(arguments.job, job)
    edition = load_edition(job.town.edition or FALLBACK_EDITION, overlays=overlays)
    more = {"lawful": LawfulWays(edition)} if arguments.alternatives else {}
    asked = questions_of(job, edition=edition, **more)
    three = settle_most(asked)
    shown = asked[: arguments.most] if arguments.most else asked
    if arguments.json:
        print_json(
            {
                "edition": edition.name,
                "count": len(asked),
                "settle_most": [question.path for question in three],
                "questions": [_data(question) for question in shown],
            }
        )
    else:
        _show(arguments.job, shown, three, left=len(asked) - len(shown))
    return FINE


def _data(question: Question) -> dict[str, Any]:
    return {
        "path": question.path,
        "title": question.title,
        "why": question.why,
        "where_to_look": question.where_to_look,
        "how_safely": question.how_safely,
        "if_nobody_knows": question.if_nobody_knows,
        "answers": [{"answer": each.answer, "changes": each.changes} for each in question.answers],
        "score": question.score,
        "settles": [{"what": each.what, "where": each.where} for each in question.settles],
    }


def _show(job: str, shown: Sequence[Question], three: Sequence[Question], *, left: int) -> None:
    from rich.console import Console

    from driploop.cli.columns import put

    console = Console(highlight=False)
    if not shown:
        put(console, "No unknown of this survey changes what will be built: every plausible answer comes to the same.")
        return
    put(console, f"{'These settle' if len(three) > 1 else 'This settles'} most together:", style="bold underline")
    for question in three:
        put(console, f"- {question.title} ({question.path})", 2, hang=2)
    console.print()
    put(console, "Unknowns that decide something, the most decisive first", style="bold underline")
    for number, question in enumerate(shown, start=1):
        console.print()
        put(console, f"{number}. {question.title}", hang=3, style="bold")
        put(console, question.path, 3, style="dim")
        for label, words in (
            ("", question.why),
            ("Where to look: ", question.where_to_look),
            ("Safely: ", question.how_safely),
            ("If nobody knows: ", question.if_nobody_knows),
        ):
            put(console, f"{label}{words}", 3, hang=2)
        for answer in question.answers:
            put(console, f"- {answer.answer}: {answer.changes or NOTHING}", 3, hang=2)
    if left:
        console.print()
        put(console, f"{left} more decide less: driploop questions {job} --most 0 lists all.")
