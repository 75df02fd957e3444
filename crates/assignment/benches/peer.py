"""Solves the instances of benches/solvers.rs with a general mixed-integer solver: HiGHS, one thread, zero gap.

Started by the bench. By hand, from the project's root:
    cargo xtask peers
    target/peer/bin/python crates/assignment/benches/peer.py INSTANCES.json
Reads a list of instances, prints one line for each: seconds and optimum tier by tier, for each of two ways to put the tiers
to the solver: one weighted sum, and group by group with the groups before held at their optimum. Only the solver's own
run() is timed, in processor time, its presolve included, building the model excluded.
"""
import json
import sys
import time

import highspy
import numpy as np

LIMIT = 60.0


def ranges(costs, item):
    """Largest value that each tier can sum to, and the sum of its least values."""
    items = int(item.max()) + 1
    high = np.zeros(costs.shape[1])
    for i in range(items):
        rows = costs[item == i]
        high += rows.max(axis=0)
    return high


def groups(high, largest):
    """Consecutive tiers whose weighted sum stays below `largest`; at least one tier each."""
    out, current, product = [], [], 1.0
    for tier, h in enumerate(high):
        if h == 0:
            continue
        if current and product * (h + 1) > largest:
            out.append(current)
            current, product = [], 1.0
        current.append(tier)
        product *= h + 1
    if current:
        out.append(current)
    return out


def scalar(costs, group, high):
    cost, weight = np.zeros(len(costs)), 1.0
    for tier in reversed(group):
        cost += weight * costs[:, tier]
        weight *= high[tier] + 1
    return cost


def run(instance, largest):
    costs = np.array(instance["costs"], dtype=float)
    item = np.array(instance["item"])
    high = ranges(costs, item)
    rows = []  # (lower, upper, indices, values)
    for i in range(int(item.max()) + 1):
        index = np.flatnonzero(item == i)
        rows.append((1.0, 1.0, index, np.ones(len(index))))
    for capacity, index, amount in instance["rows"]:
        rows.append((-highspy.kHighsInf, float(capacity), np.array(index), np.array(amount, dtype=float)))
    for pair in instance["conflicts"]:
        rows.append((-highspy.kHighsInf, 1.0, np.array(pair), np.ones(2)))
    spent, start = 0.0, None
    for group in groups(high, largest):
        cost = scalar(costs, group, high)
        h = highspy.Highs()
        h.setOptionValue("output_flag", False)
        h.setOptionValue("threads", 1)
        h.setOptionValue("mip_rel_gap", 0.0)
        h.setOptionValue("mip_abs_gap", 0.999)
        h.setOptionValue("time_limit", LIMIT)
        n = len(item)
        h.addVars(n, np.zeros(n), np.ones(n))
        everything = np.arange(n, dtype=np.int32)
        h.changeColsCost(n, everything, cost)
        h.changeColsIntegrality(n, everything, np.array([highspy.HighsVarType.kInteger] * n))
        for low, up, index, values in rows:
            h.addRow(low, up, len(index), index.astype(np.int32), values)
        if start is not None:
            s = highspy.HighsSolution()
            s.col_value = list(start)
            h.setSolution(s)
        began = time.process_time()
        h.run()
        spent += time.process_time() - began
        if h.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            return spent, None
        start = np.round(h.getSolution().col_value)
        value = float(cost @ start)
        rows.append((-highspy.kHighsInf, value + 0.5, np.flatnonzero(cost), cost[cost != 0]))
    return spent, [int(v) for v in np.round(start @ costs)]


for instance in json.load(open(sys.argv[1])):
    answers = [run(instance, 1e30), run(instance, 1e9)]
    words = lambda optimum: "-" if optimum is None else " ".join(map(str, optimum))
    print("peer", *(f"{seconds:.6f};{words(optimum)}" for seconds, optimum in answers), sep=";", flush=True)
