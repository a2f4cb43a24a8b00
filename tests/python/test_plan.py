# SPDX-License-Identifier: GPL-3.0-or-later
"""The most forgiving bath, and sets of parts."""
import _thread

import numpy as np
import oxtint
import pytest


def test_no_bath_forgives_more(steel) -> None:
    best = steel.most_forgiving("blue", "540 F", "680 F", longest="10:00", time_wander_s=4.0)
    for bath in np.linspace(oxtint.parse_temperature("540 F"), oxtint.parse_temperature("680 F"), 60):
        dip = steel.dip("blue", bath, time_wander_s=4.0)
        assert dip.time_s > 600.0 or dip.chance <= best.chance + 1e-9
    assert " F" in str(best)


def test_table_of_baths(steel) -> None:
    text = str(steel.baths("blue", "560 F", "640 F", rows=5, time_wander_s=3.0))
    rows = [line for line in text.splitlines() if line.startswith("  ") and line.endswith("%")]
    assert len(rows) == 6  # five baths and the best
    assert "600 F" in text and "Most forgiving bath" in text
    with pytest.raises(oxtint.OxtintValueError, match="rows is 1"):
        steel.baths("blue", rows=1)


def test_set(steel) -> None:
    lift = oxtint.Lift("4 s")
    parts = [
        oxtint.SetPart("ring", steel, "blue", part=oxtint.Part("2 mm"), lift=lift),
        oxtint.SetPart("bezel", steel, "blue", part=oxtint.Part("6 mm"), lift=lift),
        oxtint.SetPart("cap", steel, "blue", film=oxtint.Film(finish="satin")),
    ]
    plan = oxtint.plan_set(parts, "600 F", spacing="12 s", time_wander_s=2.0)
    lifts = np.array([step.lift_s for step in plan.steps])
    assert np.all(np.diff(lifts) == pytest.approx(12.0))
    assert plan.steps[0].enter_s == 0.0 and plan.last_lift_s == lifts[-1]
    assert {step.part for step in plan.steps} == {0, 1, 2}
    for step in plan.steps:
        assert step.lift_s - step.enter_s == pytest.approx(step.dip.time_s)
        assert step.name == parts[step.part].name
    assert 0.0 < plan.chance_targets < 1.0 and plan.aim_mismatch < plan.mean_mismatch
    assert "bezel: blue" in str(plan) and "600 F" in str(plan)
    assert any(caution.name == "MOLTEN_SALT" for caution in plan.cautions)


def test_the_loads_of_a_set_share_one_bath(steel) -> None:
    def plan(bath):
        parts = [oxtint.SetPart("ring", steel, "blue", part="6 mm", salt_bath=bath, load_kg=0.5)] * 3
        return oxtint.plan_set(parts, "600 F", spacing="15 s")
    small, endless = plan(oxtint.Bath(salt_kg=5.0, heater_W=1500.0)), plan(oxtint.Bath())
    assert 10.0 < small.sag_K < 15.0 and endless.sag_K == 0.0
    assert all(step.dip.time_s > endless.steps[0].dip.time_s + 10.0 for step in small.steps)
    assert "SAG" in {caution.name for caution in small.cautions}
    assert "The loads cool the bath by up to" in str(small)
    with pytest.raises(oxtint.OxtintValueError, match="part 2 is in another bath"):
        oxtint.plan_set([oxtint.SetPart("a", steel, "blue", part="6 mm", salt_bath=oxtint.Bath(salt_kg=kg),
                                        load_kg=0.5) for kg in (5.0, 6.0)], "600 F")


def test_set_at_fault(steel) -> None:
    with pytest.raises(oxtint.OxtintValueError) as raised:
        oxtint.plan_set([oxtint.SetPart("ring", steel, "blue"),
                         oxtint.SetPart("cap", steel, "brown", initial="blue")], "600 F")
    assert raised.value.row == 2
    with pytest.raises(oxtint.OxtintValueError, match="name is"):
        oxtint.plan_set([oxtint.SetPart("x" * 60, steel, "blue")], "600 F")


def test_progress_of_a_set(steel) -> None:
    """It rises to 1 and changes nothing; what it raises stops the plan, and so does Ctrl-C without it."""
    seen: list[float] = []
    parts = [("ring", steel, "blue")] * 5
    assert oxtint.plan_set(parts, "600 F", progress=seen.append) == oxtint.plan_set(parts, "600 F")
    assert seen == sorted(seen) and seen[-1] == 1.0
    many = parts * 100

    def stop(done: float) -> None:
        raise LookupError("enough")

    with pytest.raises(LookupError, match="enough"):
        oxtint.plan_set(many, "600 F", draws=1_000_000, progress=stop)
    with pytest.raises(KeyboardInterrupt):
        oxtint.plan_set(many, "600 F", draws=1_000_000, progress=lambda done: _thread.interrupt_main())
    with pytest.raises(TypeError, match="progress"):
        oxtint.plan_set(parts, "600 F", progress=3)
