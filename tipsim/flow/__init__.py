"""Where the fluid goes: bottle, lines, sleeve, chamber, bore, pump; steady and through time."""

from tipsim.flow.balance import Balance, Flows, balance, flows
from tipsim.flow.change import Change
from tipsim.flow.surge import Surge, surge
from tipsim.flow.transient import Transient, collapse_time, transient

__all__ = [
    "Balance",
    "Change",
    "Flows",
    "Surge",
    "Transient",
    "balance",
    "collapse_time",
    "flows",
    "surge",
    "transient",
]
