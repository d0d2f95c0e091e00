"""The methods card: what was used, as rows and as a paragraph that a report can take over.

Labels, units and words come from the declared fields; here stands only which of them count.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace

from tipsim.setup.catalogue import catalogue
from tipsim.setup.described import about, described
from tipsim.setup.fields import Declared, capital
from tipsim.setup.inputs import Input, inputs
from tipsim.setup.presets import scenario_of
from tipsim.setup.scenario import Scenario
from tipsim.setup.units import MM

USED: Mapping[str, tuple[str, ...]] = {
    "Drive": (
        "drive.kind", "drive.frequency_khz", "drive.axial_stroke_um", "drive.twist_stroke_deg",
        "drive.phase_deg", "drive.power_percent", "duty.kind", "duty.on_time_ms",
        "duty.off_time_ms",
    ),
    "Fluid and place": (
        "outside.kind", "chamber.filling", "fluid.temperature_c", "flow.bottle_height_cm",
        "flow.pump", "flow.aspiration_ml_min", "flow.vacuum_limit_mmhg", "flow.occlusion_percent",
        "flow.leak_ml_min",
    ),
    "Load and events": (
        "press.force_g", "press.place_mm", "press.length_mm", "lens.grade",
        "lens.shear_modulus_kpa", "support.place_mm", "drive.holds", "events",
    ),
}  # fmt: skip
"""Inputs that every card names, where they count; of the others those that were changed."""
COUNTS: Mapping[str, Callable[[Scenario], bool]] = {
    "drive.axial_stroke_um": lambda s: s.drive.has_axial,
    "drive.twist_stroke_deg": lambda s: s.drive.has_twist,
    "drive.phase_deg": lambda s: s.drive.kind == "elliptical",
    "drive.holds": lambda s: not (s.press is None and s.lens is None and s.support is None),
    "duty.on_time_ms": lambda s: s.duty.kind != "continuous",
    "duty.off_time_ms": lambda s: s.duty.kind != "continuous",
    "events": lambda s: bool(s.events),
}
"""When an input counts that does not always."""
NOT_NAMED = (
    "name", "needle", "sleeve.id", "sleeve.title", "markers_mm", "thermal_camera.", "endoscope.",
)  # fmt: skip
"""Inputs, or beginnings of their paths, that the card has in rows of their own or in its files."""
NEEDLE, CHANGED, RUNS, NOT_CONTROLLED = (
    "Needle",
    "Changed from first values",
    "Runs",
    "Not controlled",
)
LEFT_OUT = (
    "how firmly the needle is seated and how worn it is",
    "bubbles and air in the lines",
    "the handpiece's own resonance and heat",
    "all else that differs between two real needles, sleeves or eyes",
)
"""What a computed bench neither varies nor models; the page about the model says why it matters."""

NO_FILM = "none: the motion is outside the range of the model"
"""Number of runs where nothing is filmed."""
SIDES = "ABCD"
"""Letters of needles that are compared."""
LAST = "All numbers are computed with tipsim, a teaching model; none was measured."


@described()
class Row:
    """One line of the card."""

    group: str = about("Heading that it stands under; its label; its text, with the unit.")
    label: str
    text: str
    side: str = about('Needle that it is of, where two differ: "A", "B" or "".', default="")

    @property
    def heading(self) -> str:
        """Label, with the needle's letter."""
        return f"{self.label} {self.side}".strip()


@described()
class Card:
    """What was used."""

    rows: tuple[Row, ...]
    paragraph: str = about("The same for a report.")

    @property
    def groups(self) -> dict[str, tuple[Row, ...]]:
        """Rows by their headings, in order."""
        names = dict.fromkeys(row.group for row in self.rows)
        return {name: tuple(r for r in self.rows if r.group == name) for name in names}

    @property
    def text(self) -> str:
        """Rows and paragraph as plain text."""
        out = []
        for name, rows in self.groups.items():
            out += [name, *(f"  {row.heading}: {row.text}" for row in rows), ""]
        return "\n".join([*out, "For a report", f"  {self.paragraph}"])


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
    uncontrolled: Sequence[str] = (),
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
    uncontrolled : sequence of str
        What the instrument does not control, before what no computed bench does.

    Examples
    --------
    >>> found = card(Scenario.preset("straight, axial"))
    >>> found.rows[0].text
    'Straight, medium, 17.7 mm long, 0.9 mm outside, 0.6 mm bore'
    >>> found.paragraph.split(". ")[3][:55]
    'Hub motion: longitudinal (axial); frequency: 40 kHz; st'
    """
    rows = (*_needle(scenario), *_used(scenario), *_changed(scenario), *_seen(instrument))
    if scale:
        rows = (*rows, Row(RUNS, "Scale", scale))
    rows = (
        *rows,
        Row(RUNS, "Number of runs", runs),
        Row(NOT_CONTROLLED, NOT_CONTROLLED, "; ".join((*uncontrolled, *LEFT_OUT))),
        Row(NOT_CONTROLLED, "Assumed numbers", _assumed(scenario)),
    )
    return Card(rows, _paragraph(rows))


def compared(*cards: Card) -> Card:
    """Return the card of several needles: what differs is said of each, by its letter.

    >>> one, other = (card(Scenario.preset(f"{n}, axial")) for n in ("straight", "single-bend"))
    >>> [row.heading for row in compared(one, other).rows][:4]
    ['Needle A', 'Needle B', 'Sleeve', 'Needle exposure']
    """
    each = [{(r.group, r.label): r for r in c.rows} for c in cards]
    keys = dict.fromkeys(key for rows in each for key in rows)
    out: list[Row] = []
    for key in keys:
        found = [rows.get(key) for rows in each]
        if len({None if r is None else r.text for r in found}) == 1:
            out += [r for r in found[:1] if r is not None]
            continue
        sides = zip(SIDES, found, strict=False)
        out += [replace(r, side=side) for side, r in sides if r is not None]
    order = list(dict.fromkeys(group for group, _ in sorted(keys, key=_last)))
    out.sort(key=lambda r: order.index(r.group))
    return Card(tuple(out), _paragraph(out))


def _last(key: tuple[str, str]) -> bool:
    """Sort what every card ends with behind what only some of them have."""
    return key[0] in (RUNS, NOT_CONTROLLED)


def _needle(s: Scenario) -> list[Row]:
    n, known = s.needle, inputs(Scenario)["sleeve.exposed_mm"]
    size = (
        f"{MM.show(n.length)} long",
        f"{MM.show(2 * n.outer_radius)} outside",
        f"{MM.show(2 * n.inner_radius)} bore",
    )
    rows = [
        Row(NEEDLE, "Needle", ", ".join((n.title, *size))),
        Row(NEEDLE, "Sleeve", s.sleeve.title if s.sleeve else "none"),
    ]
    return [*rows, Row(NEEDLE, known.label, known.text(s))] if s.sleeve else rows


def _used(s: Scenario) -> list[Row]:
    known = inputs(Scenario)
    return [
        _row(group, known[path], s)
        for group, paths in USED.items()
        for path in paths
        if _counts(known[path], s)
    ]


def _row(group: str, one: Input, owner: object) -> Row:
    return Row(group, one.label, one.text(owner))


def _counts(one: Input, s: Scenario) -> bool:
    counts = COUNTS.get(one.path)
    return bool(one.text(s)) and (counts is None or counts(s))


def _changed(s: Scenario) -> list[Row]:
    """Return the inputs that are not at their first values, with those in brackets."""
    first = _first(s)
    named = {"sleeve.exposed_mm", *(path for paths in USED.values() for path in paths)}
    return [
        Row(CHANGED, one.label, _beside(one, s, first))
        for one in inputs(Scenario).values()
        if not one.path.startswith(NOT_NAMED)
        and one.path not in named
        and _counts(one, s)
        and one.of(s) != one.of(first)
        and one.part.partition(".")[0] not in ("press", "lens", "support")
    ]


def _first(s: Scenario) -> Scenario:
    """Return the scenario of the same needle and drive before anything was changed."""
    known = s.needle.id if s.needle.id in catalogue().needles else catalogue().main["straight"]
    return scenario_of(known, s.drive.kind)


def _beside(one: Input, s: Scenario, first: Scenario) -> str:
    usual = one.text(first)
    return f"{one.text(s)} (first value {usual})" if usual else one.text(s)


def _seen(instrument: Instrument | None) -> list[Row]:
    if instrument is None:
        return []
    cls: type = type(instrument.settings)
    title = capital(instrument.title.removeprefix("a ").removeprefix("an "))
    return [
        _row(f"{title} (simulated)", one, instrument.settings)
        for one in inputs(cls).values()
        if one.path not in instrument.hidden and one.text(instrument.settings)
    ]


def _assumed(s: Scenario) -> str:
    every = inputs(Scenario).values()
    rests = [i.source for i in every if i.source and i.text(s) and not i.path.startswith(NOT_NAMED)]
    bare = [source for source in rests if source.status in ("assumed", "common practice")]
    return f"{len(bare)} of the model's {len(rests)} listed numbers; none was varied between runs"


def _paragraph(rows: Iterable[Row]) -> str:
    """Return the rows as text with a heading to each group, as sections on methods have them."""
    groups = Card(tuple(rows), "").groups
    said = [f"{name}. {capital('; '.join(map(_phrase, found)))}." for name, found in groups.items()]
    return " ".join([*said, LAST])


def _phrase(row: Row) -> str:
    """Return a row within a list; a text that begins with its own label needs no other."""
    if row.text.lower().startswith(row.label.lower()) and not row.side:
        return _small(row.text)
    if row.label == row.group:
        return f"{row.side}: {_small(row.text)}".removeprefix(": ")
    return f"{_small(row.heading)}: {_small(row.text)}"


def _small(text: str) -> str:
    """Return a text that begins with a small letter, but for one that is all capitals."""
    return text if text[1:2].isupper() else text[:1].lower() + text[1:]
