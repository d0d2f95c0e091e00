"""What a rate and an exposure can show of a vibration: closed formulas.

Sampling: C. E. Shannon, "Communication in the presence of noise", Proc. IRE 37 (1949) 10-21. A
vibration of frequency f seen fs times a second cannot be told from one of |f - k fs|, k whole.
"""

import math

import numpy as np


def alias(frequency: float, frame_rate: float) -> float:
    """Return the frequency at which a vibration seems to run [Hz], below 0 when it seems reversed.

    Parameters
    ----------
    frequency : float
        True frequency [Hz].
    frame_rate : float
        Pictures per second [1/s].

    Returns
    -------
    float
        f - round(f / fs) fs: between -fs/2 and fs/2. A path that is a line looks the same
        forwards and backwards; one that is a loop seems to turn the wrong way when below 0.

    Examples
    --------
    >>> alias(32e3, 500e3), alias(32e3, 35e3), alias(32e3, 32e3), alias(32e3, 31e3)
    (32000.0, -3000.0, 0.0, 1000.0)
    """
    return frequency - round(frequency / frame_rate) * frame_rate


def apparent_frequency(frequency: float, frame_rate: float) -> float:
    """Return the frequency at which a vibration seems to run [Hz]: ``abs(alias(...))``.

    Examples
    --------
    >>> apparent_frequency(32e3, 60e3)
    28000.0
    """
    return abs(alias(frequency, frame_rate))


def frames_per_cycle(frequency: float, frame_rate: float) -> float:
    """Return the number of pictures per cycle; below 2 the motion is aliased.

    Examples
    --------
    >>> frames_per_cycle(32e3, 500e3)
    15.625
    """
    return frame_rate / frequency


def greatest_miss(per_cycle: float) -> float:
    """Return the share of a stroke that pictures may miss within one cycle, at worst.

    Parameters
    ----------
    per_cycle : float
        Pictures per cycle, 2 or more.

    Returns
    -------
    float
        1 - cos(pi / n): both turning points lie half-way between two pictures. Over many cycles
        with another n than a whole number less is missed.

    Examples
    --------
    >>> round(greatest_miss(4), 3), round(greatest_miss(15.7), 3)
    (0.293, 0.02)
    """
    return 1.0 if per_cycle < 2 else 1 - math.cos(math.pi / per_cycle)


def rate_for(frequency: float, miss: float) -> float:
    """Return the frame rate that misses at most a share of the stroke in each cycle [1/s].

    Examples
    --------
    >>> round(rate_for(32e3, 0.02), -3)
    502000.0
    """
    return frequency * math.pi / math.acos(1 - miss)


def exposed_cycles(frequency: float, exposure: float) -> float:
    """Return how many cycles pass while one picture gathers light.

    Examples
    --------
    >>> round(exposed_cycles(32e3, 20e-6), 2)
    0.64
    """
    return frequency * exposure


def smear(stroke: float, frequency: float, exposure: float) -> float:
    """Return how far a point travels in one exposure, at worst [m].

    Parameters
    ----------
    stroke : float
        Peak to peak [m]; the amplitude A is half of it.
    frequency, exposure : float
        [Hz], [s].

    Returns
    -------
    float
        2 A sin(pi f te), when the exposure's middle is where the point is fastest; from half a
        cycle on the whole stroke.

    Examples
    --------
    >>> round(smear(130e-6, 32e3, 1e-6) * 1e6, 1), round(smear(130e-6, 32e3, 20e-6) * 1e6, 1)
    (13.0, 130.0)
    """
    cycles = exposed_cycles(frequency, exposure)
    return stroke if cycles >= 0.5 else stroke * math.sin(math.pi * cycles)


def averaged_share(frequency: float, exposure: float) -> float:
    """Return the share of the stroke that the mean place over each exposure still makes.

    Returns
    -------
    float
        |sin(pi f te) / (pi f te)|: near 1 for a short exposure, 0 for whole cycles.

    Examples
    --------
    >>> round(averaged_share(32e3, 1e-6), 3), round(averaged_share(32e3, 20e-6), 2)
    (0.998, 0.45)
    """
    return float(abs(np.sinc(exposed_cycles(frequency, exposure))))
