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


# The same with intervals that hold where errors do not average alike: the errors of the duty, of what heats besides and of the reading on a grid of
# sizes, each decorrelated by a Kalman filter, all sizes at once; the parameters have the mixture by restricted likelihood.
SIZES = np.array(
    [
        (by_duty, besides, slow)
        for by_duty in (0.0, 0.1, 0.3, 0.7, 1.5, 3.5, 8.0, 20.0)
        for besides in (0.0, 0.1, 0.3, 0.9, 2.7, 8.0)
        for slow in (0.0, 0.4, 1.5)
    ]
).T


def with_intervals():
    at = identify()
    off = course(at)
    slopes = np.empty((5, len(off)))
    for place, width in enumerate((0.02, 0.01, 0.001, 0.001, 0.01)):
        shift = np.zeros(5)
        shift[place] = width
        slopes[place] = (course(at + shift) - course(at - shift)) / (2.0 * width)
    columns = np.vstack([off, slopes])
    noise = np.mean(np.diff(off) ** 2) / 2.0
    by_duty, besides, slow = SIZES**2 * noise
    lag, second = at[1], at[2]
    one, two, late = np.exp(-step / lag), np.exp(-step / second), np.exp(-step / (0.3 * lag))
    through = lag / (lag - second) * (one - two)
    doubt = np.maximum(4.0 * duty * (1.0 - duty), 0.02)
    by_duty, besides = 2.0 * by_duty / lag * step, 2.0 * besides / lag * step
    p00 = p01 = p02 = p11 = p12 = np.zeros_like(slow)
    p22 = slow.copy()
    x0 = x1 = x2 = np.zeros((6, len(slow)))
    products = np.zeros((6, 6, len(slow)))
    logs = np.zeros_like(slow)
    for now in range(len(off)):
        p00 = p00 + by_duty * doubt[now] + besides
        half = through * p00 + two * p01
        p00, p01, p11 = one * one * p00, one * half, through * half + two * (through * p01 + two * p11)
        p02, p12 = one * late * p02, late * (through * p02 + two * p12)
        p22 = late * late * p22 + slow * (1.0 - late * late)
        r0, r1, r2 = p01 + p02, p11 + p12, p12 + p22
        every = r1 + r2 + noise
        g0, g1, g2 = r0 / every, r1 / every, r2 / every
        p00, p01, p02 = p00 - g0 * r0, p01 - g0 * r1, p02 - g0 * r2
        p11, p12, p22 = p11 - g1 * r1, p12 - g1 * r2, p22 - g2 * r2
        logs += np.log(every)
        x1 = x0 * through + x1 * two
        x2 = x2 * late
        own = columns[:, now, None] - x1 - x2
        x0, x1, x2 = x0 * one + g0 * own, x1 + g1 * own, x2 + g2 * own
        own = own / np.sqrt(every)
        products += own[:, None] * own[None, :]
    products = np.moveaxis(products, 2, 0)
    normal, right = products[:, 1:, 1:], products[:, 1:, 0]
    inverse = np.linalg.inv(normal)
    moves = np.einsum("nij,nj->ni", inverse, right)
    freedom = len(off) - 5
    left = products[:, 0, 0] - np.einsum("ni,ni->n", moves, right)
    variance = np.maximum(left / freedom, 1.0)
    likelihood = -0.5 * (logs + np.linalg.slogdet(normal)[1] + freedom * np.log(variance) + left / variance)
    weight = np.exp(likelihood - likelihood.max())
    weight /= weight.sum()
    middle = at - moves
    mean = weight @ middle
    spread = np.einsum("nii->ni", inverse) * variance[:, None] + (middle - mean) ** 2
    return mean, np.sqrt(weight @ spread)


print(best(5, identify))
print(best(3, with_intervals))
print(*identify()[:4])
