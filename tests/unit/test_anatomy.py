"""One anatomy: how far the needle is in and how long the incision is; the rest follows unless set.

All by hand: with the needle 6 mm in and an incision of 2 mm, the incision lies 6 to 8 mm from the
tip; an iris touched over 2 mm lies 4 to 6 mm from it, inside the chamber.
"""

from decimal import Decimal

import numpy as np
import pytest

from tipsim.app.framework.state import PageState
from tipsim.heat.cells import cut
from tipsim.motion.sleeve import held
from tipsim.setup.link import from_query, to_query
from tipsim.setup.load import Support
from tipsim.setup.presets import loaded, preset
from tipsim.setup.scenario import Scenario
from tipsim.setup.thermal import Press

SINGLE = preset("single-bend, torsional")
MM = 1e-3


def deep(insertion: float, length: float = 2 * MM) -> Scenario:
    return SINGLE.with_(
        **{"incision.insertion": insertion, "incision.length": length},
        outside="wound",
        press=Press(),
        support=Support(),
    )


@pytest.mark.parametrize("insertion", [4.5 * MM, 6 * MM, 8 * MM])
def test_everything_follows_the_incision(insertion: float) -> None:
    bench = deep(insertion, 1.5 * MM)
    near, far = insertion, insertion + 1.5 * MM
    assert bench.press is not None and bench.support is not None
    for part in (bench.press, bench.support):
        assert part.span(bench.incision) == pytest.approx((near, far))
    assert bench.iris_place == pytest.approx(insertion - 1 * MM)
    cells = cut(bench)
    from_tip = bench.needle.length - cells.middle
    assert (cells.wound == ((from_tip > near) & (from_tip < far))).all()
    assert (cells.wet == (from_tip <= near)).all()
    places = bench.needle.length - np.array([near - 0.1 * MM, near + 0.1 * MM, far + 0.1 * MM])
    assert held(bench, places).tolist() == [False, True, False]


def test_the_iris_lies_inside_the_chamber_for_every_preset() -> None:
    for bench in (SINGLE, preset("counter-bent, torsional"), *loaded().values()):
        half = bench.tissue.iris.length / 2
        assert bench.iris_place + half <= bench.incision.insertion + 1e-12


def test_what_is_set_stays() -> None:
    bench = deep(6 * MM).with_(**{"eye.iris_place": 3 * MM, "press.place": 5 * MM})
    further = bench.with_(insertion=8 * MM)
    assert further.iris_place == 3 * MM
    assert further.press is not None and further.support is not None
    assert further.press.span(further.incision) == pytest.approx((4 * MM, 6 * MM))
    assert further.support.span(further.incision) == pytest.approx((8 * MM, 10 * MM))
    assert from_query(to_query(further)) == further
    assert Scenario.parse(further.to_toml()) == further


def test_one_switch_lets_all_follow_again() -> None:
    state = PageState.first().change("both", "press", True)
    own = state.change("both", "press.place_mm", "5").change("both", "eye.iris_place_mm", "3")
    assert own.change("both", "incision.follow", True) == state
    fixed = state.change("both", "incision.follow", False)
    assert fixed.bench.a.eye.iris_place == pytest.approx(5 * MM)
    assert fixed.bench.a.press is not None
    assert fixed.bench.a.press.place == pytest.approx(7 * MM)
    assert fixed.change("both", "incision.follow", True) == state


@pytest.mark.parametrize(
    ("old", "insertion", "length"),
    [
        ("incision.near_end_mm=1.5&incision.far_end_mm=4.5", 2.75, 3),
        ("incision.near_end_mm=2", 3.25, 2.5),
        ("incision.far_end_mm=5&sleeve.exposed_mm=1", 2.5, 3.5),
        ("sleeve=none&incision.near_end_mm=2&incision.bare_exposed_mm=1", 3, 2.5),
        ("tissue.wound.tunnel_mm=1.2", 6, 1.2),
        ("incision.near_end_mm=2&incision.insertion_mm=5", 5, 2.5),
    ],
)
def test_links_of_old_gave_the_incision_from_the_sleeve_s_end(
    old: str, insertion: float, length: float
) -> None:
    bench = from_query(f"needle=single-bend&drive=torsional&{old}")
    assert bench.incision.insertion == pytest.approx(insertion * MM)
    assert bench.incision.length == pytest.approx(length * MM)


def test_a_file_of_old_is_read() -> None:
    """As version 1 of a scenario file had it; its coupling of 0.48 stays set."""
    new = SINGLE.with_(mobility=0.48).to_toml()
    begin, rest = new.split("[incision]\n")
    _, bare = rest.split("bare_gap_mm", 1)
    old = "near_end_mm = 1.5\nfar_end_mm = 4.5\nbare_exposed_mm = 1.5\nbare_gap_mm"
    text = f"{begin}[incision]\n{old}{bare}".replace(
        "[tissue.wound]\n", "[tissue.wound]\ntunnel_mm = 2.0\n"
    )
    bench = Scenario.parse(text)
    assert bench.incision.insertion == pytest.approx(2.75 * MM)
    assert bench.incision.length == pytest.approx(3 * MM)
    assert bench.sleeve is not None and bench.sleeve.mobility == float(Decimal("0.48"))
