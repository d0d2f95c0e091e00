"""The flow of a bench as plain data: units in the keys."""

from typing import Any

from tipsim.flow.balance import Balance
from tipsim.flow.surge import Surge
from tipsim.setup.units import ML_MIN, MMHG, UL, Unit


def flow_dict(rest: Balance, run: Surge) -> dict[str, Any]:
    """Give the steady flow, and what a piece that blocks the mouth and lets go makes of it.

    Parameters
    ----------
    rest : Balance
    run : Surge
        A trial as the flow page first shows it.

    Examples
    --------
    >>> from tipsim.flow.balance import balance
    >>> from tipsim.flow.surge import surge
    >>> from tipsim.setup.scenario import Scenario
    >>> bench = Scenario.preset("single-bend, torsional")
    >>> round(flow_dict(balance(bench), surge(bench))["mouth_ml_min"], 6)
    25.0
    """
    return {
        "bottle_mmhg": _in(MMHG, rest.bottle_pressure),
        "chamber_mmhg": _in(MMHG, rest.chamber_pressure),
        "vacuum_mmhg": _in(MMHG, rest.vacuum),
        "irrigation_ml_min": _in(ML_MIN, rest.flows.irrigation),
        "mouth_ml_min": _in(ML_MIN, rest.flows.mouth),
        "bypass_ml_min": _in(ML_MIN, rest.flows.bypass),
        "leak_ml_min": _in(ML_MIN, rest.flows.leak),
        "limited": rest.limited,
        "falls_flat": rest.collapses,
        "surge": {
            "vacuum_rise_s": None if run.rise_time is None else _rounded(run.rise_time),
            "highest_vacuum_mmhg": _in(MMHG, float(run.vacuum.max())),
            "highest_chamber_mmhg": _in(MMHG, float(run.chamber.max())),
            "lowest_chamber_mmhg": _in(MMHG, run.lowest),
            "dip_mmhg": _in(MMHG, run.depth),
            "lost_ul": _in(UL, run.lost),
            "fastest_ml_min": _in(ML_MIN, run.fastest),
            "falls_flat": run.flat_at is not None,
        },
    }


def _in(unit: Unit, value: float) -> float:
    return _rounded(float(unit.from_si(value)))


def _rounded(value: float) -> float:
    """Round to six significant digits: more would be noise in a file."""
    return float(f"{value:.6g}")
