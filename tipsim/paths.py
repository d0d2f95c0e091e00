"""Where the files that are not code lie: assets and lessons.

In a checkout they stand at the top, beside the package, where authors look for them. A wheel
carries them inside the package, under ``_data``. Everything else asks here and need not know.

>>> lessons_folder().joinpath("README.md").is_file()
True
"""

import os
from pathlib import Path

LESSONS = "TIPSIM_LESSONS"
"""Environment variable that names another folder of lessons, for who writes some."""
_PACKAGE = Path(__file__).resolve().parent


def _top() -> Path:
    """The folder that holds ``assets`` and ``lessons``."""
    carried = _PACKAGE / "_data"
    return carried if carried.is_dir() else _PACKAGE.parent


def assets_folder() -> Path:
    """The folder of data files, styles, fonts, icons and demo data.

    Returns
    -------
    Path
        Absolute.

    Examples
    --------
    >>> assets_folder().name, assets_folder().is_absolute()
    ('assets', True)
    """
    return _top() / "assets"


def lessons_folder() -> Path:
    """The folder of lessons, one folder each; the environment's `LESSONS` names another one.

    Returns
    -------
    Path
        Absolute.

    Examples
    --------
    >>> lessons_folder().name, lessons_folder().is_absolute()
    ('lessons', True)
    """
    named = os.environ.get(LESSONS)
    return Path(named).resolve() if named else _top() / "lessons"


def asset(path: str) -> Path:
    """A file or folder among the assets.

    Parameters
    ----------
    path : str
        Its place under the assets folder, with forward slashes on every system.

    Returns
    -------
    Path
        Absolute, and there.

    Raises
    ------
    FileNotFoundError
        Nothing lies there, or the path leads out of the assets folder.

    Examples
    --------
    >>> asset(".") == assets_folder()
    True
    >>> asset("no/such/file.toml")
    Traceback (most recent call last):
    FileNotFoundError: asset 'no/such/file.toml' is not among the assets of this copy of tipsim
    >>> asset("../pyproject.toml")
    Traceback (most recent call last):
    FileNotFoundError: asset '../pyproject.toml' is not among the assets of this copy of tipsim
    """
    folder = assets_folder()
    found = (folder / path).resolve()
    if not found.is_relative_to(folder) or not found.exists():
        raise FileNotFoundError(f"asset {path!r} is not among the assets of this copy of tipsim")
    return found
