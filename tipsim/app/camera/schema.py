"""The form of the camera bench, described as plain data; see `tipsim.app.schema`."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

from tipsim.app.camera.state import CameraState
from tipsim.motion.camera import Camera
from tipsim.setup.fields import key

Control = dict[str, Any]


def form(state: CameraState) -> list[dict[str, Any]]:
    """Describe all groups of controls for a state.

    Examples
    --------
    >>> [g["title"] for g in form(CameraState.first())]
    ['Before the camera', 'Time', 'Picture', 'Light', 'Marks and start']
    """
    return [
        {"id": "needle", "title": "Before the camera", "open": None, "controls": _needle(state)},
        {"id": "time", "title": "Time", "open": None, "controls": _time(state)},
        {"id": "picture", "title": "Picture", "open": None, "controls": _picture(state)},
        {"id": "light", "title": "Light", "open": None, "controls": _light(state)},
        {"id": "marks", "title": "Marks and start", "open": None, "controls": _marks(state)},
    ]


def _needle(state: CameraState) -> list[Control]:
    sides = (("a", state.bench.a), ("b", state.bench.b))
    options = [
        {"value": side, "label": f"{side.upper()}: {scenario.needle.title}"}
        for side, scenario in sides
    ]
    return [
        {
            **_control("side", "select", "Needle"),
            "value": state.side,
            "options": options,
            "help": "A and B as they are on the bench. The sleeve is left out, as if it were "
            "clear; water bends no light here.",
        }
    ]


def _time(state: CameraState) -> list[Control]:
    return [
        _number(state, "frame_rate_per_s", "Frame rate", "Pictures in a second.", low=500, high=1e6)
        | {"scale": "log", "wide": True},
        _number(
            state,
            "exposure_us",
            "Exposure",
            "For how long each picture gathers light; at most the time from one to the next.",
            low=0.1,
            high=2000,
        )
        | {"scale": "log", "wide": True},
        _number(state, "frames", "Pictures", "Length of the film.", step=1),
    ]


def _picture(state: CameraState) -> list[Control]:
    markers = range(1, len(state.scenario.markers) + 1)
    return [
        {
            **_control("view", "choice", "Seen"),
            "value": state.camera.view,
            "options": [
                {"value": "edge-on", "label": "Edge-on"},
                {"value": "flat", "label": "Flat"},
            ],
            "help": "Edge-on: across the plane of the bends; shows what a torsional drive does. "
            "Flat: onto that plane; shows what an axial drive does. Motion toward the camera is "
            "not seen.",
        },
        {
            **_control("aim", "select", "Aimed at"),
            "value": state.camera.aim,
            "options": [
                {"value": "end", "label": "The last 6 mm"},
                *({"value": str(n), "label": f"Marker {n}, close"} for n in markers),
            ],
        },
        _number(
            state,
            "pixel_um",
            "Pixel at the needle",
            "Width that one pixel covers. The sensor has 480 by 200: smaller pixels see less of "
            "the needle.",
            step=0.5,
        ),
    ]


def _light(state: CameraState) -> list[Control]:
    controls: list[Control] = [
        {
            **_control("noise", "choice", "Noise"),
            "value": state.camera.noise,
            "options": [{"value": "on", "label": "On"}, {"value": "off", "label": "Off"}],
            "help": "Light arrives by chance, and the sensor adds its own noise (20 electrons, "
            "assumed). The lamp is taken to be strong enough for any exposure.",
        }
    ]
    if state.camera.noise == "on":
        ratio = _number(
            state,
            "signal_to_noise",
            "Signal to noise",
            "Mean over scatter of a pixel in full light. Assumed: 5 to 20 for exposures of a "
            "microsecond, 50 to 200 for ordinary ones.",
        )
        controls += [
            ratio | {"scale": "log"},
            _number(
                state,
                "seed",
                "Draw of the noise",
                "The same number gives the same noise again.",
                step=1,
                high=100,
            ),
        ]
    return controls


def _marks(state: CameraState) -> list[Control]:
    return [
        {
            **_control("marks", "choice", "Marks"),
            "value": state.camera.marks,
            "options": [
                {"value": "middle", "label": "On the middle line"},
                {"value": "surface", "label": "On the surface"},
            ],
            "help": "On the middle line: as the bench counts them. On the surface: printed on "
            "the side that faces the camera, as real ones must be; when the needle turns about "
            "itself they move too.",
        },
        _number(
            state,
            "trigger_deg",
            "Start in the cycle",
            "Where the drive stands in its cycle when the first exposure begins.",
            step=5,
        ),
    ]


def _control(field: str, kind: str, label: str) -> Control:
    return {"id": f"both:{field}", "side": "both", "field": field, "kind": kind, "label": label}


def _number(
    state: CameraState,
    field: str,
    label: str,
    help: str,
    *,
    step: float = 0.1,
    low: float | None = None,
    high: float | None = None,
) -> Control:
    f = next(f for f in fields(Camera) if key(f) == field)
    meta = f.metadata
    unit = meta["unit"]
    value = float(unit.from_si(getattr(state.camera, f.name)))
    allowed = f"Allowed: {meta['low']:,g} to {meta['high']:,g} {unit.symbol}".rstrip()
    return {
        **_control(field, "number", label),
        "value": value,
        "unit": unit.symbol,
        "min": min(meta["low"] if low is None else low, value),
        "max": max(meta["high"] if high is None else high, value),
        "step": step,
        "help": f"{help} {allowed}.",
    }
