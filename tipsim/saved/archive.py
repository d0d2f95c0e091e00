"""A saved film as one ZIP of plain files."""

import io
import zipfile

from tipsim.saved.film import MARK, Column, Saved, Stack
from tipsim.saved.text import film_toml, table_csv
from tipsim.saved.tiff import tiff

_DATE = (1980, 1, 1, 0, 0, 0)
"""The same film gives the same bytes."""
ABOUT = {
    "scenario.toml": "needle and all around it; `tipsim solve scenario.toml` reads it",
    "film.toml": "settings of the instrument, size of the pictures, meaning of their levels",
    "methods.txt": "what was used, as a list and as a paragraph for a report",
}


def pack(saved: Saved) -> bytes:
    """Return a film with its truth as a ZIP.

    Names of pictures and tables begin with "simulated-": a file that is taken out of the ZIP still
    says what it is.
    """
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name, content in files(saved).items():
            one = zipfile.ZipInfo(f"{archive_name(saved).removesuffix('.zip')}/{name}", _DATE)
            # Pictures are compressed already.
            one.compress_type = (
                zipfile.ZIP_STORED if name.endswith(".tif") else zipfile.ZIP_DEFLATED
            )
            one.external_attr = 0o644 << 16
            archive.writestr(one, content)
    return out.getvalue()


def archive_name(saved: Saved) -> str:
    """Return the name of the ZIP.

    It says what is in it: "tipsim-simulated-high-speed-camera.zip".
    """
    return f"tipsim-simulated-{saved.name}.zip"


def files(saved: Saved) -> dict[str, bytes | str]:
    """Return the files of a saved film by name, text as it is."""
    tables = _tables(saved)
    return {
        "read-me.txt": _read_me(saved),
        "methods.txt": f"{saved.card.text}\n",
        "scenario.toml": saved.scenario.to_toml(),
        "film.toml": film_toml(saved),
        **{f"{name}.csv": table_csv(columns) for name, columns in tables.items()},
        **{_name(s): tiff(s.pixels, f"{MARK} {s.meaning}", saved.pixel) for s in saved.stacks},
    }


def _name(stack: Stack) -> str:
    return f"simulated-{stack.name}.tif"


def _tables(saved: Saved) -> dict[str, tuple[Column, ...]]:
    """Return the tables that have columns, by name."""
    all_of_them = {"frames": saved.frames, "truth": saved.truth, "readings": saved.readings}
    return {f"simulated-{name}": tuple(t) for name, t in all_of_them.items() if t}


def _read_me(saved: Saved) -> str:
    lines = [MARK, "", "Pictures (TIFF, one page each; row 0 is the top)"]
    lines += [f"  {_name(s)}: {s.meaning}" for s in saved.stacks]
    lines += [f"  Levels: {_levels(saved)}."]
    for name, columns in _tables(saved).items():
        lines += ["", f"{name}.csv"]
        lines += [f"  {c.head}: {c.meaning}" for c in columns]
    lines += ["", "Settings", *(f"  {name}: {words}" for name, words in ABOUT.items())]
    return "\n".join(lines) + "\n"


def _levels(saved: Saved) -> str:
    one = saved.levels
    if not one.unit:
        return one.meaning
    return f"{one.meaning}; value [{one.unit}] = {one.offset:.10g} + {one.slope:.10g} x level"
