"""The methods card: what was used, as rows and as a paragraph that a report can take over."""

from collections.abc import Callable, Iterable, Mapping

from tipsim.setup.catalogue import catalogue
from tipsim.setup.described import about, described
from tipsim.setup.fields import Declared
from tipsim.setup.inputs import Input, inputs
from tipsim.setup.presets import scenario_of
from tipsim.setup.scenario import Scenario
from tipsim.setup.units import MM

Row = tuple[str, str]
NONE = "none"
USED = (
    "sleeve.exposed_mm", "drive.kind", "drive.frequency_khz", "drive.axial_stroke_um",
    "drive.twist_stroke_deg", "drive.phase_deg", "drive.power_percent", "duty.kind",
    "duty.on_time_ms", "duty.off_time_ms", "outside.kind", "chamber.filling",
    "fluid.temperature_c", "flow.bottle_height_cm", "flow.pump", "flow.aspiration_ml_min",
    "flow.vacuum_limit_mmhg", "flow.occlusion_percent", "flow.leak_ml_min",
    "press.force_g", "press.place_mm", "lens.grade", "support.place_mm", "events",
)  # fmt: skip
"""Inputs that every card names, where they count; of the others those that were changed."""
COUNTS: Mapping[str, Callable[[Scenario], bool]] = {
    "drive.axial_stroke_um": lambda s: s.drive.has_axial,
    "drive.twist_stroke_deg": lambda s: s.drive.has_twist,
    "drive.phase_deg": lambda s: s.drive.kind == "elliptical",
    "duty.on_time_ms": lambda s: s.duty.kind != "continuous",
    "duty.off_time_ms": lambda s: s.duty.kind != "continuous",
    "outside.film_mm": lambda s: s.outside.kind == "air",
}
"""When an input counts that does not always."""
NOT_NAMED = ("name", "needle", "sleeve.id", "sleeve.title", "markers_mm", "thermal_camera.")
"""Inputs, or beginnings of their paths, that the card's first rows or its files hold."""
LEFT_OUT = (
    "how firmly the needle is seated and how worn it is",
    "bubbles and air in the lines",
    "the handpiece's own resonance and heat",
    "anything else that differs between two real needles, sleeves or eyes",
)
"""What a computed bench neither varies nor models: see "Outside the model" on the page about it."""


@described()
class Card:
    """What was used."""

    rows: tuple[Row, ...] = about("Label and text.")
    paragraph: str = about("The same for a report.")

    @property
    def text(self) -> str:
        """Rows and paragraph as plain text."""
        lines = [f"{label}: {value}" for label, value in self.rows]
        return "\n".join(["Methods", *lines, "", self.paragraph])


@described()
class Instrument:
    """What looked at the needle."""

    title: str = about('In a sentence: "a high-speed camera".')
    settings: Declared
    hidden: tuple[str, ...] = about("Paths of settings that do not count now.", default=())


def card(
    scenario: Scenario,
    instrument: Instrument | None = None,
    *,
    scale: str = "",
    runs: str = "1",
    uncontrolled: Iterable[str] = (),
) -> Card:
    """Return the methods card of a scenario.

    Parameters
    ----------
    instrument : Instrument, optional
        What looked at it.
    scale : str
        How large or fast the picture shows it: "1 pixel is 12.5 µm".
    runs : str
        Number of runs, and what differed between them.
    uncontrolled : iterable of str
        What the instrument does not control, before what no computed bench does.

    Examples
    --------
    >>> found = card(Scenario.preset("straight, axial"))
    >>> found.rows[0]
    ('Needle', 'Straight, medium, 17.7 mm long, 0.9 mm outside, 0.6 mm bore')
    """
    setting = (*_parts(scenario), *_used(scenario), *_changed(scenario))
    seen = _instrument(instrument)
    left_out = (*uncontrolled, *LEFT_OUT)
    last = [("Scale", scale)] if scale else []
    last += [("Runs", runs), ("Not controlled", "; ".join(left_out))]
    paragraph = _paragraph(setting, seen, instrument, scale, runs, left_out)
    return Card((*setting, *seen, *last), paragraph)


def _parts(s: Scenario) -> tuple[Row, ...]:
    n = s.needle
    size = (
        f"{MM.show(n.length)} long",
        f"{MM.show(2 * n.outer_radius)} outside",
        f"{MM.show(2 * n.inner_radius)} bore",
    )
    return (
        ("Needle", ", ".join((n.title, *size))),
        ("Sleeve", s.sleeve.title if s.sleeve else NONE),
    )


def _used(s: Scenario) -> list[Row]:
    known = inputs(Scenario)
    return [(known[p].label, known[p].text(s)) for p in USED if _counts(known[p], s)]


def _counts(one: Input, s: Scenario) -> bool:
    counts = COUNTS.get(one.path)
    return bool(one.text(s)) and (counts is None or counts(s))


def _changed(s: Scenario) -> list[Row]:
    """Return the inputs that are not at their first values, with those in brackets."""
    first = _first(s)
    return [
        (one.label, _beside(one, s, first))
        for one in inputs(Scenario).values()
        if not one.path.startswith(NOT_NAMED)
        and one.path not in USED
        and _counts(one, s)
        and one.of(s) != one.of(first)
    ]


def _first(s: Scenario) -> Scenario:
    """Return the scenario of the same needle and drive before anything was changed."""
    known = s.needle.id if s.needle.id in catalogue().needles else catalogue().main["straight"]
    return scenario_of(known, s.drive.kind)


def _beside(one: Input, s: Scenario, first: Scenario) -> str:
    usual = one.text(first)
    return f"{one.text(s)} (usually {usual})" if usual else one.text(s)


def _instrument(instrument: Instrument | None) -> list[Row]:
    if instrument is None:
        return []
    cls: type = type(instrument.settings)
    every = inputs(cls).values()
    return [
        (one.label, text)
        for one in every
        if one.path not in instrument.hidden and (text := one.text(instrument.settings))
    ]


def _paragraph(
    setting: Iterable[Row],
    seen: list[Row],
    instrument: Instrument | None,
    scale: str,
    runs: str,
    left_out: Iterable[str],
) -> str:
    out = [f"The bench was simulated with these settings: {_listed(setting)}."]
    if instrument is not None:
        out.append(f"It was seen by {instrument.title}, simulated as well: {_listed(seen)}.")
    if scale:
        out.append(f"Scale: {scale}.")
    out.append(f"Number of runs: {runs}.")
    out.append(f"Not controlled or not modelled: {'; '.join(left_out)}.")
    out.append("All numbers are computed; none was measured.")
    return " ".join(out)


def _listed(rows: Iterable[Row]) -> str:
    return "; ".join(f"{label[0].lower()}{label[1:]} {value}" for label, value in rows)
