"""What holds the sleeve, and what still flows, in a sentence a side."""

from tipsim.app.pages.heat.energy import energy
from tipsim.app.pages.heat.state import HeatState
from tipsim.app.pages.heat.story import PAIR, story
from tipsim.flow.balance import flows
from tipsim.heat.validation.rows import row
from tipsim.setup.link import from_items, from_query
from tipsim.setup.scenario import Scenario
from tipsim.solve import solve

COUNTER = "needle=counter-bent&drive=torsional&occlusion=100&leak=0.5"
HOLE = "needle.bypass_diameter_mm=0.2&needle.bypass_distance_mm=12.5"


def lines(a: str, b: str) -> list[str]:
    found = story((solve(from_query(a)), solve(from_query(b))))["lines"]
    assert isinstance(found, list)
    return found


def test_a_load_holds_and_a_hole_lets_through() -> None:
    loaded, free = lines(f"{COUNTER}&press=on", f"{COUNTER}&{HOLE}")
    assert loaded.startswith("A load holds the sleeve still, 6 mm to 8 mm from the tip")
    assert "no bypass hole" in loaded and "0.8 mL/min are left" in loaded
    through = 60e6 * flows(from_query(f"{COUNTER}&{HOLE}")).irrigation
    assert free.startswith("Nothing holds the sleeve")
    assert f"its bypass hole keeps {through:.0f} mL/min flowing" in free


def test_a_bare_needle_and_a_support() -> None:
    bare, held = lines("needle=straight&drive=axial&sleeve=none", "needle=straight&support=on")
    assert bare.startswith("There is no sleeve. 25 mL/min flow")
    assert held.startswith("The wound's support holds the sleeve still")


def test_the_pair_of_common_practice_opens_as_the_rows_say() -> None:
    state = HeatState.from_items(_items(energy(HeatState.first())["story"]["pair"]))
    assert [state.bench.a, state.bench.b] == [from_items(row(id).bench) for id in PAIR]
    assert isinstance(state.bench.a, Scenario)


def _items(query: str) -> dict[str, str]:
    from urllib.parse import parse_qsl

    return dict(parse_qsl(query))
