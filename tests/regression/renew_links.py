"""Compute the numbers of recorded links anew: `python tests/regression/renew_links.py COMMIT`.

For a change of the model that is meant to move them: the links stay those that were written down
once, with the names of then, and COMMIT is the one whose numbers they have from now on. Read the
difference before committing. A link that no longer opens ends it.
"""

import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]

if __name__ == "__main__":
    sys.path[:0] = [str(ROOT), str(Path(__file__).parent)]
    import record_links

    from tests.regression import test_links, values

    old = test_links.RECORDED
    found = {
        kind: {q: compute(q, values.unpacked(old[kind][q], old["paths"])) for q in old[kind]}
        for kind, compute in test_links.COMPUTE.items()
    }
    record_links.write(sys.argv[1], found)
    print(f"{record_links.FILE.relative_to(ROOT)} is written")
