"""The page of two needles inside a notebook."""

from urllib.parse import parse_qsl

from panel.viewable import Viewable

from tipsim.app.pages.bench.page import BenchPage
from tipsim.setup.link import pair_to_query
from tipsim.setup.scenario import Scenario


def show(scenario: Scenario, other: Scenario | None = None) -> Viewable:
    """Return a live view of a scenario, beside another one: stage, controls, numbers.

    Parameters
    ----------
    scenario, other : Scenario
        Needles A and B; the same for both when only one is given.

    Raises
    ------
    BadInput
        For a needle that no link can hold.
    """
    query = pair_to_query(scenario, other or scenario)
    return BenchPage(dict(parse_qsl(query))).__panel__()
