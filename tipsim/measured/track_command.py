"""What `tipsim track` does: marks followed through a film, written as a table for `tipsim fit`."""

import argparse
import csv
import io
import math
import sys
from collections.abc import Iterable

import numpy as np

from tipsim.measured.film import Region, pictures
from tipsim.measured.follow import Followed, corners, follow
from tipsim.measured.tracks import MOST_MARKS
from tipsim.motion.camera.render import Singles
from tipsim.motion.sections import Floats
from tipsim.setup.errors import BadInput
from tipsim.setup.toml_text import write_whole
from tipsim.setup.units import UM


def add_parser(track: argparse.ArgumentParser) -> None:
    """Add the arguments of `tipsim track`."""
    track.set_defaults(run=run)
    add = track.add_argument
    add("film", help="MP4, AVI, MOV, GIF, a TIFF stack, or a folder of pictures")
    add("-o", "--out", metavar="FILE", help="table to write (CSV); printed without it")
    place = "a mark in the first picture: column and row in pixels, from the left top"
    add("--mark", action="append", default=[], metavar="X,Y", help=place)
    add("--corners", type=int, default=0, metavar="N", help="propose N marks at corners")
    add("--region", metavar="LEFT,TOP,WIDTH,HEIGHT", help="part of each picture, in pixels")
    add("--first", type=int, default=1, metavar="N", help="first picture, from 1")
    add("--last", type=int, metavar="N", help="last picture")
    add("--half", type=int, default=8, metavar="PX", help="half width of a mark's pattern")
    add("--reach", type=int, default=30, metavar="PX", help="how far a mark is looked for")
    rate = "pictures per second, as set on the camera; it is never taken from the file"
    add("--rate", type=float, metavar="X", help=rate)
    add("--pixel-um", type=float, metavar="X", help="width of a pixel at the needle")
    add("--known", metavar="X1,Y1,X2,Y2=MM", help="in its place: two points of known distance")


def run(args: argparse.Namespace) -> None:
    """Follow marks and write the table.

    Raises
    ------
    BadInput
        For a film or an argument that cannot be used; nothing is written then.
    """
    region = None if args.region is None else Region(*_wholes("--region", args.region, 4))

    def film() -> Iterable[Singles]:
        return pictures(args.film, args.first, args.last, region)

    pixel = _pixel(args)
    marks = [_point(text, region) for text in args.mark]
    if args.corners:
        if not 1 <= args.corners <= MOST_MARKS:
            raise BadInput("--corners", str(args.corners), f"1 to {MOST_MARKS}")
        apart = args.half + 2
        marks += corners(next(iter(film())), args.corners, apart)
    if not marks:
        raise BadInput("number of marks", "0", "1 or more, by --mark X,Y or --corners N")
    found = follow(film, marks, args.half, args.reach)
    table = tracks_table(found, region, args.first, args.rate, pixel)
    for number, one in enumerate(found, 1):
        place = ", ".join(f"{v:g}" for v in _whole_picture(np.array([one.mark]), region)[0])
        count = len(one.likeness)
        told = f"mark {number} at {place}: found in {count - one.doubtful} of {count} pictures"
        print(told, file=sys.stderr)
    if args.out:
        write_whole(args.out, table)
    else:
        print(table, end="")


def tracks_table(
    found: Iterable[Followed],
    region: Region | None,
    first: int,
    rate: float | None,
    pixel: float | None,
) -> str:
    """Return tracks as comma-separated values, a row per picture and mark.

    Parameters
    ----------
    first : int
        Number of the first picture.
    rate : float, optional
        Pictures per second; with it the time is written, too.
    pixel : float, optional
        Width of a pixel [m]; with it places are in micrometres, right and up, else in pixels, right
        and down.
    """
    if rate is not None and not (math.isfinite(rate) and rate > 0):
        raise BadInput("--rate", f"{rate:g}", "above 0")
    unit = "px" if pixel is None else UM.suffix
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\n")
    timed = ["time_us"] if rate else []
    table.writerow(["picture", *timed, "marker", f"x_{unit}", f"y_{unit}", "correlation"])
    for number, one in enumerate(found, 1):
        places = _whole_picture(one.places, region)
        if pixel is not None:
            places = places * [pixel * 1e6, -pixel * 1e6]
        for i, ((x, y), like) in enumerate(zip(places, one.likeness, strict=True)):
            time = [f"{i / rate * 1e6:.6f}"] if rate else []
            cells = ["", ""] if np.isnan(x) else [f"{x:.4f}", f"{y:.4f}"]
            table.writerow([first + i, *time, number, *cells, f"{like:.3f}"])
    return out.getvalue()


def _whole_picture(places: Floats, region: Region | None) -> Floats:
    """Return places as counted from the whole picture's corner."""
    return places if region is None else places + [region.left, region.top]


def _pixel(args: argparse.Namespace) -> float | None:
    if args.known is not None:
        if args.pixel_um is not None:
            raise BadInput("--known", "given beside --pixel-um", "one of both")
        points, equals, length = args.known.partition("=")
        x1, y1, x2, y2 = _floats("--known", points, 4)
        far = math.hypot(x2 - x1, y2 - y1)
        (mm,) = _floats("--known", length if equals else "", 1)
        if far == 0 or mm <= 0:
            raise BadInput("--known", f'"{args.known}"', "two different points, a length above 0")
        return mm * 1e-3 / far
    if args.pixel_um is None:
        return None
    if not (math.isfinite(args.pixel_um) and args.pixel_um > 0):
        raise BadInput("--pixel-um", f"{args.pixel_um:g}", "above 0")
    return float(args.pixel_um) * 1e-6


def _point(text: str, region: Region | None) -> tuple[float, float]:
    x, y = _floats("--mark", text, 2)
    return (x, y) if region is None else (x - region.left, y - region.top)


def _wholes(option: str, text: str, count: int) -> list[int]:
    return [int(v) for v in _floats(option, text, count)]


def _floats(option: str, text: str, count: int) -> list[float]:
    try:
        values = [float(v) for v in text.split(",")]
    except ValueError:
        values = []
    if len(values) != count or not all(map(math.isfinite, values)):
        plural = "number" if count == 1 else f"{count} numbers between commas"
        raise BadInput(option, f'"{text}"', plural)
    return values
