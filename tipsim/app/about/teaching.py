"""For teachers: three things to show, with links into the bench, and wrong ideas to meet."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from tipsim.app.about.results import defaults, microns, percent, ratio
from tipsim.app.bench_state import BenchState
from tipsim.app.framework.stage.stage import Look
from tipsim.app.words import character_word, listed
from tipsim.motion.markers import AGAINST
from tipsim.setup.scenario import Scenario
from tipsim.solve import Result, solve

ONE_PERCENT = 1.01


@dataclass(frozen=True)
class Showing:
    """Something to show on the bench.

    Attributes
    ----------
    title : str
        What it is about.
    query : str
        The link's query.
    link : str
        The link's words.
    ask : str
        What to ask before it moves.
    see : str
        What the model then shows, computed.
    """

    title: str
    query: str
    link: str
    ask: str
    see: str


@dataclass(frozen=True)
class WrongIdea:
    """A usual mistake, and what the model has to say to it."""

    idea: str
    answer: str


def still_query(state: BenchState) -> str:
    """Return the query of a bench whose picture waits for the learner to guess first.

    >>> still_query(BenchState.first())
    'a.needle=single-bend&b.needle=counter-bent&drive=torsional&view.play=0'
    """
    return state.to_query({"play": "0"})


def showings() -> list[Showing]:
    """Return three things to show in five minutes."""
    return [_bend(), _characters(), _one_percent()]


def _bend() -> Showing:
    d = defaults()
    state = BenchState(d.straight.scenario, d.single.scenario)
    straight, single = d.straight.motion, d.single.motion
    return Showing(
        "A twist becomes a swing at the bend",
        still_query(state),
        "Straight against single-bend, torsional drive",
        "Both hubs turn to and fro by the same angle. Whose mouth will travel, and which way?",
        f"The middle of the straight needle's mouth travels {microns(straight.end_stroke)}; its "
        f"rim turns by {microns(straight.edge_stroke)}. The single bend's end travels "
        f"{microns(single.end_stroke)}. Only the bend differs.",
    )


def _characters() -> Showing:
    d = defaults()
    a, b = d.single.motion, d.counter.motion
    quieter = a.character.shaft_rms / b.character.shaft_rms
    return Showing(
        "The end does not tell what the shaft does",
        still_query(BenchState(d.single.scenario, d.counter.scenario)),
        "Single-bend against counter-bent, torsional drive",
        "Whose end goes further? Whose shaft moves more? Which points go the same way?",
        f"The counter-bent end travels {ratio(b.end_stroke / a.end_stroke)} times as far (chosen "
        f"so), its shaft {ratio(1 / quieter)} times (root mean square). The single bend is "
        f"{character_word(a)}, the other {character_word(b)}. "
        + _against_sentence(d.single, d.counter),
    )


def against(result: Result) -> list[str]:
    """Return the distances from the end [mm] of the markers that move against it, as text."""
    return [f"{k.distance * 1e3:g}" for k in result.motion.markers if k.direction == AGAINST]


def _against_sentence(a: Result, b: Result) -> str:
    one, two = against(a), against(b)
    if one == two and one:
        return (
            f"In both, the points {listed(one)} mm behind the end move against it: step the phase "
            "to see it."
        )
    said = [f"{r.scenario.needle.title}: {listed(x) or 'none'}" for r, x in ((a, one), (b, two))]
    return f"Points that move against the end, mm behind it: {'; '.join(said)}."


def shifted(scenario: Scenario, factor: float) -> Scenario:
    """Return a scenario with its frequency times a factor."""
    frequency = scenario.drive.frequency * factor
    return replace(scenario, drive=replace(scenario.drive, frequency=frequency))


def _one_percent() -> Showing:
    base = defaults().single
    other = solve(shifted(base.scenario, ONE_PERCENT))
    grown = other.motion.end_stroke / base.motion.end_stroke - 1
    word = "further" if grown > 0 else "less far"
    return Showing(
        "How much one per cent can do",
        still_query(BenchState(base.scenario, other.scenario)),
        f"The same needle at {base.motion.frequency / 1e3:g} and "
        f"{other.motion.frequency / 1e3:g} kHz",
        "Same needle, same twist, but B's drive is one per cent faster. What changes?",
        f"B's end travels {percent(abs(grown))} {word}: a resonance is not far. Now lower B's "
        "“Sleeve follows the needle” in small steps. Which of these strokes would you vouch for?",
    )


def wrong_ideas() -> list[WrongIdea]:
    """Return usual wrong ideas and what the model says to them, in its own figures."""
    d = defaults()
    a, b = d.single.motion, d.counter.motion
    half = microns(a.end_stroke / 2)
    return [
        WrongIdea("“The end that moves most heats most.”", _heat(d.single, d.counter)),
        WrongIdea("“More bend means more swing.”", _turns(d.single, d.counter)),
        WrongIdea(
            "“Amplitude and stroke are the same.”",
            f"Amplitude is half of the stroke: {microns(a.end_stroke)} of stroke are {half} of "
            "amplitude. Many papers do not say which they mean: a factor of two.",
        ),
        WrongIdea(
            "“The power display is the stroke.”",
            f"In the model half the power is half the stroke ({half}), by assumption. A machine's "
            "display need not follow that rule.",
        ),
        WrongIdea("“At a node nothing moves.”", _node(d.single)),
        WrongIdea(
            "“It moves as far as the picture shows.”",
            f"Motion is drawn {Look().exaggeration:g} times too large and "
            f"{_slowed(a.frequency)} times too slow. Even {microns(b.end_stroke)} are only "
            f"{percent(_of_width(d.counter))} of the tube's width.",
        ),
        WrongIdea(
            "“It fits the published value, so it is right.”",
            "Not when it was made to fit. Ask of every number: fitted, or predicted?",
        ),
    ]


def _slowed(frequency: float) -> str:
    """Write by how much time is stretched on a first look, thousands apart.

    >>> _slowed(32e3).replace(chr(160), " ")
    '64 000'
    """
    return f"{frequency / Look().speed:,.0f}".replace(",", "\N{NO-BREAK SPACE}")


def _of_width(result: Result) -> float:
    """Return the end's stroke over the tube's outer diameter [no unit]."""
    return result.motion.end_stroke / (2 * result.scenario.needle.outer_radius)


def _heat(single: Result, counter: Result) -> str:
    a, b = single.motion, counter.motion
    more = "less" if b.power < a.power else "more"
    further = "further" if b.end_stroke > a.end_stroke else "less far"
    return (
        f"Power is spent along the whole needle, not at its end. The counter-bent end travels "
        f"{further}, and its hub puts in {more}: {b.power:.1f} against {a.power:.1f} W, by "
        "order of magnitude."
    )


def turned(result: Result) -> float:
    """Return the sum of a needle's turns, whichever way they go [rad]."""
    return sum(abs(p.turn) for p in result.scenario.needle.pieces)


def _turns(single: Result, counter: Result) -> str:
    degrees = [float(np.degrees(turned(r))) for r in (single, counter)]
    a, b = (r.motion.character.shaft_rms for r in (single, counter))
    return (
        f"The counter-bent needle bends by {degrees[1]:.0f}° in all, the single bend by "
        f"{degrees[0]:.0f}°; their shafts move {microns(b)} and {microns(a)} sideways (root mean "
        "square). Two bends can push the shaft alike, or against each other."
    )


def turning_at_node(result: Result) -> tuple[float, float]:
    """Return the node furthest from the end [m from it] and the surface's turning there [m]."""
    m = result.motion
    place = m.still_points[-1]
    middle = m.frame.s[-1] - (m.frame.s[1:] + m.frame.s[:-1]) / 2
    return place, float(m.surface_stroke[np.argmin(np.abs(middle - place))])


def _node(result: Result) -> str:
    place, turning = turning_at_node(result)
    return (
        f"It stands still sideways. At the single bend's node, {place * 1e3:.1f} mm from the end, "
        f"the surface still turns to and fro by {microns(turning)}."
    )
