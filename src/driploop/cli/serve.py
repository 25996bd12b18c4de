"""``driploop serve``: the pages of the shop's jobs."""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path

from driploop.cli.main import FINE
from driploop.worksheet import DriploopError

WEB_MISSING = (
    "The pages need libraries that are not installed here ({name}).\n"
    "  do       make serve, in the program's folder; elsewhere pip install 'driploop[web]'"
)


def serve(arguments: Namespace) -> int:
    """Serve until stopped."""
    folder = Path(arguments.data) if arguments.data else Path.home() / "driploop"
    try:
        from driploop.web.serving import serve as listen

        listen(
            host=arguments.host, port=arguments.port, folder=folder, database=arguments.database,
            certificate=_path(arguments.certificate), key=_path(arguments.key), names=arguments.name or (),
            behind_proxy=arguments.behind_proxy, invite_owner=arguments.invite_owner,
        )  # fmt: skip
    except ModuleNotFoundError as error:
        raise DriploopError(WEB_MISSING.format(name=error.name)) from error
    return FINE


def _path(words: str | None) -> Path | None:
    return Path(words) if words else None
