"""Writes trajectories.json: each aeroplane for 90 s in still air under a lever schedule. See README.md.

DOP853, restarted at every lever change and exactly where the engine fraction crosses the knee of tau(f). The figure
`halving_m` is the largest change of altitude over the sampled times when the step is capped at 1/8 s and at 1/16 s.
"""

import json
import math
from pathlib import Path

from model import AIRCRAFT, SOURCE, TICKS_PER_S, advance, still_air, trimmed_state

HEIGHT_M = 450.0
SECONDS, SAMPLE_S = 90, 10

# (tick, lever in thousandths); the lever stays at exact level power before the first row.
SCHEDULES = {
    "first jet": [(128, 240), (837, 20), (1083, 520), (1600, 361), (2311, 700), (2741, 300), (3777, 0), (4001, 620),
                  (4900, 355)],
    "deck jet": [(192, 290), (901, 40), (1101, 610), (1555, 380), (2222, 720), (2633, 310), (3841, 0), (4097, 640),
                 (5003, 377)],
    "late jet": [(160, 380), (960, 60), (1135, 690), (1711, 488), (2400, 800), (2811, 420), (3907, 10), (4160, 760),
                 (5021, 490)],
    "prop trainer": [(96, 350), (700, 30), (911, 800), (1404, 584), (2001, 950), (2777, 480), (3601, 0), (3905, 880),
                     (4804, 570)],
}


def fly(ac, schedule, max_step=math.inf, watch=None):
    """States at 0, 10, ... 90 s."""
    y, lever = trimmed_state(ac, 0.0, HEIGHT_M)
    levers = dict(schedule)
    stops = sorted(set(levers) | {s * TICKS_PER_S for s in range(0, SECONDS + 1, SAMPLE_S)})
    states, tick = [], 0
    for stop in stops:
        if stop > tick:
            y = advance(ac, lambda u, q: still_air(ac, u, q), lever, y, (tick / TICKS_PER_S, stop / TICKS_PER_S),
                        max_step=max_step, watch=watch)
            tick = stop
        if stop in levers:
            lever = levers[stop] / 1000.0
        if stop % (SAMPLE_S * TICKS_PER_S) == 0:
            states.append([float(v) for v in y])
    return states


def extremes(ac, schedule):
    """Largest angle of attack (deg), lowest and highest altitude (m), passages of the engine's knee."""
    seen = {"largest_alpha_deg": -90.0, "lowest_m": math.inf, "highest_m": -math.inf, "knee_passages": 0}

    def watch(sol):
        n = max(2, int((sol.t[-1] - sol.t[0]) * 50))
        y = sol.sol([sol.t[0] + (sol.t[-1] - sol.t[0]) * i / n for i in range(n + 1)])
        seen["largest_alpha_deg"] = max(seen["largest_alpha_deg"], math.degrees(max(y[4] - y[1])))
        seen["lowest_m"] = min(seen["lowest_m"], float(min(y[2])))
        seen["highest_m"] = max(seen["highest_m"], float(max(y[2])))
        seen["knee_passages"] += int(sol.status == 1)

    fly(ac, schedule, watch=watch)
    return seen


def main():
    runs = []
    for ac in AIRCRAFT:
        schedule = SCHEDULES[ac.name]
        states = fly(ac, schedule)
        eighth, sixteenth = fly(ac, schedule, 1 / 8), fly(ac, schedule, 1 / 16)
        halving = max(abs(a[2] - b[2]) for a, b in zip(eighth, sixteenth))
        capped = max(abs(a[2] - b[2]) for a, b in zip(states, sixteenth))
        seen = extremes(ac, schedule)
        assert seen["largest_alpha_deg"] < ac.stall_alpha_deg and seen["lowest_m"] > 0.0 and halving < 1e-8
        runs.append({
            "aircraft": ac.name,
            "mass_kg": ac.mass_kg,
            "start_altitude_m": HEIGHT_M,
            "start_lever": trimmed_state(ac, 0.0, HEIGHT_M)[1],
            "schedule": [{"tick": t, "lever_thousandths": u} for t, u in schedule],
            "samples": [dict(zip(("t_s", "speed_mps", "path_rad", "altitude_m", "distance_m", "pitch_rad", "engine"),
                                 [float(i * SAMPLE_S), *s])) for i, s in enumerate(states)],
            "halving_m": halving,
            **seen,
        })
        print(f"{ac.name}: halving {halving:.1e} m, uncapped against 1/16 s {capped:.1e} m, {seen}")
    out = {"source": f"trajectories.py; {SOURCE}, still-air form, DOP853 rtol 1e-12 atol 1e-12",
           "ticks_per_s": TICKS_PER_S, "runs": runs}
    Path(__file__).with_suffix(".json").write_text(json.dumps(out, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
