"""Drills as TOML files, one folder: reading, refused in one sentence each."""

from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import Any

from tipsim.drill.actions import DOES, Action, ordered, read_action, real, tables
from tipsim.drill.faults import KINDS, Fault
from tipsim.drill.format import Drill, Goal, Sign, Step
from tipsim.drill.measures import MEASURES
from tipsim.drill.outputs import output
from tipsim.paths import lessons_folder
from tipsim.setup.errors import BadInput, nearest
from tipsim.setup.link import apply_settings
from tipsim.setup.presets import presets
from tipsim.setup.scenario import Scenario
from tipsim.setup.toml_text import decode_text, parse_toml, read_bytes

FOLDER = "drills"
FORMAT = "tipsim drill 1"
MOST_FAULTS = 2
"""Faults that one drill joins."""
_WANTED = "a TOML drill"
_KEYS = (
    *("format", "title", "brief", "seed", "lasts_s", "preset", "set"),
    *("fault", "sign", "right", "harmful", "goal", "careful"),
)


def drills_folder() -> Path:
    """Return the folder of drills, beside the lessons."""
    return lessons_folder() / FOLDER


def drill_ids() -> tuple[str, ...]:
    """Return the ids of all drills, in order."""
    return tuple(sorted(path.stem for path in drills_folder().glob("*.toml")))


def load_drill(id: str) -> Drill:
    """Return a drill by its id.

    Raises
    ------
    BadInput
        For an unknown id, with the nearest one, or a file that cannot be used.
    """
    if id not in drill_ids():
        raise BadInput(
            "drill", f'"{id}"', f"one of {', '.join(drill_ids())}{nearest(id, drill_ids())}"
        )
    return _read(drills_folder() / f"{id}.toml")


def _read(path: Path) -> Drill:
    text = decode_text(read_bytes(path, _WANTED), path.name, _WANTED)
    return parse_drill(path.stem, text)


@lru_cache(maxsize=64)
def parse_drill(id: str, text: str) -> Drill:
    """Read a drill from TOML text.

    Raises
    ------
    BadInput
        Naming the drill, the field, its value and what is allowed.
    """
    try:
        return _drill(id, parse_toml(text, _WANTED))
    except BadInput as bad:
        raise BadInput(f"{FOLDER}/{id}.toml: {bad.field}", bad.value, bad.allowed) from None


def _drill(id: str, data: dict[str, Any]) -> Drill:
    _known(data, _KEYS, "")
    if data.get("format") != FORMAT:
        raise BadInput("format", f'"{data.get("format", "")}"', f'format = "{FORMAT}"')
    seed = data.get("seed", 1)
    if isinstance(seed, bool) or not isinstance(seed, int) or not 0 <= seed < 1_000_000:
        raise BadInput("seed", str(seed), "a whole number from 0 to 999999")
    lasts = real(data, "lasts_s", "")
    if not 5 <= lasts <= 120:
        raise BadInput("lasts_s", f"{lasts:g} s", "5 to 120 s")
    careful = [(i, t) for i, t in enumerate(tables(data, "careful"))]
    drill = Drill(
        id,
        _words(data, "title", ""),
        _words(data, "brief", ""),
        _scenario(data),
        seed,
        lasts,
        tuple(_fault(t, f"fault[{i}]", lasts) for i, t in enumerate(tables(data, "fault"))),
        tuple(_sign(t, f"sign[{i}]") for i, t in enumerate(tables(data, "sign"))),
        tuple(_step(t, f"right[{i}]") for i, t in enumerate(tables(data, "right"))),
        tuple(_step(t, f"harmful[{i}]") for i, t in enumerate(tables(data, "harmful"))),
        tuple(_goal(t, f"goal[{i}]") for i, t in enumerate(tables(data, "goal"))),
        ordered(read_action(t, f"careful[{i}]") for i, t in careful if "after_s" not in t),
        ordered(_later(t, f"careful[{i}]") for i, t in careful if "after_s" in t),
    )
    return _whole(drill)


def _whole(drill: Drill) -> Drill:
    """Check that a drill has what it needs."""
    needed = {"fault": drill.faults, "sign": drill.signs, "right": drill.right, "goal": drill.goals}
    for key, found in {**needed, "careful": drill.script}.items():
        if not found:
            raise BadInput(key, "missing", f"at least one [[{key}]] table")
    if len(drill.faults) > MOST_FAULTS:
        raise BadInput("fault", f"{len(drill.faults)} of them", f"up to {MOST_FAULTS}")
    kinds = [f.kind for f in drill.faults]
    if len(set(kinds)) < len(kinds):
        raise BadInput("fault", f'"{kinds[0]}" twice', "two different kinds")
    both = {a for s in drill.right for a in s.any} & {a for s in drill.harmful for a in s.any}
    if both:
        raise BadInput("harmful", f'"{sorted(both)[0]}"', "an action that is not right as well")
    return drill


def _scenario(data: dict[str, Any]) -> Scenario:
    name = _words(data, "preset", "")
    if name not in presets():
        raise BadInput("preset", f'"{name}"', f"a preset{nearest(name, presets())}")
    settings = data.get("set", {})
    if not isinstance(settings, dict):
        raise BadInput("set", "not a table", "a table of inputs")
    eye = Scenario.preset(name).with_(**{"outside.kind": "wound"})
    out = apply_settings(eye, [f"{k}={v}" for k, v in settings.items()])
    if out.sleeve is None or out.outside.kind != "wound" or out.flow.by_vacuum or out.events:
        raise BadInput("set", "another bench", "a sleeved needle in the eye, flow-controlled pump")
    if out.press is not None or not (out.flow.aspiration and out.flow.bottle_height):
        raise BadInput("set", "a load, no aspiration or no bottle", "aspiration, bottle, no load")
    return replace(out, markers=(0.0,))


def _fault(table: dict[str, Any], place: str, lasts: float) -> Fault:
    kind = _one_of(table, "kind", KINDS, place)
    known = KINDS[kind]
    _known(table, tuple(filter(None, ("kind", "window_s", known.key))), place)
    window = table.get("window_s")
    if not isinstance(window, list) or len(window) != 2:
        raise BadInput(f"{place}.window_s", str(window), "two times [s]")
    low, high = (real({"window_s": w}, "window_s", place) for w in window)
    if not 0 <= low <= high <= lasts - 3:
        raise BadInput(
            f"{place}.window_s", f"{low:g} to {high:g} s", f"0 to {lasts - 3:g} s, rising"
        )
    size = known.usual
    if known.key in table:
        size = known.unit.to_si(real(table, known.key, place))
        if not known.low - 1e-12 <= size <= known.high + 1e-12:
            show = known.unit.show
            raise BadInput(
                f"{place}.{known.key}", show(size), f"{show(known.low)} to {show(known.high)}"
            )
    return Fault(kind, (low, high), size)


def _sign(table: dict[str, Any], place: str) -> Sign:
    _known(table, ("curve", "below", "above", "lasts_s", "says"), place)
    found = output(_words(table, "curve", place), f"{place}.curve")
    if not found.seen:
        said = "a curve that a team can see or hear"
        raise BadInput(f"{place}.curve", f'"{found.key}", which nobody sees', said)
    if ("below" in table) == ("above" in table):
        raise BadInput(place, "without a level, or with two", "either below or above")
    key = "below" if "below" in table else "above"
    level = found.unit.to_si(real(table, key, place))
    lasts = real(table, "lasts_s", place, 0.3)
    if not 0 <= lasts <= 10:
        raise BadInput(f"{place}.lasts_s", f"{lasts:g} s", "0 to 10 s")
    below, above = (level, None) if key == "below" else (None, level)
    return Sign(found.name, below, above, lasts, _words(table, "says", place))


def _step(table: dict[str, Any], place: str) -> Step:
    _known(table, ("do", "says"), place)
    do = table.get("do")
    any_ = [do] if isinstance(do, str) else do
    if not isinstance(any_, list) or not any_:
        raise BadInput(f"{place}.do", str(do), "an action or a list of actions")
    for each in any_:
        _one_of({"do": each}, "do", DOES, place)
    return Step(tuple(any_), _words(table, "says", place))


def _goal(table: dict[str, Any], place: str) -> Goal:
    _known(table, ("measure", "least", "most"), place)
    measure = _one_of(table, "measure", MEASURES, place)
    if ("least" in table) == ("most" in table):
        raise BadInput(place, "without a limit, or with two", "either least or most")
    key = "least" if "least" in table else "most"
    limit = real(table, key, place)
    return Goal(measure, limit if key == "least" else None, limit if key == "most" else None)


def _later(table: dict[str, Any], place: str) -> Action:
    return read_action(table, place, "after_s")


def _known(table: dict[str, Any], keys: tuple[str, ...], place: str) -> None:
    for name in table:
        if name not in keys:
            where = f"{place}.{name}" if place else name
            raise BadInput(where, "not known", f"{', '.join(keys)}{nearest(name, keys)}")


def _words(table: dict[str, Any], key: str, place: str) -> str:
    value = table.get(key)
    where = f"{place}.{key}" if place else key
    if not isinstance(value, str) or not value.strip():
        raise BadInput(where, "missing" if value is None else str(value), "words")
    return " ".join(value.split())


def _one_of(table: dict[str, Any], key: str, known: Any, place: str) -> str:
    value = table.get(key)
    if not isinstance(value, str) or value not in known:
        shown = "missing" if value is None else f'"{value}"'
        hint = nearest(value, known) if isinstance(value, str) else ""
        raise BadInput(f"{place}.{key}", shown, f"{', '.join(known)}{hint}")
    return value
