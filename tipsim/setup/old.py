"""Inputs under the names of earlier versions, in links and in files: read as what they became."""

from collections.abc import Mapping
from decimal import Decimal, InvalidOperation
from typing import Any

NEAR, FAR, BARE = "near_end_mm", "far_end_mm", "bare_exposed_mm"
_NEAR, _FAR, _EXPOSED = Decimal("1.5"), Decimal("4.5"), Decimal("1.5")
"""What these were where they were not given [mm]: a record of the past, not numbers of the model.

The incision was given from the sleeve's end, on a bare needle from where that would be.
"""
INSERTION, LENGTH, TUNNEL = "insertion_mm", "length_mm", "tunnel_mm"


def incision_items(items: Mapping[str, str], exposed_mm: Decimal | None) -> dict[str, str]:
    """Return the items of a link with an incision of old given from the tip.

    Parameters
    ----------
    exposed_mm : Decimal or None
        Length of the needle that stands out of the sleeve [mm]; None without a sleeve.

    Examples
    --------
    >>> incision_items({"incision.near_end_mm": "2"}, Decimal("1.25"))
    {'incision.insertion_mm': '3.25', 'incision.length_mm': '2.5'}
    """
    out = dict(items)
    olds = {k: out.pop(f"incision.{k}") for k in (NEAR, FAR, BARE) if f"incision.{k}" in out}
    tunnel = out.pop(f"tissue.wound.{TUNNEL}", None)
    given = _number(items.get("sleeve.exposed_mm"))
    exposed_mm = None if items.get("sleeve") == "none" else exposed_mm
    try:
        new = _incision(olds, tunnel, exposed_mm if given is None else given)
    except InvalidOperation:  # No numbers: the complaint is that of the present names.
        new = {}
        out |= {f"incision.{k}": v for k, v in olds.items()}
    return {f"incision.{k}": f"{v.normalize():f}" for k, v in new.items()} | out


def scenario_table(data: Mapping[str, Any]) -> dict[str, Any]:
    """Return a scenario file's table with an incision of old given from the tip."""
    out = dict(data)
    incision, tissue = out.get("incision"), out.get("tissue")
    wound = tissue.get("wound") if isinstance(tissue, Mapping) else None
    tunnel = None
    if isinstance(tissue, Mapping) and isinstance(wound, Mapping) and TUNNEL in wound:
        tunnel = wound[TUNNEL]
        kept = {k: v for k, v in wound.items() if k != TUNNEL}
        out["tissue"] = {**tissue, "wound": kept}
    if not isinstance(incision, Mapping) or not {NEAR, FAR, BARE} & set(incision):
        return out
    sleeve = out.get("sleeve")
    exposed = sleeve.get("exposed_mm") if isinstance(sleeve, Mapping) else None
    olds = {k: incision[k] for k in (NEAR, FAR, BARE) if k in incision}
    try:
        new = _incision(olds, tunnel, None if exposed is None else Decimal(str(exposed)))
    except InvalidOperation:
        return out
    kept = {k: v for k, v in incision.items() if k not in olds}
    out["incision"] = {**new, **kept}
    return out


def _incision(
    olds: Mapping[str, Any], tunnel: Any | None, exposed: Decimal | None
) -> dict[str, Decimal]:
    """Return insertion and length [mm] from what was given of old."""
    if NEAR in olds or FAR in olds:
        near, far = Decimal(str(olds.get(NEAR, _NEAR))), Decimal(str(olds.get(FAR, _FAR)))
        if exposed is None:
            exposed = Decimal(str(olds.get(BARE, _EXPOSED)))
        return {INSERTION: near + exposed, LENGTH: far - near}
    return {} if tunnel is None else {LENGTH: Decimal(str(tunnel))}


def _number(text: str | None) -> Decimal | None:
    try:
        return None if text is None else Decimal(text)
    except InvalidOperation:
        return None
