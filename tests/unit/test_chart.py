"""Charts as they are described: the figure's parts, its JSON, the route that sends it."""

import json

import pytest

from tipsim.app.framework import chart as charts
from tipsim.app.framework.chart import Axis, Kind, Line, chart, described, kinds, sides


def test_a_name_stands_for_one_kind() -> None:
    kind = Kind("test.once", "Once", Axis("Time", "s"), Axis("Flow", "mL/min"), sides())
    assert chart(kind) is chart(Kind(**vars(kind)))
    with pytest.raises(ValueError, match=r"'test\.once' is declared twice"):
        chart(Kind("test.once", "Twice", kind.x, kind.y, kind.lines))
    assert kinds()["test.once"] is kind


def test_each_line_has_a_source_of_its_own_and_both_needles_differ_without_colour() -> None:
    kind = chart(
        Kind("test.lines", "Lines", Axis("x"), Axis("y"), (*sides(), Line("c", "C", area=True)))
    )
    models = {
        m["attributes"].get("name"): m["attributes"]
        for m in walk(json.loads(described(kind.name))["item"]["doc"])
    }
    assert {"line a", "line b", "line c", "cursor", "words", "x", "y"} <= models.keys()
    dashes = [models[f"line {s} drawn"]["glyph"]["attributes"].get("line_dash") for s in "ab"]
    assert dashes[0] != dashes[1]


def walk(node: object) -> list[dict[str, dict[str, object]]]:
    """Return all models of a document's JSON."""
    if isinstance(node, list):
        return [found for part in node for found in walk(part)]
    if not isinstance(node, dict):
        return []
    here = [node] if "attributes" in node else []
    return here + [found for part in node.values() for found in walk(part)]


def test_the_figure_is_built_once(monkeypatch: pytest.MonkeyPatch) -> None:
    chart(Kind("test.cached", "Cached", Axis("x"), Axis("y"), sides()))
    built: list[Kind] = []
    build = charts.build

    def counted(kind: Kind) -> object:
        built.append(kind)
        return build(kind)

    monkeypatch.setattr(charts, "build", counted)
    assert described("test.cached") == described("test.cached")
    assert len(built) == 1
