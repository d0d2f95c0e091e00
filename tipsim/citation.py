"""Where the numbers of a result come from."""

from collections.abc import Iterator
from math import isclose

from tipsim.quantities.rows import Table
from tipsim.setup.catalogue import catalogue
from tipsim.setup.inputs import inputs
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import numbers
from tipsim.solve import Result

COMPARED = ("published", "practice")
"""Groups of numbers that results are compared with, and do not rest on."""


def cite(result: Result | Scenario) -> Table:
    """Return every number that a result rests on, with status and source.

    Returns
    -------
    Table
        ``what``, ``value``, ``status``, ``source``: needle, drive and sleeve, then every number of
        the data files. One that was moved has the value set and its usual one.

    Examples
    --------
    >>> from tipsim import preset, solve
    >>> sources = cite(preset("counter-bent, torsional").with_(loss_factor=0.01))
    >>> [row["value"] for row in sources if row["status"] == "set here"]
    ['0.01 (usually 0.005)']
    """
    scenario = result.scenario if isinstance(result, Result) else result
    return Table((*part_rows(scenario), *number_rows(scenario)))


def part_rows(scenario: Scenario) -> Iterator[dict[str, str]]:
    """Return the origins of needle, drive and sleeve, by groups of their fields."""
    s = scenario
    parts = [(s.needle.title, s.needle.id), (f"{s.drive.kind} drive", s.drive.kind)]
    if s.sleeve is not None:
        parts.append((s.sleeve.title, s.sleeve.id))
    for title, id in parts:
        for o in catalogue().origins.get(id, ()):
            names = ", ".join(f.replace("_", " ") for f in o.fields)
            yield _row(f"{title}: {names}", o.span, o.status, o.source)


def number_rows(
    scenario: Scenario | None = None, groups: tuple[str, ...] = ("",)
) -> Iterator[dict[str, str]]:
    """Return every number of the data files; as set, where it is an input of a scenario.

    Parameters
    ----------
    scenario : Scenario, optional
    groups : tuple of str
        What the ids of the numbers begin with; usually all.

    Examples
    --------
    >>> [row["value"] for row in number_rows(groups=("titanium.poisson",))]
    ['0.342 (0.31 to 0.342)']
    """
    moved: dict[str, str] = {}
    for one in inputs(Scenario).values() if scenario is not None else ():
        value = one.of(scenario) if one.source is not None else None
        if one.source is None or value is None:
            continue
        if not isclose(value, one.source.si, rel_tol=1e-9):
            moved[one.source.id] = one.unit.show(value)
    for n in numbers().values():
        if not n.id.startswith(groups):
            continue
        if scenario is not None and n.id.partition(".")[0] in COMPARED:
            continue
        if n.id in moved:
            usual = f"{moved[n.id]} (usually {n.value:g})"
            yield _row(n.label, usual, "set here", n.source)
        else:
            yield _row(n.label, n.text, n.status, n.source)


def _row(what: str, value: str, status: str, source: str) -> dict[str, str]:
    return {"what": what, "value": value, "status": status, "source": source}
