"""A needle as a TOML file of its own: ``format = "tipsim needle 1"``, units in the keys.

The metal may be left out; then it is the catalogue's titanium.
"""

from pathlib import Path

import tomli_w

from tipsim.setup.errors import BadInput
from tipsim.setup.material import titanium
from tipsim.setup.needle import Needle
from tipsim.setup.plain import from_plain, to_plain
from tipsim.setup.toml_text import decode_text, parse_toml, read_bytes, write_whole

FORMAT = "tipsim needle 1"
MOST_BYTES = 100_000
"""Largest file that is read [bytes]; a needle of 24 pieces takes 3,000."""
_WANTED = "a TOML needle"
_MOST = f"{MOST_BYTES // 1000} kB"


def needle_to_toml(needle: Needle) -> str:
    """Write a needle as TOML; reading it back is exact.

    Examples
    --------
    >>> from tipsim.setup.catalogue import needle
    >>> text = needle_to_toml(needle("straight-medium"))
    >>> text.splitlines()[0]
    'format = "tipsim needle 1"'
    >>> parse_needle(text) == needle("straight-medium")
    True
    """
    return tomli_w.dumps({"format": FORMAT, **to_plain(needle)})


def parse_needle(text: str) -> Needle:
    """Read a needle from TOML text.

    Raises
    ------
    BadInput
        Naming the field, its value and what is allowed.
    """
    data = parse_toml(text, _WANTED)
    found = data.pop("format", None)
    if found != FORMAT:
        value = "missing" if found is None else repr(found)[:40]
        raise BadInput("format", value, f'format = "{FORMAT}"')
    data.setdefault("material", to_plain(titanium()))
    needle = from_plain(Needle, data)
    assert isinstance(needle, Needle)
    return needle


def decode_needle(data: bytes, name: str) -> Needle:
    """Read a needle from a file's bytes; `name` stands for the file in complaints.

    Raises
    ------
    BadInput
        Naming the file, the field, its value and what is allowed.
    """
    if len(data) > MOST_BYTES:
        raise BadInput(name, f"more than {_MOST}", f"{_WANTED} file of up to {_MOST}")
    text = decode_text(data, name, _WANTED)
    try:
        return parse_needle(text)
    except BadInput as bad:
        raise BadInput(f"{name}: {bad.field}", bad.value, bad.allowed) from None


def read_needle(path: str | Path) -> Needle:
    """Read a needle from a TOML file.

    Raises
    ------
    BadInput
        Naming the file, the field, its value and what is allowed.
    """
    return decode_needle(read_bytes(path, _WANTED, MOST_BYTES), str(path))


def write_needle(needle: Needle, path: str | Path) -> None:
    """Write a needle to a TOML file, whole or not at all."""
    write_whole(path, needle_to_toml(needle))
