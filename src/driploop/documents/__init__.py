"""Paper: the service packet and its drawings as files. Reads everything, decides nothing.

Public: ``packet_pdf``, ``packet_data`` (packet), ``pictures`` (pictures), ``PacketError``.
"""

from driploop.documents.packet import PacketError, packet_data, packet_pdf
from driploop.documents.pictures import pictures

__all__ = ["PacketError", "packet_data", "packet_pdf", "pictures"]
