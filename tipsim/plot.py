"""Results as Bokeh figures, for notebooks. The core loads this module by name when it is asked."""

from typing import Any

import numpy as np
from bokeh.models.annotations import Span
from bokeh.plotting import figure

from tipsim.quantities.declare import in_unit
from tipsim.setup.units import CELSIUS
from tipsim.solve import Result

COLOURS = ("#0072b2", "#d55e00", "#009e73")
TOOLS = "pan,wheel_zoom,box_zoom,reset,save,hover"


def _figure(title: str, x: str, y: str) -> Any:
    return figure(title=title, x_axis_label=x, y_axis_label=y, width=640, height=360, tools=TOOLS)


class Plots:
    """Figures of one result.

    Parameters
    ----------
    result : Result

    Examples
    --------
    >>> from tipsim import preset, solve
    >>> plots = Plots(solve(preset("straight, axial")))
    >>> plots.along().xaxis.axis_label
    'distance from the tip, mm'
    """

    def __init__(self, result: Result) -> None:
        self.result = result

    def along(self) -> Any:
        """Return the stroke along the needle, whole and sideways."""
        m, needle = self.result.motion, self.result.scenario.needle
        p = _figure(
            f"{needle.title}, {self.result.scenario.drive.kind}",
            "distance from the tip, mm",
            "stroke, µm peak to peak",
        )
        x = (m.frame.s[-1] - m.frame.s) * 1e3
        p.line(x, m.stroke * 1e6, color=COLOURS[0], legend_label="whole")
        p.line(x, m.sideways_stroke * 1e6, color=COLOURS[1], legend_label="sideways")
        return p

    def response(self) -> Any:
        """Return tip stroke and shaft motion over frequency, with the drive's own."""
        curve, drive = self.result.response, self.result.scenario.drive
        p = _figure("Motion over frequency", "frequency, kHz", "µm")
        p.line(
            curve.frequency / 1e3, curve.end * 1e6, color=COLOURS[0],
            legend_label="tip stroke, peak to peak",
        )  # fmt: skip
        p.line(
            curve.frequency / 1e3, curve.shaft * 1e6, color=COLOURS[1],
            legend_label="shaft sideways, rms",
        )  # fmt: skip
        p.add_layout(Span(location=drive.frequency / 1e3, dimension="height", line_dash="dashed"))
        return p

    def heat(self) -> Any:
        """Return the highest temperatures of sleeve, metal and tissue over time."""
        h = self.result.heat
        p = _figure("Temperature", "time, s", "highest temperature, °C")
        for name, values, colour in zip(
            ("sleeve, outside", "metal", "tissue"),
            (h.sleeve_peak, h.metal_peak, h.wound_peak),
            COLOURS,
            strict=True,
        ):
            if not np.isnan(values).all():
                p.line(h.time, in_celsius(values), color=colour, legend_label=name)
        return p


def in_celsius(kelvin: Any) -> Any:
    """Return temperatures in °C.

    >>> float(in_celsius(np.array([300.0]))[0])
    26.850000000000023
    """
    return np.array([in_unit(v, CELSIUS) for v in kelvin])
