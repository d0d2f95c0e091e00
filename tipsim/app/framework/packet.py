"""One packet for what the browser draws: plain data in JSON, and the arrays in it as raw bytes.

Layout, little endian: a uint32 with the length of the head, the head (JSON in UTF-8, padded with
blanks to a multiple of 8), then the arrays, each at a multiple of 8. In the head an array stands as
``{"$": [type, start, count]}``, its start counted from the end of the head; `decode` of packet.js
puts a typed array in its place. Rows of a table follow one another.
"""

from __future__ import annotations

import json
import struct
from typing import Any

import numpy as np

_SENT = {"f": "f4", "c": "f4", "i": "i4", "b": "u1"}
"""Type that an array is sent in, by its kind; unsigned integers keep theirs."""
_ALIGNED = 8


def encode(data: Any) -> bytes:
    """Return plain data with NumPy arrays anywhere in it as one packet.

    Floats are sent as float32, a complex number as two of them, integers as int32; unsigned
    integers of 8, 16 and 32 bits as they are.

    Raises
    ------
    ValueError
        For a number outside an array that is not finite: JSON has none.

    Examples
    --------
    >>> packet = encode({"a": 1, "curve": np.array([0.5, 2.0])})
    >>> decode(packet)
    {'a': 1, 'curve': array([0.5, 2. ], dtype=float32)}
    """
    blocks: list[bytes] = []
    at = 0

    def placed(value: Any) -> Any:
        nonlocal at
        if isinstance(value, np.generic):
            return value.item()
        if not isinstance(value, np.ndarray):
            raise TypeError(f"a packet holds no {type(value).__name__}")
        array = np.ascontiguousarray(value)
        if array.dtype.kind == "c":
            array = array.astype("<c8").view("<f4")
        name = _SENT.get(array.dtype.kind) or f"u{array.dtype.itemsize}"
        block = array.astype(f"<{name}").tobytes()
        start, size = at, len(block)
        blocks.append(block + bytes(-size % _ALIGNED))
        at += len(blocks[-1])
        return {"$": [name, start, array.size]}

    text = json.dumps(
        data, default=placed, ensure_ascii=False, allow_nan=False, separators=(",", ":")
    ).encode("utf-8")
    text += b" " * (-(4 + len(text)) % _ALIGNED)
    return struct.pack("<I", len(text)) + text + b"".join(blocks)


def decode(packet: bytes) -> Any:
    """Return the data of a packet, as the browser finds it: arrays flat."""
    (length,) = struct.unpack_from("<I", packet)
    body = memoryview(packet)[4 + length :]

    def array(value: dict[str, Any]) -> Any:
        if value.keys() != {"$"}:
            return value
        name, start, count = value["$"]
        return np.frombuffer(body, f"<{name}", count, start)

    return json.loads(packet[4 : 4 + length], object_hook=array)
