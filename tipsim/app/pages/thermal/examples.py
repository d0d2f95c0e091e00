"""Pictures to start from: a fair one, and one for each way in which they mislead."""

from __future__ import annotations

from tipsim.setup.described import about, described
from tipsim.setup.thermal_camera import ThermalCamera

CURSORS = ("point", "height", "near", "far")
"""Settings that an example leaves as they are."""


@described()
class Example:
    """Settings of camera and colours."""

    id: str = about("Name in messages, on the button, and what it shows.")
    title: str
    words: str
    camera: ThermalCamera = about("For both needles; the cursors stay.", default=ThermalCamera())
    scale_a: str = about("Scales of the colours.", default="both")
    scale_b: str = "both"


EXAMPLES = {
    e.id: e
    for e in (
        Example(
            "fair",
            "Fair pictures",
            "One scale for both, and an emissivity as tables give it.",
        ),
        Example(
            "scales",
            "Two scales",
            "B's colours fit B alone, A's go up to 100 °C: the cooler needle glows.",
            scale_a="20 to 100",
            scale_b="own",
        ),
        Example(
            "emissivity",
            "Wrong emissivity",
            "The program takes 0.70, silicone has about 0.95: all that is warm reads too hot.",
            ThermalCamera(set_emissivity=0.7),
        ),
        Example(
            "coarse",
            "Far away",
            "A pixel covers 0.8 mm, the lens blurs as much: sleeve and background mix.",
            ThermalCamera(pixel=0.8e-3, blur=0.8e-3),
        ),
        Example(
            "lamp",
            "A lamp nearby",
            "Silicone mirrors a lamp of 100 °C; the program knows of none.",
            ThermalCamera(mirrored=373.15),
        ),
        Example(
            "behind",
            "From behind",
            "The camera looks at the side that nothing presses; the hot one faces away.",
            ThermalCamera(side=3.141592653589793),
        ),
    )
}
"""By id, in the order of the buttons."""
