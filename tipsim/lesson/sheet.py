"""YAML tables that know their lines: every key is asked for, and what nobody asked for is told."""

import re
from collections.abc import Callable, Iterator, Sequence
from typing import TypeVar

import yaml

from tipsim.lesson.faults import Faults, quoted
from tipsim.lesson.format import SIDES, Bench, Formula, Place, Text
from tipsim.setup.errors import nearest

T = TypeVar("T")
_ID = re.compile(r"[a-z][a-z0-9-]{1,59}")


class Sheet:
    r"""One YAML mapping; each reader notes a fault and gives something empty where it is off.

    Parameters
    ----------
    node : yaml.MappingNode
    place : Place
        Of the table's first line.
    faults : Faults
    first : int
        Line of the file that YAML's first line is.

    Examples
    --------
    >>> faults = Faults()
    >>> (sheet,) = sheets_of("- id: one\n  colour: x", "items.yaml", faults)
    >>> sheet.id("id"), sheet.done()
    ('one', None)
    >>> [str(f) for f in faults]
    ['lessons/items.yaml:2: colour is not a known key; allowed: id.']
    """

    def __init__(self, node: yaml.MappingNode, file: str, first: int, faults: Faults) -> None:
        self.file, self.first, self.faults = file, first, faults
        self.place = self._place(node)
        self._asked: list[str] = []
        self._nodes: dict[str, yaml.Node] = {}
        self._keys: dict[str, Place] = {}
        for key, value in node.value:
            name, place = str(key.value), self._place(key)
            if name in self._nodes:
                faults.add(place, name, "there twice", "each key once")
            self._nodes[name], self._keys[name] = value, place

    def _place(self, node: yaml.Node) -> Place:
        return Place(self.file, node.start_mark.line + self.first)

    def at(self, key: str) -> Place:
        """Where a key stands, or the table itself."""
        return self._keys.get(key, self.place)

    def has(self, key: str) -> bool:
        """Return whether a key is there; it is then known."""
        self._asked.append(key)
        return key in self._nodes

    def fault(self, key: str, value: str, allowed: str) -> None:
        """Note a mistake at a key."""
        self.faults.add(self.at(key), key, value, allowed)

    def _node(self, key: str, needed: str) -> yaml.Node | None:
        if self.has(key):
            return self._nodes[key]
        if needed:
            self.fault(key, "missing", needed)
        return None

    def words(self, key: str, default: str | None = None, allowed: str = "a line of text") -> str:
        """Read a line of text; needed where there is no default."""
        node = self._node(key, allowed if default is None else "")
        if node is None:
            return default or ""
        return self._words(node, key, allowed)

    def _words(self, node: yaml.Node, key: str, allowed: str) -> str:
        if isinstance(node, yaml.ScalarNode) and node.value.strip():
            return str(node.value).strip()
        what = "empty" if isinstance(node, yaml.ScalarNode) else "not a line"
        self.faults.add(
            self._place(node), key, what, f"{allowed} (quotes help where YAML misreads)"
        )
        return ""

    def id(self, key: str, default: str | None = None) -> str:
        """Read an id."""
        allowed = "a-z, 0-9 and -, 2 to 60 characters from a letter"
        found = self.words(key, default, allowed)
        if found and not _ID.fullmatch(found):
            self.fault(key, quoted(found), allowed)
        return found

    def one_of(self, key: str, options: Sequence[str], default: str | None = None) -> str:
        """Read one word out of a list; gives "" where it is another."""
        found = self.words(key, default, ", ".join(options))
        if found and found not in options:
            self.fault(key, quoted(found), ", ".join(options) + nearest(found, options))
            return ""
        return found

    def yes(self, key: str) -> bool:
        """Read true or false; false where it is not there."""
        return self.one_of(key, ("true", "false"), "false") == "true"

    def number(self, key: str, low: float, high: float, default: float | None = None) -> float:
        """Read a number within limits."""
        allowed = f"a number from {low:g} to {high:g}"
        found = self.words(key, None if default is None else f"{default}", allowed)
        try:
            value = float(found)
        except ValueError:
            value = float("nan")
        if not low <= value <= high:
            if found:
                self.fault(key, quoted(found), allowed)
            return low
        return value

    def text(self, key: str, needed: bool = True) -> Text:
        """Read Markdown with placeholders."""
        return Text(self.words(key, None if needed else "", "a text"), self.at(key))

    def formula(self, key: str, default: str | None = None) -> Formula:
        """Read an expression."""
        return Formula(self.words(key, default, "an expression"), self.at(key))

    def _nodes_of(self, key: str, needed: bool, low: int, high: int) -> list[yaml.Node]:
        allowed = f"a list of {low} to {high}"
        node = self._node(key, allowed if needed else "")
        if node is None:
            return []
        if not isinstance(node, yaml.SequenceNode):
            self.fault(key, "not a list", allowed)
            return []
        if not low <= len(node.value) <= high:
            self.fault(key, f"a list of {len(node.value)}", allowed)
        return list(node.value)

    def lines(self, key: str, needed: bool = True, low: int = 1, high: int = 40) -> tuple[str, ...]:
        """Read a list of lines."""
        nodes = self._nodes_of(key, needed, low, high)
        return tuple(self._words(n, key, "a line") for n in nodes)

    def texts(self, key: str, needed: bool = False) -> tuple[Text, ...]:
        """Read a list of texts."""
        nodes = self._nodes_of(key, needed, 1, 20)
        return tuple(Text(self._words(n, key, "a text"), self._place(n)) for n in nodes)

    def formulas(self, key: str) -> tuple[Formula, ...]:
        """Read an expression or a list of them."""
        if self.has(key) and isinstance(self._nodes[key], yaml.SequenceNode):
            nodes = self._nodes_of(key, True, 1, 12)
            return tuple(
                Formula(self._words(n, key, "an expression"), self._place(n)) for n in nodes
            )
        return (self.formula(key),)

    def each(
        self, key: str, read: "Callable[[Sheet], T]", needed: bool, low: int = 1, high: int = 60
    ) -> tuple[T, ...]:
        """Read a list of tables, each with a function; unknown keys in them are told."""
        out = []
        for node in self._nodes_of(key, needed, low, high):
            sheet = self._sheet(node, key)
            if sheet is not None:
                out.append(read(sheet))
                sheet.done()
        return tuple(out)

    def _sheet(self, node: yaml.Node, key: str) -> "Sheet | None":
        if isinstance(node, yaml.MappingNode):
            return Sheet(node, self.file, self.first, self.faults)
        self.faults.add(self._place(node), key, "not a table", "a table of keys and values")
        return None

    def table(self, key: str) -> dict[str, str]:
        """Read a table of words, such as settings; empty where it is not there."""
        node = self._node(key, "")
        sheet = self._sheet(node, key) if node is not None else None
        return {} if sheet is None else {k: sheet.words(k) for k in sheet._nodes}

    def tables(self, key: str) -> dict[str, list[str]] | list[dict[str, str]]:
        """Read a table of lists, or a list of tables of words."""
        node = self._node(key, "")
        if isinstance(node, yaml.SequenceNode):
            found = [self._sheet(n, key) for n in node.value]
            return [{k: s.words(k) for k in s._nodes} for s in found if s is not None]
        sheet = self._sheet(node, key) if node is not None else None
        return {} if sheet is None else {k: list(sheet.lines(k, high=48)) for k in sheet._nodes}

    def bench(self, key: str, needed: bool = False, sides: Sequence[str] = SIDES) -> Bench | None:
        """Read settings by side."""
        node = self._node(key, "a table of both, a, b" if needed else "")
        sheet = self._sheet(node, key) if node is not None else None
        if sheet is None:
            return None
        out = {side: sheet.table(side) for side in ("both", *sides) if sheet.has(side)}
        sheet.done()
        return Bench(out, self.at(key))

    def done(self) -> None:
        """Note the keys that nobody asked for."""
        known = list(dict.fromkeys(self._asked))
        for key in self._nodes:
            if key not in known:
                self.fault(key, "not a known key", ", ".join(known) + nearest(key, known))


def sheet_of(text: str, file: str, faults: Faults, first: int = 1) -> Sheet | None:
    """Read one YAML table; None, with a fault noted, for anything else."""
    node = _compose(text, file, faults, first)
    if isinstance(node, yaml.MappingNode):
        return Sheet(node, file, first, faults)
    if node is not _BROKEN:
        faults.add(Place(file, first), "content", "no table", "YAML keys and values")
    return None


def sheets_of(text: str, file: str, faults: Faults) -> Iterator[Sheet]:
    """Read a YAML list of tables."""
    node = _compose(text, file, faults, 1)
    if node is _BROKEN:
        return
    if not isinstance(node, yaml.SequenceNode):
        faults.add(Place(file, 1), "content", "no list", "a YAML list of tables")
        return
    for part in node.value:
        if isinstance(part, yaml.MappingNode):
            yield Sheet(part, file, 1, faults)
        else:
            line = part.start_mark.line + 1
            faults.add(Place(file, line), "entry", "not a table", "a table of keys and values")


_BROKEN = yaml.ScalarNode("broken", "")


def _compose(text: str, file: str, faults: Faults, first: int) -> yaml.Node | None:
    try:
        node: yaml.Node | None = yaml.compose(text, Loader=yaml.SafeLoader)
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        line = mark.line if mark else 0
        faults.add(Place(file, line + first), "YAML", quoted(str(error.problem)), "valid YAML")
        return _BROKEN
    except yaml.YAMLError as error:
        faults.add(Place(file, first), "YAML", quoted(str(error)), "valid YAML")
        return _BROKEN
    return node
