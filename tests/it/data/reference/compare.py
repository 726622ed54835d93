"""Compares this folder's implementation with the figures printed in the design text, digit by digit, and prints both.

A figure agrees when it rounds to the printed one. Run by hand; no test needs it.
"""

from dataclasses import replace

from gust_trajectories import SCHEDULES as GUST_SCHEDULES
from gust_trajectories import TICKS, dop853, read_wind, rk4
from gust_trajectories import fly as fly_in_wind
from model import AIRCRAFT, BY_NAME, TICKS_PER_S, advance, still_air, trim, trimmed_state
from trajectories import HEIGHT_M, SAMPLE_S, SCHEDULES, SECONDS, fly
from values import H_M, lever_effect, phugoid, row

PRINTED = {  # V, V in kt, T/W, lever level, -3, +3, V at -3, period, damping, d(gamma)/dV
    "first jet": "56.15 109.1 0.1585 0.359 0.224 0.493 56.30 33.0 0.666 0.034",
    "deck jet": "66.87 130.0 0.2176 0.378 0.276 0.479 67.09 37.5 0.429 0.048",
    "late jet": "72.93 141.8 0.2411 0.489 0.373 0.602 73.19 39.3 0.307 0.039",
    "prop trainer": "30.26 58.8 0.1179 0.584 0.326 0.839 30.33 18.5 0.474 -0.025",
}
PRINTED_UNDAMPED = {"first jet": "30.0 0.103", "deck jet": "34.5 0.139", "late jet": "37.4 0.155",
                    "prop trainer": "18.1 0.123"}
PRINTED_EFFECT = {  # ft/min per 1 %, peak/steady, first stop ft, s, back ft, at 60 s ft
    "first jet": "43 1.20 60 7.3 19 21",
    "deck jet": "68 1.28 90 9.8 25 37",
    "late jet": "66 1.36 109 11.2 23 48",
    "prop trainer": "12 1.29 20 4.5 4 7",
}


def compare(what, names, printed, got):
    for name, text, value in zip(names, printed.split(), got, strict=True):
        decimals = len(text.partition(".")[2])
        agrees = abs(value - float(text)) <= 0.5 * 10.0**-decimals
        print(f"{'agrees ' if agrees else 'DIFFERS'} {what}, {name}: printed {text}, here {value:.6f}")


def tables():
    for ac in AIRCRAFT:
        r = row(ac, "nominal", H_M)
        compare(ac.name, ("V m/s", "V kt", "T/W", "lever level", "lever -3", "lever +3", "V at -3", "period", "damping",
                          "d(gamma)/dV"), PRINTED[ac.name],
                (r["level_speed_mps"], r["level_speed_mps"] * 3600 / 1852, r["level_thrust_to_weight"], r["level_lever"],
                 r["lever_at_minus_3"], r["lever_at_plus_3"], r["speed_at_minus_3_mps"], r["phugoid_period_s"],
                 r["phugoid_damping"], r["dgamma_dv_deg_per_kt"]))
        compare(ac.name + ", no swing damping", ("period", "damping"), PRINTED_UNDAMPED[ac.name],
                phugoid(replace(ac, swing_damping=0.0), H_M))
        e = lever_effect(ac)
        compare(ac.name, ("ft/min per 1 %", "peak/steady", "first stop ft", "first stop s", "back ft", "at 60 s ft"),
                PRINTED_EFFECT[ac.name],
                (e["fpm_per_percent_lever"], e["path_peak_over_steady"], e["first_stop_ft"], e["first_stop_s"],
                 e["swings_back_to_ft"], e["at_60_s_ft"]))


def worst_altitude(some, others):
    return max(abs(a[2] - b[2]) for a, b in zip(some, others, strict=True))


def tick_rk4():
    """What classical RK4 at one step a tick, blind to the knee, differs by in altitude."""
    over_tick = rk4(1)
    for ac in AIRCRAFT:
        y, lever = trimmed_state(ac, 0.0, HEIGHT_M)
        levers, got = dict(SCHEDULES[ac.name]), [y]
        for tick in range(SECONDS * TICKS_PER_S):
            lever = levers[tick] / 1000.0 if tick in levers else lever
            y = over_tick(ac, lambda u, q: still_air(ac, u, q), lever, y, tick)
            if (tick + 1) % (SAMPLE_S * TICKS_PER_S) == 0:
                got.append(y)
        print(f"{ac.name}: RK4 at 1/64 s differs by {worst_altitude(got, fly(ac, SCHEDULES[ac.name])):.1e} m, still air")
    wind = read_wind()
    for name, schedule in GUST_SCHEDULES.items():
        one, exact = (fly_in_wind(BY_NAME[name], wind, schedule, m)[0] for m in (over_tick, dop853))
        print(f"{name}: RK4 at 1/64 s differs by {worst_altitude(one, exact):.1e} m, gusts")


def two_forms():
    """The inertial form in calm and in a constant wind against the still-air form: the same altitudes."""
    for name, schedule in GUST_SCHEDULES.items():
        ac = BY_NAME[name]
        y, lever = trimmed_state(ac, 0.0, HEIGHT_M)
        levers = dict(schedule)
        stops = [0, *sorted(levers), TICKS]
        for a, b in zip(stops, stops[1:]):
            lever = levers[a] / 1000.0 if a in levers else trim(ac, 0.0, HEIGHT_M).lever
            y = advance(ac, lambda u, q: still_air(ac, u, q), lever, y, (a / TICKS_PER_S, b / TICKS_PER_S))
        for against, up in ((0.0, 0.0), (9.0, 0.0)):
            z = fly_in_wind(ac, [(against, up)] * TICKS, schedule, dop853)[0][-1]
            seconds = TICKS / TICKS_PER_S
            print(f"{name}, headwind {against} m/s: forms differ by {abs(z[2] - y[2]):.1e} m in altitude, "
                  f"{abs(z[3] + against * seconds - y[3]):.1e} m in distance after {seconds:.0f} s")


if __name__ == "__main__":
    tables()
    two_forms()
    tick_rk4()
