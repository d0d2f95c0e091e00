"""Presentation: scenarios of one's own, one after the other, each filling the screen."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import segno
from tornado.web import RequestHandler

from tipsim.app.framework.component import VERSION
from tipsim.app.framework.fixed import routes
from tipsim.app.framework.pages import PAGES
from tipsim.app.framework.template import shell_variables, templates

_HERE = Path(__file__).parent
LONGEST = 2000
"""Characters of an address that a QR code still holds so that a phone reads it from a screen."""
EXAMPLE = (
    ("Same drive, two needles", "compare"),
    ("As if they were rigid", "compare?view.rigid_shown=1"),
    ("How warm, with a load on the sleeve", "heat?press=on"),
    ("What the iris feels", "tissue"),
    ("A blocked tip lets go", "flow"),
)
"""A list to begin with: titles and addresses."""


def page() -> str:
    """Return the page; what is presented comes from the browser."""
    return (
        templates()
        .get_template("present/page.html")
        .render(
            shell_variables("present")
            | {
                "modules": f"./modules/{VERSION}",
                "layout": (_HERE / "page.css").read_text(encoding="utf-8"),
                "paths": [entry.path for entry in PAGES if entry.build],
                "example": [{"name": name, "link": link} for name, link in EXAMPLE],
            }
        )
    )


def qr_code(text: str) -> bytes:
    """Return a QR code as SVG, black on white whatever the theme.

    Raises
    ------
    ValueError
        With a sentence, for a text that is no web address or too long.

    Examples
    --------
    >>> qr_code("http://example.org/compare?power=40")[:4]
    b'<svg'
    >>> qr_code("javascript:alert(1)")
    Traceback (most recent call last):
    ValueError: A QR code is made of a web address that begins with http:// or https://.
    """
    if not text.startswith(("http://", "https://")):
        raise ValueError("A QR code is made of a web address that begins with http:// or https://.")
    if len(text) > LONGEST:
        raise ValueError(
            f"The address has {len(text)} characters; a QR code takes at most {LONGEST}."
        )
    out = io.BytesIO()
    code = segno.make_qr(text, error="m")
    options = {"scale": 8, "light": "white", "xmldecl": False, "omitsize": True}
    code.save(out, kind="svg", title="QR code", **options)
    return out.getvalue()


class QrCode(RequestHandler):
    """Hand out the QR code of an address."""

    def get(self) -> None:
        """Answer with an SVG, or with a sentence."""
        try:
            picture = qr_code(self.get_query_argument("link", ""))
        except ValueError as bad:
            self.set_status(400)
            self.set_header("Content-Type", "text/plain; charset=utf-8")
            self.write(str(bad))
            return
        self.set_header("Content-Type", "image/svg+xml")
        self.set_header("Cache-Control", "private, max-age=3600")
        self.write(picture)


ROUTES: list[Any] = [*routes("present", page), (r"/qr.svg", QrCode)]
