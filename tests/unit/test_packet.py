"""The stage's packet: what goes in comes out, and the layout is as the browser reads it."""

import json
import struct
from dataclasses import replace

import numpy as np
import pytest

from tipsim.app.packet import StageMarker, StageSide, StageSleeve, decode, encode

N = 11


def needle(key: str, shape: str = "single-bend") -> StageSide:
    """A bent needle with a made-up motion in all six freedoms."""
    random = np.random.default_rng(ord(key))
    turn = np.linspace(0, 0.5, N)
    rest = np.column_stack([np.linspace(0, 18e-3, N), 2e-3 * turn**2, np.zeros(N)])
    amplitude = random.normal(size=(N, 6)) + 1j * random.normal(size=(N, 6))
    return StageSide(
        key=key,
        title=f"{shape}, 20° ± 1 µm",
        shape=shape,
        drive="torsional",
        frequency_hz=32e3,
        rest_m=rest,
        outer_radius_m=np.linspace(1.2e-3, 0.45e-3, N),
        inner_radius_m=np.full(N, 0.346e-3),
        amplitude=amplitude * np.array([50e-6] * 3 + [0.05] * 3),
        first_bend_m=14.5e-3,
        taper_m=5e-3,
        bevel_rad=np.radians(30),
        markers=(
            StageMarker(0.0, 130e-6, 0.0, "with the end"),
            StageMarker(2e-3, 40e-6, np.pi, "against the end"),
        ),
        nodes_m=(1.8e-3, 9.3e-3),
        sleeve=StageSleeve(5e-3, 17e-3, 0.65e-3, 0.85e-3, (15.5e-3,), 0.7e-3),
    )


def test_round_trip_keeps_every_number_to_float32() -> None:
    sides = [needle("A"), replace(needle("B", "counter-bent"), sleeve=None, nodes_m=())]
    for sent, got in zip(sides, decode(encode(sides)), strict=True):
        for name in ("rest_m", "outer_radius_m", "inner_radius_m", "amplitude"):
            wanted = getattr(sent, name)
            np.testing.assert_allclose(getattr(got, name), wanted, rtol=1e-6, atol=1e-12)
        for name in ("key", "title", "shape", "drive", "frequency_hz"):
            assert getattr(got, name) == getattr(sent, name)
        for name in ("first_bend_m", "taper_m", "bevel_rad", "nodes_m"):
            assert getattr(got, name) == pytest.approx(getattr(sent, name))
        assert [m.direction for m in got.markers] == [m.direction for m in sent.markers]
        assert [m.stroke_m for m in got.markers] == pytest.approx([130e-6, 40e-6])
        assert [m.phase_rad for m in got.markers] == pytest.approx([0, np.pi])
        assert (got.sleeve is None) == (sent.sleeve is None)
        if sent.sleeve is not None and got.sleeve is not None:
            assert got.sleeve.end_m == pytest.approx(sent.sleeve.end_m)
            assert got.sleeve.ports_m == pytest.approx(sent.sleeve.ports_m)


def test_layout_is_what_the_browser_reads() -> None:
    side = needle("A")
    packet = encode([side, needle("B")])
    (length,) = struct.unpack_from("<I", packet)
    head = json.loads(packet[4 : 4 + length])["sides"][0]
    assert (4 + length) % 4 == 0  # a Float32Array must start at a multiple of 4
    numbers = np.frombuffer(packet, "<f4", offset=4 + length)
    # Node 3, uz (third freedom): real part, then imaginary, in micrometres.
    at = head["amp"] + 12 * 3 + 2 * 2
    assert numbers[at] == pytest.approx(side.amplitude[3, 2].real * 1e6, rel=1e-6)
    assert numbers[at + 1] == pytest.approx(side.amplitude[3, 2].imag * 1e6, rel=1e-6)
    # Its twist, in radian.
    assert numbers[head["amp"] + 12 * 3 + 6] == pytest.approx(side.amplitude[3, 3].real, rel=1e-6)
    assert numbers[head["rest"] + 3 * 3] == pytest.approx(side.rest_m[3, 0] * 1e3, rel=1e-6)
    assert head["markers"][1]["stroke_um_pp"] == pytest.approx(40)
    assert head["markers"][1]["phase_deg"] == pytest.approx(180)
    assert head["nodes_mm"] == pytest.approx([1.8, 9.3])
    assert head["length_mm"] == pytest.approx(side.length_m * 1e3)


def test_default_pair_is_a_small_packet() -> None:
    pair = [needle("A"), needle("B")]
    finer = [replace(side, **_at_nodes(side, 95)) for side in pair]
    assert len(encode(finer)) < 20_000


def _at_nodes(side: StageSide, n: int) -> dict[str, np.ndarray]:
    """The arrays of a side at `n` nodes instead."""
    index = np.linspace(0, N - 1, n).round().astype(int)
    names = ("rest_m", "outer_radius_m", "inner_radius_m", "amplitude")
    return {name: getattr(side, name)[index] for name in names}


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"outer_radius_m": np.ones(N - 1)}, r"outer_radius_m has shape \(10,\); allowed is \(11,"),
        ({"amplitude": np.zeros((N, 3), complex)}, "amplitude has shape"),
        ({"inner_radius_m": np.full(N, np.nan)}, "inner_radius_m holds a value that is not finite"),
        ({"frequency_hz": 0.0}, "frequency_hz is 0.0; it must be above 0"),
        ({"rest_m": np.zeros((1, 3))}, "rest_m holds 1 nodes"),
    ],
)
def test_arrays_that_do_not_fit_are_refused(change: dict[str, object], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        replace(needle("A"), **change)  # type: ignore[arg-type]


@pytest.mark.parametrize("count", [0, 1, 3], ids=["no needle", "one needle", "three needles"])
def test_only_pairs_are_packed(count: int) -> None:
    with pytest.raises(ValueError, match=f"the stage got {count} needles; it shows 2"):
        encode([needle("A")] * count)


@pytest.mark.parametrize("damaged", [b"", b"\x01", struct.pack("<I", 400) + b"{}"])
def test_bytes_that_are_no_packet_are_refused(damaged: bytes) -> None:
    with pytest.raises(ValueError, match="stage packet"):
        decode(damaged)
