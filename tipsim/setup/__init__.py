"""What is set: needle, sleeve, drive, fluid and the model's numbers, in one frozen scenario."""

from tipsim.setup.presets import preset

__all__ = ["preset"]
