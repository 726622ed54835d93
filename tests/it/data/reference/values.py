"""Writes values.json: trims, phugoid and flight-path stability of every aeroplane, and what the lever does.

Definitions: the design text's. *Phugoid*: complex pair of the three-state linearisation in (V, gamma, theta) about level
flight, h and f frozen; period = 2 pi/|lambda|, damping = -Re/|lambda|. *d(gamma)/dV*: speed moved 1 kt either side, alpha
freed so that the forces balance, f held, thrust following speed. Trims at the density of the height, steady.
"""

import json
import math
from pathlib import Path

import numpy as np
from model import (AIRCRAFT, FPM_MPS, FT_M, G_MPS2, KT_MPS, SOURCE, advance, flight_rates, forces, still_air, trim,
                   trimmed_state, with_mass)
from scipy.optimize import brentq, fsolve

HEIGHTS_M = (100.0, 450.0, 1500.0)
H_M = 450.0
DESCENT_FPM = {"prop trainer": -500.0}  # -1000 for the jets
STEP = 0.05


def phugoid(ac, h):
    """Period 2 pi/|lambda| (s) and damping of the slow complex pair about level flight."""
    t = trim(ac, 0.0, h)
    at = np.array([t.speed_mps, 0.0, t.alpha_rad])
    jac = np.zeros((3, 3))
    for j, d in enumerate((0.05, 1e-3, 1e-3)):
        e = np.zeros(3)
        e[j] = d

        def rates(k):
            v, g, th = at + k * e
            return np.array(flight_rates(ac, v, g, th, h, t.f))

        jac[:, j] = (8.0 * (rates(1) - rates(-1)) - (rates(2) - rates(-2))) / (12.0 * d)
    pair = [z for z in np.linalg.eigvals(jac) if z.imag > 0.0]
    if len(pair) != 1:
        raise RuntimeError(f"{ac.name}: no single complex pair")
    size = abs(pair[0])
    return float(2.0 * math.pi / size), float(-pair[0].real / size)


def dgamma_dv(ac, h):
    """deg of path per kt of speed about level flight at held engine fraction; central difference over 1 kt."""
    t = trim(ac, 0.0, h)

    def path(speed):
        def residual(z):
            gamma, alpha = z
            lift, drag, thrust = forces(ac, speed, alpha, h, t.f)
            w = ac.mass_kg * G_MPS2
            return ((thrust * math.cos(alpha) - drag) / w - math.sin(gamma),
                    (lift + thrust * math.sin(alpha)) / w - math.cos(gamma))

        return math.degrees(fsolve(residual, (0.0, t.alpha_rad), xtol=1e-12)[0])

    return (path(t.speed_mps + KT_MPS) - path(t.speed_mps - KT_MPS)) / 2.0


def row(ac, mass_name, h):
    level, down, up = (trim(ac, math.radians(d), h) for d in (0.0, -3.0, 3.0))
    period, damping = phugoid(ac, h)
    return {"aircraft": ac.name, "mass": mass_name, "mass_kg": ac.mass_kg, "altitude_m": h,
            "level_speed_mps": level.speed_mps, "level_thrust_to_weight": level.thrust_n / (ac.mass_kg * G_MPS2),
            "level_lever": level.lever, "lever_at_minus_3": down.lever, "lever_at_plus_3": up.lever,
            "speed_at_minus_3_mps": down.speed_mps, "phugoid_period_s": period, "phugoid_damping": damping,
            "dgamma_dv_deg_per_kt": dgamma_dv(ac, h)}


def path_for_lever(ac, lever):
    """The path whose trim lever at 450 m is this one, rad."""
    return brentq(lambda g: trim(ac, g, H_M).lever - lever, -0.5, 0.5, xtol=1e-15)


def vertical_speed(ac, gamma):
    return trim(ac, gamma, H_M).speed_mps * math.sin(gamma)


def follow(ac, y, lever, seconds):
    """Flies on with the lever held; gives a function of time for the state."""
    pieces = []
    advance(ac, lambda u, q: still_air(ac, u, q), lever, np.array(y, dtype=float), (0.0, seconds), max_step=0.125,
            watch=lambda sol: pieces.append(sol))

    def state(t):
        return next(p.sol(t) for p in pieces if t <= p.t[-1]).tolist()

    return state


def zeros(fn, end, step=1 / 64):
    """Times where fn changes sign, found on a grid and refined."""
    ts = [i * step for i in range(1, int(end / step) + 1)]
    vs = [fn(t) for t in ts]
    return [brentq(fn, a, b, xtol=1e-12) for a, b, u, v in zip(ts, ts[1:], vs, vs[1:]) if u * v < 0.0]


def lever_effect(ac):
    """What a lever move does at 450 m, nominal mass, with the altitude (so the density) free to follow."""
    level = trim(ac, 0.0, H_M)
    gain = sum(s * vertical_speed(ac, path_for_lever(ac, level.lever + s * 0.005)) for s in (1, -1)) / FPM_MPS
    y, _ = trimmed_state(ac, 0.0, H_M)
    state = follow(ac, y, level.lever + STEP, 60.0)

    def path_rate(t):
        speed, path, h, _x, pitch, f = state(t)
        return flight_rates(ac, speed, path, pitch, h, f)[1]

    peak, peak_s = max((state(t)[1], t) for t in zeros(path_rate, 59.9))
    steady = path_for_lever(ac, level.lever + STEP)

    from_fpm = DESCENT_FPM.get(ac.name, -1000.0)
    gamma = brentq(lambda g: vertical_speed(ac, g) / FPM_MPS - from_fpm, -0.3, 0.0, xtol=1e-15)
    y, _ = trimmed_state(ac, gamma, H_M)
    state = follow(ac, y, level.lever, 60.0)
    stops = zeros(lambda t: state(t)[1], 59.9)

    def below(t):
        return (H_M - state(t)[2]) / FT_M

    return {"aircraft": ac.name, "altitude_m": H_M, "fpm_per_percent_lever": gain, "path_peak_over_steady": peak / steady,
            "path_peak_s": peak_s, "from_fpm": from_fpm,
            "first_stop_ft": below(stops[0]), "first_stop_s": stops[0], "swings_back_to_ft": below(stops[1]),
            "swings_back_s": stops[1], "at_60_s_ft": below(60.0)}


def main():
    rows = []
    for ac in AIRCRAFT:
        for name, mass in (("nominal", ac.mass_kg), ("low", ac.mass_range_kg[0]), ("high", ac.mass_range_kg[1])):
            rows += [row(with_mass(ac, mass), name, h) for h in HEIGHTS_M]
    effects = [lever_effect(ac) for ac in AIRCRAFT]
    out = {"source": f"values.py; {SOURCE}, still-air form, trims in closed form, DOP853 rtol 1e-12 atol 1e-12 for what "
                     "the lever does", "rows": rows, "lever_effects": effects}
    Path(__file__).with_suffix(".json").write_text(json.dumps(out, indent=1) + "\n", encoding="utf-8")
    for r in rows:
        if r["mass"] == "nominal" and r["altitude_m"] == H_M:
            print({k: round(v, 4) if isinstance(v, float) else v for k, v in r.items()})
    for r in effects:
        print({k: round(v, 3) if isinstance(v, float) else v for k, v in r.items()})


if __name__ == "__main__":
    main()
