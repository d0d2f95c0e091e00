"""Scenarios as the query of a link: only what differs from a preset, readable by eye.

One bench: ``needle=counter-bent&drive=torsional&power=60``; the needle is a shape, for the one
that stands for it, or an id of the catalogue. Two benches side by side share
what they have in common; the rest carries ``a.`` or ``b.``.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import fields, replace
from typing import Any
from urllib.parse import parse_qsl, urlencode

from tipsim.setup import catalogue
from tipsim.setup.errors import BadInput
from tipsim.setup.inputs import changed, find_input, has_input, inputs
from tipsim.setup.load import Support
from tipsim.setup.old import incision_items
from tipsim.setup.presets import scenario_of
from tipsim.setup.scenario import Scenario
from tipsim.setup.sleeve import Sleeve
from tipsim.setup.text import read_value, write_value
from tipsim.setup.thermal import Press
from tipsim.setup.units import MM

LONGEST = 32000
"""Most characters of a link that are read: more than two needles with each number moved take."""
ALIASES: Mapping[str, str] = {i.short: i.path for i in inputs(Scenario).values() if i.short}
"""Short names for what is changed most, and their paths."""
_ON: Mapping[str, type] = {"support": Support, "press": Press}
"""Parts that no preset has and that begin with first values: ``press=on``."""
_OLD = {"view.heat.": "", "view.flow.": "surge."}
"""Before inputs of the scenario in links of old, which belonged to one page; and what is now."""


def to_query(scenario: Scenario) -> str:
    """Return a scenario as a query.

    Examples
    --------
    >>> from dataclasses import replace
    >>> one = Scenario.preset("single-bend, torsional")
    >>> to_query(replace(one, drive=replace(one.drive, power=0.6)))
    'needle=single-bend&drive=torsional&power=60'
    """
    return _encode(to_items(scenario))


def from_query(query: str) -> Scenario:
    """Return the scenario of a query.

    Raises
    ------
    BadInput
        Naming the key, the value and what is allowed.
    """
    return from_items(_decode(query))


def pair_to_query(a: Scenario, b: Scenario, extra: Mapping[str, str] | None = None) -> str:
    """Return two scenarios as one query; `extra` items come behind."""
    one, two = to_items(a), to_items(b)
    shared = {k: v for k, v in one.items() if two.get(k) == v}
    out = {f"a.{k}": v for k, v in one.items() if k not in shared}
    out |= {f"b.{k}": v for k, v in two.items() if k not in shared}
    return _encode(out | shared | dict(extra or {}))


def renewed(items: Mapping[str, str]) -> dict[str, str]:
    """Return the items of a link with inputs of old links under their present names.

    >>> renewed({"view.heat.rubbing.coefficient": "0.2", "view.heat.scale": "fit"})
    {'rubbing.coefficient': '0.2', 'view.heat.scale': 'fit'}
    """
    out: dict[str, str] = {}
    for key, text in items.items():
        page = next((p for p in _OLD if key.startswith(p)), "")
        name = _OLD[page] + key.removeprefix(page) if page else key
        if page and not has_input(Scenario, name):
            name = key
        # A present name counts more than one of old.
        if name == key or name not in items:
            out[name] = text
    return out


def pair_from_items(items: Mapping[str, str]) -> tuple[Scenario, Scenario]:
    """Return two scenarios from the items of a query; items that begin with "view." are left out.

    Examples
    --------
    >>> a, b = pair_from_items({"a.needle": "straight-medium", "power": "40"})
    >>> a.needle.shape, b.needle.shape, b.drive.power
    ('straight', 'counter-bent', 0.4)
    """
    _check_length(items)
    sides: dict[str, dict[str, str]] = {"a": {}, "b": {}}
    shared: dict[str, str] = {}
    for key, value in renewed(items).items():
        side, _, rest = key.partition(".")
        if side in sides and rest:
            sides[side][rest] = value
        elif side != "view":
            shared[key] = value
    # What names a side counts more than what both share, whichever comes first.
    return (
        from_items({"needle": "single-bend"} | shared | sides["a"], "a."),
        from_items({"needle": "counter-bent"} | shared | sides["b"], "b."),
    )


def _check_length(items: Mapping[str, str]) -> None:
    length = sum(len(key) + len(text) + 2 for key, text in items.items())
    if length > LONGEST:
        raise BadInput("link", f"{length} characters long", f"up to {LONGEST} characters")


def to_items(scenario: Scenario) -> dict[str, str]:
    """Return the items of a query: base needle and drive first, then every difference."""
    needle, drive = _base_ids(scenario)
    base = _base(needle, drive)
    out = {"needle": needle, "drive": drive}
    sleeve = scenario.sleeve
    if sleeve is None:
        out["sleeve"] = "none"
        base = replace(base, sleeve=None)
    elif sleeve.id in catalogue.catalogue().sleeves and sleeve.id != _id(base.sleeve):
        out["sleeve"] = sleeve.id
        base = replace(base, sleeve=catalogue.sleeve(sleeve.id))
    base = _pressed(base, scenario, out)
    return out | dict(_differences(base, scenario))


def _pressed(base: Scenario, scenario: Scenario, out: dict[str, str]) -> Scenario:
    """Return the base with what presses as the scenario has it, and name that in `out`."""
    if scenario.lens is not None:
        grades = catalogue.lens_grades()
        grade = scenario.lens.grade if scenario.lens.grade in grades else next(iter(grades))
        out["lens"] = grade
        base = replace(base, lens=catalogue.lens(grade))
    for name, cls in _ON.items():
        if getattr(scenario, name) is not None:
            out[name] = "on"
            base = replace(base, **{name: cls()})
    return base


def _id(sleeve: Sleeve | None) -> str:
    return sleeve.id if sleeve else "none"


def _differences(base: Scenario, scenario: Scenario) -> Iterator[tuple[str, str]]:
    """Return name and text of every input that is not as in the base."""
    alike = {f.name for f in fields(Scenario) if getattr(base, f.name) == getattr(scenario, f.name)}
    for one in inputs(Scenario).values():
        # Most parts are alike; only the others are compared in depth.
        if one.name.partition(".")[0] not in alike:
            value = one.of(scenario)
            if value != one.of(base):
                yield one.short or one.path, write_value(one, value)


def from_items(items: Mapping[str, str], place: str = "") -> Scenario:
    """Return a scenario from the items of a query; `place` stands before names in complaints."""
    try:
        _check_length(items)
        rest = dict(items)
        base = _base(rest.pop("needle", "single-bend"), rest.pop("drive", "torsional"))
        return with_items(base, rest)
    except BadInput as bad:
        raise bad.at("link" if bad.field == "link" else f"link: {place}{bad.field}") from None


def with_items(scenario: Scenario, items: Mapping[str, str]) -> Scenario:
    """Return a scenario changed by items as in links: all of them, then checked once.

    Raises
    ------
    BadInput
        Naming the item, its value and what is allowed.

    Examples
    --------
    >>> one = with_items(Scenario.preset("straight, axial"), {"power": "40", "press": "on"})
    >>> one.drive.power, round(one.press.force, 2)
    (0.4, 0.29)
    """
    new: dict[str, Any] = {}
    exposed = None if scenario.sleeve is None else MM.from_si(scenario.sleeve.exposed)
    for name, text in incision_items(items, exposed).items():
        if name in ("sleeve", "lens", *_ON):
            new[name] = _whole(name, text)
        else:
            one = find_input(Scenario, name)
            new[one.name] = read_value(one, text, name)
    return changed(scenario, new)


def apply_settings(scenario: Scenario, settings: Iterable[str]) -> Scenario:
    """Return a scenario changed by settings such as ``flow.aspiration=30``, in units of files.

    Raises
    ------
    BadInput
        Naming the setting, its value and what is allowed.

    Examples
    --------
    >>> one = apply_settings(Scenario.preset("straight, axial"), ["flow.aspiration=30"])
    >>> round(one.flow.aspiration * 60e6, 6)
    30.0
    """
    items: dict[str, str] = {}
    for setting in settings:
        name, equals, text = setting.partition("=")
        if not equals:
            raise BadInput("set", f'"{setting[:40]}"', "name=value, such as power=50")
        items[name.strip()] = text.strip()
    return with_items(scenario, items)


def _whole(name: str, word: str) -> Any:
    """Return a part that a word stands for; "none" for no part."""
    if word == "none":
        return None
    if name in ("sleeve", "lens"):
        return catalogue.sleeve(word) if name == "sleeve" else catalogue.lens(word)
    if word != "on":
        raise BadInput(name, f'"{word}"', "on, none")
    return _ON[name]()


def path_names() -> tuple[str, ...]:
    """Return every path that a link may carry."""
    return tuple(inputs(Scenario))


def _base_ids(scenario: Scenario) -> tuple[str, str]:
    """Return the preset to start from: by the scenario's own name if it has a preset's."""
    c = catalogue.catalogue()
    id, kind = scenario.needle.id, scenario.drive.kind
    named, _, named_kind = scenario.name.rpartition(", ")
    if named_kind == kind and c.main.get(named, named) == id and id in c.needles:
        return named, kind
    return id if id in c.needles else next(iter(c.main.values())), kind


def _base(needle: str, drive: str) -> Scenario:
    c = catalogue.catalogue()
    if needle in c.main:
        return scenario_of(c.main[needle], drive, f"{needle}, {drive}")
    return scenario_of(needle, drive)


def _encode(items: Mapping[str, str]) -> str:
    return urlencode(items, safe=":,")


def _decode(query: str) -> dict[str, str]:
    if len(query) > LONGEST:
        raise BadInput("link", f"{len(query)} characters long", f"up to {LONGEST} characters")
    return dict(parse_qsl(query.lstrip("?"), keep_blank_values=True))
