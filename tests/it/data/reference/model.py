"""The flight model's equations, written from the design text alone, for making reference data.

A point mass in the vertical plane, angle of attack held by trim, the lever the only input. SI units, radians, altitude
geopotential. Two forms of the same model:

* `still_air`: the state is (V, gamma, h, x, theta, f), for still air;
* `in_wind`:   the state is (vx, vz, h, x, theta, f), inertial velocity, for wind.

Nothing here is tuned to the program under test and nothing is read from it: the aeroplanes are typed in from the table
of the design text.
"""

import math
from dataclasses import dataclass, replace

import scipy
from scipy.integrate import solve_ivp

TICKS_PER_S = 64
FT_M = 0.3048
KT_MPS = 1852.0 / 3600.0
FPM_MPS = FT_M / 60.0

G_MPS2 = 9.80665
T0_K, P0_PA, LAPSE_K_PER_M, R_AIR, GAMMA_AIR = 288.15, 101325.0, 0.0065, 287.05287, 1.4
RHO0_KG_M3 = 1.225
KNEE = 0.5  # engine fraction from which the engine answers at its quick time

SOURCE = f"SciPy {scipy.__version__}; equations of model.py"


@dataclass(frozen=True)
class Aircraft:
    """One aeroplane: SI units, angles in degrees where the name says so."""

    name: str
    mass_kg: float
    mass_range_kg: tuple
    area_m2: float
    cl0: float
    cl_per_rad: float
    cd0: float
    k: float
    alpha_on_deg: float
    stall_alpha_deg: float
    swing_damping: float
    idle: float
    slow_s: float
    quick_s: float
    pitch_hold_s: float = 0.5
    max_thrust_n: float = None  # jet
    static_thrust_n: float = None  # propeller, with the next two
    max_power_w: float = None
    efficiency: float = None

    @property
    def alpha_on_rad(self):
        return math.radians(self.alpha_on_deg)

    def coefficients(self, alpha):
        cl = self.cl0 + self.cl_per_rad * alpha
        return cl, self.cd0 + self.k * cl * cl

    def available_thrust_n(self, speed, rho):
        sigma = rho / RHO0_KG_M3
        if self.max_thrust_n is not None:
            return self.max_thrust_n * sigma**0.7
        return sigma / math.hypot(1.0 / self.static_thrust_n, speed / (self.efficiency * self.max_power_w))

    def tau_slow_s(self, f):
        """Answer time below the knee: linear from `slow_s` at idle to `quick_s` at the knee."""
        return self.slow_s + (self.quick_s - self.slow_s) * (f - self.idle) / (KNEE - self.idle)


AIRCRAFT = [
    Aircraft("first jet", 6100.0, (5400.0, 6700.0), 27.5, 0.55, 4.6, 0.072, 0.085, 7.5, 14.0, 0.5, 0.05, 0.9, 0.5,
             max_thrust_n=25000.0),
    Aircraft("deck jet", 15800.0, (13600.0, 17800.0), 43.0, 0.66, 4.3, 0.105, 0.108, 8.9, 14.0, 0.3, 0.05, 2.2, 0.8,
             max_thrust_n=85000.0),
    Aircraft("late jet", 19200.0, (16800.0, 21500.0), 47.0, 0.60, 4.0, 0.115, 0.125, 9.1, 14.5, 0.15, 0.05, 3.5, 1.3,
             max_thrust_n=91000.0),
    Aircraft("prop trainer", 930.0, (760.0, 1050.0), 14.8, 0.55, 4.9, 0.055, 0.062, 6.8, 15.0, 0.3, 0.0, 0.4, 0.4,
             static_thrust_n=2900.0, max_power_w=108000.0, efficiency=0.72),
]
BY_NAME = {a.name: a for a in AIRCRAFT}


def with_mass(aircraft, mass_kg):
    return replace(aircraft, mass_kg=mass_kg)


def air(h_m):
    """Temperature, pressure, density and speed of sound in the standard troposphere at a geopotential height."""
    t = T0_K - LAPSE_K_PER_M * h_m
    p = P0_PA * (t / T0_K) ** (G_MPS2 / (R_AIR * LAPSE_K_PER_M))
    return t, p, p / (R_AIR * t), math.sqrt(GAMMA_AIR * R_AIR * t)


def density(h_m):
    return air(h_m)[2]


def engine_rate(ac, f, lever, quick):
    """f'; `quick` says which side of the knee holds, so that each piece handed to the integrator is smooth."""
    return (ac.idle + (1.0 - ac.idle) * lever - f) / (ac.quick_s if quick else ac.tau_slow_s(f))


def forces(ac, speed, alpha, h, f):
    """Lift, drag and thrust in newtons."""
    rho = density(h)
    cl, cd = ac.coefficients(alpha)
    q_s = 0.5 * rho * speed * speed * ac.area_m2
    return q_s * cl, q_s * cd, f * ac.available_thrust_n(speed, rho)


def flight_rates(ac, speed, gamma, theta, h, f):
    """V', gamma', theta' of the still-air form."""
    alpha = theta - gamma
    lift, drag, thrust = forces(ac, speed, alpha, h, f)
    m = ac.mass_kg
    speed_rate = (thrust * math.cos(alpha) - drag) / m - G_MPS2 * math.sin(gamma)
    gamma_rate = (lift + thrust * math.sin(alpha)) / (m * speed) - G_MPS2 * math.cos(gamma) / speed
    return speed_rate, gamma_rate, pitch_rate(ac, alpha, speed_rate)


def pitch_rate(ac, alpha, speed_rate):
    return (ac.alpha_on_rad + ac.swing_damping * speed_rate / G_MPS2 - alpha) / ac.pitch_hold_s


def still_air(ac, lever, quick):
    def rhs(_t, y):
        speed, gamma, h, _x, theta, f = y
        dv, dg, dth = flight_rates(ac, speed, gamma, theta, h, f)
        return dv, dg, speed * math.sin(gamma), speed * math.cos(gamma), dth, engine_rate(ac, f, lever, quick)

    return rhs


def air_relative(vx, vz, against, up):
    """Speed and path angle through the air; `against` is the wind against the flight, `up` the upward wind, m/s."""
    ax, az = vx + against, vz - up
    return math.hypot(ax, az), math.atan2(az, ax)


def in_wind(ac, lever, quick, against, up):
    def rhs(_t, y):
        vx, vz, h, _x, theta, f = y
        speed, gamma = air_relative(vx, vz, against, up)
        alpha = theta - gamma
        lift, drag, thrust = forces(ac, speed, alpha, h, f)
        m, s, c = ac.mass_kg, math.sin(gamma), math.cos(gamma)
        dvx = (thrust * math.cos(theta) - drag * c - lift * s) / m
        dvz = (thrust * math.sin(theta) - drag * s + lift * c) / m - G_MPS2
        speed_rate = (thrust * math.cos(alpha) - drag) / m - G_MPS2 * s
        return dvx, dvz, vz, vx, pitch_rate(ac, alpha, speed_rate), engine_rate(ac, f, lever, quick)

    return rhs


def advance(ac, make_rhs, lever, y, span, rtol=1e-12, atol=1e-12, max_step=math.inf, watch=None):
    """Integrates over `span` with the lever held, restarting exactly where f crosses the knee of tau(f).

    `make_rhs(lever, quick)` gives the right-hand side on one side of the knee. With the lever held f moves one way only,
    so there is at most one crossing. `watch(solution)` sees each smooth piece (with dense output).
    """
    t, end = span
    goal = ac.idle + (1.0 - ac.idle) * lever
    kneed = ac.slow_s != ac.quick_s
    quick = not kneed or y[5] > KNEE or (y[5] == KNEE and goal >= KNEE)
    while t < end:
        def knee(_t, state):
            return state[5] - KNEE

        knee.terminal = True
        crosses = kneed and y[5] != KNEE and (y[5] - KNEE) * (goal - KNEE) < 0.0
        sol = solve_ivp(make_rhs(lever, quick), (t, end), y, method="DOP853", rtol=rtol, atol=atol, max_step=max_step,
                        events=[knee] if crosses else None, dense_output=watch is not None)
        if not sol.success:
            raise RuntimeError(sol.message)
        if watch is not None:
            watch(sol)
        t, y = sol.t[-1], sol.y[:, -1].copy()
        if sol.status == 1:
            y[5] = KNEE
            quick = not quick
    return y


@dataclass(frozen=True)
class Trim:
    speed_mps: float
    alpha_rad: float
    thrust_n: float
    f: float
    lever: float


def trim(ac, gamma, h_m, alpha=None):
    """Steady flight along `gamma` at the density of `h_m`, on speed unless another angle of attack is given.

    V' = 0 and gamma' = 0 are linear in q S once thrust is eliminated, so there is nothing to iterate.
    """
    alpha = ac.alpha_on_rad if alpha is None else alpha
    rho, weight, tan_a = density(h_m), ac.mass_kg * G_MPS2, math.tan(alpha)
    cl, cd = ac.coefficients(alpha)
    q_s = weight * (math.cos(gamma) - math.sin(gamma) * tan_a) / (cl + cd * tan_a)
    thrust = (q_s * cd + weight * math.sin(gamma)) / math.cos(alpha)
    speed = math.sqrt(2.0 * q_s / (rho * ac.area_m2))
    f = thrust / ac.available_thrust_n(speed, rho)
    return Trim(speed, alpha, thrust, f, (f - ac.idle) / (1.0 - ac.idle))


def trimmed_state(ac, gamma, h_m):
    """The on-speed steady state of the still-air form and its lever."""
    t = trim(ac, gamma, h_m)
    return [t.speed_mps, gamma, h_m, 0.0, gamma + t.alpha_rad, t.f], t.lever
