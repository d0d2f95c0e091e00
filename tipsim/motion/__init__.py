"""How the needle moves: a lumped frame, its steady vibration, and what is read off it."""

from tipsim.motion.frame import Frame, Surroundings
from tipsim.motion.run import Motion, run

__all__ = ["Frame", "Motion", "Surroundings", "run"]
