"""Paper: the service packet and its drawings as files. Reads everything, decides nothing.

Public: ``packet_pdf``, ``packet_data``, ``PacketError`` (packet), ``pictures`` and ``all_drawings`` (picture_files);
``to_dxf`` (dxf) is loaded by whoever asks for it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from driploop.documents.packet import PacketError, packet_data, packet_pdf
    from driploop.documents.picture_files import all_drawings, pictures

__all__ = ["PacketError", "all_drawings", "packet_data", "packet_pdf", "pictures"]


def __getattr__(name: str) -> Any:
    # Loaded on first use: a command that only prints loads needs no drawings.
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    home = "picture_files" if name in ("all_drawings", "pictures") else "packet"
    return getattr(import_module(f"{__name__}.{home}"), name)
