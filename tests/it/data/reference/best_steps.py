"""Writes best_steps.json: the lowest cost found for five steps, by a solver unlike the program's own. See README.md.

The flight model in (V, gamma) form, many candidates abreast. A candidate is a list of lever settings, each with how long it
is held: absolute times throughout, nothing triggered by height. Differential evolution (SciPy), three times, over four
settings at 8 steps a second, then random steps along one to three coordinates, while settings are split to let the schedule
grow to seven, at 16 and at last at 64 steps a second; the levers here are not rounded. The cost is that of the scoring
contract, told at tick ends; the printed J is from 64 steps a second.

Limits: lever 0.1 to 1, moving at 0.4 a second at most, vertical speed within 1000 ft/min.
"""

import json
import sys
from multiprocessing import Pool
from pathlib import Path

import numpy as np
from scipy.optimize import differential_evolution

from model import BY_NAME, FPM_MPS, FT_M, G_MPS2, KNEE, SOURCE, TICKS_PER_S, density, trim

LEVER_PER_S, LEAST_LEVER = 0.4, 0.1
STEEPEST_MPS = 1000.0 * FPM_MPS
START_FT = 1200.0
MISSED_S = 1000.0

# name, aeroplane, change ft, band ft, hold_s, within_s
TASKS = [
    ("first jet 350 ft down", "first jet", -350.0, 20.0, 20.0, 95.0),
    ("deck jet 300 ft up", "deck jet", 300.0, 25.0, 20.0, 75.0),
    ("late jet 350 ft down", "late jet", -350.0, 25.0, 20.0, 80.0),
    ("prop trainer 140 ft up", "prop trainer", 140.0, 10.0, 10.0, 80.0),
    ("deck jet 150 ft down", "deck jet", -150.0, 25.0, 20.0, 50.0),
]


def cubic(p, x):
    return ((p[0] * x + p[1]) * x + p[2]) * x + p[3]


class Step:
    """One step task from trimmed level flight, and what a batch of lever schedules costs on it."""

    def __init__(self, name, aircraft, change_ft, band_ft, hold_s, within_s):
        self.name, self.ac = name, BY_NAME[aircraft]
        self.h0 = START_FT * FT_M
        self.change, self.band = change_ft * FT_M, band_ft * FT_M
        self.way = np.sign(change_ft)
        self.hold_s, self.within_s = hold_s, within_s
        level, down = trim(self.ac, 0.0, self.h0), trim(self.ac, np.radians(-3.0), self.h0)
        self.start = level
        self.r = level.speed_mps * np.sin(np.radians(3.0))
        self.u = level.lever - down.lever
        self.target_lever = trim(self.ac, 0.0, self.h0 + self.change).lever
        heights = np.linspace(-600.0, 600.0, 49)
        sigma = np.array([density(self.h0 + h) / 1.225 for h in heights])
        self.sigma = np.polyfit(heights, sigma, 3)
        self.sigma_jet = np.polyfit(heights, sigma**0.7, 3)
        # Whoever is later than this is of no interest.
        self.horizon_s = min(within_s + hold_s, abs(self.change) / self.r * 1.05 + 6.0 + hold_s)

    def rates(self, v, g, h, th, f, goal):
        ac = self.ac
        sigma = cubic(self.sigma, h - self.h0)
        alpha = th - g
        cl = ac.cl0 + ac.cl_per_rad * alpha
        q = (0.5 * 1.225 * ac.area_m2 / ac.mass_kg) * sigma * v * v
        if ac.max_thrust_n is not None:
            available = ac.max_thrust_n * cubic(self.sigma_jet, h - self.h0)
        else:
            available = sigma / np.hypot(1.0 / ac.static_thrust_n, v / (ac.efficiency * ac.max_power_w))
        thrust = f * available / ac.mass_kg
        sin_g, cos_g = np.sin(g), np.cos(g)
        dv = thrust * np.cos(alpha) - q * (ac.cd0 + ac.k * cl * cl) - G_MPS2 * sin_g
        dg = (q * cl + thrust * np.sin(alpha) - G_MPS2 * cos_g) / v
        dth = (ac.alpha_on_rad + ac.swing_damping * dv / G_MPS2 - alpha) / ac.pitch_hold_s
        slope = (ac.quick_s - ac.slow_s) / (KNEE - ac.idle)
        tau = np.where(f >= KNEE, ac.quick_s, ac.slow_s + slope * (f - ac.idle))
        return dv, dg, v * sin_g, dth, (goal - f) / tau

    def advance(self, y, goal, dt):
        k1 = self.rates(*y, goal)
        k2 = self.rates(*[a + 0.5 * dt * k for a, k in zip(y, k1)], goal)
        k3 = self.rates(*[a + 0.5 * dt * k for a, k in zip(y, k2)], goal)
        k4 = self.rates(*[a + dt * k for a, k in zip(y, k3)], goal)
        return [a + dt / 6.0 * (p + 2.0 * q + 2.0 * r + s) for a, p, q, r, s in zip(y, k1, k2, k3, k4)]

    def levers(self, x):
        """Settings and times when each is left; x is (2n - 1, batch): setting, seconds, setting, ..., setting."""
        settings = np.clip(self.target_lever + self.way * self.u * x[0::2], LEAST_LEVER, 1.0)
        return settings, np.cumsum(np.abs(x[1::2]), axis=0)

    def cost(self, x, per_s):
        """J of a batch of schedules, x of shape (2n - 1, batch), at so many steps a second."""
        n = x.shape[1]
        dt = 1.0 / per_s
        settings, ends = self.levers(x)
        lever = np.full(n, self.start.lever)
        y = [np.full(n, value) for value in
             (self.start.speed_mps, 0.0, self.h0, self.ac.alpha_on_rad, self.start.f)]
        travel, past, steep, beyond, outside = (np.zeros(n) for _ in range(5))
        # Altitudes, and sums of squared errors, at the ends of all steps so far.
        heights, sums = [y[2]], [np.zeros(n)]
        stay = np.zeros(n, dtype=int)
        total = np.full(n, np.nan)
        columns = np.arange(n)
        hold, within = round(self.hold_s * per_s), self.within_s
        steep_limit = min(STEEPEST_MPS, 1.5 * self.r)
        level_m = max(0.5 * self.band, 100.0 * FPM_MPS * 0.5 * self.hold_s)
        for step in range(round(self.horizon_s * per_s)):
            wanted = settings[np.sum(ends <= (step + 1e-9) * dt, axis=0), columns]
            before = lever
            lever = lever + np.clip(wanted - lever, -LEVER_PER_S * dt, LEVER_PER_S * dt)
            move = np.abs(lever - before)
            mean = lever if per_s == TICKS_PER_S else 0.5 * (lever + before)
            y = self.advance(y, self.ac.idle + (1.0 - self.ac.idle) * mean, dt)
            vz = np.abs(y[0] * np.sin(y[1]))
            error = y[2] - self.h0 - self.change
            running = np.isnan(total)
            travel += running * move
            past = np.where(running, np.maximum(past, self.way * error), past)
            steep += running * (vz > steep_limit) * dt
            beyond += running * (vz > STEEPEST_MPS) * dt
            inside = np.abs(error) <= self.band
            outside += running * np.maximum(np.abs(error) / self.band - 1.0, 0.0) * dt
            heights.append(y[2])
            sums.append(sums[-1] + error * error)
            stay = np.where(inside, stay + 1, 0)
            if step + 1 >= hold:
                # The stay that captures is the last `hold` steps, and level: half of it ago the altitude was no farther off.
                level = np.abs(y[2] - heights[step + 1 - hold // 2]) <= level_m
                done = running & (stay >= hold) & level
                began_s = (step + 1 - hold) * dt
                rms = np.sqrt((sums[-1] - sums[step + 1 - hold]) / hold)
                j = began_s + (past + rms) / self.r + 0.5 * travel / self.u + 2.0 * steep + 50.0 * beyond
                total = np.where(done, j, total)
            late = running & ~inside & ((step + 1) * dt > within)
            total = np.where(late, MISSED_S + outside, total)
            if not np.isnan(total).any():
                break
        return np.where(np.isnan(total), MISSED_S + outside, total)


def evolve(step, rng, settings=4):
    way_s = abs(step.change) / step.r
    bounds = []
    for i in range(settings):
        bounds.append((-2.5, 2.5))
        if i + 1 < settings:
            bounds.append((0.1, max(6.0, 0.8 * way_s)))
    found = differential_evolution(lambda x: step.cost(x, 8), bounds, vectorized=True, updating="deferred", polish=False,
                                   strategy="currenttobest1bin", popsize=16, maxiter=160, tol=1e-4, mutation=(0.4, 0.9),
                                   recombination=0.85, rng=rng, init="sobol")
    return found.x, found.fun


def refine(step, x, rng, per_s, rounds, batch):
    """Random steps along one to three coordinates, of widths from wide to narrow."""
    lowest = float(step.cost(x[:, None], per_s)[0])
    scale = np.where(np.arange(len(x)) % 2 == 0, 0.3, 1.0)
    for _ in range(rounds):
        tries = np.repeat(x[:, None], batch, axis=1)
        for column in range(batch):
            chosen = rng.choice(len(x), size=rng.integers(1, 4), replace=False)
            tries[chosen, column] += scale[chosen] * 10.0 ** rng.uniform(-3.0, 0.0) * rng.standard_normal(len(chosen))
        costs = step.cost(tries, per_s)
        if costs.min() < lowest:
            lowest, x = float(costs.min()), tries[:, costs.argmin()].copy()
    return x, lowest


def split(x, rng):
    """The same schedule with one held setting cut in two."""
    n = (len(x) - 1) // 2
    i = int(rng.integers(n))
    seconds = abs(x[2 * i + 1])
    share = rng.uniform(0.2, 0.8)
    return np.concatenate([x[:2 * i + 1], [share * seconds, x[2 * i], (1.0 - share) * seconds], x[2 * i + 2:]])


def solve(task):
    step = Step(*task)
    rng = np.random.default_rng(20)
    starts = sorted((evolve(step, rng) for _ in range(3)), key=lambda found: found[1])
    print(step.name, "evolved", [round(float(j), 3) for _, j in starts], flush=True)
    refined = sorted((refine(step, x, rng, 16, 40, 120) for x, _ in starts[:2]), key=lambda found: found[1])
    x, lowest = refined[0]
    print(step.name, "refined", [round(j, 3) for _, j in refined], flush=True)
    for _ in range(3):
        grown = sorted((refine(step, split(x, rng), rng, 16, 20, 120) for _ in range(2)), key=lambda found: found[1])
        if grown[0][1] < lowest:
            x, lowest = grown[0]
    x, lowest = refine(step, x, rng, TICKS_PER_S, 30, 80)
    print(step.name, "J", round(lowest, 3), flush=True)
    settings, ends = step.levers(x[:, None])
    return {
        "name": step.name, "aircraft": step.ac.name, "start_ft": START_FT, "to_ft": START_FT + task[2], "band_ft": task[3],
        "hold_s": task[4], "within_s": task[5], "cost_s": lowest,
        "settings": [{"from_s": float(t), "lever": float(u)} for t, u in zip([0.0, *ends[:, 0]], settings[:, 0])],
    }


def main():
    with Pool(2) as pool:
        rows = pool.map(solve, TASKS, chunksize=1)
    out = {"source": f"best_steps.py; {SOURCE}, still-air form, RK4 at 64 steps a second", "rows": rows}
    Path(__file__).with_suffix(".json").write_text(json.dumps(out, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    if len(sys.argv) > 1:
        print(json.dumps(solve(TASKS[int(sys.argv[1])]), indent=1))
    else:
        main()
