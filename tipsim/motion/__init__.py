"""How a needle moves: a lumped frame, its steady vibration, and what follows from it."""

from tipsim.motion.assembly import assemble
from tipsim.motion.eigen import Modes, modes
from tipsim.motion.frame import Frame
from tipsim.motion.lumped import Surroundings
from tipsim.motion.run import Motion, run
from tipsim.motion.spectrum import Sweep, sweep
from tipsim.motion.steady import Vibration, respond

__all__ = [
    "Frame",
    "Modes",
    "Motion",
    "Surroundings",
    "Sweep",
    "Vibration",
    "assemble",
    "modes",
    "respond",
    "run",
    "sweep",
]
