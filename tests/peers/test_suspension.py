"""What hangs on two lines, swings out in the air, and is driven, against integrated motion and sums over it."""

import numpy as np
from scipy.integrate import cumulative_simpson, quad, solve_ivp
from scipy.optimize import brentq
from scipy.special import ellipk

G = 9.80665


def test_turning_on_two_lines(service, rng):
    """A quarter of a wide turn, with the rise that its lines force on it."""
    for _ in range(250):
        mass, inertia, length = rng.uniform(0.2, 10), 10 ** rng.uniform(-2.5, 0), rng.uniform(0.5, 4)
        top, bottom = rng.uniform(0.05, 0.24, 2)
        degrees = rng.uniform(0.5, 120)

        def depth(turn):
            """How far it hangs below the anchors, with its first and second derivative."""
            d = np.sqrt(length**2 - (top - bottom * np.cos(turn)) ** 2 - (bottom * np.sin(turn)) ** 2)
            first = -top * bottom * np.sin(turn) / d
            return d, first, (-top * bottom * np.cos(turn) - first**2) / d

        def motion(_, state):
            _, first, second = depth(state[0])
            push = mass * first * (G - second * state[1] ** 2)
            return [state[1], push / (inertia + mass * first**2)]

        middle = lambda _, state: state[0]
        middle.terminal, middle.direction = True, -1
        turn = solve_ivp(motion, (0, 1000), [np.radians(degrees), 0], events=middle, method="DOP853", rtol=1e-11, atol=1e-12)
        asked = {
            "mass_kg": mass,
            "yaw_inertia_kgm2": inertia,
            "line_length_m": length,
            "top_half_spacing_m": top,
            "bottom_half_spacing_m": bottom,
            "amplitude_deg": degrees,
        }
        result = service.ask("suspension/bifilar-yaw", **asked)
        service.compare("suspension/bifilar-yaw", "scipy ODE", result["period_s"], 4 * turn.t_events[0][0], 1e-9, asked)


def test_how_much_a_wide_swing_is_longer(service, rng):
    for angle in rng.uniform(0.01, 3.0, 400):
        theirs = 1 - np.pi / 2 / ellipk(np.sin(angle / 2) ** 2)
        result = service.ask("suspension/pendulum-small-angle-error", amplitude_rad=angle)
        service.compare("suspension/pendulum-small-angle-error", "scipy, elliptic integral", result["fraction"], theirs, 1e-14, angle, absolute=True)


def test_the_pull_of_a_swing(service, rng):
    """The largest tension on the way, which is that of the lowest place."""
    for mass, degrees in zip(rng.uniform(0.1, 20, 200), rng.uniform(1, 90, 200)):
        lowest = lambda _, state: state[0]
        lowest.terminal, lowest.direction = True, -1
        swing = solve_ivp(lambda _, s: [s[1], -G * np.sin(s[0])], (0, 100), [np.radians(degrees), 0], events=lowest, method="DOP853", rtol=1e-12, atol=1e-13)
        angle, rate = np.hstack([swing.y, swing.y_events[0].T])
        theirs = (mass * (G * np.cos(angle) + rate**2)).max()
        result = service.ask("suspension/pendulum-tension", mass_kg=mass, amplitude_deg=degrees)
        service.compare("suspension/pendulum-tension", "scipy ODE", result["peak_tension_n"], theirs, 1e-10, (mass, degrees))


def test_swings_that_the_air_slows(service, rng):
    """Drag by the square of the speed. The law is that of small drag, so the bound is the square of what a swing loses."""
    for _ in range(60):
        period, start, drag = rng.uniform(0.8, 4), rng.uniform(0.05, 0.3), rng.uniform(0.01, 0.05)
        omega, cycles, more = 2 * np.pi / period, int(rng.integers(4, 10)), int(rng.integers(12, 25))
        turn = lambda _, s: s[1]
        turn.direction = -1
        swing = solve_ivp(
            lambda _, s: [s[1], -(omega**2) * s[0] - drag * abs(s[1]) * s[1]],
            (0, period * (more + 0.5)),
            [start, 0.0],
            events=turn,
            method="DOP853",
            rtol=1e-11,
            atol=1e-13,
            max_step=period / 40,
        )
        peaks = [start] + [state[0] for state, at in zip(swing.y_events[0], swing.t_events[0]) if at > period / 2]
        asked = {
            "amplitude_start_m": start,
            "amplitude_end_m": peaks[cycles],
            "cycles": cycles,
            "period_s": period,
            "amplitude_target_m": peaks[more],
        }
        result = service.ask("suspension/quadratic-decay", **asked)
        service.compare("suspension/quadratic-decay", "scipy ODE", result["settle_time_s"], more * period, 1e-4, asked)
        service.compare("suspension/quadratic-decay", "the same, loss a swing", result["decay_per_cycle_per_m"], 8 / 3 * drag, 1e-3, asked)


def test_four_lines_that_stretch_alike(service, rng):
    """Of all tensions that hold the plate, those that stretch equal lines least."""
    for _ in range(400):
        mass, spans = rng.uniform(0.2, 30), rng.uniform(0.05, 1, 2)
        off = spans * rng.uniform(-0.45, 0.45, 2)
        corners = np.array([[sx, sy] for sx in (-1, 1) for sy in (-1, 1)]) * spans
        hold = np.vstack([np.ones(4), corners.T])
        tensions = np.linalg.lstsq(hold, mass * G * np.array([1, *off]), rcond=None)[0]
        asked = {"mass_kg": mass, "half_span_x_m": spans[0], "half_span_y_m": spans[1], "offset_x_m": off[0], "offset_y_m": off[1]}
        result = service.ask("suspension/plate-four-lines", **asked)
        service.compare_each("suspension/plate-four-lines", "numpy least squares", {"t": sorted(result["tensions_n"])}, {"t": sorted(tensions)}, 1e-11, asked)


def test_a_beam_on_two_lines(service, rng):
    for mass, one, other in rng.uniform([0.1, 0.05, 0.05], [60, 3, 3], (400, 3)):
        tensions = np.linalg.solve([[1, 1], [-one, other]], [mass * G, 0])
        result = service.ask("suspension/beam-two-vertical-lines", mass_kg=mass, distance1_m=one, distance2_m=other)
        theirs = {"tension1_n": tensions[0], "tension2_n": tensions[1]}
        service.compare_each("suspension/beam-two-vertical-lines", "numpy linear solve", result, theirs, 1e-12, (mass, one, other))


def test_coming_up_to_speed(service, rng):
    """How long a pull has to last to give the speed, and how far that goes; then a run between two of them. Speed that
    rises as a squared sine is pulled by a sine."""
    pulls = {"constant": np.ones_like, "sine_squared": lambda share: np.sin(np.pi * share)}
    share = np.linspace(0, 1, 2001)
    for _ in range(400):
        ramp = str(rng.choice(list(pulls)))
        speed, most, used = rng.uniform(0.02, 2), rng.uniform(0.05, 3), rng.uniform(0.5, 20)
        pull = most * pulls[ramp](share)
        gained = cumulative_simpson(pull, x=share, initial=0)
        seconds = speed / gained[-1]
        metres = cumulative_simpson(gained * seconds, x=share * seconds, initial=0)[-1]
        asked = {"speed_mps": speed, "acceleration_limit_mps2": most, "ramp": ramp}
        result = service.ask("drive/run-up", **asked)
        service.compare_each("drive/run-up", "scipy quadrature", result, {"ramp_time_s": seconds, "ramp_distance_m": metres}, 1e-10, asked)
        result = service.ask("drive/track-length", used_stage_seconds=used, **asked)
        service.compare("drive/track-length", "scipy quadrature", result["track_length_m"], 2 * metres + speed * used, 1e-10, (asked, used))


def test_a_model_on_an_arm(service, rng):
    """The path laid down in small pieces, and how far it leaves the straight line between its ends."""
    for _ in range(300):
        radius, speed = rng.uniform(0.3, 4), rng.uniform(0.01, 1)
        seconds = rng.uniform(0.05, 0.95) * np.pi * radius / speed
        heading = np.linspace(0, speed * seconds / radius, 2001)
        step = seconds / 2000
        x = cumulative_simpson(speed * np.cos(heading), dx=step, initial=0)
        y = cumulative_simpson(speed * np.sin(heading), dx=step, initial=0)
        along = np.array([x[-1], y[-1]])
        chord = np.hypot(*along)
        off = np.abs(x * along[1] - y * along[0]).max() / chord
        asked = {"arm_radius_m": radius, "tangential_speed_mps": speed, "used_stage_seconds": seconds}
        result = service.ask("drive/turntable-arm", **asked)
        theirs = {"heading_change_deg": np.degrees(heading[-1]), "chord_m": chord, "sagitta_m": off}
        service.compare_each("drive/turntable-arm", "numpy, piece by piece", result, theirs, 1e-9, asked)


def test_ripples(service, rng):
    """The slowest of all ripples, and how much faster than a wave without skin a short one runs."""
    for tension, density in zip(rng.uniform(0.02, 0.08, 200), rng.uniform(700, 1300, 200)):
        speed = lambda number: np.sqrt(G / number + tension / density * number)
        # the slowest is where a wave and its group keep step
        slope = lambda number: -G / number**2 + tension / density
        number = brentq(slope, 1, 1e5, xtol=1e-12, rtol=1e-14)
        asked = {"water_surface_tension_npm": tension, "water_density_kgpm3": density}
        result = service.ask("scale-time/slowest-ripple", **asked)
        theirs = {"min_phase_speed_mps": speed(number), "wavelength_m": 2 * np.pi / number}
        service.compare_each("scale-time/slowest-ripple", "scipy root", result, theirs, 1e-10, asked)
        length = 10 ** rng.uniform(-2.5, 0)
        excess = lambda metres: speed(2 * np.pi / metres) / np.sqrt(G * metres / (2 * np.pi)) - 1
        result = service.ask("scale-time/ripple-speed-error", wavelength_m=length, **asked)
        service.compare("scale-time/ripple-speed-error", "speeds of both waves", result["speed_error_fraction"], excess(length), 1e-14, (asked, length), absolute=True)
        one_percent = brentq(lambda metres: excess(metres) - 0.01, 1e-3, 10, xtol=1e-14, rtol=1e-14)
        service.compare("scale-time/ripple-speed-error", "scipy root", result["wavelength_for_1pct_m"], one_percent, 1e-11, asked)


def test_groups_of_waves(service, rng):
    """The speed of a group is the derivative of frequency by wave number, taken by an imaginary step."""
    for length, depth in zip(10 ** rng.uniform(-1.5, 2, 400), 10 ** rng.uniform(-1.5, 1.5, 400)):
        number = 2 * np.pi / length
        frequency = lambda q: np.sqrt(G * q * np.tanh(q * depth))
        group = frequency(number + 1e-30j).imag / 1e-30
        result = service.ask("projection/wave-from-length", wavelength_m=length, depth_m=depth)
        theirs = {"period_s": 2 * np.pi / frequency(number), "group_speed_mps": group}
        service.compare_each("projection/wave-from-length", "numpy, imaginary step", result, theirs, 1e-11, (length, depth))


def test_a_fall_that_is_filmed(service, rng):
    """A body falls on the stage; what gravity the screen shows is read off three of its pictures."""
    for base, scale, fps in zip(rng.choice([24.0, 25.0, 30.0], 300), rng.uniform(4, 96, 300), rng.uniform(24, 300, 300)):
        fallen = lambda picture: G / 2 * (picture / fps) ** 2
        in_story = scale * (fallen(20) - 2 * fallen(10) + fallen(0)) / (10 / base) ** 2
        asked = {"base_fps": base, "scale_denominator": scale, "shoot_fps": fps}
        result = service.ask("scale-time/apparent-gravity", **asked)
        theirs = {"apparent_gravity_mps2": in_story, "gravity_ratio": in_story / G}
        service.compare_each("scale-time/apparent-gravity", "pictures of a fall", result, theirs, 1e-11, asked)


def test_light_past_a_long_strip(service, rng):
    """Where a strip no longer hides a round lamp: what is left of it in the middle."""
    for _ in range(200):
        lamp, height = rng.uniform(0.3, 1), rng.uniform(2, 6)
        lifted = height * rng.uniform(0.3, 0.8)
        strip = lamp * lifted / height * rng.uniform(0.05, 0.98)
        # the part of the lamp that the strip hides, seen from the middle
        hidden = min(strip / 2 * height / lifted, lamp / 2)
        chord = lambda across: 2 * np.sqrt(max(lamp**2 / 4 - across**2, 0))
        theirs = quad(chord, hidden, lamp / 2, epsrel=1e-12)[0] / quad(chord, 0, lamp / 2, epsrel=1e-12)[0]
        asked = {"lamp_diameter_m": lamp, "lamp_height_m": height, "flag_height_m": lifted, "flag_width_m": strip}
        result = service.ask("shadow/shadow-widths", **asked)
        service.compare("shadow/shadow-widths", "scipy quadrature, middle", result["centre_level"], theirs, 1e-9, asked, absolute=True)
