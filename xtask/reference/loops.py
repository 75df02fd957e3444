"""Ultimate gain and period, margins and sensitivity peaks of loops with dead time, by python-control.

Prints rows for the tests of `physics`. The dead time is exact: the frequency response is given as data.
"""

import control
import numpy as np

print(f"# Written by `cargo xtask reference`: python-control {control.__version__}, numpy {np.__version__}.")
print("# First order with dead time under a PI controller; responses at 12,000 frequencies.")
print("formula;given;expect;within;source;sure")

PROCESSES = [(2, 10, 2), (1.5, 20, 1), (3, 5, 4), (60, 900, 25)]


def response(process, gain=1.0, integral=None):
    k, tau, theta = process
    w = np.logspace(-3, 2, 12_000) / theta
    s = 1j * w
    loop = gain * k * np.exp(-s * theta) / (tau * s + 1)
    if integral:
        loop = loop * (1 + 1 / (integral * s))
    return control.FRD(loop, w, smooth=True)


def row(formula, given, expect, within):
    print(f"{formula};{given};{expect};{within};python-control;R")


for process in PROCESSES:
    k, tau, theta = process
    given = f"K = {k} K, τ = {tau} s, θ = {theta} s"
    gain, _, _, crossing, _, _ = control.stability_margins(response(process))
    row("ultimate", given, f"{gain:.8g} 1/K", "0.0001 %")
    row("ultimate", given, f"{2 * np.pi / crossing:.8g} s", "0.0001 %")
    # A half and a quarter of the ultimate gain, and integral times of the lag: loops from lively to tame.
    for share, integral in [(0.45, tau), (0.25, tau / 2)]:
        kc = float(f"{share * gain:.4g}")
        ti = float(f"{integral:.4g}")
        frd = response(process, kc, ti)
        gm, pm, sm, *_ = control.stability_margins(frd)
        controller = f"{given}, terms = given, Kc = {kc} 1/K, Ti = {ti} s"
        row("sensitivity-peak", controller, f"{1 / sm:.6g}", "0.5 %")
        row("gain-margin", controller, f"{gm:.6g}", "0.5 %")
        # A loop whose gain stays below one has no phase margin.
        if np.isfinite(pm):
            row("phase-margin", controller, f"{pm:.6g} °", "0.1 °")
