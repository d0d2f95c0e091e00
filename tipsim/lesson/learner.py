"""Who a learner is: a nickname and a random code, and nothing else."""

import re
import secrets
import unicodedata

from tipsim.setup.errors import BadInput

ALPHABET = "23456789ABCDEFGHJKMNPQRSTVWXYZ"
"""Without 0 and O, 1, I and L, and U, which are taken for each other when read aloud or written."""
LENGTH = 10
"""10 of 30 characters: 49 bits. A code is the only key to a record."""
LONGEST = 24
_NICKNAME = re.compile(r"[^\W_][\w .'-]*")
_ALLOWED = f"1 to {LONGEST} letters, digits, spaces, . - _ ', from a letter or digit"
_NUMBER = re.compile(r"\d[\d .-]{5,}")


def new_code() -> str:
    """Draw a code, such as "7KQ2M-XD4TB".

    Examples
    --------
    >>> code = new_code()
    >>> len(code), read_code(code.lower().replace("-", " ")) == code
    (11, True)
    """
    drawn = "".join(secrets.choice(ALPHABET) for _ in range(LENGTH))
    return f"{drawn[:5]}-{drawn[5:]}"


def read_code(text: str) -> str:
    """Read a typed code; small letters, spaces and hyphens do not matter.

    Raises
    ------
    BadInput
        When it cannot be a code. What was typed is not repeated: it may be nearly one.

    Examples
    --------
    >>> read_code(" 7kq2m xd4tb ")
    '7KQ2M-XD4TB'
    >>> read_code("hello")
    Traceback (most recent call last):
    tipsim.setup.errors.BadInput: code is not a code; allowed: 10 letters and digits, such as
    7KQ2M-XD4TB, without 0, O, 1, I, L, U.
    """
    plain = re.sub(r"[\s\-–]", "", text[:60]).upper()
    if len(plain) != LENGTH or not set(plain) <= set(ALPHABET):
        allowed = f"{LENGTH} letters and digits, such as 7KQ2M-XD4TB, without 0, O, 1, I, L, U"
        raise BadInput("code", "not a code", allowed)
    return f"{plain[:5]}-{plain[5:]}"


def read_nickname(text: str) -> str:
    """Read a nickname: trimmed, single spaces; anything that looks personal is refused.

    Raises
    ------
    BadInput
        For a length or a character that is not allowed, an address or a long number.

    Examples
    --------
    >>> read_nickname("  blue   heron ")
    'blue heron'
    >>> read_nickname("ann@example.org")
    Traceback (most recent call last):
    tipsim.setup.errors.BadInput: nickname is an address; allowed: a made-up name; no mail address,
    no number that belongs to you.
    """
    name = " ".join(unicodedata.normalize("NFC", text[:200]).split())
    made_up = "a made-up name; no mail address, no number that belongs to you"
    if "@" in name:
        raise BadInput("nickname", "an address", made_up)
    if _NUMBER.search(name):
        raise BadInput("nickname", "a long number", made_up)
    if not 1 <= len(name) <= LONGEST:
        length = f"{len(name)} characters long" if name else "empty"
        raise BadInput("nickname", length, _ALLOWED)
    if not _NICKNAME.fullmatch(name):
        odd = next((c for c in name if not (c.isalnum() or c in " .'-_")), name[0])
        raise BadInput("nickname", f'with "{odd}"', _ALLOWED)
    return name
