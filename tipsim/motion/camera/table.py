"""A film's tracks as a table of text, for a spreadsheet."""

import csv
import io
from collections.abc import Iterable

import numpy as np

from tipsim.motion.camera.film import Film
from tipsim.motion.camera.measure import Measurement


def track_table(film: Film, measured: Measurement, about: Iterable[str] = ()) -> str:
    """Return what was tracked and what is true, a row per picture and mark.

    Parameters
    ----------
    about : iterable of str
        Lines put before the table, behind "# ".

    Returns
    -------
    str
        Comma-separated values; units in the column names; empty where a mark was not found.
    """
    out = io.StringIO()
    camera = film.camera
    lines = [
        "Model data: computed pictures of a computed motion, no measurement.",
        *about,
        f"{camera.frame_rate:.10g} pictures per second, drive {film.frequency:.10g} Hz",
        f"exposure {camera.exposure * 1e6:.6g} us, pixel {camera.pixel * 1e6:.6g} um",
        "Places from rest, x right and y up in the picture; time: middle of the exposure.",
    ]
    out.writelines(f"# {line}\n" for line in lines)
    table = csv.writer(out, lineterminator="\n")
    table.writerow(
        [
            "picture",
            "time_us",
            "marker",
            "x_seen_um",
            "y_seen_um",
            "x_true_um",
            "y_true_um",
            "correlation",
            "standard_error_um",
        ]
    )
    times = film.times * 1e6
    for i, time in enumerate(times):
        for reading in measured.readings:
            seen = reading.track.places[i] * 1e6
            true = film.truth(reading.dot)[i] * 1e6
            table.writerow(
                [
                    i + 1,
                    f"{time:.3f}",
                    reading.dot.number,
                    *("" if np.isnan(v) else f"{v:.3f}" for v in seen),
                    *(f"{v:.3f}" for v in true),
                    f"{reading.track.likeness[i]:.3f}",
                    f"{reading.track.scatter * 1e6:.3f}",
                ]
            )
    return out.getvalue()
