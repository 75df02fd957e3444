"""The work of benches/methods.rs with numpy, scipy and allantools, one thread; prints the best seconds of each, one a line.

Started by the bench. PEER_PYTHON names another Python. From the project's root:
    cargo xtask peers
    target/peer/bin/python crates/statistics/benches/peer.py
"""
import os
import time

os.environ["OMP_NUM_THREADS"] = "1"

import allantools
import numpy as np
from scipy.optimize import curve_fit
from scipy.signal import welch


def best(runs, work):
    out = float("inf")
    for _ in range(runs):
        start = time.perf_counter()
        work()
        out = min(out, time.perf_counter() - start)
    return out


n = 1234567890
values = np.empty(1_000_000)
for i in range(len(values)):
    n = n * 16807 % 2147483647
    values[i] = n / 2147483647

t = np.arange(2000.0)
data = 3.0 * np.exp(-0.002 * t) + 1.0 + 0.1 * values[:2000]

print(best(5, lambda: welch(values, window="hann", nperseg=4096, noverlap=2048, detrend="constant")))
print(best(3, lambda: allantools.oadev(values, rate=1.0, data_type="freq", taus=[2.0**k for k in range(10)])))


def curve(t, a, b, c):
    return a * np.exp(-b * t) + c


def slopes(t, a, b, c):
    decay = np.exp(-b * t)
    return np.stack([decay, -a * t * decay, np.ones_like(t)], axis=1)


start = [1.0, 0.01, 0.5]
print(best(200, lambda: curve_fit(curve, t, data, p0=start)))
print(best(200, lambda: curve_fit(curve, t, data, p0=start, jac=slopes)))
