"""Two bodies that exchange heat, by an adaptive integrator of order 8 from scipy; rows for the tests of `physics`."""

import numpy as np
import scipy
from scipy.integrate import solve_ivp

print(f"# Written by `cargo xtask reference`: scipy {scipy.__version__} (DOP853, relative tolerance 1e-12), numpy {np.__version__}.")
print("formula;given;expect;within;source;sure")

# Power, capacities, losses, coupling: a hot end with its nozzle, a thin bed, a thick bed, one that hardly couples.
CASES = [
    (40, 11, 0.1, 2, 0.05, 0.6),
    (200, 400, 1.0, 300, 1.2, 5),
    (500, 1200, 2.5, 900, 3.5, 12),
    (120, 250, 0.8, 600, 0.9, 0.4),
]

for p, c1, g1, c2, g2, k in CASES:
    def slope(_, y):
        over = k * (y[0] - y[1])
        return [(p - g1 * (y[0] - 25) - over) / c1, (over - g2 * (y[1] - 25)) / c2]

    times = [10, 60, 240, 900]
    run = solve_ivp(slope, (0, 900), [25, 25], method="DOP853", t_eval=times, rtol=1e-12, atol=1e-12)
    for at, t in enumerate(times):
        for body in (1, 2):
            given = (
                f"ϑₐ = 25 °C, P = {p} W, C₁ = {c1} J/K, G₁ = {g1} W/K, C₂ = {c2} J/K, G₂ = {g2} W/K, "
                f"K = {k} W/K, t = {t} s, of = {body}"
            )
            print(f"two-bodies;{given};{run.y[body - 1][at]:.6f} °C;0.00001 K;scipy-ivp;R")
