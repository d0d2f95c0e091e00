"""TOML files as they come in and go out: refused in one sentence, written whole or not at all."""

import tomllib
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Any

from tipsim.setup.errors import BadInput


def parse_toml(text: str, wanted: str) -> dict[str, Any]:
    """Read TOML text as plain data, every number with a point as a `Decimal`.

    Parameters
    ----------
    wanted : str
        What it ought to be, for the complaint, such as "a TOML scenario".

    Raises
    ------
    BadInput
        When it is not TOML.

    Examples
    --------
    >>> parse_toml("length_mm = 0.1", "a TOML scenario")
    {'length_mm': Decimal('0.1')}
    """
    try:
        return tomllib.loads(text, parse_float=_decimal)
    except RecursionError:
        raise BadInput("file", "nested too deep", wanted) from None
    except ValueError as error:  # Not TOML, or a whole number of thousands of digits.
        raise BadInput("file", f"not TOML ({error})", wanted) from None


def read_bytes(path: str | Path, wanted: str, most: int | None = None) -> bytes:
    """Read a file, at most one byte more than `most`; it need not be one that can seek.

    Raises
    ------
    BadInput
        Naming the file.
    """
    try:
        with Path(path).open("rb") as file:
            return file.read(-1 if most is None else most + 1)
    except OSError as error:
        raise BadInput(str(path), f"not readable ({error.strerror})", f"{wanted} file") from None
    except ValueError:  # A NUL in the name.
        name = str(path).replace("\0", "?")
        raise BadInput(name, "not a file's name", f"{wanted} file") from None


def decode_text(data: bytes, name: str, wanted: str) -> str:
    """Turn a file's bytes into text.

    Raises
    ------
    BadInput
        Naming the file, when it is not UTF-8.
    """
    try:
        # Some editors put a mark before the text.
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise BadInput(name, "not readable (not UTF-8 text)", f"{wanted} file") from None


def write_whole(path: str | Path, content: str | bytes) -> None:
    """Write a file, text as UTF-8, whole or not at all."""
    target = Path(path)
    beside = target.with_name(target.name + ".part")
    beside.write_bytes(content.encode("utf-8") if isinstance(content, str) else content)
    beside.replace(target)


def _decimal(text: str) -> Decimal:
    try:
        return Decimal(text)
    except InvalidOperation:  # An exponent beyond all bounds; the field's check refuses it.
        return Decimal("-inf" if text.startswith("-") else "inf")
