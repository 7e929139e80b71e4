"""Lamps, flicker and lenses, against quadrature, sampling and rays."""

import numpy as np
from scipy.integrate import quad
from scipy.optimize import brentq

# Places and weights for sums over flat sources.
PLACES, WEIGHTS = np.polynomial.legendre.leggauss(96)


def test_round_sources(service, rng):
    for across, metres, luminance in zip(rng.uniform(0.05, 3, 700), rng.uniform(0.2, 8, 700), rng.uniform(10, 1e5, 700)):
        ring = lambda r: 2 * np.pi * r * metres**2 / (r * r + metres**2) ** 2
        theirs = luminance * quad(ring, 0, across / 2, epsrel=1e-12)[0]
        result = service.ask("exposure/disc-source", source_diameter_m=across, distance_m=metres, luminance_cdpm2=luminance)
        service.compare("exposure/disc-source", "scipy quadrature", result["illuminance_lx"], theirs, 1e-12, (across, metres))


def test_flat_sources(service, rng):
    for wide, high, metres in zip(rng.uniform(0.1, 3, 700), rng.uniform(0.1, 3, 700), rng.uniform(0.4, 6, 700)):
        x, y = np.meshgrid(PLACES * wide / 2, PLACES * high / 2)
        weight = np.outer(WEIGHTS, WEIGHTS) * wide * high / 4
        theirs = 1500.0 * (weight * metres**2 / (x * x + y * y + metres**2) ** 2).sum()
        result = service.ask("exposure/panel-source", panel_width_m=wide, panel_height_m=high, distance_m=metres, luminance_cdpm2=1500.0)
        service.compare("exposure/panel-source", "numpy quadrature", result["illuminance_lx"], theirs, 1e-11, (wide, high, metres))


def test_beams(service, rng):
    for lumens, degrees in zip(rng.uniform(50, 20_000, 400), rng.uniform(1, 120, 400)):
        half = np.radians(degrees) / 2
        shape = lambda angle: 2 * np.pi * np.sin(angle) * 2 ** -((angle / half) ** 2)
        solid = quad(shape, 0, min(np.pi / 2, 9 * half), epsrel=1e-12, limit=200)[0]
        result = service.ask("lamp-light/gaussian-beam", beam_flux_lm=lumens, beam_angle_50pct_deg=degrees)
        service.compare("lamp-light/gaussian-beam", "scipy quadrature", result["peak_intensity_cd"], lumens / solid, 1e-12, (lumens, degrees))


def test_light_that_pulses(service, rng):
    """Exposures at every phase of a lamp that pulses as a sine, each summed on its own."""
    phases = np.linspace(0, 2 * np.pi, 721)[:, None]
    for _ in range(400):
        hertz, depth, seconds = rng.uniform(80, 400), rng.uniform(0.05, 0.95), 10 ** rng.uniform(-3.3, -1.5)
        moments = (PLACES[None, :] + 1) / 2 * seconds
        frames = ((1 + depth * np.sin(2 * np.pi * hertz * moments + phases)) * WEIGHTS / 2).sum(axis=1)
        theirs = np.log2(frames.max() / frames.min())
        result = service.ask("flicker/residual-modulation", lamp_modulation_hz=hertz, lamp_modulation_depth=depth, exposure_s=seconds)
        service.compare("flicker/residual-modulation", "numpy, every phase", result["worst_swing_stops"], theirs, 1e-4, (hertz, depth, seconds), absolute=True)


def test_light_that_is_switched(service, rng):
    """The longest and the shortest time that the lamp is on in an exposure, over every moment it may begin."""
    for _ in range(300):
        hertz, duty, cycles = rng.uniform(200, 5000), rng.uniform(0.1, 0.95), rng.uniform(1.1, 12)
        lit = lambda end: np.floor(end) * duty + np.minimum(end - np.floor(end), duty)
        # what can change only does so where the exposure begins or ends with a pulse
        begins = np.concatenate([[0, duty], (np.array([0, duty]) - cycles) % 1, np.linspace(0, 1, 400)])
        on = lit(begins + cycles) - lit(begins)
        theirs = np.log2(on.max() / on.min())
        result = service.ask("flicker/pwm-worst-swing", pwm_hz=hertz, duty=duty, exposure_s=cycles / hertz)
        service.compare("flicker/pwm-worst-swing", "numpy, every phase", result["worst_swing_stops"], theirs, 1e-11, (hertz, duty, cycles), absolute=True)


def test_limits_of_sharpness(service, rng):
    """Where the cone of rays through the pupil is as wide on the sensor as the blur that passes: found, not solved."""
    for _ in range(700):
        focal, stop = rng.uniform(14, 120), 2 ** rng.uniform(0.5, 4.5)
        blur, focus = rng.uniform(0.004, 0.04), focal * rng.uniform(8, 60)
        # a thin lens: the pupil is the lens
        image = lambda distance: focal * distance / (distance - focal)
        sensor, pupil = image(focus), focal / stop
        width = lambda distance: pupil * abs(image(distance) - sensor) / image(distance) - blur
        near = brentq(width, focal * 1.000001, focus, xtol=1e-10, rtol=1e-14)
        result = service.ask(
            "focus/depth-of-field",
            focal_length_mm=focal,
            f_number=stop,
            permitted_blur_mm=blur,
            focus_distance_from_entrance_pupil_mm=focus,
        )
        service.compare("focus/depth-of-field", "scipy root on traced rays", result["near_from_entrance_pupil_mm"], near, 1e-11, (focal, stop, blur, focus))
        if isinstance(result["far_from_entrance_pupil_mm"], float) and width(1e9) > 0:
            far = brentq(width, focus, 1e9, xtol=1e-9, rtol=1e-14)
            service.compare("focus/depth-of-field", "the same, far limit", result["far_from_entrance_pupil_mm"], far, 1e-9, (focal, stop, blur, focus))


def test_focus_from_the_mark(service, rng):
    for _ in range(700):
        focal, gap = rng.uniform(14, 120), rng.uniform(-10, 40)
        taped = (4 * focal + gap) * rng.uniform(1.05, 12)
        # object and image distances of the two principal planes make up the rest
        rest = taped - gap
        image = brentq(lambda v: 1 / (rest - v) + 1 / v - 1 / focal, focal * 1.0000001, rest / 2, xtol=1e-13, rtol=1e-14)
        result = service.ask("focus/magnification-from-mark", focal_length_mm=focal, focus_distance_from_sensor_mm=taped, principal_plane_separation_mm=gap)
        service.compare("focus/magnification-from-mark", "scipy root", result["magnification"], image / (rest - image), 1e-11, (focal, gap, taped))


def test_a_neutral_conductor(service, rng):
    for loads in rng.uniform(0, 60, (700, 3)):
        theirs = abs((loads * np.exp(2j * np.pi / 3 * np.arange(3))).sum())
        result = service.ask("power/unbalanced-neutral", phase_a_a=loads[0], phase_b_a=loads[1], phase_c_a=loads[2])
        service.compare("power/unbalanced-neutral", "numpy phasors", result["neutral_a"], theirs, 1e-11, loads, absolute=True)
