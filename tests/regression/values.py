"""The numbers of a result that links are compared by: paths of `Result.to_dict`, in its units."""

from collections.abc import Mapping
from typing import Any

Values = dict[str, Any]
"""Number, list of numbers or None by path; words are left out, since wording may change."""
NOT_COMPARED = ("energy_balance_error",)
"""Rounding error and no result."""


def leaves(plain: Any, place: str = "") -> Values:
    """Return every number of plain data by its path; parts of a list share a path and follow on.

    >>> leaves({"a": 1.5, "b": [{"c": 2, "word": "x"}, {"c": 3}], "d": {"e": None}, "f": True})
    {'a': 1.5, 'b[].c': [2, 3], 'd.e': None, 'f': 1}
    """
    if isinstance(plain, Mapping):
        out: Values = {}
        for name, value in plain.items():
            if name not in NOT_COMPARED:
                out |= leaves(value, f"{place}.{name}" if place else name)
        return out
    if isinstance(plain, list):
        if not any(isinstance(part, Mapping) for part in plain):
            return {place: [v for v in plain if isinstance(v, int | float)]}
        lists: dict[str, list[Any]] = {}
        for part in plain:
            for path, value in leaves(part).items():
                lists.setdefault(f"{place}[].{path}", []).append(value)
        return dict(lists)
    if isinstance(plain, str):
        return {}
    return {place: int(plain) if isinstance(plain, bool) else plain}


def of_result(result: Any, parts: Mapping[str, Any], wanted: list[str]) -> dict[str, Values]:
    """Return the numbers of the wanted parts of a result; `parts` makes plain data of each."""
    return {name: leaves(parts[name](result)) for name in wanted}


def of_surge(run: Any) -> Values:
    """Return the numbers of an occlusion and its break, in SI."""
    return {
        name: _six(getattr(run, name))
        for name in ("rise_time", "lowest", "depth", "lost", "fastest")
    }


def of_measurement(measured: Any) -> Values:
    """Return what a film shows, in SI: frequency, and strokes of its marks."""
    readings = measured.readings
    return {
        "frequency": _six(measured.frequency),
        "seen": [_six(r.seen) for r in readings],
        "fitted": [_six(r.fitted) for r in readings],
        "true": [_six(r.true) for r in readings],
    }


def packed(of_parts: Mapping[str, Any], paths: dict[str, list[str]]) -> dict[str, Any]:
    """Return values without their paths, by part, in the order of `paths`, which grows."""
    out: dict[str, Any] = {}
    for part, of in of_parts.items():
        if part in ("a", "b"):
            out[part] = packed(of, paths)
            continue
        known = paths.setdefault(part, [])
        known += [path for path in of if path not in known]
        out[part] = [of.get(path) for path in known]
    return out


def unpacked(of_parts: Mapping[str, Any], paths: Mapping[str, list[str]]) -> dict[str, Any]:
    """Return values by part and path, from what `packed` made.

    >>> paths: dict[str, list[str]] = {}
    >>> both = {"a": {"heat": {"x": 1}}, "b": {"heat": {"x": 2, "y": [3]}}}
    >>> packed(both, paths), paths
    ({'a': {'heat': [1]}, 'b': {'heat': [2, [3]]}}, {'heat': ['x', 'y']})
    >>> unpacked(packed(both, paths), paths)["b"]
    {'heat': {'x': 2, 'y': [3]}}
    """
    return {
        part: unpacked(of, paths)
        if part in ("a", "b")
        else dict(zip(paths[part], of, strict=False))
        for part, of in of_parts.items()
    }


def _six(value: float | None) -> float | None:
    return None if value is None else float(f"{value:.6g}")
