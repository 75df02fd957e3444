"""Programs of moves, planned by a linear programme and integrated along their way; rows for the tests of `workload`.

Nothing here is a pass forward or back: the squares of the speeds at the joints are the solution of a linear programme, times are integrals
of 1/v over the way, and the speeds of a delta's carriages are differences of their heights.
"""

import math

import numpy as np
import scipy
from scipy.integrate import quad
from scipy.optimize import brentq, linprog, minimize_scalar

print(
    f"# Written by `cargo xtask reference`: scipy {scipy.__version__} (optimize.linprog, integrate.quad, optimize.brentq), "
    f"numpy {np.__version__}. The programs are invented."
)
print("# rule: sudden change, or a deviation in mm; kinematics; then lines of G-code, and what they ask for:")
print("# time in s, peak of each motor in step/s, seconds above 0.6 of the highest sum of all motors' steps")
print("case;what;value")

# Speed mm/s, acceleration mm/s², sudden change mm/s, step/mm of x, y, z and filament; the machine of `tests/given.rs`.
SPEED = np.array([180.0, 150.0, 10.0, 45.0])
ACCELERATION = np.array([1500.0, 1000.0, 100.0, 3000.0])
CHANGE = np.array([8.0, 8.0, 0.4, 5.0])
STEPS = np.array([80.0, 80.0, 400.0, 420.0])
PURPOSE = {"print": 1000.0, "travel": 1200.0, "filament": 2000.0}
ARM, RADIUS = 250.0, 150.0
TOWERS = [math.radians(angle) for angle in (210, 330, 90)]


class Move:
    def __init__(self, start, end, filament, feed):
        way = np.append(end - start, filament)
        self.start, self.end = start, end
        self.alone = not np.any(way[:3])
        self.length = abs(filament) if self.alone else float(np.linalg.norm(way[:3]))
        self.unit = way / self.length
        size = np.abs(self.unit)
        purpose = "filament" if self.alone else "print" if filament > 0 else "travel"
        bound = lambda limit: min([limit[i] / size[i] for i in range(4) if size[i] > 0])
        self.speed = min(feed / 60.0, bound(SPEED))
        self.acceleration = min(PURPOSE[purpose], bound(ACCELERATION))

    def at(self, s, first, last):
        """Speed after a part of the way, from the squares of the speeds at both ends."""
        up = first + 2 * self.acceleration * s
        down = last + 2 * self.acceleration * (self.length - s)
        return math.sqrt(max(0.0, min(self.speed**2, up, down)))

    def kinks(self, first, last):
        a = 2 * self.acceleration
        places = [(self.speed**2 - first) / a, self.length - (self.speed**2 - last) / a, (last - first) / (2 * a) + self.length / 2]
        return sorted(s for s in places if 0 < s < self.length)


def corner(before, after, rule):
    change = np.abs(after.unit - before.unit)
    if rule == "sudden":
        limits = [CHANGE[i] / change[i] for i in range(4) if change[i] > 1e-15]
        return min(limits, default=math.inf)
    if before.alone or after.alone:
        same = before.alone and after.alone and before.unit[3] == after.unit[3]
        return math.inf if same else 0.0
    cosine = -float(np.dot(before.unit[:3], after.unit[:3]))
    inner = math.acos(max(-1.0, min(1.0, cosine)))
    if inner > math.pi - 1e-12:
        return math.inf
    sine = math.sin(inner / 2)
    circle = float(rule) * sine / (1 - sine)
    chord = min(before.length, after.length) / 2 * math.tan(inner / 2)
    return math.sqrt(min(before.acceleration, after.acceleration) * min(circle, chord))


def plan(moves, rule):
    """The greatest squares of speeds at the joints: a linear programme."""
    n = len(moves)
    caps = [(0.0, 0.0)]
    for before, after in zip(moves, moves[1:]):
        most = min(before.speed, after.speed, corner(before, after, rule))
        caps.append((0.0, most**2))
    caps.append((0.0, 0.0))
    rows, limits = [], []
    for i, move in enumerate(moves):
        for sign in (1, -1):
            row = np.zeros(n + 1)
            row[i], row[i + 1] = -sign, sign
            rows.append(row)
            limits.append(2 * move.acceleration * move.length)
    found = linprog(-np.ones(n + 1), A_ub=np.array(rows), b_ub=limits, bounds=caps, method="highs", options={"primal_feasibility_tolerance": 1e-10, "dual_feasibility_tolerance": 1e-10})
    assert found.status == 0, found.message
    return found.x


def over(move, first, last, integrand, cuts):
    """An integral over the way; a cosine takes the poles of 1/v out of the ends."""
    angles = [math.acos(1 - 2 * s / move.length) for s in cuts if 0 < s < move.length]

    def inside(angle):
        s = move.length * (1 - math.cos(angle)) / 2
        return integrand(s) * move.length * math.sin(angle) / 2

    edges = [0.0, *sorted(angles), math.pi]
    return sum(quad(inside, a, b, epsabs=1e-13, epsrel=1e-12, limit=200)[0] for a, b in zip(edges, edges[1:]) if b > a)


def motors(move, kinematics):
    x, y, z, e = move.unit
    if kinematics == "crossed belts":
        return np.abs([x + y, x - y, z, e])
    return np.abs([x, y, z, e])


def heights(place):
    return np.array([place[2] + math.sqrt(ARM**2 - (RADIUS * math.cos(t) - place[0]) ** 2 - (RADIUS * math.sin(t) - place[1]) ** 2) for t in TOWERS])


def judge(case, text, moves, rule, kinematics):
    joints = plan(moves, rule)
    print(f"{case};rule;{rule}")
    print(f"{case};kinematics;{kinematics}")
    for line in text:
        print(f"{case};line;{line}")
    pieces = list(zip(moves, joints, joints[1:]))
    time = sum(over(m, a, b, lambda s: 1 / m.at(s, a, b), m.kinks(a, b)) for m, a, b in pieces)
    print(f"{case};time;{time:.12g}")
    tops = []
    for m, a, b in pieces:
        found = minimize_scalar(lambda s: -m.at(s, a, b), bounds=(0, m.length), method="bounded", options={"xatol": 1e-12})
        tops.append(max([-found.fun, m.at(0, a, b), m.at(m.length, a, b)] + [m.at(s, a, b) for s in m.kinks(a, b)]))
    if kinematics == "delta":
        peaks = np.zeros(3)
        for m, a, b in pieces:
            if m.alone:
                continue
            places = np.linspace(0, m.length, max(3, int(m.length / 0.05)))
            tall = np.array([heights(m.start + (m.end - m.start) * s / m.length) for s in places])
            middle = (places[1:] + places[:-1]) / 2
            slope = np.abs(np.diff(tall, axis=0) / np.diff(places)[:, None])
            speed = np.array([m.at(s, a, b) for s in middle])
            peaks = np.maximum(peaks, (slope * speed[:, None]).max(axis=0))
        print(f"{case};peaks;{' '.join(f'{80 * p:.8g}' for p in peaks)}")
        return
    steps = STEPS
    peaks = np.max([motors(m, kinematics) * top for (m, _, _), top in zip(pieces, tops)], axis=0) * steps
    print(f"{case};peaks;{' '.join(f'{p:.12g}' for p in peaks)}")
    sums = [float(np.dot(motors(m, kinematics), steps)) for m in moves]
    limit = 0.6 * max(s * top for s, top in zip(sums, tops))
    above = 0.0
    for (m, a, b), each in zip(pieces, sums):
        off = lambda s: m.at(s, a, b) * each - limit
        grid = sorted({0.0, m.length, *m.kinks(a, b)})
        cuts = list(m.kinks(a, b))
        for left, right in zip(grid, grid[1:]):
            if off(left) * off(right) < 0:
                cuts.append(brentq(off, left, right, xtol=1e-14))
        above += over(m, a, b, lambda s: (1 / m.at(s, a, b)) if off(s) > 0 else 0.0, cuts)
    print(f"{case};limit;{limit:.12g}")
    print(f"{case};above;{above:.10g}")


rng = np.random.default_rng(20260101)


def program(count, reach):
    place, text, moves, feed = np.zeros(3), ["M83"], [], 3000
    for _ in range(count):
        if rng.random() < 0.4:
            feed = int(rng.integers(10, 200)) * 60
        kind = rng.random()
        if kind < 0.08:
            filament = round(float(rng.uniform(-2, 2)), 3) or 0.5
            text.append(f"G1 E{filament:.3f} F{feed}")
            moves.append(Move(place, place, filament, feed))
            continue
        end = place.copy()
        if kind < 0.2:
            end[2] = round(float(rng.uniform(0, 5)), 3)
        span = float(rng.choice([0.3, 2.0, 20.0, 150.0]))
        end[:2] = np.clip(np.round(place[:2] + rng.uniform(-span, span, 2), 3), *reach)
        if np.array_equal(end, place):
            continue
        filament = round(float(rng.uniform(0.001, 0.05)) * float(np.linalg.norm(end - place)) + 1e-3, 5) if rng.random() < 0.75 else 0.0
        text.append(f"G1 X{end[0]:.3f} Y{end[1]:.3f} Z{end[2]:.3f}" + (f" E{filament:.5f}" if filament else "") + f" F{feed}")
        moves.append(Move(place, end, filament, feed))
        place = end
    return text, moves


for number in range(12):
    text, moves = program(40, (0, 200))
    rule = "sudden" if number % 2 == 0 else ["0.05", "0.01", "0.2"][number // 2 % 3]
    judge(f"plan-{number}", text, moves, rule, "crossed belts" if number % 4 >= 2 else "cartesian")
for number in range(3):
    text, moves = program(30, (-55, 55))
    judge(f"delta-{number}", text, moves, "sudden", "delta")
