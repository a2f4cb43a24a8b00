# SPDX-License-Identifier: GPL-3.0-or-later
"""
A matched set
=============

Three fittings of different sizes are to come out in one blue. The plan says when each goes in and when it is lifted: the
slowest first, and never two lifts within 15 seconds.
"""
import matplotlib.pyplot as plt
import oxtint

log = oxtint.read_trials("../demo/trials.csv")
log.set_coupon("0.3 mm", lift="1 s")
steel = oxtint.fit(log, "Alder 1", "satin").steel
plan = oxtint.plan_set([("bezel", steel, "blue", {"part": "6 mm", "lift": "4 s"}),
                        ("finial", steel, "blue", {"part": oxtint.Part("14 mm", "sphere"), "lift": "4 s"}),
                        ("ring", steel, "blue", {"part": "2 mm", "lift": "4 s"})],
                       "600 F", spacing="15 s", bath_wander_K=2.0, time_wander_s=2.0)

# %%
# One line for each part: grey in the bath, blue while a lift would give the wanted colour.

figure, axes = plt.subplots(figsize=(7.2, 2.8), layout="constrained")
for row, step in enumerate(plan.steps):
    dip = step.dip
    axes.plot([step.enter_s, step.lift_s], [row, row], color="0.7", linewidth=9, solid_capstyle="butt")
    axes.plot([step.enter_s + dip.earliest_s, step.enter_s + dip.latest_s], [row, row], linewidth=9, solid_capstyle="butt",
              color=steel.film.srgb(dip.target.aim_nm))
    axes.plot(step.lift_s, row, "k|", markersize=22, markeredgewidth=2)
    axes.text(step.lift_s, row - 0.33, f"lift at {oxtint.format_duration(step.lift_s)}", ha="center", va="bottom", fontsize=9)
axes.set_yticks(range(len(plan.steps)), [step.name for step in plan.steps])
axes.set(ylim=(len(plan.steps) - 0.4, -0.8), xlim=(-2.0, None), xlabel="time since the first part went in")
axes.xaxis.set_major_locator(plt.MultipleLocator(30.0))
axes.xaxis.set_major_formatter(lambda seconds, _: f"{seconds // 60:.0f}:{seconds % 60:02.0f}")
print(f"chance that all match: {plan.chance_match:.0%}")

# sphinx_gallery_start_ignore
CAPTION = """Grey: in the bath; blue: a lift gives the wanted colour; the mark: the planned lift."""
ALT = """Three horizontal bars over the time since the first part went in. The bezel goes in first, the finial and the ring
later; the planned lifts follow each other every 15 s, each in the middle of the blue part of its bar."""
# sphinx_gallery_end_ignore
