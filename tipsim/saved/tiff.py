"""Pictures as a TIFF of many pages."""

import io
from typing import Any

import numpy as np

from tipsim.saved.film import Pixels

_TO_INCH = 0.0254
_SOFTWARE, _DESCRIPTION = 305, 270


def tiff(pixels: Pixels, words: str, pixel: float | None = None) -> bytes:
    r"""Return pictures as a TIFF, compressed without loss.

    Parameters
    ----------
    pixels : array
        Shape (f, rows, columns), or (f, rows, columns, 3) for colours of 8 bits.
    words : str
        What it is; each page carries it. ASCII, as TIFF asks for.
    pixel : float, optional
        Width of a pixel [m]; programs that measure read it as the resolution.

    Examples
    --------
    >>> tiff(np.zeros((2, 4, 6), dtype=np.uint16), "Simulated.")[:4]
    b'II*\x00'
    """
    # Only a film that is saved needs the package.
    from PIL import Image

    pages = [Image.fromarray(np.ascontiguousarray(picture)) for picture in pixels]
    out = io.BytesIO()
    options: dict[str, Any] = {"tiffinfo": {_DESCRIPTION: words, _SOFTWARE: "tipsim"}}
    if pixel is not None:
        options["dpi"] = (_TO_INCH / pixel, _TO_INCH / pixel)
    pages[0].save(
        out,
        format="TIFF",
        save_all=True,
        append_images=pages[1:],
        compression="tiff_adobe_deflate",
        **options,
    )
    return out.getvalue()
