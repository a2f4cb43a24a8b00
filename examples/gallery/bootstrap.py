# SPDX-License-Identifier: GPL-3.0-or-later
"""
The bootstrap
=============

How much would the answer change if the shop had run other coupons of the same kind? The bootstrap draws the rows of the
log again and again, with repetition, and fits each draw.
"""
import matplotlib.pyplot as plt
import numpy as np
import oxtint

fit = oxtint.fit(oxtint.read_trials("../demo/trials.csv"), "Alder 1", "satin")
boot = fit.bootstrap(1000)

# %%
# Each point is one draw: the rate at the middle bath, and Q. The ellipse is the fit's own 95 % region.

figure, axes = plt.subplots(figsize=(7.2, 4.6), layout="constrained")
rate, Q = np.exp(boot.ln_k), boot.Q_J_per_mol / 1e3
axes.plot(rate, Q, ".", color="tab:blue", alpha=0.35, markersize=5, label="1,000 draws")
angle = np.linspace(0.0, 2.0 * np.pi, 200)
reach = np.sqrt(fit.dof * (0.05 ** (-2.0 / fit.dof) - 1.0))  # twice the 95 % quantile of F(2, dof)
turn = np.linalg.cholesky(fit.covariance) @ (reach * np.array([np.cos(angle), np.sin(angle)]))
axes.plot(fit.k_ref_nm2_per_s * np.exp(turn[0]), (fit.Q_J_per_mol + turn[1]) / 1e3, color="tab:red", linewidth=2,
          label="95 % by the fit")
axes.plot(fit.k_ref_nm2_per_s, fit.Q_J_per_mol / 1e3, "k+", markersize=12, markeredgewidth=2, label="fit")
axes.set(xlabel=f"rate at {oxtint.format_temperature(fit.T_ref_K, 'F')} (nm²/s)", ylabel="Q (kJ/mol)", xlim=(23.0, 36.0),
         ylim=(35.0, 110.0))
axes.legend(loc="upper right")
low, high = boot.interval("Q")
print(f"Q by the bootstrap {low / 1e3:.0f} to {high / 1e3:.0f} kJ/mol, by the fit "
      f"{fit.Q_interval_J_per_mol[0] / 1e3:.0f} to {fit.Q_interval_J_per_mol[1] / 1e3:.0f} kJ/mol")

# sphinx_gallery_start_ignore
CAPTION = """A thousand draws from the ten coupons of a bar of the demo shop. With so few coupons they lie closer together than the
errors are; the red ellipse of Student's t is the one to go by."""
ALT = """A cloud of points in the plane of rate and Q about a cross that marks the fit: one dense patch and two thin arms. A red
ellipse, two to three times as wide as the cloud, lies around it; nearly all points are inside."""
# sphinx_gallery_end_ignore
