"""Films and pictures as files: open formats, the truth beside them, and what was used."""

from tipsim.saved.archive import pack
from tipsim.saved.film import Column, Levels, Saved, Stack

__all__ = ["Column", "Levels", "Saved", "Stack", "pack"]
