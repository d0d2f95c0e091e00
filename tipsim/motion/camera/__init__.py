"""What a camera would have seen of the needle: pictures, tracks, and how far to believe them."""

from tipsim.motion.camera.film import Film, shoot
from tipsim.motion.camera.measure import Measurement, Reading, measure
from tipsim.motion.camera.settings import Camera, examples
from tipsim.motion.camera.tracking import Track, track

__all__ = [
    "Camera",
    "Film",
    "Measurement",
    "Reading",
    "Track",
    "examples",
    "measure",
    "shoot",
    "track",
]
