"""Draws the machines of benches/draws.rs with numpy and scipy.

Started by the bench with the number of draws. By hand, from the project's root:
    cargo xtask peers
    target/peer/bin/python crates/physics/benches/draws_peer.py 100000
Prints one line for each way: name;draws;seconds;share of draws in which each of three limits held, and all.
Drawing and formulas are timed, in wall time; importing is not.
"""
import math
import sys
import time

import numpy
from scipy.stats import truncnorm

# Low, nominal, high; kelvin, ohm, volt, metre, ohm per metre.
INPUTS = {
    "U": (23.52, 24.0, 24.48),
    "R": (13.2, 14.4, 15.0),
    "l": (0.72, 0.75, 0.80),
    "r": (0.0332, 0.0333, 0.0385),
    "t": (293.15, 313.15, 333.15),
    "R25": (99e3, 100e3, 101e3),
    "B": (3910.5, 3950.0, 3989.5),
    "Rp": (4653.0, 4700.0, 4747.0),
}
AIM, T25 = 503.15, 298.15
POWER, DROP, ERROR = 40.5, 0.0039, 2.0


def draw(generator, count):
    values = {}
    for name, (low, nominal, high) in INPUTS.items():
        deviate = truncnorm.rvs(-3.0, 3.0, size=count, random_state=generator)
        side = numpy.where(deviate < 0.0, nominal - low, high - nominal)
        values[name] = nominal + side * deviate / 3.0
    return values


def results(U, R, l, r, t, R25, B, Rp, exp, log):
    power = U * U / R
    drop = 2.0 * l * r * (1.0 + 0.00393 * (t - 293.15)) * (U / R) / U
    thermistor = R25 * exp(B * (1.0 / AIM - 1.0 / T25))
    share = thermistor / (thermistor + Rp)
    seen = share / (1.0 - share) * INPUTS["Rp"][1]
    told = 1.0 / (1.0 / T25 + log(seen / INPUTS["R25"][1]) / INPUTS["B"][1])
    return power, drop, told - AIM


def at_once(count):
    power, drop, error = results(**draw(numpy.random.default_rng(1), count), exp=numpy.exp, log=numpy.log)
    held = [power >= POWER, drop <= DROP, abs(error) <= ERROR]
    held.append(held[0] & held[1] & held[2])
    return [h.mean() for h in held]


def one_by_one(count):
    values = draw(numpy.random.default_rng(1), count)
    names = list(values)
    held = [0, 0, 0, 0]
    for row in zip(*(values[name].tolist() for name in names)):
        power, drop, error = results(**dict(zip(names, row)), exp=math.exp, log=math.log)
        now = (power >= POWER, drop <= DROP, abs(error) <= ERROR)
        for at, holds in enumerate(now):
            held[at] += holds
        held[3] += all(now)
    return [h / count for h in held]


def each_by_itself(count):
    held = [0, 0, 0, 0]
    low, nominal, high = (numpy.array(bound) for bound in zip(*INPUTS.values()))
    for number in range(count):
        # The machine of this number, whoever draws it.
        deviates = truncnorm.rvs(-3.0, 3.0, size=len(INPUTS), random_state=numpy.random.default_rng([1, number]))
        values = nominal + numpy.where(deviates < 0.0, nominal - low, high - nominal) * deviates / 3.0
        power, drop, error = results(*values.tolist(), exp=math.exp, log=math.log)
        now = (power >= POWER, drop <= DROP, abs(error) <= ERROR)
        for at, holds in enumerate(now):
            held[at] += holds
        held[3] += all(now)
    return [h / count for h in held]


def main():
    count = int(sys.argv[1])
    for name, way, draws in (
        ("numpy and scipy, all draws at once", at_once, count),
        ("scipy, one machine after another", one_by_one, count),
        ("scipy, each machine by itself", each_by_itself, count // 20),
    ):
        way(1000)
        start = time.perf_counter()
        shares = way(draws)
        seconds = time.perf_counter() - start
        print(f"{name};{draws};{seconds};" + ";".join(str(float(share)) for share in shares), flush=True)


main()
