"""Numbers of the model fitted to measured strokes and directions, and which cannot be told apart.

The motion of the hub enters as a factor with a phase, solved for at each step (the model is linear
in it: variable projection, G. H. Golub and V. Pereyra, SIAM J. Numer. Anal. 10 (1973) 413-432); the
rest by SciPy's `least_squares` within the declared ranges. Each place weighs by its own error.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from operator import attrgetter

import numpy as np
from scipy import special
from scipy.optimize import least_squares

from tipsim.measured.strokes import Strokes
from tipsim.motion.camera import Camera
from tipsim.motion.camera.view import scene
from tipsim.motion.lumped import Complexes
from tipsim.motion.sections import Floats
from tipsim.motion.travel import stroke
from tipsim.setup.described import about, described
from tipsim.setup.errors import BadInput, nearest
from tipsim.setup.inputs import Input, inputs
from tipsim.setup.scenario import Scenario
from tipsim.solve import solve

MOST_FREE = 4
ALIKE = 0.95
"""Two numbers whose errors go together more than this cannot be told apart; a convention."""
OPEN = 0.8
"""A number whose interval holds more than this share of its range is left open; a convention."""
_STEP = 1e-4
"""Step of the differences, as a share of a number's range."""
_NEAR = 1e-3
"""Nearer to the end of its range than this share, a number counts as stopped there."""


@described(eq=False)
class Number:
    """One fitted number, in SI."""

    input: Input
    value: float
    low: float = about("Bounds of the 95 % interval, within the declared range.")
    high: float
    first: float = about("Where the fit began: what the scenario says.")
    stopped: bool = about("Whether it ran to the end of its range.")


@described(eq=False)
class ModelFit:
    """A model brought to a measurement. Fitted is not predicted."""

    scenario: Scenario = about("With the fitted numbers in it.")
    numbers: tuple[Number, ...]
    hub: float = about("Motion of the hub over the one that the scenario says.")
    hub_low: float = about("Bounds of its 95 % interval.")
    hub_high: float
    correlation: Floats = about("Of the errors of the numbers and the hub's factor, last.")
    amplitudes: Complexes = about("Of the fitted model at the marks, right and up [m], (k, 2).")
    misfit: float = about("What is left, squared, over what noise leaves: about 1 if all is well.")
    freedom: int = about("Measured numbers less fitted ones.")
    doubts: tuple[str, ...] = about("Sentences on what speaks against the fit.")


@dataclass(frozen=True)
class _Task:
    scenario: Scenario
    free: tuple[Input, ...]
    view: str
    marks: tuple[int, ...]
    data: Complexes
    weights: Floats

    def amplitudes(self, values: Floats) -> Complexes:
        """Return the marks' amplitudes (k, 2) for free numbers in SI."""
        named = {i.name: float(v) for i, v in zip(self.free, values, strict=True)}
        one = self.scenario.with_(**named)
        camera = Camera(view=self.view)
        dots = scene(solve(one).motion, one.needle, camera).dots
        return np.stack([dots[m].moves for m in self.marks])

    def weighted(self, amplitudes: Complexes) -> Floats:
        """Return real and imaginary parts in units of their errors, shape (4 k,)."""
        parts = np.stack([amplitudes.real, amplitudes.imag], axis=2).reshape(len(amplitudes), 4)
        return np.asarray(np.einsum("kij,kj->ki", self.weights, parts).ravel())

    def factor(self, amplitudes: Complexes) -> complex:
        """Return the hub's factor that brings a model nearest to the data."""
        columns = np.stack([self.weighted(amplitudes), self.weighted(1j * amplitudes)], axis=1)
        re, im = np.linalg.lstsq(columns, self.weighted(self.data), rcond=None)[0]
        return complex(re, im)

    def left(self, amplitudes: Complexes) -> Floats:
        """Return data less the scaled model, in units of their errors, shape (4 k,)."""
        return self.weighted(self.data - self.factor(amplitudes) * amplitudes)


def fit_model(
    measured: Strokes, scenario: Scenario, free: Sequence[str], view: str = "edge-on"
) -> ModelFit:
    """Fit numbers of a scenario, and the hub's motion, to measured strokes and directions.

    Parameters
    ----------
    measured : Strokes
        Mark n is the scenario's n-th marker.
    free : sequence of str
        Inputs by name, path or short name, such as "loss_factor" or "sleeve.mobility".
    view : str
        "edge-on" or "flat": from where the film was taken, as on the camera's page.

    Raises
    ------
    BadInput
        For an input that is not there or not a number, too many, or marks without a marker.
    """
    task = _task(measured, scenario, free, view)
    ends = np.array([_range(i) for i in task.free]).reshape(-1, 2)
    width = ends[:, 1] - ends[:, 0]
    begin = np.array([_first(i, scenario) for i in task.free])

    def left(shares: Floats) -> Floats:
        return task.left(task.amplitudes(ends[:, 0] + shares * width))

    shares = np.clip((begin - ends[:, 0]) / width, 1e-6, 1 - 1e-6)
    if task.free:
        found = least_squares(
            left, shares, bounds=(0, 1), diff_step=np.full(len(shares), _STEP), x_scale=0.1
        )
        shares = np.asarray(found.x)
    values = ends[:, 0] + shares * width
    return _answer(task, values, begin, ends)


def _task(measured: Strokes, scenario: Scenario, free: Sequence[str], view: str) -> _Task:
    if len(free) > MOST_FREE:
        raise BadInput("numbers to fit", str(len(free)), f"up to {MOST_FREE}")
    known = tuple(inputs(Scenario).values())
    chosen = tuple(_input(name, known) for name in free)
    for i in chosen:
        _first(i, scenario)
    marks = tuple(m.number - 1 for m in measured.marks)
    count = len(scenario.markers)
    if min(marks) < 0 or max(marks) >= count:
        wrong = next(m + 1 for m in marks if not 0 <= m < count)
        raise BadInput("mark", str(wrong), f"1 to {count}, the markers of the scenario")
    if 4 * len(marks) < len(chosen) + 3:
        raise BadInput("numbers to fit", str(len(chosen)), "fewer, or more marks")
    seen = [m.value / (float(stroke(m.sine.amplitude)) or 1.0) for m in measured.marks]
    data = np.stack([m.sine.amplitude * s for m, s in zip(measured.marks, seen, strict=True)])
    weights = np.stack(
        [
            np.linalg.inv(np.linalg.cholesky(_firm(m.sine.covariance * s**2)))
            for m, s in zip(measured.marks, seen, strict=True)
        ]
    )
    one = scenario.with_(**{"drive.frequency": measured.frequency})
    return _Task(one, chosen, view, marks, data, weights)


def _firm(covariance: Floats) -> Floats:
    """Return a covariance that has an inverse, for a film without noise."""
    least = (1e-9) ** 2
    return covariance + least * np.eye(len(covariance))


def _input(name: str, every: Sequence[Input]) -> Input:
    for i in every:
        if name in (i.name, i.path, i.short) and i.kind == "quantity":
            return i
    names = [i.name for i in every if i.kind == "quantity"]
    raise BadInput("number to fit", f'"{name}"', "a number of the scenario" + nearest(name, names))


def _first(i: Input, scenario: Scenario) -> float:
    """Return where the fit begins [SI]: what is set, or the number that would count if it were."""
    value = i.settled(scenario)
    part = attrgetter(i.part)(scenario) if i.part else scenario
    if value is None and i.source is not None and part is not None:
        value = i.source.si
    if value is None:
        raise BadInput("number to fit", f'"{i.name}"', "one that this scenario has")
    return float(value)


def _range(i: Input) -> tuple[float, float]:
    """Return the range [SI] within which a number is looked for: that of its control."""
    return i.unit.to_si(i.slider[0]), i.unit.to_si(i.slider[1])


def _answer(task: _Task, values: Floats, begin: Floats, ends: Floats) -> ModelFit:
    amplitudes = task.amplitudes(values)
    factor = task.factor(amplitudes)
    left = task.left(amplitudes)
    freedom = len(left) - len(values) - 2
    misfit = float(left @ left) / freedom
    columns = _columns(task, values, amplitudes, factor, ends)
    covariance = np.linalg.pinv(columns.T @ columns, hermitian=True) * max(misfit, 1.0)
    errors = np.sqrt(np.diag(covariance))
    turned = np.diag(1 / np.where(errors > 0, errors, 1.0))
    correlation = turned @ covariance @ turned
    sure = float(special.stdtrit(freedom, 0.975))
    numbers = tuple(
        _number(i, v, sure * e, b, r)
        for i, v, e, b, r in zip(task.free, values, errors, begin, ends, strict=False)
    )
    named = {i.name: float(v) for i, v in zip(task.free, values, strict=True)}
    hub, bar = abs(factor), sure * float(errors[-1])
    return ModelFit(
        task.scenario.with_(**named),
        numbers,
        hub,
        max(hub - bar, 0.0),
        hub + bar,
        correlation,
        factor * amplitudes,
        misfit,
        freedom,
        tuple(_doubts(numbers, correlation, misfit, freedom, columns)),
    )


def _number(i: Input, value: float, half: float, first: float, ends: Floats) -> Number:
    low, high = ends
    near = _NEAR * (high - low)
    stopped = bool(value - low < near or high - value < near)
    return Number(i, float(value), max(value - half, low), min(value + half, high), first, stopped)


def _columns(
    task: _Task, values: Floats, amplitudes: Complexes, factor: complex, ends: Floats
) -> Floats:
    """Return how the weighted model follows each number, the phase taken out, the factor last."""
    columns = []
    for i, (low, high) in enumerate(ends):
        step = _STEP * (high - low)
        side = -step if values[i] + step > high else step
        moved = values.copy()
        moved[i] += side
        columns.append(task.weighted(factor * (task.amplitudes(moved) - amplitudes) / side))
    columns.append(task.weighted(factor / abs(factor) * amplitudes))
    phase = task.weighted(1j * factor * amplitudes)
    kept = np.stack(columns, axis=1)
    return np.asarray(kept - np.outer(phase, phase @ kept) / float(phase @ phase))


def _doubts(
    numbers: Sequence[Number], correlation: Floats, misfit: float, freedom: int, columns: Floats
) -> list[str]:
    said = []
    names = [n.input.label or n.input.name for n in numbers] + ["Motion of the hub"]
    for i, a in enumerate(names):
        for j, b in enumerate(names[:i]):
            if abs(correlation[i, j]) > ALIKE:
                said.append(f"{b} and {a[0].lower()}{a[1:]} cannot be told apart by these marks.")
    sizes = np.linalg.norm(columns, axis=0)
    for n, size in zip(numbers, sizes, strict=False):
        low, high = _range(n.input)
        if size == 0 or n.high - n.low > OPEN * (high - low):
            said.append(f"{n.input.label} is left open by these tracks.")
        elif n.stopped:
            said.append(f"{n.input.label} ran to the end of its range: the fit wants more.")
    # By chance alone the misfit is larger in one of twenty films.
    if misfit * freedom > float(special.chdtri(freedom, 0.05)):
        said.append(
            f"The misfit is {math.sqrt(misfit):.2g} times the noise: the model does not describe "
            "these tracks, and the intervals are widened by that."
        )
    return said
