"""The help beside an input: meaning, what is allowed, first value, status and source."""

from tipsim.setup.catalogue import catalogue, lens_grades
from tipsim.setup.checks import allowed_range
from tipsim.setup.fields import capital
from tipsim.setup.inputs import Input
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import STATUSES


def help_text(one: Input, scenario: Scenario) -> str:
    """Return the help of an input, as it is on a scenario.

    Parameters
    ----------
    scenario : Scenario
        Its drive, sleeve and lens say which entry of the data files a number comes from.

    Examples
    --------
    >>> from tipsim.setup.inputs import inputs
    >>> squeeze = inputs(Scenario)["flow.vacuum_limit_mmhg"]
    >>> help_text(squeeze, Scenario.preset("straight, axial"))[:70]
    'Vacuum at which a flow-controlled pump draws no more, and which a vacu'
    """
    out = f"{capital(one.doc)}."
    if one.kind in ("quantity", "numbers"):
        out += f" Allowed: {allowed_range(one.field.metadata)}."
    if one.kind in ("numbers", "parts"):
        out += f" At most {one.most}."
    return f"{out} {origin_text(one, scenario)}".strip()


def origin_text(one: Input, scenario: Scenario) -> str:
    """Return where the first value of an input comes from, or "" where nothing says so."""
    if one.name == "lens.shear_modulus" and scenario.lens is not None:
        grade = lens_grades().get(scenario.lens.grade)
        return f"{capital(STATUSES[grade.status])}. {grade.source}" if grade else ""
    if (n := one.source) is not None and one.field.default is None:
        return f"Known range {n.low:g} to {n.high:g} {n.unit.symbol}".strip() + f". {n.source}"
    if (n := one.source) is not None:
        return f"First value {n.text}: {STATUSES[n.status]}. {n.source}"
    ids = {
        "drive": scenario.drive.kind,
        "sleeve": scenario.sleeve.id if scenario.sleeve else "",
        "needle": scenario.needle.id,
    }
    for origin in catalogue().origins.get(ids.get(one.part, ""), ()):
        if one.field.name in origin.fields:
            return f"First value: {STATUSES[origin.status]}. {origin.source}"
    return ""
