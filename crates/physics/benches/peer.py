"""Integrates the heat-up of benches/heat_up.rs with scipy's solve_ivp.

Started by the bench. By hand, from the project's root:
    cargo xtask peers
    target/peer/bin/python crates/physics/benches/peer.py
Prints one line for each way: name;seconds;first body;second body (kelvin). Only the call of
solve_ivp is timed, in wall time.
"""
import time

from scipy.integrate import solve_ivp

AIR, VOLTAGE, AT_20, ALPHA = 298.15, 24.0, 2.88, 0.00393
C1, G1, C2, G2, K = 400.0, 1.0, 300.0, 1.2, 5.0


def slope(_, y):
    hot, other = y
    power = VOLTAGE * VOLTAGE / (AT_20 * (1.0 + ALPHA * (hot - 293.15)))
    over = K * (hot - other)
    return [(power - G1 * (hot - AIR) - over) / C1, (over - G2 * (other - AIR)) / C2]


def run(name, **options):
    start = time.perf_counter()
    result = solve_ivp(slope, (0.0, 600.0), [AIR, AIR], t_eval=[600.0], **options)
    seconds = time.perf_counter() - start
    print(f"{name};{seconds};{result.y[0][-1]};{result.y[1][-1]}", flush=True)


run("solve_ivp, RK45, steps of 1 ms", max_step=1e-3, first_step=1e-3)
run("solve_ivp, LSODA, steps of 1 ms", method="LSODA", max_step=1e-3, first_step=1e-3)
run("solve_ivp, RK45, as few as it likes", rtol=1e-9, atol=1e-9)
