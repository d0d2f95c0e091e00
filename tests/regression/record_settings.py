"""Record which settings links give, as the code of an older commit reads them.

    git worktree add ../before 79ba98f
    cd ../before && PYTHONPATH=. python ../tipsim/tests/regression/record_settings.py COMMIT

Writes `settings.json` beside this file: for every link of `links.json`, each needle's shape and id,
its drive, and every value that an item of the link sets. What the link leaves open is not recorded,
since first values may change. The modules that are imported are those of that commit.
"""

import json
import sys
from importlib import import_module
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE))

import settings  # noqa: E402  the folder of this file has to be on the path first

WHOLE = ("sleeve", "lens", "support", "press")
"""Parts that a word of a link stands for."""


def of_side(scenario: Any, items: dict[str, str], place: str = "") -> settings.Settings:
    """Return what the items of a link set in a scenario: path and value in the units of files."""
    link = import_module("tipsim.setup.link")
    to_plain = import_module("tipsim.setup.fields").to_plain
    all_set = settings.flat(to_plain(scenario))
    out: settings.Settings = {
        "needle.id": scenario.needle.id,
        "needle.shape": scenario.needle.shape,
        "drive.kind": scenario.drive.kind,
    }
    for item in items:
        name = item.removeprefix(place)
        head = name.partition(".")[0]
        if head in ("view", "a", "b") or name in ("needle", "drive"):
            continue
        if name in WHOLE:
            part = getattr(scenario, name)
            out[name] = part is not None
            if part is not None and name in ("sleeve", "lens"):
                out |= {p: all_set[p] for p in (f"{name}.id", f"{name}.grade") if p in all_set}
            continue
        path = link.ALIASES.get(name, name)
        found = {p: v for p, v in all_set.items() if p == path or p.startswith(f"{path}[")}
        assert found or not items[item], f"{item} sets nothing"
        out |= found
    return out


def of_link(kind: str, query: str) -> dict[str, settings.Settings]:
    """Return what a link sets on each side, and on its page."""
    link = import_module("tipsim.setup.link")
    items = settings.items_of(query)
    if kind == "one":
        return {"one": of_side(link.from_query(query), items)}
    out = {}
    for side, scenario in zip("ab", link.pair_from_items(items), strict=True):
        own = {k: v for k, v in items.items() if k.startswith(f"{side}.")}
        shared = {k: v for k, v in items.items() if k not in own}
        out[side] = of_side(scenario, shared) | of_side(scenario, own, f"{side}.")
    page = of_page(kind, items)
    return out | ({"page": page} if page else {})


def of_page(kind: str, items: dict[str, str]) -> settings.Settings:
    """Return what a link sets of its page: only what it names."""
    to_plain = import_module("tipsim.setup.fields").to_plain
    if kind == "heat":
        state = import_module("tipsim.app.heat.state").HeatState.from_items(items)
        found = dict(state.numbers) | {"scale": state.scale}
    elif kind == "flow":
        state = import_module("tipsim.app.flow.state").FlowState.from_items(items)
        found = settings.flat(to_plain(state.trial))
    elif kind == "camera":
        state = import_module("tipsim.app.camera.state").CameraState.from_items(items)
        found = settings.flat(to_plain(state.camera)) | {"side": state.side}
    elif kind == "tissue":
        state = import_module("tipsim.app.tissue.state").TissueState.from_items(items)
        found = {"seed": state.seed, "equal": state.equal}
    else:
        return {}
    named = {k.split(".", 2)[2] for k in items if k.startswith(settings.PAGES[kind])}
    return {k: v for k, v in found.items() if k in named}


if __name__ == "__main__":
    links = json.loads((HERE / "links.json").read_text(encoding="utf-8"))
    read = {k: {q: of_link(k, q) for q in links[k]} for k in settings.KINDS}
    groups = [
        f'"{kind}": {{\n'
        + ",\n".join(f"{json.dumps(q)}: {json.dumps(s)}" for q, s in queries.items())
        + "\n}"
        for kind, queries in read.items()
    ]
    text = f'{{\n"commit": "{sys.argv[1]}",\n' + ",\n".join(groups) + "\n}\n"
    settings.FILE.write_text(text, encoding="utf-8")
    print(f"{settings.FILE} is written")
