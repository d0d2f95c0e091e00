"""Browser components from files: a script with all that it imports, and its styles."""

from __future__ import annotations

import re
from pathlib import Path

from tipsim.paths import asset

_IMPORT = re.compile(r"^import\s[^;]*?from\s+\"([^\"]+)\";\n", re.MULTILINE)
_EXPORT = re.compile(r"^export (?=(?:const|let|class|function) )", re.MULTILINE)


def script(main: Path) -> str:
    """Return the script of a component: a module, and before it all modules that it imports.

    A Panel component carries one script, so that modules are joined: names at their top must be
    different in all of them.

    Parameters
    ----------
    main : Path
        The module that exports `render`.
    """
    parts = [module.read_text(encoding="utf-8") for module in modules(main)]
    bare = [_EXPORT.sub("", _IMPORT.sub("", part)) for part in parts]
    return "\n".join(bare) + "\nexport { render };\n"


def modules(main: Path) -> list[Path]:
    """Return a module and all that it imports, each before those that import it."""
    found: list[Path] = []

    def visit(module: Path, above: tuple[Path, ...]) -> None:
        if module in above:
            raise ValueError(f"{module} imports itself by way of {above[-1]}")
        if module in found:
            return
        for name in _IMPORT.findall(module.read_text(encoding="utf-8")):
            visit((module.parent / name).resolve(), (*above, module))
        found.append(module)

    visit(main.resolve(), ())
    return found


def styles(*sheets: Path | str) -> list[str]:
    """Return the style sheets of a component, after those that all components have.

    Parameters
    ----------
    *sheets : Path or str
        A file, or the name of a sheet in `assets/styles` such as "player".
    """
    files = [asset(f"styles/{s}.css") if isinstance(s, str) else s for s in ("parts", *sheets)]
    return [file.read_text(encoding="utf-8") for file in files]
