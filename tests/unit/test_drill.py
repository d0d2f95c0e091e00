"""The drill: replayed bit by bit, balanced, refused in one sentence, and its files hold."""

import json
from pathlib import Path

import numpy as np
import pytest

from tipsim.cli import main
from tipsim.drill import run as running
from tipsim.drill.actions import Action, read_actions
from tipsim.drill.check import check_drill
from tipsim.drill.debrief import (
    AS_DONE,
    EARLIER,
    FOOT_UP,
    NO_FAULT,
    debrief,
    foot_up,
    sentence,
    sooner,
)
from tipsim.drill.measures import MEASURES
from tipsim.drill.read import drill_ids, drills_folder, load_drill, parse_drill
from tipsim.drill.run import Case, forecast, forget, run_case
from tipsim.drill.scene import Scene, pressed
from tipsim.setup.errors import BadInput

KINK = "line-kinked"
GOOD = (drills_folder() / f"{KINK}.toml").read_text(encoding="utf-8")
STEPS = (
    Action(1.0, "ultrasound", 0.6),
    Action(3.1, "aspiration"),
    Action(4.2, "ultrasound", 0.7),
    Action(8.3, "irrigation"),
    Action(8.3, "free the line"),
    Action(12.2, "reflux"),
)


def same(a, b) -> bool:
    return all(np.array_equal(a[n], b[n]) for n in a.values)


@pytest.mark.parametrize("id", drill_ids())
def test_a_careful_team_meets_every_goal_and_nobody_does_not(id: str) -> None:
    assert check_drill(load_drill(id)) == []


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("most = 3.5", "most = 0.5", "the careful team misses shallow_s at most 0.5"),
        ("most = 3.5", "most = 60", "doing nothing meets every goal"),
        ("below = 2.5", "below = 3.5", "is there before anything goes wrong"),
        ("below = 2.5", "below = -1", "never comes"),
        ("after_s = 1.5", "after_s = 0.1", 'does not begin with "irrigation"'),
        ('after_s = 6.5\ndo = "aspiration"', 'after_s = 6.5\ndo = "raise the vacuum"', "harmful"),
    ],
)
def test_a_drill_that_does_not_hold_is_told_why(old: str, new: str, said: str) -> None:
    text = GOOD.replace(old, new)
    if said == "doing nothing meets every goal":
        text = text.replace("most = 1\n", "most = 60\n")
    assert text != GOOD
    found = check_drill(parse_drill("mine", text))
    assert found and all(f.startswith("drills/mine.toml: ") for f in found)
    assert said in " ".join(found)


def test_twelve_drills_hold_every_kind_of_fault() -> None:
    from tipsim.drill.faults import KINDS

    drills = [load_drill(id) for id in drill_ids()]
    assert len(drills) >= 12
    assert {f.kind for d in drills for f in d.faults} == set(KINDS)
    assert any(len(d.faults) == 2 for d in drills)


@pytest.mark.parametrize("id", [KINK, "vent-closed", "tilt-on-the-sleeve", "bottle-empty"])
def test_a_forecast_is_the_same_with_and_without_what_was_computed_before(id: str) -> None:
    drill = load_drill(id)
    alone = []
    for n in (1, 3, 6):
        forget()
        alone.append(forecast(drill, STEPS[:n]))
    forget()
    # Another seed in between, and then backwards.
    ahead = [forecast(drill, STEPS[:n], seed=s) for n in (1, 3, 6) for s in (5, drill.seed)][1::2]
    back = [forecast(drill, STEPS[:n]) for n in (6, 3, 1)][::-1]
    for one, two, three in zip(alone, ahead, back, strict=True):
        assert same(one, two) and same(one, three)


def test_a_forecast_goes_on_from_a_checkpoint(monkeypatch: pytest.MonkeyPatch) -> None:
    drill = load_drill(KINK)
    forget()
    forecast(drill, STEPS[:4])
    begun = []
    own = running._begin
    monkeypatch.setattr(running, "_begin", lambda case: begun.append(case) or own(case))
    found = forecast(drill, STEPS)
    assert begun == []
    assert found["time"][0] == STEPS[-1].time
    assert found["time"][-1] == STEPS[-1].time + 10


def test_checkpoints_are_bounded(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(running, "KEPT", 3)
    forget()
    run_case(Case(load_drill(KINK), 1), STEPS, 20.0)
    assert len(running._KEPT._all) == 3
    forget()


def test_two_seeds_differ_and_one_seed_does_not() -> None:
    drill = load_drill(KINK)
    moments = {Case(drill, seed).moments() for seed in range(6)}
    assert len(moments) == 6
    low, high = drill.faults[0].window
    assert all(low <= m <= high for (m,) in moments)
    one, two = (run_case(Case(drill, seed), drill.start, drill.lasts) for seed in (1, 2))
    assert one["depth"].min() == two["depth"].min() == 0
    assert not np.array_equal(one["time"], two["time"])


@pytest.mark.parametrize("id", drill_ids())
def test_volume_and_energy_are_kept(id: str) -> None:
    drill = load_drill(id)
    for actions in (drill.start, STEPS):
        curves = run_case(Case(drill, drill.seed), actions, drill.lasts)
        came, leaked, drawn, pumped = (curves.volumes - curves.volumes[0]).T
        chamber, line = (curves.held - curves.held[0]).T
        moved = max(came[-1], 1e-7)
        assert np.abs(came - leaked - drawn - chamber).max() < 1e-5 * moved
        stored = line * drill.scenario.surge.line_compliance
        assert np.abs(drawn - pumped - stored).max() < 1e-5 * moved
        assert curves.imbalance < 1e-5
        assert (np.diff(curves["time"]) >= 0).all()


def test_a_sealed_bottle_follows_boyle() -> None:
    """By hand: 1 mL out of a bottle with 50 mL of air lowers 101.325 kPa by 1/51 of it."""
    found = pressed(Scene(sealed=True, air=1e-6), full=8000.0)
    assert found == pytest.approx(1 - 101325 / 51 / 8000, rel=1e-12)
    assert pressed(Scene(sealed=False, air=1e-6), full=8000.0) == 1.0


def test_a_bottle_is_empty_when_its_fluid_has_left() -> None:
    drill = load_drill("bottle-empty")
    curves = run_case(Case(drill, 1), drill.start, drill.lasts)
    empty = curves["time"][np.flatnonzero(curves["bottle"] <= 1e-12)[0]]
    flow = curves["irrigation"][0]
    # At steady flow: what is left at the fault's moment, over the flow.
    assert empty == pytest.approx(Case(drill, 1).moments()[0] + 2e-6 / flow, abs=0.11)
    assert curves.at("irrigation", empty + 0.5) == 0


def test_a_learner_who_does_better_is_told_better_numbers() -> None:
    drill = load_drill(KINK)
    moment = Case(drill, drill.seed).moments()[0]
    late = (*drill.start, Action(moment + 4, "irrigation"), Action(moment + 5, "free the line"))
    found = debrief(drill, late)
    mine = found.measures
    assert mine[EARLIER]["shallow_s"] == pytest.approx(mine[AS_DONE]["shallow_s"] - 1, abs=0.05)
    assert mine[NO_FAULT]["shallow_s"] == 0
    assert mine[FOOT_UP]["ultrasound_without_flow_s"] < 0.1
    assert found.reaction == pytest.approx(moment + 4 - found.first_sign)
    assert found.first_was_first and not found.passed
    assert f"{mine[EARLIER]['shallow_s']:.1f} s" in found.sentence or "ultrasound" in found.sentence
    early = debrief(drill, drill.careful(moment))
    assert early.passed
    wrong_order = debrief(drill, (*drill.start, Action(moment + 1, "free the line"),
                                  Action(moment + 4, "irrigation")), compared=False)  # fmt: skip
    assert wrong_order.first_was_first is False
    assert not wrong_order.passed


def test_harm_is_said_and_never_passes() -> None:
    drill = load_drill(KINK)
    moment = Case(drill, drill.seed).moments()[0]
    actions = (*drill.careful(moment), Action(moment + 8, "raise the vacuum"))
    found = debrief(drill, actions, compared=False)
    assert [s.any for s, _ in found.harm] == [("raise the vacuum",)]
    assert all(g.met for g in found.goals) and not found.passed


def test_what_was_done_before_the_sign_stays() -> None:
    done = (Action(2.0, "ultrasound"), Action(6.0, "irrigation"), Action(7.0, "flush"))
    assert [a.time for a in sooner(done, 5.5)] == [2.0, 5.5, 6.0]
    assert [(a.time, a.do) for a in foot_up(done, 5.5)] == [
        (2.0, "ultrasound"),
        (5.5, "irrigation"),
        (7.0, "flush"),
    ]


def test_the_sentence_comes_from_the_numbers() -> None:
    usual = dict.fromkeys(MEASURES, 1.0)
    runs = {AS_DONE: {**usual, "shallow_s": 4.0}, EARLIER: {**usual, "shallow_s": 3.0}}
    runs |= {FOOT_UP: {**usual, "shallow_s": 0.5}, NO_FAULT: usual}
    found = sentence(runs, 5.0, 7.5, ["shallow_s"])
    assert found == (
        "You acted 2.5 s after the first sign. "
        "A second earlier: time with a shallow chamber 3.0 s instead of 4.0 s."
    )
    assert "0.5 s instead of 4.0 s" in sentence(runs, 5.0, None, ["shallow_s"])


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('format = "tipsim drill 1"', 'format = "x"', 'format is "x"'),
        ("seed = 11", "seed = -1", "seed is -1"),
        ("lasts_s = 20", "lasts_s = 900", "lasts_s is 900 s; allowed: 5 to 120 s"),
        ("lasts_s = 20", 'lasts_s = "long"', 'lasts_s is "long"; allowed: a number'),
        ('"line kinked"', '"line kinkd"', '(nearest: "line kinked")'),
        ("window_s = [4, 9]", "window_s = [9, 4]", "fault[0].window_s is 9 to 4 s"),
        ("window_s = [4, 9]", "window_s = 4", "two times [s]"),
        ("window_s = [4, 9]", "window_s = [4, 9]\nfree_percent = 80", "free_percent is 80 %"),
        ('curve = "depth_mm"', 'curve = "depth"', '(nearest: "depth_mm")'),
        ('curve = "depth_mm"', 'curve = "sleeve_c"', "which nobody sees"),
        ("below = 2.5", "below = 2.5\nabove = 1", "either below or above"),
        ('do = "free the line"', 'do = "free line"', '(nearest: "free the line")'),
        ('do = "raise the vacuum"', 'do = "irrigation"', "not right as well"),
        ('measure = "shallow_s"', 'measure = "shallow"', '(nearest: "shallow_s")'),
        ("travel_percent = 60", "travel_percent = 160", "travel_percent is 160 %"),
        ('preset = "single-bend, torsional"', 'preset = "single"', "preset"),
        ('"drive.power_percent" = 80', '"drive.power_percent" = 800', "800 %"),
        ('"drive.power_percent" = 80', '"flow.pump" = "vacuum"', "flow-controlled pump"),
        ("[[right]]", "[[rigth]]", '(nearest: "right")'),
        ('title = "The irrigation line kinks"', "title = 3", "title is 3; allowed: words"),
        ("[[fault]]", "[[fault]", "not TOML"),
    ],
)
def test_a_bad_file_is_refused_in_one_sentence(old: str, new: str, said: str) -> None:
    assert old in GOOD
    with pytest.raises(BadInput) as bad:
        parse_drill("mine", GOOD.replace(old, new))
    text = str(bad.value)
    assert said in text and text.startswith("drills/mine.toml: ") and "\n" not in text


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[[action]]\nat_s = 1", "action[0].do is missing"),
        ('[[action]]\ndo = "rest"', "action[0].at_s is missing; allowed: a number"),
        ('[[action]]\nat_s = 1\ndo = "rst"', 'nearest: "rest"'),
        ('[[action]]\nat_s = 400\ndo = "rest"', "400 s; allowed: 0 to 300 s"),
        ('[[actions]]\nat_s = 4\ndo = "rest"', "actions is not known"),
        ("action = 3", "[[action]] tables"),
    ],
)
def test_bad_actions_are_refused_in_one_sentence(text: str, said: str) -> None:
    with pytest.raises(BadInput, match=r".") as bad:
        read_actions(text)
    assert said in str(bad.value)


def test_the_command_lists_runs_and_refuses(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    assert main(["drill", "list"]) == 0
    listed = capsys.readouterr().out
    assert all(id in listed for id in drill_ids())
    assert main(["drill", "run", KINK, "--careful", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["passed"] and len(found["measures"]) == 4
    mine = tmp_path / "mine.toml"
    mine.write_text('[[action]]\nat_s = 2\ndo = "ultrasound"\ntravel_percent = 50\n')
    assert main(["drill", "run", KINK, "--actions", str(mine), "--seed", "4"]) == 0
    assert "Nothing that helps was done." in capsys.readouterr().out
    assert main(["drill", "run", "line-kinkd"]) == 2
    assert 'nearest: "line-kinked"' in capsys.readouterr().err
