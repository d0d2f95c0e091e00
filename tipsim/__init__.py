"""tipsim: how an ultrasonic cataract needle moves, heats and touches tissue; a teaching model.

It is a model, not a patient, and teaching, not advice.

>>> import tipsim
>>> scenario = tipsim.Scenario.preset("counter-bent, torsional")
>>> result = tipsim.solve(scenario)
>>> len(result.motion.markers)
5
"""

from tipsim.setup.errors import BadInput
from tipsim.setup.scenario import Scenario
from tipsim.solve import Result, compare, solve

__version__ = "0.1.0"
__all__ = ["BadInput", "Result", "Scenario", "compare", "solve"]
