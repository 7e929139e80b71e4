"""What hangs, swings, drops and runs, against integrated motion, root finding and linear algebra."""

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

G = 9.80665


def test_wide_swings(service, rng):
    for length, degrees in zip(rng.uniform(0.2, 8, 250), rng.uniform(1, 170, 250)):
        lowest = lambda _, state: state[0]
        lowest.terminal, lowest.direction = True, -1
        fall = solve_ivp(
            lambda _, s: [s[1], -G / length * np.sin(s[0])],
            (0, 100),
            [np.radians(degrees), 0],
            events=lowest,
            method="DOP853",
            rtol=1e-11,
            atol=1e-12,
        )
        quarter = fall.t_events[0][0]
        result = service.ask("suspension/pendulum", length_m=length, amplitude_deg=degrees, gravity_mps2=G)
        service.compare("suspension/pendulum", "scipy ODE", result["period_s"], 4 * quarter, 1e-9, (length, degrees))


def test_swings_that_die_away(service, rng):
    """A damped swing, integrated to each of its turning points; the wait is where the last of them is small enough."""
    for _ in range(120):
        period, decrement = rng.uniform(0.5, 4), rng.uniform(0.02, 0.4)
        omega = 2 * np.pi / period
        damping = decrement / period
        turn = lambda _, s: s[1]
        turn.direction = -1
        cycles = int(rng.integers(3, 12))
        swing = solve_ivp(
            lambda _, s: [s[1], -2 * damping * s[1] - (omega**2 + damping**2) * s[0]],
            (0, period * (cycles + 0.5)),
            [30.0, -damping * 0],
            events=turn,
            method="DOP853",
            rtol=1e-11,
            atol=1e-12,
        )
        peaks = [state[0] for state in swing.y_events[0] if state[0] > 0]
        peaks = ([30.0] if abs(peaks[0] - 30.0) > 1e-9 else []) + peaks
        first, last = peaks[0], peaks[cycles]
        result = service.ask("suspension/log-decrement", amplitude_start=first, amplitude_end=last, cycles=cycles)
        service.compare("suspension/log-decrement", "scipy ODE", result["log_decrement"], decrement, 1e-8, (period, decrement))
        settled = service.ask(
            "suspension/settle-time",
            period_s=period,
            log_decrement=result["log_decrement"],
            amplitude_start_mm=first,
            amplitude_target_mm=last,
        )
        service.compare("suspension/settle-time", "scipy ODE", settled["settle_time_s"], cycles * period, 1e-9, (period, decrement))


def test_a_load_that_drops_into_its_line(service, rng):
    for slack, stretch in zip(10 ** rng.uniform(-4, -1, 200), 10 ** rng.uniform(-3.5, -1.5, 200)):
        speed = np.sqrt(2 * G * slack)
        stopped = lambda _, s: s[1]
        stopped.terminal, stopped.direction = True, -1
        fall = solve_ivp(
            lambda _, s: [s[1], G - G / stretch * s[0]],
            (0, 10),
            [0, speed],
            events=stopped,
            method="DOP853",
            rtol=1e-12,
            atol=1e-14,
        )
        deepest = fall.y_events[0][0][0]
        result = service.ask("suspension/shock-factor", slack_drop_m=slack, static_stretch_m=stretch)
        service.compare("suspension/shock-factor", "scipy ODE", result["shock_factor"], deepest / stretch, 1e-9, (slack, stretch))


def test_what_a_start_leaves_swinging(service, rng):
    for _ in range(200):
        period, ramp, pull = rng.uniform(0.8, 4), rng.uniform(0.3, 8), rng.uniform(0.05, 0.8)
        omega = 2 * np.pi / period
        start = solve_ivp(lambda _, s: [s[1], -(omega**2) * (s[0] + pull / G)], (0, ramp), [0, 0], method="DOP853", rtol=1e-12, atol=1e-14)
        angle, rate = start.y[:, -1]
        left = np.degrees(np.hypot(angle, rate / omega))
        result = service.ask("suspension/residual-swing", pendulum_period_s=period, ramp_time_s=ramp, acceleration_mps2=pull)
        service.compare("suspension/residual-swing", "scipy ODE", result["residual_swing_deg"], left, 1e-8, (period, ramp, pull), absolute=True)


def test_water_waves(service, rng):
    for period, depth in zip(10 ** rng.uniform(-1, 1.3, 1200), 10 ** rng.uniform(-1.5, 2, 1200)):
        omega = 2 * np.pi / period
        dispersion = lambda q: G * q * np.tanh(q * depth) - omega**2
        deep = omega**2 / G
        number = brentq(dispersion, deep * 0.5, max(deep, omega / np.sqrt(G * depth)) * 2, xtol=1e-14, rtol=1e-14)
        result = service.ask("projection/water-wave", period_s=period, depth_m=depth, gravity_mps2=G)
        service.compare("projection/water-wave", "scipy root", result["wavelength_m"], 2 * np.pi / number, 1e-11, (period, depth))


def test_two_lines_to_a_load(service, rng):
    for _ in range(700):
        mass, one, other = rng.uniform(0.1, 40), rng.uniform(1, 75), rng.uniform(1, 75)
        a, b = np.radians([one, other])
        tensions = np.linalg.solve([[np.sin(a), -np.sin(b)], [np.cos(a), np.cos(b)]], [0, mass * G])
        result = service.ask("suspension/two-lines", mass_kg=mass, angle1_from_vertical_deg=one, angle2_from_vertical_deg=other)
        for name, theirs in zip(["tension1_n", "tension2_n"], tensions):
            service.compare("suspension/two-lines", "numpy linear solve", result[name], theirs, 1e-12, (mass, one, other))


def test_three_lines_to_a_point(service, rng):
    for _ in range(700):
        mass = rng.uniform(0.1, 20)
        turn = rng.uniform(0, 2 * np.pi) + np.array([0, 2, 4]) * np.pi / 3 + rng.uniform(-0.5, 0.5, 3)
        reach = rng.uniform(0.2, 1.5, 3)
        lines = np.column_stack([reach * np.cos(turn), reach * np.sin(turn), rng.uniform(0.5, 3, 3)])
        along = lines / np.linalg.norm(lines, axis=1, keepdims=True)
        tensions = np.linalg.solve(along.T, [0, 0, mass * G])
        result = service.ask("suspension/three-lines-to-point", mass_kg=mass, line_vectors_m=lines)
        for ours, theirs in zip(result["tensions_n"], tensions):
            service.compare("suspension/three-lines-to-point", "numpy linear solve", ours, theirs, 1e-11, lines)


def test_a_plate_on_three_lines(service, rng):
    for _ in range(700):
        mass = rng.uniform(0.1, 30)
        turn = rng.uniform(0, 2 * np.pi) + np.array([0, 2, 4]) * np.pi / 3 + rng.uniform(-0.5, 0.5, 3)
        points = np.column_stack([np.cos(turn), np.sin(turn)]) * rng.uniform(0.2, 1, (3, 1))
        shares = rng.dirichlet([2, 2, 2])
        middle = shares @ points
        tensions = np.linalg.solve(np.vstack([np.ones(3), points.T]), mass * G * np.array([1, *middle]))
        result = service.ask("suspension/plate-three-lines", mass_kg=mass, line_points_m=points, centre_of_mass_m=middle)
        for ours, theirs in zip(result["tensions_n"], tensions):
            service.compare("suspension/plate-three-lines", "numpy linear solve", ours, theirs, 1e-11, points)
