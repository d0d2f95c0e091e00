"""Record what links give, with the code of an older commit.

    git worktree add ../before 79ba98f
    cd ../before && PYTHONPATH=. python ../tipsim/tests/regression/record_links.py COMMIT

Writes `links.json` beside this file: every link of lessons, presets, README and bench rows, every
ready example, and those of `hand_links.py`, with the numbers that the tipsim found in PYTHONPATH
computes. The modules of screens that it imports are those of that commit.
"""

import json
import re
import sys
from collections.abc import Iterator
from dataclasses import replace
from importlib import import_module
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl, urlencode

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE))

import hand_links  # noqa: E402  the folder of this file has to be on the path first
import values  # noqa: E402

FILE = HERE / "links.json"
SEEDS = range(40)
"""Enough to meet every variant of every lesson item."""
QUICK = ["motion", "stress", "iris", "cutting"]
WARM = re.compile("press=|outside=|duration=|events=|occlusion=|aspiration=|sleeve=none|duty")
"""Links that are about heat."""


def items_of(query: str) -> dict[str, str]:
    return dict(parse_qsl(query.lstrip("?"), keep_blank_values=True))


def sides() -> Iterator[str]:
    """Return the query of every bench side that is written down somewhere."""
    from tipsim.heat.bench.rows import rows

    from tipsim.lesson.ask import ask
    from tipsim.lesson.read import school
    from tipsim.setup.catalogue import presets
    from tipsim.setup.link import to_query

    for preset in presets().values():
        yield to_query(preset)
    for lesson in school().lessons.values():
        steps = [lesson.bench.under(step.bench) for step in lesson.steps if step.bench]
        for bench in (lesson.bench, *steps):
            yield from map(_query, bench.whole().values())
        for item in lesson.items.values():
            for seed in SEEDS:
                yield from map(_query, ask(lesson, item, seed).values.sides.values())
    for row in rows().rows:
        yield _query(row.bench)
        if row.over is not None:
            yield _query(row.over)


def _query(items: Any) -> str:
    return urlencode(items, safe=":,")


def ready() -> dict[str, list[str]]:
    """Return the links of the ready examples of heat and flow, and of lessons with a page's own."""
    from tipsim.lesson.read import school

    heat = import_module("tipsim.app.heat.state")
    flow = import_module("tipsim.app.flow.state")
    first_heat, first_flow = heat.HeatState.first(), flow.FlowState.first()
    film = [
        _query({f"view.{name}": value for name, value in step.view.items()})
        for lesson in school().lessons.values()
        for step in lesson.steps
        if step.view
    ]
    return {
        "heat": [
            replace(s, bench=s.bench.change("both", "duration_s", 10)).to_query()
            for s in (first_heat.change("both", "ready", id) for id in heat.READY)
        ],
        "flow": [first_flow.change("both", "ready", each.id).to_query() for each in flow.READY],
        "camera": list(dict.fromkeys(film)),
    }


def one(query: str, number: int, flows: set[Any]) -> Any:
    """Return the numbers of a link with one side."""
    from tipsim.setup.link import from_query
    from tipsim.solve import PARTS, solve

    scenario = from_query(query)
    wanted = list(QUICK)
    flowing = (scenario.needle, scenario.sleeve, scenario.flow, scenario.fluid)
    if flowing not in flows:
        flows.add(flowing)
        wanted.append("flow")
    if WARM.search(query) and number % 3 == 0 and scenario.duration <= 60:
        wanted += ["heat", "wound"]
    if number % 25 == 0:
        wanted.append("sensitivity")
    return values.of_result(solve(scenario), PARTS, wanted)


def pair(query: str) -> Any:
    """Return the numbers of a link with two sides."""
    from tipsim.setup.link import pair_from_items
    from tipsim.solve import PARTS, solve

    wanted = [*QUICK, *(["heat", "wound"] if WARM.search(query) else ["flow"])]
    return {
        name: values.of_result(solve(scenario), PARTS, wanted)
        for name, scenario in zip("ab", pair_from_items(items_of(query)), strict=True)
    }


def heat(query: str) -> Any:
    """Return the temperatures that the page of heat showed, with the numbers moved there."""
    from tipsim.heat.timeline import heat_run
    from tipsim.solve import heat_dict

    state = import_module("tipsim.app.heat.state").HeatState.from_items(items_of(query))
    return {
        name: {"heat": values.leaves(heat_dict(heat_run(s, s.duration, model=state.model(s))))}
        for name, s in (("a", state.bench.a), ("b", state.bench.b))
    }


def flow(query: str) -> Any:
    """Return what the page of flow showed of the occlusion and its break."""
    state = import_module("tipsim.app.flow.state").FlowState.from_items(items_of(query))
    return {
        name: {"surge": values.of_surge(run)} for name, run in zip("ab", state.runs, strict=True)
    }


def camera(query: str) -> Any:
    """Return what the film of the camera page showed."""
    from tipsim.motion.camera import measure, shoot
    from tipsim.solve import solve

    state = import_module("tipsim.app.pages.camera.state").CameraState.from_items(items_of(query))
    film = shoot(solve(state.scenario).motion, state.scenario.needle, state.camera)
    return {"film": values.of_measurement(measure(film))}


def tissue(query: str) -> Any:
    """Return both needles' iris and cutting, and the power at which B cuts like A."""
    from tipsim.solve import compare, solve

    state = import_module("tipsim.app.tissue.state").TissueState.from_items(items_of(query))
    both = compare(solve(state.bench.a), solve(state.bench.b))
    return {"pair": values.leaves(both["tissue"])}


def record() -> dict[str, dict[str, Any]]:
    """Return the numbers of all links, by how they are read and by query."""
    flows: set[Any] = set()
    links = list(dict.fromkeys(sides()))
    pages = ready()
    out: dict[str, dict[str, Any]] = {
        "one": {q: one(q, number, flows) for number, q in enumerate(links)},
        "pair": {q: pair(q) for q in hand_links.PAIRS},
    }
    for name, compute in (("heat", heat), ("flow", flow), ("camera", camera), ("tissue", tissue)):
        written = getattr(hand_links, name.upper())
        out[name] = {q: compute(q) for q in (*pages.get(name, ()), *written)}
    return out


def write(commit: str, recorded: dict[str, dict[str, Any]]) -> None:
    """Write one line a link, so that a difference can be read; paths stand once, above."""
    paths: dict[str, list[str]] = {}
    groups = []
    for name, links in recorded.items():
        lines = [f"{_text(q)}: {_text(values.packed(v, paths))}" for q, v in links.items()]
        groups.append(f'"{name}": {{\n' + ",\n".join(lines) + "\n}")
    head = f'"commit": "{commit}",\n"paths": {_text(paths)},\n'
    FILE.write_text("{\n" + head + ",\n".join(groups) + "\n}\n", encoding="utf-8")


def _text(plain: Any) -> str:
    return json.dumps(plain, separators=(",", ":"))


if __name__ == "__main__":
    write(sys.argv[1], record())
    print(f"{FILE} is written")
