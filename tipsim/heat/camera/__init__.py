"""What a thermal camera would show of the needle and its sleeve, and how far to believe it."""

from tipsim.heat.camera.picture import Recording, record
from tipsim.heat.camera.reading import Region, Shown, read
from tipsim.heat.camera.settings import ThermalCamera
from tipsim.heat.camera.surface import Skin, skin

__all__ = ["Recording", "Region", "Shown", "Skin", "ThermalCamera", "read", "record", "skin"]
