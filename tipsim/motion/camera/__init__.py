"""What a camera would have seen of the needle: pictures, tracks, and how far to believe them."""

from tipsim.motion.camera.film import Film, Take, shoot, take
from tipsim.motion.camera.measure import Measurement, Reading, measure, preview
from tipsim.motion.camera.settings import Camera, examples
from tipsim.motion.camera.tracking import Track, track

__all__ = [
    "Camera",
    "Film",
    "Measurement",
    "Reading",
    "Take",
    "Track",
    "examples",
    "measure",
    "preview",
    "shoot",
    "take",
    "track",
]
