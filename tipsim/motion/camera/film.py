"""A film: the pictures that a camera would have given of a vibrating needle."""

import numpy as np
from numpy.typing import NDArray

from tipsim.motion.camera.exposure import phase_weights
from tipsim.motion.camera.quiet import one_thread
from tipsim.motion.camera.render import Singles, phase_count, render
from tipsim.motion.camera.settings import Camera
from tipsim.motion.camera.view import Dot, Scene, scene
from tipsim.motion.run import Motion
from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described
from tipsim.setup.needle import Needle

Pictures = NDArray[np.uint8]

FULL_LIGHT = 240
"""Level of a pixel in full light, of 255: the rest is room for noise."""
STILLS = 16
"""Pictures of the resting needle that are taken before the film: half of them make the templates,
the others show by how much tracking scatters."""


@described(eq=False)
class Take:
    """What a camera is set to film: all of a film but its pictures."""

    camera: Camera
    scene: Scene = about("What stands before the camera, and what of it the sensor holds.")
    frequency: float = about("Of the drive [Hz].")

    @property
    def times(self) -> Floats:
        """Middle of each exposure, from the beginning of the first [s], shape (f,)."""
        camera = self.camera
        return np.arange(camera.count) / camera.frame_rate + camera.exposure / 2

    @property
    def phases(self) -> Floats:
        """Phase of the drive in the middle of each exposure [rad], shape (f,)."""
        return self.camera.trigger + 2 * np.pi * self.frequency * self.times

    def truth(self, dot: Dot) -> Floats:
        """Return the true place of a mark in the middle of each exposure, from rest (f, 2) [m]."""
        turn = np.exp(1j * self.phases)
        return np.asarray((turn[:, None] * dot.moves).real)


@described(eq=False)
class Film(Take):
    """Pictures of a moving needle, and of the same needle at rest before."""

    pictures: Pictures = about("The film; row 0 is the top. Shape (f, rows, columns).")
    stills: Pictures = about(
        "The needle at rest, drive off: same light, other noise, shape (STILLS, rows, columns)."
    )


def take(motion: Motion, needle: Needle, camera: Camera) -> Take:
    """Return what a camera is set to film; costs a hundredth of a film.

    Parameters and errors are those of `shoot`.
    """
    return Take(camera, scene(motion, needle, camera), motion.frequency)


@one_thread
def shoot(motion: Motion, needle: Needle, camera: Camera) -> Film:
    """Compute the film of a needle.

    Parameters
    ----------
    motion : Motion
        Steady motion; the film is taken while the drive is on and has settled.
    needle : Needle
        The needle that moves.

    Returns
    -------
    Film
        The same for the same input, noise included.

    Raises
    ------
    BadInput
        When the camera is aimed at a marker that is not there.

    Examples
    --------
    >>> from tipsim import Scenario, solve
    >>> one = Scenario.preset("single-bend, torsional")
    >>> film = shoot(solve(one).motion, one.needle, Camera(frames=10))
    >>> film.pictures.shape[0], film.pictures.dtype
    (10, dtype('uint8'))
    """
    seen = scene(motion, needle, camera)
    cycles = motion.frequency * np.arange(camera.count) / camera.frame_rate
    start = np.mod(cycles + camera.trigger / (2 * np.pi), 1)
    length = motion.frequency * camera.exposure
    weights = phase_weights(start, length, phase_count(seen))
    seeds = np.random.SeedSequence(int(camera.seed)).spawn(2)
    for_film, for_stills = (np.random.default_rng(s) for s in seeds)
    moving, resting = render(seen, weights)
    still = np.broadcast_to(resting, (STILLS, *seen.shape))
    return Film(
        camera,
        seen,
        motion.frequency,
        levels(moving, camera, for_film),
        levels(still, camera, for_stills),
    )


def levels(light: Singles, camera: Camera, random: np.random.Generator) -> Pictures:
    """Compute from brightness into the levels that the sensor reads, 0 to 255.

    Parameters
    ----------
    light : array
        Brightness, 1 in full light.
    camera : Camera
        Its noise and signal-to-noise ratio.

    Returns
    -------
    uint8 array of the same shape

    Notes
    -----
    A pixel that gathers n electrons scatters by sqrt(n + r²): light arrives by chance (Poisson,
    here by its normal approximation), and the sensor adds its own noise r. Full light is set so
    that n / sqrt(n + r²) is the camera's signal-to-noise ratio.
    """
    level = FULL_LIGHT * light
    if camera.noise == "on":
        n = full_light_electrons(camera)
        scatter = np.sqrt(n * light + camera.read_noise**2) * np.float32(FULL_LIGHT / n)
        level = level + scatter * random.standard_normal(light.shape, dtype=np.float32)
    return np.asarray(np.clip(level + 0.5, 0, 255), dtype=np.uint8)


def full_light_electrons(camera: Camera) -> float:
    """Return the electrons of a pixel in full light, by signal-to-noise ratio and own noise.

    Examples
    --------
    >>> n = full_light_electrons(Camera(signal_to_noise=50))
    >>> round(n), round(n / (n + 20**2) ** 0.5, 6)
    (2851, 50.0)
    """
    square = camera.signal_to_noise**2
    return float((square + np.sqrt(square**2 + 4 * square * camera.read_noise**2)) / 2)
