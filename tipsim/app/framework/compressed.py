"""Packages' own scripts, compressed once per process instead of once per visit.

Tornado compresses what is made for each visitor; Bokeh's and Panel's scripts are 3 MB that are the
same for everybody, and compressing them takes longer than making a page.
"""

from __future__ import annotations

import gzip
from functools import lru_cache
from pathlib import Path
from typing import Any

import bokeh.server
import panel
import tornado.web

WORTH = {".js", ".css", ".json", ".svg", ".map"}
"""Kinds of files that compression makes smaller."""
_YEAR = 365 * 24 * 3600


@lru_cache(maxsize=64)
def _compressed(path: str, changed: int) -> bytes:  # noqa: ARG001 - a changed file is read anew
    """Return a file's contents, compressed; the same bytes each time, so without a date."""
    return gzip.compress(Path(path).read_bytes(), 6, mtime=0)


class Compressed(tornado.web.StaticFileHandler):
    """Serve files of a folder, compressed where the browser takes that."""

    async def get(self, path: str, include_body: bool = True) -> None:
        """Answer with the file; parts of files and other kinds go as Tornado sends them."""
        accepts = self.request.headers.get("Accept-Encoding", "")
        file = Path(self.root, self.parse_url_path(path)).resolve()
        inside = file.is_relative_to(Path(self.root).resolve())
        whole = "Range" not in self.request.headers
        if not (inside and whole and file.suffix in WORTH and "gzip" in accepts and file.is_file()):
            await super().get(path, include_body)
            return
        self.path = self.parse_url_path(path)
        self.absolute_path = str(file)
        self.modified = self.get_modified_time()
        self.set_headers()
        if self.should_return_304():
            self.set_status(304)
            return
        contents = _compressed(str(file), file.stat().st_mtime_ns)
        self.set_header("Content-Encoding", "gzip")
        self.set_header("Content-Length", str(len(contents)))
        if include_body:
            self.write(contents)

    def set_extra_headers(self, path: str) -> None:  # noqa: ARG002 - Tornado's
        """Let browsers keep what is asked for by its version: other contents have another one."""
        if self.get_query_argument("v", "") or "@" in self.request.path:
            self.set_header("Cache-Control", f"public, max-age={_YEAR}, immutable")


_BOKEH = Path(bokeh.server.__file__).parent / "static"
_PANEL = Path(panel.__file__).parent / "dist"
ROUTES: list[Any] = [
    (r"/static/extensions/panel/(.*)", Compressed, {"path": str(_PANEL)}),
    (r"/static/(js/.*)", Compressed, {"path": str(_BOKEH)}),
]
"""In place of Bokeh's and Panel's own routes to the same files."""
