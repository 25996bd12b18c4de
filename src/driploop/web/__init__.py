"""The web application: pages that show what the plan says, and forms that change the job file. No arithmetic here.

Public: ``create_app`` (app), ``serve`` (serving).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from driploop.web.app import create_app
    from driploop.web.serving import serve

__all__ = ["create_app", "serve"]

_HOMES = {"create_app": "app", "serve": "serving"}


def __getattr__(name: str) -> Any:
    # Loaded on first use: a part of the pages can be had without all of them.
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)
