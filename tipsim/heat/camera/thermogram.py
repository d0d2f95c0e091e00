"""A film of a bench with what is read from it: the whole needle, a point, a line, a region."""

from functools import cached_property

import numpy as np

from tipsim.heat.camera.causes import Causes, causes
from tipsim.heat.camera.picture import Recording, record
from tipsim.heat.camera.reading import EVERYWHERE, Region, Shown, read, shown
from tipsim.heat.camera.scene import sectors
from tipsim.heat.camera.surface import IN_AIR, skin
from tipsim.heat.timeline import HeatRun
from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described
from tipsim.setup.thermal_camera import ThermalCamera


@described(eq=False)
class Thermogram:
    """A film and its readings; point, line and region are read in the last picture."""

    film: Recording
    whole: Shown = about("The whole picture through time.")

    @property
    def region(self) -> Region:
        """The region that is set: the middle half of the widest part, from one end to the other."""
        half = float(self.film.skin.radius.max()) / 2
        return Region(self.film.camera.near, self.film.camera.far, -half, half)

    @cached_property
    def in_region(self) -> Shown:
        """The region through time."""
        return read(self.film, self.region)

    @property
    def hottest(self) -> int:
        """Which picture has the highest reading."""
        return int(self.whole.hottest.argmax())

    @property
    def seen_max(self) -> float:
        """Highest reading of the film [K]."""
        return float(self.whole.hottest.max())

    @property
    def true_max(self) -> float:
        """Highest true temperature that faces the camera while it films [K]."""
        return float(self.whole.true.max())

    @property
    def hidden_max(self) -> float:
        """Highest true temperature all around while it films [K]."""
        return float(self.whole.hidden.max())

    @property
    def bar(self) -> float:
        """95 % error bar of the highest reading [K]."""
        return float(self.whole.bar[self.hottest])

    @cached_property
    def why(self) -> tuple[Causes, Causes]:
        """Why the highest reading is off, and why the mean of the region is, in that picture."""
        return (
            causes(self.film, EVERYWHERE, self.hottest)[0],
            causes(self.film, self.region, self.hottest)[1],
        )

    @cached_property
    def point(self) -> tuple[float, float | None]:
        """What is read at the point, and what is true there; None beside the needle [K]."""
        camera = self.film.camera
        column = int(np.abs(self.film.x - camera.point).argmin())
        seen = float(self.profile[0][column])
        true = float(self.profile[1][column])
        return seen, None if np.isnan(true) else true

    @cached_property
    def profile(self) -> tuple[Floats, Floats]:
        """Temperatures along the line at its height, read and true, shape (w,) [K]."""
        film, height = self.film, self.film.camera.height
        row = int(np.abs(film.y - height).argmin())
        return shown(film.camera, film.signal[-1, row]), true_profile(film, height, -1)


def true_profile(film: Recording, height: float, picture: int) -> Floats:
    """Return what is true along a line at a height over the middle line [m], (w,) [K].

    NaN beside the needle.
    """
    skin, last = film.skin, len(film.skin.radius) - 1
    at = np.searchsorted(skin.edges, film.x, side="right") - 1
    slices = np.clip(at, 0, last)
    radius = skin.radius[slices]
    on = (at >= 0) & (at <= last) & (abs(height) < radius)
    angle = film.camera.side + np.arcsin(np.clip(height / radius, -1.0, 1.0))
    left, share = sectors(skin, angle)
    here = skin.at(float(film.time[picture]))[slices]
    near, places = here[np.arange(len(slices)), left], here.shape[1] - 1
    following = here[np.arange(len(slices)), np.minimum(left + 1, places)]
    return np.where(on, near + share * (following - near), np.nan)


def thermogram(run: HeatRun, camera: ThermalCamera) -> Thermogram | None:
    """Film a bench and read the film; None where fluid or tissue hides the needle.

    Examples
    --------
    >>> from tipsim.heat.timeline import heat_run
    >>> from tipsim.setup.scenario import Scenario
    >>> bench = Scenario.preset("straight, axial")
    >>> thermogram(heat_run(bench, 1.0), ThermalCamera()) is None
    True
    >>> seen = thermogram(heat_run(bench.with_(outside="air"), 5.0), ThermalCamera())
    >>> bool(abs(seen.seen_max - seen.true_max) < 5)
    True
    """
    if run.scenario.outside.kind not in IN_AIR:
        return None
    film = record(skin(run), camera)
    return Thermogram(film, read(film, EVERYWHERE))
