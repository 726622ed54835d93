"""Writes gust_wind.csv and gust_trajectories.json: two aeroplanes for 60 s in wind held over each tick. See README.md.

The wind is invented: smooth seeded noise, rounded to 1e-4 m/s, meant to exercise every term and no model of turbulence.
The file is what counts; it is written only where it is missing or with --new-wind, since a generator's stream may change.

DOP853 tick by tick on the inertial form. As a second opinion the same runs by classical RK4, 16 and 32 steps a tick.
"""

import csv
import json
import math
import sys
from pathlib import Path

import numpy as np
from model import (BY_NAME, KNEE, SOURCE, TICKS_PER_S, advance, air_relative, in_wind, trim)

HEIGHT_M, SECONDS, SAMPLE_S = 450.0, 60, 10
TICKS = SECONDS * TICKS_PER_S
SEED = 20
HERE = Path(__file__).parent
WIND = HERE / "gust_wind.csv"
COLUMNS = ("tick", "headwind_mps", "gust_u_mps", "gust_w_mps")

SCHEDULES = {
    "deck jet": [(320, 300), (1003, 520), (1604, 360), (2250, 30), (2420, 600), (3010, 380)],
    "prop trainer": [(256, 450), (1003, 720), (1601, 580), (2203, 20), (2390, 760), (3002, 585)],
}


def smooth_noise(rng, n, corner_s, rms):
    """White noise through two first-order filters in a row, both warmed up, scaled to `rms` over the sequence."""
    keep = math.exp(-1.0 / (corner_s * TICKS_PER_S))
    a = b = 0.0
    out = []
    for white in rng.standard_normal(n + 20 * TICKS_PER_S):
        a = keep * a + (1.0 - keep) * white
        b = keep * b + (1.0 - keep) * a
        out.append(b)
    out = np.array(out[-n:])
    return (out - out.mean()) * (rms / out.std())


def write_wind():
    rng = np.random.Generator(np.random.PCG64(SEED))
    headwind = 7.0 + smooth_noise(rng, TICKS, 6.0, 0.6)
    along, up = smooth_noise(rng, TICKS, 0.7, 1.1), smooth_noise(rng, TICKS, 0.4, 0.7)
    with WIND.open("w", newline="", encoding="utf-8") as f:
        out = csv.writer(f, lineterminator="\n")
        out.writerow(COLUMNS)
        for tick in range(TICKS):
            out.writerow([tick, *(f"{v:.4f}" for v in (headwind[tick], along[tick], up[tick]))])


def read_wind():
    """Per tick: wind against the flight and wind blowing up, m/s."""
    with WIND.open(newline="", encoding="utf-8") as f:
        rows = list(csv.DictReader(f))
    assert tuple(rows[0]) == COLUMNS and [int(r["tick"]) for r in rows] == list(range(TICKS))
    return [(float(r["headwind_mps"]) + float(r["gust_u_mps"]), float(r["gust_w_mps"])) for r in rows]


def start(ac, wind):
    """Through the air: level, on speed. Over the ground: that plus the wind of tick 0. And the level lever."""
    t = trim(ac, 0.0, HEIGHT_M)
    against, up = wind[0]
    return [t.speed_mps - against, up, HEIGHT_M, 0.0, t.alpha_rad, t.f], t.lever


def dop853(ac, rhs, lever, y, tick):
    return advance(ac, rhs, lever, y, (tick / TICKS_PER_S, (tick + 1) / TICKS_PER_S))


def rk4(substeps):
    """Fixed steps that know nothing of the knee."""
    dt = 1.0 / (TICKS_PER_S * substeps)

    def over_tick(_ac, rhs, lever, y, _tick):
        def rate(state):
            return np.array(rhs(lever, state[5] >= KNEE)(0.0, state.tolist()))

        y = np.array(y)
        for _ in range(substeps):
            k1 = rate(y)
            k2 = rate(y + 0.5 * dt * k1)
            k3 = rate(y + 0.5 * dt * k2)
            k4 = rate(y + dt * k3)
            y = y + dt / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4)
        return y

    return over_tick


def fly(ac, wind, schedule, over_tick, form=in_wind):
    """States at 0, 10, ... 60 s and the largest angle of attack (rad) over all tick ends, with that tick's own wind."""
    y, lever = start(ac, wind)
    levers, states, largest = dict(schedule), [y], -math.inf
    for tick, (against, up) in enumerate(wind):
        if tick in levers:
            lever = levers[tick] / 1000.0
        y = over_tick(ac, lambda u, q: form(ac, u, q, against, up), lever, y, tick)
        largest = max(largest, y[4] - air_relative(y[0], y[1], against, up)[1])
        if (tick + 1) % (SAMPLE_S * TICKS_PER_S) == 0:
            states.append([float(v) for v in y])
    return states, largest


def sample(i, state, wind):
    """The state, and what the aeroplane feels in the wind of the tick that ends there (of tick 0 at t = 0)."""
    names = ("vx_mps", "vz_mps", "altitude_m", "distance_m", "pitch_rad", "engine")
    speed, path = air_relative(state[0], state[1], *wind[max(0, i * SAMPLE_S * TICKS_PER_S - 1)])
    return {"t_s": float(i * SAMPLE_S), **dict(zip(names, state)), "airspeed_mps": speed, "air_path_rad": path}


def main():
    if "--new-wind" in sys.argv or not WIND.exists():
        write_wind()
    wind = read_wind()
    runs = []
    for name, schedule in SCHEDULES.items():
        ac = BY_NAME[name]
        states, largest = fly(ac, wind, schedule, dop853)
        coarse, fine = (fly(ac, wind, schedule, rk4(n))[0] for n in (16, 32))
        halving = max(abs(a[2] - b[2]) for a, b in zip(coarse, fine))
        methods = max(abs(a[2] - b[2]) for a, b in zip(states, fine))
        assert halving < 1e-7 and methods < 1e-7 and math.degrees(largest) < ac.stall_alpha_deg
        runs.append({
            "aircraft": name,
            "mass_kg": ac.mass_kg,
            "start": sample(0, states[0], wind),
            "start_lever": start(ac, wind)[1],
            "schedule": [{"tick": t, "lever_thousandths": u} for t, u in schedule],
            "samples": [sample(i, s, wind) for i, s in enumerate(states)],
            "largest_alpha_deg": math.degrees(largest),
            "rk4_halving_m": halving,
            "rk4_against_dop853_m": methods,
        })
        print(f"{name}: RK4 16 to 32 a tick {halving:.1e} m, RK4 32 against DOP853 {methods:.1e} m, "
              f"largest alpha {math.degrees(largest):.2f} deg, altitudes {[round(s[2], 1) for s in states]}")
    out = {"source": f"gust_trajectories.py; {SOURCE}, inertial form, DOP853 rtol 1e-12 atol 1e-12 tick by tick",
           "ticks_per_s": TICKS_PER_S, "wind_csv": WIND.name, "runs": runs}
    (HERE / "gust_trajectories.json").write_text(json.dumps(out, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
