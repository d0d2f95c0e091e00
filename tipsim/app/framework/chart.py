"""Charts: described once per kind, drawn by Bokeh in the browser, fed from the page's packet.

A kind is a frozen description. Its figure is built once per process, sent to a browser as JSON
under an address that carries its version, and embedded there; a session has no Bokeh models of
its own for it. ``chart.js`` feeds it, and adds the table, the text and the downloads.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from functools import cache
from pathlib import Path
from typing import Any, Literal

import tornado.web
from bokeh.embed import json_item
from bokeh.models import (
    BoxZoomTool,
    ColumnDataSource,
    CustomJSTickFormatter,
    HSpan,
    HStrip,
    LogTicker,
    PanTool,
    Range1d,
    Scatter,
    Step,
    Text,
    VArea,
    VSpan,
    VStrip,
    WheelZoomTool,
)
from bokeh.models import Line as LineGlyph
from bokeh.models.annotations import Span
from bokeh.plotting import figure

from tipsim.app.framework.component import VERSION

_HERE = Path(__file__).parent
STYLE = _HERE / "chart.css"
"""For the `styles` of a component that mounts charts."""

LEFT = 48
"""Room for the numbers beside a chart [px], so that charts in a column stand in line."""

Dash = Literal["solid", "dashed", "dotted", "dashdot"]

# Round ticks as text: as many decimals as the steps need, thousands apart, a true minus.
_TICKS = """
const gaps = ticks.slice(1).map((t, i) => Math.abs(t - ticks[i])).filter((g) => g > 0);
const step = log || !gaps.length ? Math.abs(tick) || 1 : Math.min(...gaps);
const digits = Math.min(12, Math.max(0, -Math.floor(Math.log10(step) + 1e-6)));
const [whole, part] = Math.abs(tick).toFixed(digits).split(".");
const sign = tick < 0 && Number(tick.toFixed(digits)) !== 0 ? "\u2212" : "";
const apart = whole.length > 4 ? whole.replace(/\\B(?=(\\d{3})+$)/g, "\u202f") : whole;
return sign + apart + (part ? "." + part : "");
"""


@dataclass(frozen=True)
class Axis:
    """What an axis shows.

    Parameters
    ----------
    label : str
        Quantity, without unit.
    unit : str
        Its unit, "" for none.
    log : bool
        Logarithmic.
    reverse : bool
        Largest value first.
    zero : bool
        The range holds 0 at least (no use on a logarithmic axis).
    digits : int
        Significant digits of values that are read.
    """

    label: str
    unit: str = ""
    log: bool = False
    reverse: bool = False
    zero: bool = False
    digits: int = 3


@dataclass(frozen=True)
class Line:
    """One curve; with `area` it is the stretch between two.

    Parameters
    ----------
    name : str
        By which its numbers are handed over.
    label : str
        For table, CSV and reading.
    short : str
        At the curve's end; "" for none.
    colour : str
        Name of a colour of `tokens.css` without ``--ts-``, or of any custom property with dashes.
    dash, width
        How it is drawn: colour is never the only difference.
    area : bool
        A shaded stretch, with ``low`` and ``high`` instead of ``y``.
    step : bool
        Values hold until the next.
    """

    name: str
    label: str
    short: str = ""
    colour: str = "a"
    dash: Dash = "solid"
    width: float = 2.0
    area: bool = False
    step: bool = False


def sides(label: str = "needle", **options: Any) -> tuple[Line, Line]:
    """Return the curves of both needles: A solid, B dashed, each with its letter at the end."""
    return (
        Line("a", f"A, {label}" if label else "A", "A", "a", **options),
        Line("b", f"B, {label}" if label else "B", "B", "b", dash="dashed", **options),
    )


def needles(label: str = "needle") -> tuple[Line, ...]:
    """Return the curves of up to four needles, told apart by letter, colour and dashes."""
    return (
        *sides(label),
        Line("c", f"C, {label}", "C", "c", dash="dotted"),
        Line("d", f"D, {label}", "D", "d", dash="dashdot"),
    )


@dataclass(frozen=True)
class Kind:
    """One kind of chart.

    Parameters
    ----------
    name : str
        In addresses, as "flow.chamber".
    title : str
        What it shows, for those who do not see it, the table's caption and names of files.
    x, y : Axis
    lines : tuple of Line
    height : int
        Of the picture [px].
    room : int
        Beside the curves for the words at their ends [px].
    x_shown : bool
        Numbers and words below; charts in a column over one axis show them once.
    """

    name: str
    title: str
    x: Axis
    y: Axis
    lines: tuple[Line, ...]
    height: int = 220
    room: int = 22
    x_shown: bool = True


_kinds: dict[str, Kind] = {}


def chart(kind: Kind) -> Kind:
    """Declare a kind, so that browsers can ask for it; each name once.

    Raises
    ------
    ValueError
        When another kind has the name.
    """
    known = _kinds.setdefault(kind.name, kind)
    if known != kind:
        raise ValueError(f"Chart {kind.name!r} is declared twice.")
    return known


def kinds() -> dict[str, Kind]:
    """Return all declared kinds by name."""
    return dict(_kinds)


def room(kinds: Iterable[Kind]) -> list[str]:
    """Return a style sheet that keeps each chart's height before its figure comes.

    >>> room([Kind("flow.one", "", Axis("", ""), Axis("", ""), (), height=130)])
    ['.chart-host[data-kind="flow.one"] { min-height: 130px }']
    """
    rule = '.chart-host[data-kind="{}"] {{ min-height: {}px }}'
    return ["\n".join(rule.format(kind.name, kind.height) for kind in kinds)]


def _titled(axis: Axis) -> str:
    return f"{axis.label}, {axis.unit}" if axis.unit else axis.label


def build(kind: Kind) -> Any:
    """Build the figure of a kind, without data; ``chart.js`` finds its parts by their names."""
    plot: Any = figure(
        name="plot",
        height=kind.height,
        sizing_mode="stretch_width",
        x_axis_type="log" if kind.x.log else "linear",
        y_axis_type="log" if kind.y.log else "linear",
        x_range=Range1d(start=1, end=2, name="x"),
        y_range=Range1d(start=1, end=2, name="y"),
        title=_titled(kind.y),
        x_axis_label=_titled(kind.x) if kind.x_shown else None,
        tools=[
            PanTool(name="pan"),
            WheelZoomTool(name="wheel"),
            BoxZoomTool(name="box"),
        ],
        toolbar_location=None,
        min_border=4 if kind.x_shown else 9,  # half a line of words
        min_border_right=kind.room,
        min_border_left=LEFT,
        outline_line_color=None,
        border_line_color=None,
        lod_threshold=None,
        background_fill_color=None,
        border_fill_color=None,
    )
    plot.toolbar.active_drag = plot.toolbar.active_scroll = None
    plot.toolbar.logo = None
    plot.xgrid.visible = False
    plot.xaxis.visible = kind.x_shown
    upright = max(3, min(6, kind.height // 45))
    for axis, log, ticks in ((plot.xaxis, kind.x.log, 8), (plot.yaxis, kind.y.log, upright)):
        axis.formatter = CustomJSTickFormatter(args={"log": log}, code=_TICKS)
        axis.minor_tick_line_color = None
        axis.major_tick_in = 0
        axis.axis_line_color = None
        if log:
            axis.ticker = LogTicker(desired_num_ticks=ticks, num_minor_ticks=0)
        else:
            axis.ticker.num_minor_ticks = 0
            axis.ticker.desired_num_ticks = ticks
    plot.title.text_font_style = "normal"
    plot.xaxis.axis_label_text_font_style = "normal"

    def glyphs(name: str, glyph: Any, columns: str, level: str = "glyph") -> Any:
        source = ColumnDataSource({c: [] for c in columns.split()}, name=name)
        looks = dict.fromkeys(("nonselection_glyph", "muted_glyph", "selection_glyph"))
        return plot.add_glyph(source, glyph, name=f"{name} drawn", level=level, **looks)

    glyphs("shades", VStrip(x0="x0", x1="x1", line_color=None), "x0 x1", "underlay")
    glyphs("bands", HStrip(y0="y0", y1="y1", line_color=None), "y0 y1", "underlay")
    glyphs("levels", HSpan(y="y", line_color="colour", line_dash="dash"), "y colour dash")
    glyphs("marks", VSpan(x="x", line_color="colour", line_dash="dash"), "x colour dash")
    for line in kind.lines:
        name = f"line {line.name}"
        if line.area:
            glyphs(name, VArea(x="x", y1="low", y2="high", fill_alpha=0.16), "x low high")
            continue
        how: Any = {"x": "x", "y": "y", "line_dash": line.dash, "line_width": line.width}
        curve = Step(mode="after", **how) if line.step else LineGlyph(line_join="round", **how)
        glyphs(name, curve, "x y")
    for name in ("dots", "read"):
        dot = Scatter(x="x", y="y", size=9, marker="marker", fill_color="fill", line_color="colour")
        glyphs(name, dot, "x y marker fill colour")
    words = Text(
        x="x",
        y="y",
        text="text",
        text_color="colour",
        text_align="align",
        text_baseline="middle",
        text_font_style="style",
        text_font_size="12px",
        background_fill_alpha=0.7,
        x_offset="dx",
        y_offset="dy",
    )
    glyphs("words", words, "x y text colour align style dx dy", "annotation")
    plot.add_layout(Span(dimension="height", name="cursor", line_width=1.5, visible=False))
    plot.add_layout(Span(dimension="height", name="probe", line_dash="dotted", visible=False))
    return plot


@cache
def described(name: str) -> bytes:
    """Return a kind and its figure as JSON, made once per process."""
    kind = _kinds[name]
    return json.dumps(
        {**asdict(kind), "item": json_item(build(kind))}, separators=(",", ":")
    ).encode()


class Description(tornado.web.RequestHandler):
    """Send a kind of chart to a browser, which keeps it."""

    def get(self, name: str) -> None:
        """Answer with the JSON, or 404."""
        if name not in _kinds:
            raise tornado.web.HTTPError(404)
        self.set_header("Content-Type", "application/json; charset=utf-8")
        self.set_header("Cache-Control", "public, max-age=31536000, immutable")
        self.write(described(name))


ROUTES: list[Any] = [(rf"/modules/{VERSION}/charts/([a-z_.-]+)\.json", Description)]
"""For the server's list of routes."""
