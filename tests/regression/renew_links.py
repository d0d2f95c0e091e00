"""Record anew what the links of `links.json` compute: `python tests/regression/renew_links.py`.

Run it after a change that is meant to move numbers, say below why they moved, and read the
difference before committing. The links and the parts that are compared stay as they are.
"""

import json
import sys
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
WHY = (
    "Links as they stood before the screens were joined. Their first numbers, of 79ba98f, "
    "were held until the model moved on purpose: another default pair and catalogue, the "
    "sleeve's mobility computed, the hub on springs, a bench in water, pumps and compliances "
    "chosen anew. Since then these are the numbers of the model after that change; what the "
    "links set is held unchanged in settings.json."
)


def record() -> dict[str, dict[str, Any]]:
    """Return the numbers of every link, by how it is read and by query."""
    from tests.regression.links import COMPUTE, recorded
    from tests.regression.values import unpacked

    before = recorded()
    return {
        kind: {
            query: compute(query, unpacked(then, before["paths"]))
            for query, then in before[kind].items()
        }
        for kind, compute in COMPUTE.items()
    }


def written(by_kind: dict[str, dict[str, Any]]) -> str:
    """Return one line a link, so that a difference can be read; paths stand once, above."""
    from tests.regression.values import packed

    paths: dict[str, list[str]] = {}
    groups = []
    for kind, links in by_kind.items():
        lines = [f"{_text(q)}: {_text(packed(v, paths))}" for q, v in links.items()]
        groups.append(f'"{kind}": {{\n' + ",\n".join(lines) + "\n}")
    head = f'"why": {_text(WHY)},\n"paths": {_text(paths)},\n'
    return "{\n" + head + ",\n".join(groups) + "\n}\n"


def _text(plain: Any) -> str:
    return json.dumps(plain, separators=(",", ":"))


if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))
    from tests.regression.links import FILE

    FILE.write_text(written(record()), encoding="utf-8")
    print(f"{FILE.relative_to(ROOT)} is written")
