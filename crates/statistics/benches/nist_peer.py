"""The 27 nonlinear sets of NIST's Statistical Reference Datasets with scipy's curve_fit, each from both published starts.

Started by benches/methods.rs with the folder of the sets. By hand, from the project's root:
    cargo xtask peers
    target/peer/bin/python crates/statistics/benches/nist_peer.py crates/statistics/tests/data
Prints a line for each: name, start n;best seconds of five;found or missed (a parameter off by more than 1e-4).
"""
import os
import sys
import time
import warnings

os.environ["OMP_NUM_THREADS"] = "1"

import numpy as np
from numpy import arctan, cos, exp, pi, sin
from scipy.optimize import curve_fit

warnings.simplefilter("ignore")


def peaks(x, a, b, h1, p1, w1, h2, p2, w2):
    return a * exp(-b * x) + h1 * exp(-(((x - p1) / w1) ** 2)) + h2 * exp(-(((x - p2) / w2) ** 2))


def decays(x, a, b, c, d, e, f):
    return a * exp(-b * x) + c * exp(-d * x) + e * exp(-f * x)


def saturating(x, a, b):
    return a * (1.0 - exp(-b * x))


def decay_over_line(x, a, b, c):
    return exp(-a * x) / (b + c * x)


def seasons(x, b1, b2, b3, b4, b5, b6, b7, b8, b9):
    turn = 2.0 * pi * x
    return (
        b1
        + b2 * cos(turn / 12.0)
        + b3 * sin(turn / 12.0)
        + b5 * cos(turn / b4)
        + b6 * sin(turn / b4)
        + b8 * cos(turn / b7)
        + b9 * sin(turn / b7)
    )


def cubic(x, a, b, c, d, e, f, g):
    return (a + b * x + c * x**2 + d * x**3) / (1.0 + e * x + f * x**2 + g * x**3)


SETS = {
    "misra1a": saturating,
    "chwirut2": decay_over_line,
    "chwirut1": decay_over_line,
    "lanczos3": decays,
    "gauss1": peaks,
    "gauss2": peaks,
    "danwood": lambda x, a, b: a * x**b,
    "misra1b": lambda x, a, b: a * (1.0 - (1.0 + b * x / 2.0) ** -2),
    "kirby2": lambda x, a, b, c, d, e: (a + b * x + c * x**2) / (1.0 + d * x + e * x**2),
    "hahn1": cubic,
    "nelson": lambda x, a, b, c: a - b * x[0] * exp(-c * x[1]),
    "mgh17": lambda x, a, b, c, d, e: a + b * exp(-x * d) + c * exp(-x * e),
    "lanczos1": decays,
    "lanczos2": decays,
    "gauss3": peaks,
    "misra1c": lambda x, a, b: a * (1.0 - (1.0 + 2.0 * b * x) ** -0.5),
    "misra1d": lambda x, a, b: a * b * x / (1.0 + b * x),
    "roszman1": lambda x, a, b, c, d: a - b * x - arctan(c / (x - d)) / pi,
    "enso": seasons,
    "mgh09": lambda x, a, b, c, d: a * (x**2 + x * b) / (x**2 + x * c + d),
    "thurber": cubic,
    "boxbod": saturating,
    "rat42": lambda x, a, b, c: a / (1.0 + exp(b - c * x)),
    "mgh10": lambda x, a, b, c: a * exp(b / (x + c)),
    "eckerle4": lambda x, a, b, c: a / b * exp(-0.5 * ((x - c) / b) ** 2),
    "rat43": lambda x, a, b, c, d: a / (1.0 + exp(b - c * x)) ** (1.0 / d),
    "bennett5": lambda x, a, b, c: a * (b + x) ** (-1.0 / c),
}


def read(name):
    parameters, rows, head = [], [], True
    with open(os.path.join(sys.argv[1], f"nist-strd-{name}.csv")) as lines:
        for line in lines:
            words = line.split()
            if line.startswith("# b"):
                parameters.append([float(words[words.index(own) + 1]) for own in ("start1", "start2", "certified")])
            elif not line.startswith("#") and line.strip():
                if not head:
                    rows.append([float(cell) for cell in line.split(",")])
                head = False
    data = np.array(rows)
    y = np.log(data[:, 0]) if name == "nelson" else data[:, 0]
    x = data[:, 1:].T if data.shape[1] > 2 else data[:, 1]
    return np.array(parameters), x, y


for name, model in SETS.items():
    parameters, x, y = read(name)
    for start in range(2):
        seconds, found = float("inf"), None
        for _ in range(5):
            begin = time.perf_counter()
            try:
                found = curve_fit(model, x, y, p0=parameters[:, start], maxfev=100_000)[0]
            except RuntimeError:
                found = None
            seconds = min(seconds, time.perf_counter() - begin)
        good = found is not None and np.all(abs(found / parameters[:, 2] - 1.0) < 1e-4)
        print(f"{name}, start {start + 1};{seconds};{'found' if good else 'missed'}")
