"""The presets give what they gave before; renew with `python tests/regression/renew.py`.

A pin says that a number has moved, not that it was right: what is right stands in
tests/published. Tolerance: one in a million of the largest number of each group.
"""

import json

import pytest

from tests.regression.renew import FILE, Pins, results

WITHIN = 1e-6
PINNED: Pins = json.loads(FILE.read_text(encoding="utf-8"))
FOUND = results()


def differences(found: dict[str, list[float]], pinned: dict[str, list[float]]) -> list[str]:
    """The groups in which some number, or how many there are, is not as it was."""
    if list(found) != list(pinned):
        return [f"groups {list(found)} instead of {list(pinned)}"]
    out = []
    for what, before in pinned.items():
        now, scale = found[what], max(map(abs, before), default=0.0)
        if len(now) != len(before) or any(
            not abs(a - b) <= WITHIN * scale for a, b in zip(now, before, strict=True)
        ):
            out.append(f"{what}: {now} instead of {before}")
    return out


def test_the_same_presets_are_pinned() -> None:
    assert list(FOUND) == list(PINNED)


@pytest.mark.parametrize("name", FOUND)
def test_a_preset_gives_what_it_gave(name: str) -> None:
    off = differences(FOUND[name], PINNED[name])
    assert not off, "\n".join([*off, "If that is meant: python tests/regression/renew.py"])


@pytest.mark.parametrize(
    "bad",
    [
        {"a": [1.00001, 2.0], "b": [0.0]},
        {"a": [1.0, 2.00001], "b": [0.0]},
        {"a": [1.0], "b": [0.0]},
        {"a": [1.0, 2.0], "b": [1e-30]},
        {"a": [1.0, float("nan")], "b": [0.0]},
        {"a": [1.0, 2.0]},
    ],
)
def test_a_difference_is_seen(bad: dict[str, list[float]]) -> None:
    """The comparison itself, so that it cannot fall silent."""
    good = {"a": [1.0, 2.0], "b": [0.0]}
    assert differences(good, good) == []
    assert differences(bad, good)
