"""The page of the thermal camera without a browser: what it sends, says, holds back and saves."""

import io
import zipfile
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
import tifffile

from tipsim import store
from tipsim.app.framework.packet import decode
from tipsim.app.pages.thermal import packet
from tipsim.app.pages.thermal.believe import content
from tipsim.app.pages.thermal.examples import EXAMPLES
from tipsim.app.pages.thermal.glance import at_a_glance
from tipsim.app.pages.thermal.page import ThermalPage
from tipsim.app.pages.thermal.saving import film
from tipsim.app.pages.thermal.state import ThermalState
from tipsim.saved import pack
from tipsim.setup.errors import BadInput

ZERO = 273.15
LOW = {"ceilings.speed_m_s": "5"}
"""A link that no motion of a fresh bench keeps within the range of the model."""


@pytest.fixture(scope="module", autouse=True)
def fresh_store() -> Iterator[None]:
    yield
    store.shared().clear()


def sent(state: ThermalState) -> Any:
    return decode(packet.packet(state))


def test_the_browser_gets_what_the_program_reads() -> None:
    state = ThermalState.first()
    a, _ = state.films
    side = sent(state)["sides"][0]
    assert a is not None
    count, rows, columns = side["shape"]
    pictures = np.asarray(side["pictures"]).reshape(count, rows, columns) / 100 - ZERO
    hottest = pictures.max(axis=(1, 2))
    assert hottest == pytest.approx(a.whole.hottest - ZERO, abs=0.006)
    assert side["curves"]["true"].max() == pytest.approx(a.true_max - ZERO, abs=1e-3)
    # The truth behind it: the hottest all around in the last picture.
    warm = np.asarray(side["warm"]).reshape(count, -1) / 100
    assert warm[-1].max() == pytest.approx(a.whole.hidden[-1], abs=0.006)
    low, high = side["scales"]["own"]
    assert low == np.floor(pictures.min()) and high == np.ceil(pictures.max())


def test_a_preview_is_near_the_result() -> None:
    state = ThermalState.first()
    rough, full = decode(packet.preview(state)), sent(state)
    assert rough["rough"] and not full["rough"]
    for one, other in zip(rough["sides"], full["sides"], strict=True):
        assert one["shape"][0] <= packet.PREVIEW
        ends = [side["curves"]["seen"][-1] for side in (one, other)]
        assert ends[0] == pytest.approx(ends[1], abs=2.5)


def test_a_long_film_is_thinned_out_for_the_browser_only() -> None:
    state = ThermalState.from_items({"outside": "air", "thermal_camera.pixel_mm": "0.1"})
    side = sent(state)["sides"][0]
    assert side["every"] > 1 and np.prod(side["shape"]) <= packet.BUDGET
    assert len(side["curves"]["seen"]) > side["shape"][0]


@pytest.mark.parametrize("id", EXAMPLES)
def test_an_example_is_set_and_survives_its_link(id: str) -> None:
    page = ThermalPage({})
    page.handle({"seq": 1, "changes": [{"side": "both", "field": "example", "value": id}]})
    assert page.state.example == id
    query = page.state.to_query()
    items = dict(part.split("=") for part in query.split("&"))
    items = {k: v.replace("+", " ") for k, v in items.items()}
    again = ThermalState.from_items(items)
    assert again.example == id and again.bench.a.press == page.state.bench.a.press


def test_each_example_misleads_as_it_says() -> None:
    first = ThermalState.first()
    seen = {id: first.change("both", "example", id) for id in EXAMPLES}
    films = {id: state.films[0] for id, state in seen.items()}
    assert all(film is not None for film in films.values())
    error = {id: film.seen_max - film.true_max for id, film in films.items() if film}
    assert abs(error["fair"]) < 2
    assert error["emissivity"] > 5 and error["coarse"] < -3 and error["lamp"] > 2
    behind = films["behind"]
    assert behind is not None and behind.hidden_max - behind.true_max > 3
    assert "scales differ" in at_a_glance(seen["scales"]).warning
    assert at_a_glance(seen["fair"]).warning == ""


def test_the_two_scales_turn_the_order_of_the_colours() -> None:
    state = ThermalState.first().change("both", "example", "scales")
    a, b = state.films
    assert a is not None and b is not None and a.true_max > b.true_max
    ranges = packet.scales((a, b))
    shares = [
        (film.seen_max - ZERO - low) / (high - low)
        for film, (low, high) in zip(
            (a, b), (ranges[0][state.scale_a], ranges[1][state.scale_b]), strict=True
        )
    ]
    assert shares[0] < 0.5 < 0.9 < shares[1], "the cooler needle glows"
    assert ("Colours", "bad") in [v[:2] for v in content(state)["verdicts"]]


def test_causes_are_listed_and_add_up() -> None:
    rows = content(ThermalState.first())["causes"]
    for side in (1, 2):
        parts = [float(row[side].replace("−", "-")) for row in rows]
        assert sum(parts[:-1]) == pytest.approx(parts[-1], abs=0.4)  # each rounded to a tenth


def test_what_stands_in_fluid_is_filmed_in_air_and_it_says_so() -> None:
    state = ThermalState.from_items({"power": "50"})
    assert state.bench.a.outside.kind == "chamber"
    assert state.films[0] is not None
    assert state.moved.startswith("A and B filmed in air")
    assert "filmed in air" in sent(state)["moved"]
    assert ThermalState.first().moved == ""


def test_beyond_the_range_of_the_model_nothing_is_drawn() -> None:
    state, wrong = ThermalState.read(LOW)
    assert not wrong and state.films == (None, None)
    for data in (sent(state), decode(packet.preview(state))):
        for side in data["sides"]:
            assert "pictures" not in side and side["held"].startswith("Not drawn: tip speed")
    glance = at_a_glance(state)
    assert glance.headline.startswith("Not compared")
    assert set(glance.numbers[0].values.values()) == {"–"}
    page = content(state)
    assert page["held"] and not page["verdicts"]
    assert {row[1] for row in page["causes"]} == {"–"}
    with pytest.raises(BadInput, match="A's film"):
        film(LOW)


def test_a_film_is_saved_with_its_truth() -> None:
    saved = film({"side": "b"})
    with zipfile.ZipFile(io.BytesIO(pack(saved))) as archive:
        names = {name.rpartition("/")[2]: name for name in archive.namelist()}
        pixels = tifffile.imread(io.BytesIO(archive.read(names["simulated-film.tif"])))
        truth = archive.read(names["simulated-truth.csv"]).decode().splitlines()
    found = ThermalState.first().films[1]
    assert found is not None
    assert pixels.shape == found.film.signal.shape
    assert pixels.max() / 100 == pytest.approx(found.seen_max, abs=0.006)
    # The tip is at the right: the sleeve's end is warm there, the far left lies beyond the hub.
    heads = next(line for line in truth if line.startswith("picture")).split(",")
    column = next(i for i, head in enumerate(heads) if head.startswith("true_hottest"))
    rows = [line.split(",") for line in truth[truth.index(",".join(heads)) + 1 :]]
    warmest = max(float(row[column]) for row in rows if row[column])
    assert warmest == pytest.approx(found.hidden_max - ZERO, abs=0.3)
    with pytest.raises(BadInput, match=r'side is "c"; allowed: a, b'):
        film({"side": "c"})
