"""The charts of the camera page: tracks over time."""

from __future__ import annotations

from tipsim.app.framework.chart import Axis, Kind, Line, chart
from tipsim.motion.camera.settings import AIMS

_TIME = Axis("Time", "µs", digits=4)
_PLACE = Axis("From rest, along the mark's path", "µm")
_COLOURS = ("a", "b", "good", "warn", "bad", "ink-soft")

TRACK = chart(
    Kind(
        name="camera.track",
        title="One mark over time: film and truth",
        x=_TIME,
        y=_PLACE,
        lines=(
            Line("band", "True, many cycles", colour="--cam-true", area=True),
            Line("middle", "Middle of the needle", "middle", "ink", dash="dashed", width=1.8),
            Line("true", "True", "true", "--cam-true", width=3),
            Line("seen", "Film", "film", "--cam-seen", width=1),
        ),
        height=250,
        room=56,
    )
)
MARKS = chart(
    Kind(
        name="camera.marks",
        title="All marks over time, on one scale",
        x=_TIME,
        y=_PLACE,
        lines=tuple(
            Line(
                number,
                f"Marker {number}",
                number,
                _COLOURS[k % len(_COLOURS)],
                dash="solid" if k < len(_COLOURS) else "dashed",
                width=1.4,
            )
            for k, number in enumerate(n for n in AIMS if n != "end")
        ),
        height=200,
        room=56,
    )
)
