"""What the server sends the stage: one packet of bytes per change, both needles.

Little endian: a uint32 with the length of a JSON head, the head (UTF-8, padded with blanks
so that 4 + length is a multiple of 4), then float32 arrays, one after the other. The head
names each array by its offset, counted in float32 after the head. Inside Python everything
is SI; the packet itself carries millimetres, micrometres and degrees, as the screen shows them.
"""

from __future__ import annotations

import json
import math
import struct
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

MILLI = 1e3
MICRO = 1e6


@dataclass(frozen=True)
class StageMarker:
    """A tracked point as the stage shows it.

    Attributes
    ----------
    distance_m : float
        From the end, back along the centreline [m].
    stroke_m : float
        Peak-to-peak travel [m].
    phase_rad : float
        Against the end's motion [rad].
    direction : str
        In words, such as "with the end" or "against the end".
    """

    distance_m: float
    stroke_m: float
    phase_rad: float
    direction: str


@dataclass(frozen=True)
class StageSleeve:
    """The sleeve's outline; ``start_m``, ``end_m`` and ``ports_m`` are counted from the hub [m]."""

    start_m: float
    end_m: float
    inner_radius_m: float
    outer_radius_m: float
    ports_m: tuple[float, ...]
    port_diameter_m: float


@dataclass(frozen=True, eq=False)
class StageSide:
    """One needle and its motion, ready for the stage.

    Attributes
    ----------
    key : str
        "A" or "B".
    title, shape, drive : str
        What the screen says of it.
    frequency_hz : float
        Of the motion [Hz].
    rest_m : (n, 3) array
        Nodes of the centreline, hub first, mouth last [m]. The hub is the origin, the needle
        leaves along +x, the bends lie in the x-y plane.
    outer_radius_m, inner_radius_m : (n,) arrays
        Metal and bore [m].
    amplitude : (n, 6) complex array
        Half of the stroke: ux, uy, uz [m], rx, ry, rz [rad]. The motion at phase p is
        ``real(amplitude * exp(1j * p))``.
    first_bend_m, taper_m : float
        Where the first bend begins and where the taper ends, from the hub [m].
    bevel_rad : float
        Tilt of the mouth's plane from square [rad].
    nodes_m : tuple of float
        Places that stand still, from the end [m].
    """

    key: str
    title: str
    shape: str
    drive: str
    frequency_hz: float
    rest_m: NDArray[np.float64]
    outer_radius_m: NDArray[np.float64]
    inner_radius_m: NDArray[np.float64]
    amplitude: NDArray[np.complex128]
    first_bend_m: float
    taper_m: float
    bevel_rad: float
    markers: tuple[StageMarker, ...]
    nodes_m: tuple[float, ...]
    sleeve: StageSleeve | None = None

    def __post_init__(self) -> None:
        """Refuse arrays that do not belong together, before anything is sent."""
        n = len(self.rest_m)
        shapes = {
            "rest_m": (n, 3),
            "outer_radius_m": (n,),
            "inner_radius_m": (n,),
            "amplitude": (n, 6),
        }
        if n < 2:
            raise ValueError(f"rest_m holds {n} nodes; a needle needs at least 2")
        for name, wanted in shapes.items():
            array = getattr(self, name)
            if array.shape != wanted:
                raise ValueError(f"{name} has shape {array.shape}; allowed is {wanted}")
            if not np.isfinite(array).all():
                raise ValueError(f"{name} holds a value that is not finite; all must be numbers")
        if not (math.isfinite(self.frequency_hz) and self.frequency_hz > 0):
            raise ValueError(f"frequency_hz is {self.frequency_hz}; it must be above 0")

    @property
    def length_m(self) -> float:
        """Along the centreline, hub to mouth [m]."""
        return float(np.linalg.norm(np.diff(self.rest_m, axis=0), axis=1).sum())


def encode(sides: Sequence[StageSide]) -> bytes:
    """Pack two needles for the browser.

    Parameters
    ----------
    sides : two StageSide
        A first, then B.

    Returns
    -------
    bytes
        The packet; float32 keeps a relative 6e-8 of each number.

    Raises
    ------
    ValueError
        If there are not two sides.

    Examples
    --------
    A straight millimetre of tube whose mouth moves 40 micrometres sideways, peak to peak:

    >>> import numpy as np
    >>> amplitude = np.zeros((2, 6), complex)
    >>> amplitude[1, 2] = 20e-6
    >>> side = StageSide(
    ...     key="A", title="Straight", shape="straight", drive="torsional", frequency_hz=32e3,
    ...     rest_m=np.array([[0.0, 0, 0], [1e-3, 0, 0]]), outer_radius_m=np.full(2, 0.45e-3),
    ...     inner_radius_m=np.full(2, 0.35e-3), amplitude=amplitude, first_bend_m=1e-3,
    ...     taper_m=0.0, bevel_rad=0.0, markers=(), nodes_m=())
    >>> packet = encode([side, side])
    >>> a, b = decode(packet)
    >>> float(round(a.amplitude[1, 2].real * 1e6, 3))
    20.0
    """
    if len(sides) != 2:
        raise ValueError(f"the stage got {len(sides)} needles; it shows 2")
    blocks: list[NDArray[np.float32]] = []
    heads = []
    offset = 0
    for side in sides:
        head = _head(side)
        for name, block in _blocks(side).items():
            head[name] = offset
            blocks.append(block)
            offset += block.size
        heads.append(head)
    text = json.dumps({"sides": heads}, ensure_ascii=False, allow_nan=False).encode()
    text += b" " * (-len(text) % 4)
    return struct.pack("<I", len(text)) + text + b"".join(block.tobytes() for block in blocks)


def decode(packet: bytes) -> tuple[StageSide, StageSide]:
    """Unpack what `encode` packed, back in SI; the browser does the same in its own language.

    Raises
    ------
    ValueError
        If the bytes are not a packet.
    """
    if len(packet) < 4:
        raise ValueError(f"a stage packet has at least 4 bytes; got {len(packet)}")
    (length,) = struct.unpack_from("<I", packet)
    if length % 4 or 4 + length > len(packet):
        raise ValueError(f"the stage packet says its head has {length} bytes; it does not fit")
    heads = json.loads(packet[4 : 4 + length])["sides"]
    numbers = np.frombuffer(packet, "<f4", offset=4 + length).astype(np.float64)
    first, second = (_side(head, numbers) for head in heads)
    return first, second


def _blocks(side: StageSide) -> dict[str, NDArray[np.float32]]:
    """The arrays of one side, flat, in the packet's units."""
    amplitude = np.stack([side.amplitude.real, side.amplitude.imag], axis=-1)
    amplitude[:, :3] *= MICRO
    arrays = {
        "rest": side.rest_m * MILLI,
        "outer": side.outer_radius_m * MILLI,
        "inner": side.inner_radius_m * MILLI,
        "amp": amplitude,
    }
    return {name: np.ascontiguousarray(array, "<f4").ravel() for name, array in arrays.items()}


def _head(side: StageSide) -> dict[str, Any]:
    """What the head says of one side, but for the offsets."""
    return {
        "key": side.key,
        "title": side.title,
        "shape": side.shape,
        "n": len(side.rest_m),
        "frequency_hz": float(side.frequency_hz),
        "drive": side.drive,
        "s_first_bend_mm": side.first_bend_m * MILLI,
        "s_taper_mm": side.taper_m * MILLI,
        "length_mm": side.length_m * MILLI,
        "bevel_deg": math.degrees(side.bevel_rad),
        "sleeve": None if side.sleeve is None else _sleeve_head(side.sleeve),
        "markers": [
            {
                "distance_mm": marker.distance_m * MILLI,
                "stroke_um_pp": marker.stroke_m * MICRO,
                "phase_deg": math.degrees(marker.phase_rad),
                "direction": marker.direction,
            }
            for marker in side.markers
        ],
        "nodes_mm": [place * MILLI for place in side.nodes_m],
    }


def _sleeve_head(sleeve: StageSleeve) -> dict[str, Any]:
    return {
        "start_mm": sleeve.start_m * MILLI,
        "end_mm": sleeve.end_m * MILLI,
        "inner_radius_mm": sleeve.inner_radius_m * MILLI,
        "outer_radius_mm": sleeve.outer_radius_m * MILLI,
        "ports_mm": [place * MILLI for place in sleeve.ports_m],
        "port_diameter_mm": sleeve.port_diameter_m * MILLI,
    }


def _side(head: Mapping[str, Any], numbers: NDArray[np.float64]) -> StageSide:
    """One side out of its head and the arrays of the whole packet."""
    n = int(head["n"])

    def block(name: str, width: int) -> NDArray[np.float64]:
        start = int(head[name])
        return numbers[start : start + n * width].copy()

    pairs = block("amp", 12).reshape(n, 6, 2)
    amplitude = pairs[..., 0] + 1j * pairs[..., 1]
    amplitude[:, :3] /= MICRO
    return StageSide(
        key=head["key"],
        title=head["title"],
        shape=head["shape"],
        drive=head["drive"],
        frequency_hz=head["frequency_hz"],
        rest_m=block("rest", 3).reshape(n, 3) / MILLI,
        outer_radius_m=block("outer", 1) / MILLI,
        inner_radius_m=block("inner", 1) / MILLI,
        amplitude=amplitude,
        first_bend_m=head["s_first_bend_mm"] / MILLI,
        taper_m=head["s_taper_mm"] / MILLI,
        bevel_rad=math.radians(head["bevel_deg"]),
        markers=tuple(_marker(marker) for marker in head["markers"]),
        nodes_m=tuple(place / MILLI for place in head["nodes_mm"]),
        sleeve=None if head["sleeve"] is None else _sleeve(head["sleeve"]),
    )


def _marker(head: Mapping[str, Any]) -> StageMarker:
    return StageMarker(
        distance_m=head["distance_mm"] / MILLI,
        stroke_m=head["stroke_um_pp"] / MICRO,
        phase_rad=math.radians(head["phase_deg"]),
        direction=head["direction"],
    )


def _sleeve(head: Mapping[str, Any]) -> StageSleeve:
    return StageSleeve(
        start_m=head["start_mm"] / MILLI,
        end_m=head["end_mm"] / MILLI,
        inner_radius_m=head["inner_radius_mm"] / MILLI,
        outer_radius_m=head["outer_radius_mm"] / MILLI,
        ports_m=tuple(place / MILLI for place in head["ports_mm"]),
        port_diameter_m=head["port_diameter_mm"] / MILLI,
    )
