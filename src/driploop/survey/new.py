"""A new survey: a commented job file that is a walk round the place, everything in it still unknown."""

from __future__ import annotations

from importlib.resources import files

from driploop.survey.edit import set_value


def starter(*, title: str = "Service change") -> str:
    """The text of a starter survey.

    Args:
        title: what to call the job on paper.

    Returns:
        A job file that reads without fault, with a comment at every field on what to look at.
    """
    text = files(__package__).joinpath("starter.toml").read_text(encoding="utf-8")
    return set_value(text, ("job", "title"), title)
