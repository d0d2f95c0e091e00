"""Browser components from files: a script with all that it imports, and its styles.

Modules are served as they lie on disk, from one route with their version in the address. A
component carries only a few lines that import its module, so modules import one another by
relative paths, a browser keeps them until their contents change, and nothing comes from outside
the server.
"""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import Any

import bokeh
import param
import tornado.web
from panel.custom import JSComponent

from tipsim.paths import asset

ROOT = Path(__file__).parents[1]
"""The folder that addresses of modules start from: `tipsim/app`."""

_STUB = """\
export async function render(props) {{
  const module = await import(new URL("./modules/{version}/{path}", document.baseURI).href);
  return module.render(props);
}}
"""


def _version() -> str:
    """Return a hash of what browsers keep: all scripts, and the Python that describes charts."""
    digest = hashlib.sha256(bokeh.__version__.encode())
    for path in sorted(ROOT.rglob("*")):
        if path.suffix in {".js", ".py"}:
            digest.update(path.relative_to(ROOT).as_posix().encode())
            digest.update(path.read_bytes())
    return digest.hexdigest()[:16]


VERSION = _version()
"""Part of every address, so that a browser never mixes modules of two versions."""


def script(main: Path) -> str:
    """Return the script of a component: it imports the module that exports ``render``.

    Parameters
    ----------
    main : Path
        The module, somewhere under `tipsim/app`.

    Raises
    ------
    FileNotFoundError
        When there is no such module.

    Examples
    --------
    >>> "framework/article.js" in script(ROOT / "framework" / "article.js")
    True
    """
    if not main.is_file():
        raise FileNotFoundError(main)
    return _STUB.format(version=VERSION, path=main.resolve().relative_to(ROOT).as_posix())


def styles(*sheets: Path | str) -> list[str]:
    """Return the style sheets of a component, after those that all components have.

    Parameters
    ----------
    *sheets : Path or str
        A file, or the name of a sheet in `assets/styles` such as "player".
    """
    files = [asset(f"styles/{s}.css") if isinstance(s, str) else s for s in ("parts", *sheets)]
    return [file.read_text(encoding="utf-8") for file in files]


class Module(tornado.web.StaticFileHandler):
    """Serve scripts under `tipsim/app`, and nothing else that lies there."""

    def validate_absolute_path(self, root: str, absolute_path: str) -> str | None:
        """Return the path of a script; answer 404 for all else."""
        if not absolute_path.endswith(".js"):
            raise tornado.web.HTTPError(404)
        return super().validate_absolute_path(root, absolute_path)

    def get_content_type(self) -> str:
        """Return a script's type, whatever the system's table of types says."""
        return "text/javascript; charset=utf-8"

    def set_extra_headers(self, path: str) -> None:  # noqa: ARG002 - Tornado's
        """Let browsers keep it: other contents have another address."""
        self.set_header("Cache-Control", "public, max-age=31536000, immutable")


ROUTES: list[Any] = [(rf"/modules/{VERSION}/(.*\.js)", Module, {"path": str(ROOT)})]
"""For the server's list of routes."""


class Part(JSComponent):
    """A component that is filled by functions of a page's state; see `tipsim.app.framework.views`.

    Subclasses declare params, `_esm` and `_stylesheets`.
    """

    __abstract = True

    waits = param.List(
        default=[], doc="Names of params that are still to come for the settings shown."
    )
