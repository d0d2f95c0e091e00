"""A head and bytes behind it in one packet, for pages that have no framework's packet yet."""

from __future__ import annotations

import json
import struct
from typing import Any


def encode(head: dict[str, Any], pictures: bytes) -> bytes:
    """Return length of the head (uint32, little), head as JSON, then the bytes.

    >>> encode({"a": 1}, b"xy")[4:]
    b'{"a":1}xy'
    """
    text = json.dumps(head, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    data = text.encode("utf-8")
    return struct.pack("<I", len(data)) + data + pictures
