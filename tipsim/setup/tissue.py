"""Numbers of the tissue that nobody has measured well: each can be moved, within its range."""

from dataclasses import dataclass

from tipsim.setup.fields import Declared, part, sourced


@dataclass(frozen=True)
class IrisNumbers(Declared):
    """Numbers of iris and rubbing, nearly all assumed; meanings and ranges in `iris.toml`."""

    spread: float = sourced("iris.spread", label="Iris flutter at the reference flow")
    rate: float = sourced("iris.rate")
    spread_exponent: float = sourced("iris.spread_exponent")
    rate_share: float = sourced("iris.rate_share")
    reference_flow: float = sourced("iris.reference_flow", span=(5, 60), slider=(5, 60, 1))
    reference_modulus: float = sourced(
        "iris.reference_modulus", span=(0.3, 1000), slider=(0.5, 1000, 0.5), scale="log"
    )
    reference_work: float = sourced(
        "iris.reference_work", span=(0.01, 100), slider=(0.1, 10, 0.1), scale="log"
    )
    spread_limit: float = sourced("iris.spread_limit")
    pressure: float = sourced("iris.pressure")
    length: float = sourced("iris.length")
    arc: float = sourced("iris.arc")
    friction: float = sourced("iris.friction")
    along_share: float = sourced("iris.along_share")
    twist_share: float = sourced("iris.twist_share")


@dataclass(frozen=True)
class CuttingNumbers(Declared):
    """Numbers of cutting; meanings and ranges in `cutting.toml`."""

    contact: float = sourced("cutting.contact")
    hold_share: float = sourced("cutting.hold_share")
    push: float = sourced("cutting.push", label="Push of the opening on the lens")
    sideways_weight: float = sourced("cutting.sideways_weight")
    share_at_knee: float = sourced("cutting.share_at_knee")
    jump: float = sourced("cutting.jump")
    jump_low: float = sourced("cutting.jump_low", span=(2, 14), slider=(2, 14, 1))
    knee: float = sourced("cutting.knee", span=(15, 50), slider=(15, 50, 1))
    hardness_exponent: float = sourced("cutting.hardness_exponent")


@dataclass(frozen=True)
class WoundNumbers(Declared):
    """Numbers of the wound's lip; meanings and ranges in `wound.toml`."""

    thickness: float = sourced("wound.thickness")
    lip_share: float = sourced("wound.lip_share")
    give: float = sourced("wound.give", span=(0, 0.35), slider=(0.05, 0.35, 0.01))
    modulus: float = sourced("wound.modulus")
    silicone_modulus: float = sourced("wound.silicone_modulus")
    silicone_poisson: float = sourced("wound.silicone_poisson")
    contact_film: float = sourced("wound.contact_film")
    outside_film: float = sourced("wound.outside_film")


@dataclass(frozen=True)
class Tissue(Declared):
    """All numbers of the tissue.

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
