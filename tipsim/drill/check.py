"""Checking drills: what a careful team does must meet every goal, and doing nothing must not."""

from tipsim.drill.debrief import debrief
from tipsim.drill.format import Drill, Goal
from tipsim.drill.measures import MEASURES
from tipsim.drill.outputs import NAMES
from tipsim.drill.read import FOLDER, drill_ids, load_drill
from tipsim.drill.run import Case
from tipsim.setup.errors import BadInput

SEEDS = 1
"""Seeds beside its own that a drill is tried with."""


def check_drills() -> list[str]:
    """Return every mistake in the folder of drills, one sentence each."""
    out: list[str] = []
    for id in drill_ids():
        try:
            drill = load_drill(id)
        except BadInput as bad:
            out.append(str(bad))
            continue
        out += check_drill(drill)
    return out


def check_drill(drill: Drill) -> list[str]:
    """Return the mistakes of one drill: what its script and doing nothing come to.

    Also with other seeds, since learners repeat it with those.
    """
    out: list[str] = []
    for seed in dict.fromkeys((drill.seed, *range(1, SEEDS + 1))):
        first = min(Case(drill, seed).moments())
        good = debrief(drill, drill.careful(first), seed, compared=False)
        out += [
            f"the careful team misses {_words(m.goal)}: {_shown(m.goal, m.value)} (seed {seed})"
            for m in good.goals
            if not m.met
        ]
        if good.harm:
            out.append(f'the careful team does "{good.harm[0][0].any[0]}", which is harmful')
        if not good.first_was_first:
            out.append(f'the careful team does not begin with "{drill.right[0].any[0]}"')
        nothing = debrief(drill, drill.start, seed, compared=False)
        if all(m.met for m in nothing.goals):
            out.append(f"doing nothing meets every goal (seed {seed})")
        if nothing.first_sign is None:
            out.append(f"no sign can ever be noticed (seed {seed})")
        out += [
            f'the sign "{s.sign.says}" ({NAMES[s.sign.name].label}) never comes (seed {seed})'
            for s in nothing.seen
            if s.time is None
        ]
        out += [
            f'the sign "{s.sign.says}" is there before anything goes wrong (seed {seed})'
            for s in nothing.seen
            if (s.sign.holds(nothing.curves.values) & (nothing.curves["time"] < first)).any()
        ]
    return [f"{FOLDER}/{drill.id}.toml: {each}." for each in dict.fromkeys(out)]


def _words(goal: Goal) -> str:
    side, limit = ("least", goal.least) if goal.least is not None else ("most", goal.most)
    return f"{goal.measure} at {side} {limit:g}"


def _shown(goal: Goal, value: float) -> str:
    return MEASURES[goal.measure].show(value)
