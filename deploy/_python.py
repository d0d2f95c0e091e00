"""The oldest Python that can run tipsim. Written so that any older one can still read it."""

import sys

OLDEST = (3, 11)


def too_old(version):  # type: (tuple[object, ...]) -> str
    """One sentence for a Python that is too old, or nothing.

    >>> too_old((3, 11, 0)), too_old((4, 0))
    ('', '')
    >>> print(too_old((3, 9, 2)))
    tipsim needs Python 3.11 or newer, and this is Python 3.9: install a newer one and start again.
    """
    if version[:2] >= OLDEST:
        return ""
    return (
        "tipsim needs Python %s.%s or newer, and this is Python %s.%s:"
        " install a newer one and start again." % (OLDEST + version[:2])
    )


def refuse_old():  # type: () -> None
    """Leave with that sentence and exit code 2 where this Python is too old."""
    sentence = too_old(tuple(sys.version_info))
    if sentence:
        sys.stderr.write(sentence + "\n")
        sys.exit(2)
