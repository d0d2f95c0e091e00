"""Limits that judge a temperature: words and a colour. Sources: `assets/numbers/dose.toml`."""

import numpy as np

from tipsim.setup.described import about, described
from tipsim.setup.errors import BadInput
from tipsim.setup.sourced import Sourced, number


@described()
class Judgement:
    """What the limits say about a temperature held for some time."""

    colour: str = about('"green", "amber" or "red".')
    words: str = about("The same in a sentence, so that colour is never alone.")
    contact: Sourced = about("The standard's limit for skin contact of this length.")
    over_contact: bool = about("Whether it is passed.")


def judge(temperature: float, seconds: float) -> Judgement:
    """Return words and a colour for a temperature that is held for some time.

    Parameters
    ----------
    temperature : float
        [K].
    seconds : float
        How long [s]; picks the standard's limit for skin contact.

    Raises
    ------
    BadInput
        For a negative time or a number that is not finite.

    Examples
    --------
    >>> hot = judge(325.15, 20.0)
    >>> hot.colour, hot.contact.text, hot.over_contact
    ('red', '51 °C', True)
    >>> judge(304.15, 60.0).words
    'Below the wound-burn endpoint of bench studies (45 °C).'
    """
    if not np.isfinite(temperature):
        raise BadInput("temperature", f"{temperature} K", "a finite number")
    if not (np.isfinite(seconds) and seconds >= 0):
        raise BadInput("seconds", f"{seconds:g} s", "0 or more")
    warm, bench, begins, shrinks = (
        number(f"limit.{k}") for k in ("warm", "bench", "collagen_from", "collagen_to")
    )
    at = "At or above the wound-burn endpoint of bench studies"
    if temperature >= shrinks.si:
        colour, words = "red", f"At or above {shrinks.value:g} °C: collagen of the cornea shrinks."
    elif temperature >= begins.si:
        colour = "red"
        words = f"{at}; collagen begins to shrink ({begins.value:g} to {shrinks.value:g} °C)."
    elif temperature >= bench.si:
        colour, words = "red", f"{at} ({bench.value:g} °C)."
    elif temperature >= warm.si:
        colour = "amber"
        words = (
            f"Below the wound-burn endpoint of bench studies ({bench.value:g} °C), but as warm as "
            f"the warmest incisions measured in patients (from {warm.value:g} °C)."
        )
    else:
        colour = "green"
        words = f"Below the wound-burn endpoint of bench studies ({bench.value:g} °C)."
    contact = contact_limit(seconds)
    return Judgement(colour, words, contact, temperature > contact.si)


def contact_limit(seconds: float) -> Sourced:
    """Return the standard's limit for skin contact of some length [s]; metal or liquid.

    >>> [contact_limit(s).value for s in (59.0, 60.0, 599.0, 600.0)]
    [51.0, 48.0, 48.0, 43.0]
    """
    if seconds >= number("contact.ten").si:
        return number("contact.long")
    return number("contact.minutes" if seconds >= number("contact.one").si else "contact.brief")
