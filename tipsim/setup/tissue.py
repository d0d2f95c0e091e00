"""Numbers of the tissue that nobody has measured well: each can be moved, within its range."""

from dataclasses import dataclass

from tipsim.setup.fields import check, part, sourced


@dataclass(frozen=True)
class IrisNumbers:
    """Numbers of iris and rubbing, nearly all assumed; meanings and ranges in `iris.toml`.

    Attributes
    ----------
    spread, spread_limit, rate : float
        Flutter at the reference, its limit [m], and its rate [Hz].
    spread_exponent, rate_share : float
        How flutter and rate follow flow and modulus [no unit].
    pressure, length, arc : float
        Of the contact [Pa, m, rad].
    friction, along_share, twist_share : float
        Of iris on sleeve; of needle on sleeve [no unit].
    """

    spread: float = sourced("iris.spread", label="Iris flutter at the reference flow")
    rate: float = sourced("iris.rate")
    spread_exponent: float = sourced("iris.spread_exponent")
    rate_share: float = sourced("iris.rate_share")
    spread_limit: float = sourced("iris.spread_limit")
    pressure: float = sourced("iris.pressure")
    length: float = sourced("iris.length")
    arc: float = sourced("iris.arc")
    friction: float = sourced("iris.friction")
    along_share: float = sourced("iris.along_share")
    twist_share: float = sourced("iris.twist_share")

    def __post_init__(self) -> None:
        """Check the numbers."""
        check(self)


@dataclass(frozen=True)
class CuttingNumbers:
    """Numbers of cutting; meanings and ranges in `cutting.toml`.

    Attributes
    ----------
    contact, hold_share, push, sideways_weight, share_at_knee, jump, hardness_exponent : float
        All without unit.
    """

    contact: float = sourced("cutting.contact")
    hold_share: float = sourced("cutting.hold_share")
    push: float = sourced("cutting.push", label="Push of the opening on the lens")
    sideways_weight: float = sourced("cutting.sideways_weight")
    share_at_knee: float = sourced("cutting.share_at_knee")
    jump: float = sourced("cutting.jump")
    hardness_exponent: float = sourced("cutting.hardness_exponent")

    def __post_init__(self) -> None:
        """Check the numbers."""
        check(self)


@dataclass(frozen=True)
class WoundNumbers:
    """Numbers of the wound's lip; meanings and ranges in `wound.toml`.

    Attributes
    ----------
    thickness, tunnel : float
        Of the cornea, and length of the wound's tunnel [m].
    lip_share : float
        Thickness of the lip over the tunnel, over the cornea's [no unit].
    give : float
        Stretch of the lips that costs no pressure [no unit].
    modulus, silicone_modulus : float
        Of cornea and silicone [Pa].
    contact_film, outside_film : float
        Heat passed between sleeve and lip, and from the lip outwards [W/m² K].
    """

    thickness: float = sourced("wound.thickness")
    lip_share: float = sourced("wound.lip_share")
    tunnel: float = sourced("wound.tunnel")
    give: float = sourced("wound.give")
    modulus: float = sourced("wound.modulus")
    silicone_modulus: float = sourced("wound.silicone_modulus")
    contact_film: float = sourced("wound.contact_film")
    outside_film: float = sourced("wound.outside_film")

    def __post_init__(self) -> None:
        """Check the numbers."""
        check(self)


@dataclass(frozen=True)
class Tissue:
    """All of them.

    Attributes
    ----------
    iris : IrisNumbers
    cutting : CuttingNumbers
    wound : WoundNumbers
    near, far : float
        Thickness of the two layers of tissue around the sleeve, in the heat model [m].
    beyond : float
        Distance from there to tissue that keeps its temperature [m].

    Examples
    --------
    >>> Tissue().iris.friction
    0.1
    """

    iris: IrisNumbers = part(IrisNumbers, "iris and rubbing", IrisNumbers())
    cutting: CuttingNumbers = part(CuttingNumbers, "cutting", CuttingNumbers())
    wound: WoundNumbers = part(WoundNumbers, "the wound's lip", WoundNumbers())
    near: float = sourced("tissue.near", label="First layer of tissue")
    far: float = sourced("tissue.far", label="Second layer of tissue")
    beyond: float = sourced("tissue.beyond", label="Distance to unheated tissue")

    def __post_init__(self) -> None:
        """Check the numbers."""
        check(self)
