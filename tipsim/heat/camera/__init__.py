"""What a thermal camera would show of the needle and its sleeve, and how far to believe it."""

from tipsim.heat.camera.causes import Causes, causes
from tipsim.heat.camera.picture import Recording, record
from tipsim.heat.camera.reading import Region, Shown, read
from tipsim.heat.camera.surface import Skin, skin
from tipsim.heat.camera.thermogram import Thermogram, thermogram
from tipsim.setup.thermal_camera import ThermalCamera

__all__ = [
    "Causes",
    "Recording",
    "Region",
    "Shown",
    "Skin",
    "ThermalCamera",
    "Thermogram",
    "causes",
    "read",
    "record",
    "skin",
    "thermogram",
]
