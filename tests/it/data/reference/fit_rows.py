"""Writes fit_rows.json: rows read off the four aeroplanes, and what scipy.optimize.least_squares makes of them.

Each row is a steady on-speed trim of model.py, rounded as a person reads: lever 1 %, vertical speed 50 ft/min, speed 1 kt,
altitude 100 ft. Fitted are S CL, CD/CL and full thrust; the share left at idle, the angle of attack on speed and the fall of a
propeller's thrust with speed are held at the aeroplane's own. Residuals are weighed by the rounding of lever, vertical
speed and altitude (a uniform error of one step), errors of the latter two as they move lever and speed; the weights are settled by
repetition. Intervals: 90 %, from the sandwich of the weighed fit with rounding errors of speeds that hang together as B2 of
their distance, its first harmonic damped by how unsure that is (settled by repetition), widened by chi2 per degree of freedom
where that is above 1, plus what the held numbers would do.
"""

import json
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
from model import AIRCRAFT, FPM_MPS, FT_M, G_MPS2, KT_MPS, SOURCE, trim, with_mass
from scipy.optimize import brentq, least_squares

STEP_LEVER, STEP_VS, STEP_V, STEP_H = 0.01, 50 * FPM_MPS, KT_MPS, 100 * FT_M
SPREAD = {"idle": 0.03, "fall": 0.4, "alpha": math.radians(2.0)}
Z = 1.8


def rounded(x, step):
    return round(x / step) * step


def read_off(ac):
    light, heavy = ac.mass_range_kg
    steepest = 3.0 if ac.max_thrust_n is None else 4.5
    plan = [(ac.mass_kg, 1500, -4.6), (ac.mass_kg, 2130, -2.1), (ac.mass_kg, 1740, 0.3), (ac.mass_kg, 1060, steepest),
            (light, 2650, -3.2), (heavy, 820, 1.9)]
    rows = []
    for mass, feet, degrees in plan:
        t = trim(with_mass(ac, mass), math.radians(degrees), feet * FT_M)
        rows.append((rounded(t.lever, STEP_LEVER), rounded(t.speed_mps * math.sin(math.radians(degrees)), STEP_VS),
                     rounded(t.speed_mps, STEP_V), mass, rounded(feet * FT_M, STEP_H)))
    return rows


def at_vertical(ac, mass, h, vs):
    """Lever and speed of the trim with a vertical speed, by root finding."""
    plane = with_mass(ac, mass)
    gamma = brentq(lambda g: trim(plane, g, h).speed_mps * math.sin(g) - vs, -0.5, 0.5, xtol=1e-15, rtol=1e-14)
    t = trim(plane, gamma, h)
    return t.lever, t.speed_mps


def build(ac, p, idle, fall, alpha):
    """The aeroplane of ln(S CL), ln(CD/CL), ln(thrust), and of the three that are held; CL and the split of drag its own."""
    cl = ac.cl0 + ac.cl_per_rad * ac.alpha_on_rad
    share = ac.k * cl * cl / (ac.cd0 + ac.k * cl * cl)
    area, cd, full = math.exp(p[0]) / cl, math.exp(p[1]) * cl, math.exp(p[2])
    new = replace(ac, area_m2=area, cl0=cl - ac.cl_per_rad * alpha, alpha_on_deg=math.degrees(alpha), cd0=(1 - share) * cd,
                  k=share * cd / cl**2, idle=idle)
    if ac.max_thrust_n is not None:
        return replace(new, max_thrust_n=full)
    v = math.sqrt(2 * ac.mass_kg * G_MPS2 / (1.225 * math.exp(p[0])))
    static = full * math.hypot(1, math.exp(-fall))
    return replace(new, static_thrust_n=static, max_power_w=static * v * math.exp(fall) / ac.efficiency)


def predictions(plane, rows):
    return np.array([at_vertical(plane, m, h, vs) for _, vs, _, m, h in rows])


def deviations(plane, rows):
    out = []
    for _, vs, _, m, h in rows:
        by_vs = np.subtract(at_vertical(plane, m, h, vs + STEP_VS / 2), at_vertical(plane, m, h, vs - STEP_VS / 2))
        by_h = np.subtract(at_vertical(plane, m, h + STEP_H / 2, vs), at_vertical(plane, m, h - STEP_H / 2, vs))
        own = np.array([STEP_LEVER, STEP_V])
        out.append(np.sqrt((own**2 + by_vs**2 + by_h**2) / 12))
    return np.array(out)


def jacobian(f, x):
    columns = []
    for j in range(len(x)):
        e = np.zeros(len(x))
        e[j] = 1e-5
        columns.append((f(x + e) - f(x - e)) / 2e-5)
    return np.array(columns).T


def fit(ac, rows):
    own_v = trim(ac, 0.0, 0.0).speed_mps
    fall = 0.0 if ac.max_thrust_n is not None else math.log(ac.efficiency * ac.max_power_w / ac.static_thrust_n / own_v)
    held = np.array([ac.idle, fall, ac.alpha_on_rad])
    cl = ac.cl0 + ac.cl_per_rad * ac.alpha_on_rad
    full = ac.available_thrust_n(own_v, 1.225)
    p = np.log([1.03 * ac.area_m2 * cl, 0.95 * (ac.cd0 + ac.k * cl * cl) / cl, 1.05 * full])
    read = np.array([(lever, v) for lever, _, v, _, _ in rows])

    def left(x, sd):
        return ((predictions(build(ac, x[:3], *x[3:]), rows) - read) / sd).T.ravel()

    for _ in range(12):
        sd = deviations(build(ac, p, *held), rows)
        found = least_squares(lambda q: left(np.concatenate([q, held]), sd), p, xtol=1e-15, ftol=1e-15, gtol=1e-15)
        p = found.x
    sd = deviations(build(ac, p, *held), rows)
    n = len(rows)
    j = jacobian(lambda q: left(np.concatenate([q, held]), sd), p)
    by_held = jacobian(lambda q: left(np.concatenate([p, q]), sd), held)
    gain = np.linalg.pinv(j)
    v = predictions(build(ac, p, *held), rows)[:, 1]
    apart = np.abs(v[:, None] - v[None, :]) / STEP_V % 1.0
    chi2 = float(np.sum(found.fun**2))
    spreads = [SPREAD["idle"], SPREAD["fall"] if ac.max_thrust_n is None else 0.0, SPREAD["alpha"]]
    moves = [np.concatenate([-gain @ by_held[:, i], np.eye(3)[i]]) * spread for i, spread in enumerate(spreads)]
    by_all = jacobian(lambda q: predictions(build(ac, q[:3], *q[3:]), rows)[:, 1] / STEP_V, np.concatenate([p, held]))
    between = by_all[:, None, :] - by_all[None, :, :]
    together = np.eye(2 * n)
    for _ in range(5):
        whole = sum(np.outer(m, m) for m in moves)
        whole[:3, :3] += max(1.0, chi2 / (2 * n - 3)) * gain @ together @ gain.T
        unsure = np.einsum("ija,ab,ijb->ij", between, whole, between)
        together[n:, n:] = (1 - 6 * apart * (1 - apart)) * np.exp(-2 * math.pi**2 * unsure)
    x = np.concatenate([p, held])
    h = rounded(np.mean([row[4] for row in rows]), STEP_H)

    def figures(x):
        plane = build(ac, x[:3], *x[3:])
        level = trim(plane, 0.0, h)
        thrust = plane.max_thrust_n or plane.static_thrust_n
        return np.array([level.speed_mps / KT_MPS, 100 * level.lever, math.exp(x[0]), math.exp(x[1]), thrust])

    slopes = jacobian(figures, x)
    far = Z * np.sqrt(np.einsum("ij,jk,ik->i", slopes, whole, slopes))
    keys = ["on_speed_kt", "level_power_pct", "lift_area_m2", "drag_over_lift", "full_thrust_n"]
    return {key: {"value": float(value), "half_width": float(width)} for key, value, width in zip(keys, figures(x), far)}


def main():
    out = []
    for ac in AIRCRAFT:
        rows = read_off(ac)
        keys = ["lever", "vertical_mps", "speed_mps", "mass_kg", "h_m"]
        out.append({"aircraft": ac.name, "rows": [dict(zip(keys, map(float, row))) for row in rows], "figures": fit(ac, rows)})
    text = json.dumps({"source": SOURCE + "; scipy.optimize.least_squares", "fits": out}, indent=1)
    Path(__file__).with_name("fit_rows.json").write_text(text + "\n")


if __name__ == "__main__":
    main()
