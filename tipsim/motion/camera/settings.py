"""What is set on the camera, and settings that are worth a look."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

from tipsim.setup.described import about, described
from tipsim.setup.errors import BadInput
from tipsim.setup.fields import Declared, choice, quantity, sourced
from tipsim.setup.units import DEG, ONE, PER_SECOND, UM, Unit

US = Unit("µs", "us", Decimal("1e-6"), si="s")

VIEWS = ("edge-on", "flat")
AIMS = ("end", *(str(number) for number in range(1, 13)))
MARKS = ("middle", "surface")
NOISES = ("on", "off")


@dataclass(frozen=True)
class Camera(Declared):
    """A camera that films the needle from the side.

    Edge-on x is to the right and -z up, flat y up. Aim "end" is the last 6 mm, as far as the sensor
    reaches, a number a marker. Frames and seed are whole numbers.

    Raises
    ------
    BadInput
        For a number out of range, or an exposure longer than the time between two pictures.

    Examples
    --------
    >>> Camera(frame_rate=1000, exposure=1e-3).count
    40
    >>> Camera(frame_rate=1000, exposure=2e-3)
    Traceback (most recent call last):
    tipsim.setup.errors.BadInput: exposure_us is 2000 µs; allowed: at most 1000 µs, the time from
    one picture to the next at 1000 /s.
    """

    view: str = choice(
        VIEWS,
        "across the plane of the bends (top view), which shows what a torsional drive does, or "
        "onto that plane (side view), which shows what an axial drive does. Motion toward the "
        "camera is not seen",
        "edge-on",
        label="View",
        said={"edge-on": "Top view", "flat": "Side view"},
    )
    aim: str = choice(
        AIMS,
        "what the picture is centred on",
        "end",
        label="Aimed at",
        said={"end": "The last 6 mm"} | {n: f"Marker {n}, close" for n in AIMS[1:]},
    )
    frame_rate: float = quantity(
        PER_SECOND,
        *(10, 2_000_000, "pictures per second", 500e3),
        label="Frame rate",
        slider=(500, 1e6, 1000),
        scale="log",
    )
    exposure: float = quantity(
        US,
        *(0.05, 100_000, "for how long each picture gathers light; at most until the next", 1e-6),
        label="Exposure",
        slider=(0.1, 2000, 0.1),
        scale="log",
    )
    pixel: float = quantity(
        UM,
        *(4, 40),
        "width that one pixel covers at the needle. The sensor has 480 by 200: smaller pixels see "
        "less of the needle",
        12.5e-6,
        label="Pixel at the needle",
        slider=(4, 40, 0.5),
    )
    frames: float = quantity(
        ONE, 8, 96, "length of the film", 40, label="Pictures", slider=(8, 96, 1)
    )
    trigger: float = quantity(
        DEG,
        *(0, 360, "phase of the drive when the first exposure begins", 0.0),
        label="Start in the cycle",
        slider=(0, 360, 5),
    )
    marks: str = choice(
        MARKS,
        "where the marks sit: on the middle line, as markers are counted, or printed on the side "
        "that faces the camera, as real ones must be; there the needle's turning moves them too",
        "middle",
        label="Marks",
        said={"middle": "Middle line"},
    )
    noise: str = choice(
        NOISES,
        "whether light and sensor are noisy. Light arrives by chance, and the sensor adds its own "
        "noise. The lamp is taken to be strong enough for any exposure",
        "on",
        label="Noise",
    )
    signal_to_noise: float = quantity(
        ONE,
        *(2, 1000),
        "mean over scatter of a pixel in full light. Assumed: 5 to 20 for exposures of a "
        "microsecond, 50 to 200 for ordinary ones",
        20.0,
        label="Signal-to-noise ratio",
        slider=(2, 1000, 1),
        scale="log",
    )
    seed: float = quantity(
        ONE,
        *(0, 9999, "random seed: the same number gives the same noise again", 1),
        label="Noise seed",
        slider=(0, 100, 1),
    )

    read_noise: float = sourced("camera.read_noise", label="Noise of the sensor, electrons")
    mark_radius: float = sourced("camera.mark_radius", label="Radius of a mark")

    def __post_init__(self) -> None:
        """Check the numbers and that they fit together."""
        super().__post_init__()
        for name in ("frames", "seed"):
            if getattr(self, name) != int(getattr(self, name)):
                raise BadInput(name, f"{getattr(self, name):g}", "a whole number")
        if self.exposure > (1 + 1e-9) / self.frame_rate:
            longest = f"at most {US.show(1 / self.frame_rate)}"
            rate = PER_SECOND.show(self.frame_rate, 7)
            allowed = f"{longest}, the time from one picture to the next at {rate}"
            shown = US.show(self.exposure)
            sentence = f"Enter {allowed}. You entered {shown}."
            raise BadInput("exposure_us", shown, allowed, sentence)

    @property
    def count(self) -> int:
        """Number of pictures."""
        return int(self.frames)


@described()
class Example:
    """Settings that teach something."""

    id: str = about("Short name, name on screen, and what it is.")
    title: str
    words: str
    frame_rate: float = about("[1/s] and [s].")
    exposure: float
    marks: str = about("Where the marks sit; see `Camera`.", default="middle")

    def on(self, camera: Camera) -> Camera:
        """Return a camera with these settings; all others stay."""
        return replace(camera, frame_rate=self.frame_rate, exposure=self.exposure, marks=self.marks)


def examples(frequency: float) -> Mapping[str, Example]:
    """Return settings that fit a drive's frequency [Hz], by id.

    Examples
    --------
    >>> for example in examples(32e3).values():
    ...     print(f"{example.title}: {example.frame_rate:g} /s, {example.exposure * 1e6:g} µs")
    Fast enough: 500000 /s, 1 µs
    Just too slow: 35200 /s, 1 µs
    Frame rate = drive rate: 32000 /s, 1 µs
    Slow strobe: 998.4 /s, 1 µs
    Long exposure: 35200 /s, 20 µs
    Surface marks: 500000 /s, 1 µs
    """
    cycle = 1 / frequency
    short, long = round(0.032 * cycle, 8), round(0.64 * cycle, 7)
    fast, slow = round(15.625 * frequency), round(1.1 * frequency, 1)
    # Every picture comes a twentieth of a cycle later in the motion than the last.
    strobe = round(frequency / (round(frequency / 1000) + 0.05), 1)
    made = (
        Example("fast", "Fast enough", "some 16 pictures a cycle", fast, short),
        Example("slow", "Just too slow", "a little faster than the drive", slow, short),
        Example("still", "Frame rate = drive rate", "one picture a cycle", frequency, short),
        Example(
            "strobe",
            "Slow strobe",
            "a slow camera, one short picture in many cycles",
            strobe,
            short,
        ),
        Example("smear", "Long exposure", "just too slow, and long exposed", slow, long),
        Example("skin", "Surface marks", "fast, but marks turn along", fast, short, "surface"),
    )
    return {example.id: example for example in made}
