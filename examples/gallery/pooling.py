# SPDX-License-Identifier: GPL-3.0-or-later
"""
Pooling steels
==============

Two coupons cannot tell how the rate of their steel changes with temperature. Pooled with the other steels of the log,
they need not: the activation energy is then one for all, and each steel keeps its own rate.
"""
import matplotlib.pyplot as plt
import oxtint

lines = open("../demo/trials.csv", encoding="utf-8").read().splitlines(keepends=True)
newcomer = [line for line in lines if line.startswith("Birch 2")]
log = oxtint.read_trials_text("".join(line for line in lines if line not in newcomer[2:]))

# %%
# The time to blue at 600 F with its 95 % interval: by each steel alone where its coupons allow it, and by the pool.

pool = oxtint.pool(log)
alone = {}
for steel, finish in pool.steels:
    try:
        alone[steel, finish] = oxtint.fit(log, steel, finish).steel
    except oxtint.OxtintError as error:
        print(f"{steel}, {finish}: {error}")
figure, axes = plt.subplots(figsize=(7.2, 3.6), layout="constrained")
for made, label, colour, shift in ((alone, "alone", "tab:blue", -0.13), (pool.steels, "pooled, one Q for all", "tab:red", 0.13)):
    for row, name in enumerate(pool.steels):
        if name not in made:
            axes.text(58.0, row + shift, "alone: refused, two coupons are too few", color=colour, va="center", fontsize=9)
            continue
        dip = made[name].dip("blue", "600 F")
        low, high = dip.interval_s
        axes.plot([low, high], [row + shift] * 2, color=colour, linewidth=3, label=label if row == 0 else None)
        axes.plot(dip.time_s, row + shift, "o", color=colour, markersize=8)
axes.set_yticks(range(len(pool.steels)), [f"{steel}, {finish}" for steel, finish in pool.steels])
axes.set(xlabel="blue at 600 F after (s)", ylim=(len(pool.steels) - 0.5, -0.5), xscale="log", xlim=(55.0, 500.0))
axes.set_xticks([60, 80, 100, 150, 200, 300, 400], ["60", "80", "100", "150", "200", "300", "400"])
axes.set_xticks([], minor=True)
axes.legend(loc="lower right", fontsize=9)
axes.grid(axis="x", color="0.9")

# sphinx_gallery_start_ignore
CAPTION = """Lift times of four bars of the demo shop, one of which has two coupons. Alone it has no answer; pooled it has one with a
wider interval than the others, and theirs are narrower than alone."""
ALT = """Four rows, each with a horizontal line of the interval and a dot at the lift time, by the steel alone and pooled. The
pooled lines are shorter than those alone. The row of Birch 2 has only a pooled line, longer than the others."""
# sphinx_gallery_end_ignore
