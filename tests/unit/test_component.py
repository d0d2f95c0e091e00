"""The route of the browser modules: scripts as they lie on disk, under their version only."""

import re

import tornado.web
from tornado.testing import AsyncHTTPTestCase

from tipsim.app.framework import chart, component
from tipsim.app.framework.component import ROOT, VERSION, script


class RouteTest(AsyncHTTPTestCase):
    def get_app(self) -> tornado.web.Application:
        return tornado.web.Application([*component.ROUTES, *chart.ROUTES])

    def test_a_script_comes_as_it_lies_on_disk_and_may_be_kept(self) -> None:
        answer = self.fetch(f"/modules/{VERSION}/framework/make.js")
        assert answer.code == 200
        assert answer.body == (ROOT / "framework" / "make.js").read_bytes()
        assert answer.headers["Content-Type"].startswith("text/javascript")
        assert "immutable" in answer.headers["Cache-Control"]

    def test_nothing_else_is_given_away(self) -> None:
        for path in (
            f"/modules/{VERSION}/framework/component.py",
            f"/modules/{VERSION}/../cli.py",
            f"/modules/{VERSION}/framework/missing.js",
            f"/modules/{VERSION}/charts/no.such.json",
            "/modules/0000/framework/make.js",
        ):
            assert self.fetch(path).code == 404, path


def test_a_component_imports_its_module_from_beside_the_page() -> None:
    text = script(ROOT / "framework" / "article.js")
    (address,) = re.findall(r'new URL\("([^"]+)", document.baseURI\)', text)
    # Relative to the page, so that a path in front of all addresses does not matter.
    assert address == f"./modules/{VERSION}/framework/article.js"
