"""Packets: what the server packs, the browser finds in the same place."""

import numpy as np
import pytest

from tipsim.app.framework.packet import decode, encode


def test_a_packet_gives_back_what_it_was_given() -> None:
    data = {
        "words": "µ – °",
        "none": None,
        "sides": [{"x": np.array([0.5, -1.25, 3e5]), "n": np.int64(3)}, {"x": np.zeros(0)}],
        "grey": np.arange(5, dtype=np.uint8),
        "steps": np.array([[1, 2], [3, 60000]], dtype=np.uint16),
        "count": np.array([-7, 70000]),
        "wave": np.array([1 + 2j]),
    }
    back = decode(encode(data))
    assert (back["words"], back["none"], back["sides"][0]["n"]) == ("µ – °", None, 3)
    assert back["sides"][0]["x"].tolist() == [0.5, -1.25, 3e5]
    assert back["sides"][1]["x"].size == 0
    assert back["grey"].dtype == np.uint8 and back["grey"].tolist() == [0, 1, 2, 3, 4]
    assert back["steps"].dtype == np.uint16 and back["steps"].tolist() == [1, 2, 3, 60000]
    assert back["count"].tolist() == [-7, 70000] and back["wave"].tolist() == [1, 2]


@pytest.mark.parametrize("words", ["", "a", "ab", "abc", "µ" * 5])
def test_arrays_lie_where_typed_arrays_may_begin(words: str) -> None:
    packet = encode({"words": words, "a": np.zeros(3, np.uint8), "b": np.array([1.0, 2.0])})
    length = int.from_bytes(packet[:4], "little")
    assert (4 + length) % 8 == 0 and packet[4 + length + 8 :][:8] == np.array(
        [1, 2], "<f4"
    ).tobytes()


def test_a_packet_refuses_what_the_browser_cannot_read() -> None:
    with pytest.raises(ValueError, match="Out of range"):
        encode({"x": float("nan")})
