"""What an endoscope in the chamber would show: mark, iris, specks of pigment; and what it hides."""

from tipsim.tissue.endoscope.film import Film, glimpse, shoot
from tipsim.tissue.endoscope.measure import Study, study
from tipsim.tissue.endoscope.ratio import Ratio, ratio

__all__ = ["Film", "Ratio", "Study", "glimpse", "ratio", "shoot", "study"]
