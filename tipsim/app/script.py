"""Browser scripts: small modules on disk, joined to the one script that a component carries."""

from __future__ import annotations

import re
from pathlib import Path

SHARED = Path(__file__).parent / "shared"
"""Modules that several components carry."""
_IMPORT = re.compile(r"^import\s[^;]*;\n", re.MULTILINE)
_EXPORT = re.compile(r"^export (?=(?:const|let|class|function) )", re.MULTILINE)


def joined(*modules: Path) -> str:
    """Join modules into one script that exports `render`.

    Parameters
    ----------
    *modules : Path
        In the order in which one needs the other; imports among them are dropped, so names must
        be different in all of them.

    Returns
    -------
    str
        The script.
    """
    parts = [module.read_text(encoding="utf-8") for module in modules]
    bare = [_EXPORT.sub("", _IMPORT.sub("", part)) for part in parts]
    return "\n".join(bare) + "\nexport { render };\n"
