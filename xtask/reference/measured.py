"""Ratios with Fieller's interval by root-finding, a plane by least squares and a thin-plate spline; rows for the tests of `evidence`."""

import math

import numpy as np
import scipy
from scipy.interpolate import RBFInterpolator
from scipy.optimize import brentq
from scipy.stats import t as student

print(
    f"# Written by `cargo xtask reference`: scipy {scipy.__version__} (brentq, stats.t, RBFInterpolator), "
    f"numpy {np.__version__} (linalg.lstsq). The given numbers are invented."
)
print("# bulge and score: x in s, y in mm or as a score; the place with its interval at 95 %, where |f(x)| = t * se(f(x)), f straight or f'")
print("# bed: x, y, height in mm; plane in mm/m, what it leaves in mm; heights of the spline over places scaled to half their wider box")
print("case,what,a,b,c")


def fitted(rows, y):
    rows, y = np.array(rows), np.array(y)
    beta, *_ = np.linalg.lstsq(rows, y, rcond=None)
    freedom = len(y) - rows.shape[1]
    variance = np.sum((y - rows @ beta) ** 2) / freedom
    return beta, variance * np.linalg.inv(rows.T @ rows), student.ppf(0.975, freedom)


def interval(value, error_of, centre, reach):
    """Where a straight function of the place leaves t errors of itself, on either side of its zero."""
    outside = lambda x: abs(value(x)) - error_of(x)
    return [brentq(outside, centre, centre + side * reach, xtol=1e-15, rtol=1e-14) for side in (-1, 1)]


# Bulges that scatter nearly as much as they change: the divisor is known to a third of itself.
CASES = {
    "bulge-clear": ([0.0, 0.02, 0.04, 0.06, 0.08, 0.10], [0.081, 0.049, 0.022, -0.011, -0.038, -0.072]),
    "bulge-noisy": (
        [0.0, 0.0, 0.02, 0.02, 0.04, 0.04, 0.06, 0.06, 0.08, 0.08, 0.10, 0.10],
        [0.13, 0.05, 0.09, 0.0, 0.07, -0.02, 0.04, -0.05, -0.01, -0.06, 0.03, -0.09],
    ),
}
for name, (x, y) in CASES.items():
    beta, covariance, t = fitted([[1, v] for v in x], y)
    value = lambda p: beta[0] + beta[1] * p
    error = lambda p: t * math.sqrt(np.array([1, p]) @ covariance @ np.array([1, p]))
    place = -beta[0] / beta[1]
    low, high = interval(value, error, place, 10.0)
    for a, b in zip(x, y):
        print(f"{name},given,{a},{b},")
    print(f"{name},place,{low:.12g},{place:.12g},{high:.12g}")

x = [0.0, 0.01, 0.02, 0.03, 0.04, 0.05, 0.06, 0.07, 0.08, 0.09, 0.10]
y = [4.5, 3.5, 3.4, 2.0, 1.9, 1.1, 1.6, 1.0, 1.4, 1.3, 2.2]
beta, covariance, t = fitted([[1, v, v * v] for v in x], y)
value = lambda p: beta[1] + 2 * beta[2] * p
error = lambda p: t * math.sqrt(np.array([0, 1, 2 * p]) @ covariance @ np.array([0, 1, 2 * p]))
place = -beta[1] / (2 * beta[2])
low, high = interval(value, error, place, 10.0)
for a, b in zip(x, y):
    print(f"score,given,{a},{b},")
print(f"score,place,{low:.12g},{place:.12g},{high:.12g}")

# A bed at places that are no grid.
part = lambda v: v - math.floor(v)
bed = []
for i in range(1, 31):
    px, py = round(10 + 190 * part(0.618034 * i), 2), round(15 + 160 * part(0.754878 * i), 2)
    wobble = 0.004 * (part(0.414214 * i) - 0.5)
    bed.append((px, py, round(0.3 + 0.0017 * px - 0.0009 * py + 0.06 * math.sin(px / 40) * math.cos(py / 55) + wobble, 4)))
for px, py, z in bed:
    print(f"bed,given,{px},{py},{z}")
bed = np.array(bed)
plane, *_ = np.linalg.lstsq(np.column_stack([np.ones(len(bed)), bed[:, :2]]), bed[:, 2], rcond=None)
left = bed[:, 2] - plane[0] - bed[:, :2] @ plane[1:]
print(f"bed,plane,{1000 * plane[1]:.12g},{1000 * plane[2]:.12g},")
print(f"bed,left,{math.sqrt(np.mean(left**2)):.12g},{left.max() - left.min():.12g},")
low, high = bed[:, :2].min(axis=0), bed[:, :2].max(axis=0)
scale = (high - low).max() / 2
scaled = lambda p: (np.asarray(p) - (low + high) / 2) / scale
for smoothing in (1e-3, 0.1):
    spline = RBFInterpolator(scaled(bed[:, :2]), bed[:, 2], kernel="thin_plate_spline", smoothing=smoothing, degree=1)
    for place in ((50.0, 60.0), (101.0, 95.0), (188.0, 30.0), (20.0, 170.0)):
        print(f"bed,spline {smoothing},{place[0]},{place[1]},{spline(scaled([place]))[0]:.12g}")
