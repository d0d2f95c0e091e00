"""What a learner can do, and when: the pedal, the settings, the team."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from tipsim.setup.errors import BadInput, nearest
from tipsim.setup.toml_text import parse_toml

REST, IRRIGATION, ASPIRATION, ULTRASOUND, REFLUX = PEDAL = (
    *("rest", "irrigation", "aspiration", "ultrasound"),
    "reflux",
)
"""Positions of the pedal, 0 to 3, and reflux."""
TEAM = {
    "raise the bottle": "drill.time_panel",
    "lower the bottle": "drill.time_panel",
    "change the bottle": "drill.time_change",
    "free the line": "drill.time_free",
    "open the vent": "drill.time_free",
    "close the wound": "drill.time_close",
    "flush": "drill.time_flush",
    "lower the vacuum": "drill.time_panel",
    "raise the vacuum": "drill.time_panel",
    "lower the power": "drill.time_panel",
    "raise the power": "drill.time_panel",
    "straighten": "drill.time_straighten",
    "call for help": "drill.time_panel",
    "stop": "drill.pedal_time",
}
"""What the team does, and the number that says how long that takes."""
DOES = (*PEDAL, *TEAM)
MOST = 400
"""Actions that one drill takes."""
LONGEST = 300.0
"""How long a drill can last [s]."""


@dataclass(frozen=True)
class Action:
    """One thing that the learner does.

    Parameters
    ----------
    time : float
        When [s].
    do : str
        One of `DOES`. "stop" is foot to irrigation, needle still.
    travel : float
        Of the pedal within "ultrasound", 0 to 1: power is in proportion.

    Raises
    ------
    BadInput
        For an unknown action, or a number out of range.

    Examples
    --------
    >>> Action(2.0, "ultrasound", 0.5).travel
    0.5
    >>> Action(2.0, "free the lin")
    Traceback (most recent call last):
    tipsim.setup.errors.BadInput: do is "free the lin"; allowed: an action (nearest: "free the \
line").
    """

    time: float
    do: str
    travel: float = 1.0

    def __post_init__(self) -> None:
        """Check name and numbers."""
        if self.do not in DOES:
            raise BadInput("do", f'"{self.do}"', f"an action{nearest(self.do, DOES)}")
        if not 0 <= self.time <= LONGEST:
            raise BadInput("at_s", f"{self.time:g} s", f"0 to {LONGEST:g} s")
        if not 0 <= self.travel <= 1:
            raise BadInput("travel_percent", f"{self.travel * 100:g} %", "0 to 100 %")

    def plain(self) -> dict[str, Any]:
        """Return this action as in a file."""
        out: dict[str, Any] = {"at_s": self.time, "do": self.do}
        return {**out, "travel_percent": self.travel * 100} if self.do == ULTRASOUND else out


Actions = tuple[Action, ...]


def ordered(actions: Iterable[Action]) -> Actions:
    """Return actions by time; those at one time keep their order.

    Raises
    ------
    BadInput
        For more than a drill takes.
    """
    found = tuple(sorted(actions, key=lambda a: a.time))
    if len(found) > MOST:
        raise BadInput("actions", f"{len(found)} of them", f"up to {MOST}")
    return found


def read_actions(text: str) -> Actions:
    r"""Read actions from TOML.

    Raises
    ------
    BadInput
        Naming the action, its field, value and what is allowed.

    Examples
    --------
    >>> read_actions('[[action]]\nat_s = 2.5\ndo = "irrigation"')
    (Action(time=2.5, do='irrigation', travel=1.0),)
    """
    data = parse_toml(text, "TOML with [[action]] tables")
    known = set(data) - {"action"}
    if known:
        raise BadInput(sorted(known)[0], "not known", "[[action]] tables")
    return ordered(read_action(t, f"action[{i}]") for i, t in enumerate(tables(data, "action")))


def read_action(table: dict[str, Any], place: str, key: str = "at_s") -> Action:
    """Return one action from its table; `key` says when."""
    allowed = (key, "do", "travel_percent")
    for name in table:
        if name not in allowed:
            raise BadInput(f"{place}.{name}", "not known", f"{', '.join(allowed)}")
    do = table.get("do")
    if not isinstance(do, str):
        raise BadInput(f"{place}.do", "missing" if do is None else str(do), "an action")
    time = real(table, key, place)
    travel = real(table, "travel_percent", place, 100.0) / 100
    try:
        return Action(time, do, travel)
    except BadInput as bad:
        raise bad.within(place) from None


def tables(data: dict[str, Any], key: str) -> Sequence[dict[str, Any]]:
    """Return the tables of a list."""
    found = data.get(key, [])
    if not isinstance(found, list) or not all(isinstance(t, dict) for t in found):
        raise BadInput(key, "not a list of tables", f"[[{key}]] tables")
    return found


def real(table: dict[str, Any], key: str, place: str, default: float | None = None) -> float:
    """Return a number of a table."""
    value = table.get(key, default)
    if isinstance(value, bool) or not isinstance(value, int | float | Decimal):
        shown = "missing" if value is None else f'"{value}"'
        raise BadInput(f"{place}.{key}" if place else key, shown, "a number")
    return float(value)
