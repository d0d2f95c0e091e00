"""Films from one's own bench, picture by picture, whatever they come in; memory stays bounded.

Stacks (TIFF), animated pictures (GIF, PNG) and folders of pictures are read by Pillow; containers
(MP4, AVI, MOV, MKV, WebM) by PyAV, which is installed with the extra "film".
"""

import re
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image, ImageSequence, UnidentifiedImageError

from tipsim.motion.camera.render import Singles
from tipsim.setup.described import described
from tipsim.setup.errors import BadInput

PICTURES = (".tif", ".tiff", ".png", ".gif", ".bmp", ".jpg", ".jpeg")
CONTAINERS = (".mp4", ".mov", ".avi", ".mkv", ".webm", ".m4v")
MOST_PIXELS = 40_000_000
"""Largest picture: a small file can unfold to one that fills the memory."""
MOST_PICTURES = 200_000
_WANTED = "a film: " + ", ".join((*PICTURES[:4], *CONTAINERS)) + ", or a folder of pictures"


@described()
class Region:
    """Part of a picture, in pixels from its left top corner."""

    left: int
    top: int
    width: int
    height: int

    def of(self, picture: Singles) -> Singles:
        """Return that part.

        Raises
        ------
        BadInput
            When it reaches beyond the picture.
        """
        rows, columns = picture.shape
        inside = 0 <= self.left < self.left + self.width <= columns
        if not (inside and 0 <= self.top < self.top + self.height <= rows):
            said = f"{self.left},{self.top},{self.width},{self.height}"
            raise BadInput("region", said, f"within {columns} by {rows} pixels")
        return picture[self.top : self.top + self.height, self.left : self.left + self.width]


def pictures(
    path: str | Path,
    first: int = 1,
    last: int | None = None,
    region: Region | None = None,
) -> Iterator[Singles]:
    """Go through a film's pictures in grey, one at a time.

    Parameters
    ----------
    path : path
        A film's file, or a folder of pictures, which come in the order of the numbers in their
        names.
    first, last : int
        First and last picture, from 1.
    region : Region, optional
        Part of each picture.

    Yields
    ------
    (r, c) array
        Brightness as stored (0 to 255, or to 65535), 32-bit floats.

    Raises
    ------
    BadInput
        For what is no film, broken, too large, of changing size, or has fewer pictures.
    """
    place = Path(path)
    if first < 1 or (last is not None and last < first):
        end = "the end" if last is None else str(last)
        raise BadInput("pictures", f"{first} to {end}", "from 1, the last not before the first")
    shape, number = None, 0
    for number, picture in enumerate(_guarded(_every(place), place), 1):
        if shape not in (None, picture.shape):
            name = f"picture {number} of {place.name}"
            raise BadInput(name, _size(picture.shape), f"{_size(shape)}, as before")
        if number > MOST_PICTURES:
            raise BadInput(place.name, "a film of more pictures", f"up to {MOST_PICTURES:,}")
        shape = picture.shape
        if number >= first:
            yield picture if region is None else region.of(picture)
        if number == last:
            return
    if number < (last or first):
        raise BadInput(f"pictures of {place.name}", f"{number} in all", f"{last or first} or more")


def _every(place: Path) -> Iterator[Singles]:
    if place.is_dir():
        return _folder(place)
    if place.suffix.lower() in CONTAINERS:
        return _container(place)
    if place.suffix.lower() in PICTURES:
        return _pages(place)
    raise BadInput(place.name, f'of kind "{place.suffix}"', _WANTED)


def _folder(place: Path) -> Iterator[Singles]:
    files = [f for f in place.iterdir() if f.suffix.lower() in PICTURES]
    if not files:
        raise BadInput(f"folder {place.name}", "without pictures", _WANTED)
    for file in sorted(files, key=_by_number):
        yield from _guarded(_pages(file), file)


def _by_number(file: Path) -> tuple[list[int], str]:
    return [int(n) for n in re.findall(r"\d+", file.name)], file.name


def _pages(file: Path) -> Iterator[Singles]:
    with Image.open(file) as image:
        _refuse_large(file, *image.size)
        for page in ImageSequence.Iterator(image):
            _refuse_large(file, *page.size)
            grey: Any = (
                page if page.mode in ("L", "F") or page.mode[0] == "I" else page.convert("L")
            )
            yield np.asarray(grey, dtype=np.float32)


def _container(file: Path) -> Iterator[Singles]:
    try:
        import av
    except ImportError:
        raise BadInput(
            file.name,
            "a container, which this installation does not read",
            'pictures or stacks; or install the extra "film": pip install "tipsim[film]"',
        ) from None
    with av.open(str(file)) as container:
        if not container.streams.video:
            raise BadInput(file.name, "without pictures", _WANTED)
        stream = container.streams.video[0]
        _refuse_large(file, stream.codec_context.width, stream.codec_context.height)
        for frame in container.decode(stream):
            _refuse_large(file, frame.width, frame.height)
            yield frame.to_ndarray(format="gray").astype(np.float32)


def _guarded(every: Iterator[Singles], file: Path) -> Iterator[Singles]:
    """Go through pictures, each read under `_said`; what is done with them stays outside."""
    while True:
        with _said(file):
            picture = next(every, None)
        if picture is None:
            return
        yield picture


@contextmanager
def _said(file: Path) -> Iterator[None]:
    """Read; what a reader complains of becomes one sentence, what it warns of is left out."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            yield
    except BadInput:
        raise
    except FileNotFoundError:
        raise BadInput(str(file), "not there", _WANTED) from None
    except Image.DecompressionBombError:
        raise BadInput(file.name, "too large", f"up to {MOST_PIXELS // 10**6} megapixels") from None
    except UnidentifiedImageError:
        raise BadInput(file.name, "not what its name says", _WANTED) from None
    except (OSError, ValueError, SyntaxError, EOFError, ArithmeticError) as error:
        # Broken files raise nearly anything; PyAV's errors are of these kinds.
        raise BadInput(file.name, f"broken ({error})", _WANTED) from None


def _refuse_large(file: Path, width: int, height: int) -> None:
    if width * height > MOST_PIXELS:
        allowed = f"up to {MOST_PIXELS // 10**6} megapixels"
        raise BadInput(file.name, _size((height, width)), allowed)


def _size(shape: tuple[int, ...] | None) -> str:
    return "of no size" if shape is None else f"{shape[1]} by {shape[0]} pixels"
