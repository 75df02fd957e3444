"""The work of benches/log.rs with numpy and scipy, one thread; prints the best seconds of each, one a line.

Started by the bench. PEER_PYTHON names another Python. From the project's root:
    cargo xtask peers
    target/peer/bin/python crates/evidence/benches/peer.py ROWS.csv HOUR.csv
The last line holds what the fit of the hour found: rise at full power, both time constants, dead time.
"""
import os
import sys
import time

os.environ["OMP_NUM_THREADS"] = "1"

import numpy as np
from scipy.optimize import least_squares
from scipy.signal import lfilter


def best(runs, work):
    out = float("inf")
    for _ in range(runs):
        start = time.perf_counter()
        work()
        out = min(out, time.perf_counter() - start)
    return out


print(best(3, lambda: np.loadtxt(sys.argv[1], delimiter=",")))

# The process of a hot end over an hour, by least squares from the start of the log to five times its heat-up.
hour = np.loadtxt(sys.argv[2], delimiter=",")
step = hour[1, 0] - hour[0, 0]
warming = hour[:, 0] < 400.0
seen, duty = hour[warming, 1], hour[warming, 3]


def course(p):
    gain, lag, second, delay, room = p
    at = np.arange(len(duty)) - delay / step
    late = np.interp(at, np.arange(len(duty)), duty, left=0.0)
    for tau in (lag, second):
        keep = np.exp(-step / tau)
        late = lfilter([0.0, 1.0 - keep], [1.0, -keep], late)
    return room + gain * late - seen


def identify():
    found = least_squares(
        course,
        [250.0, 60.0, 5.0, 3.0, seen[0]],
        bounds=([1, 1, 0.1, 0, 0], [5000, 5000, 200, 60, 60]),
        x_scale=[100, 50, 5, 2, 10],
    )
    np.linalg.inv(found.jac.T @ found.jac)
    return found.x


print(best(5, identify))
print(*identify()[:4])
