"""The Evidence page: every row is there, and its links lead to the bench that it states."""

import re
from urllib.parse import parse_qsl

import pytest

from tipsim.app.pages.studies.page import context, link, scale, studies_html
from tipsim.heat.validation.rows import rows
from tipsim.heat.validation.table import kept
from tipsim.setup.link import from_items, pair_from_items


@pytest.fixture(scope="module")
def html() -> str:
    return studies_html()


def test_every_row_order_and_reason_is_there(html: str) -> None:
    text = re.sub(r"&#39;", "'", html)
    for row in rows().rows:
        assert f'id="row-{row.id}"' in html
        for part in (row.setup, row.published, row.assumed):
            assert part in text, row.id
    for order in rows().orders:
        assert order.text in text
    for each in rows().left_out:
        assert each.why in text
    ids = re.findall(r'\bid="([^"]+)"', html)
    assert len(ids) == len(set(ids))


def test_what_is_missed_says_what_was_tried(html: str) -> None:
    for id, found in kept().items():
        part = html[html.index(f'id="row-{id}"') :]
        part = part[: part.index("</li>")]
        assert ("Tried:" in part) is not found.hit, id


def test_the_links_lead_to_the_row_s_bench() -> None:
    for row in rows().rows:
        a, b = pair_from_items(dict(parse_qsl(link(row).partition("?")[2])))
        assert a == from_items(row.bench), row.id
        if row.over is not None:
            assert b == from_items(row.over), row.id


def test_strips_hold_their_marks() -> None:
    for found in kept().values():
        strip = scale(found)
        assert 0 <= strip.low <= strip.value <= strip.high <= 100
        assert 0 <= strip.published <= 100


def test_the_count_is_the_table_s() -> None:
    assert re.match(r"\d+ of \d+ predicted rows hit, ", context()["count"])


def test_nothing_comes_from_elsewhere(html: str) -> None:
    addresses = re.findall(r'(?:href|src)="([^"]+)"', html)
    assert {a for a in addresses if not a.startswith(("./", "#", "assets/"))} == set()
