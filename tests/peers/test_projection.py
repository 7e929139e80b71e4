"""Pictures thrown aslant, light bent by water and led by fibres, and current in three wires, against rays and sums."""

import numpy as np
from scipy.integrate import quad
from scipy.optimize import brentq


def test_a_picture_thrown_aslant(service, rng):
    """Rays of an even raster onto a tilted plane: what a small patch of the raster covers there."""
    for _ in range(400):
        ratio, metres, aspect = rng.uniform(0.5, 3), rng.uniform(0.5, 8), rng.uniform(1.2, 2.4)
        lumens, tilt = rng.uniform(300, 20_000), np.radians(rng.uniform(0, 55))
        up_edge = 1 / (2 * ratio * aspect)
        if up_edge * np.tan(tilt) > 0.9:
            continue
        along = np.array([np.sin(tilt), np.cos(tilt)])
        normal = np.array([np.cos(tilt), -np.sin(tilt)])

        def lands(across, up):
            """Where the ray of a slope meets the plane: across it and along it."""
            ray = np.array([1.0, up])
            length = metres * normal[0] / (ray @ normal)
            return np.array([across * length, (ray * length - [metres, 0]) @ along])

        def lux(up):
            step = 1e-6
            sides = [(lands(step, up) - lands(-step, up)) / (2 * step), (lands(0, up + step) - lands(0, up - step)) / (2 * step)]
            patch = abs(np.linalg.det(sides))
            return lumens / (1 / ratio * 2 * up_edge) / patch

        wide = lambda up: 2 * lands(1 / (2 * ratio), up)[0]
        theirs = {
            "centre_illuminance_lx": lux(0),
            "near_edge_illuminance_lx": lux(-up_edge),
            "far_edge_illuminance_lx": lux(up_edge),
            "near_edge_width_m": wide(-up_edge),
            "far_edge_width_m": wide(up_edge),
            "length_along_surface_m": lands(0, up_edge)[1] - lands(0, -up_edge)[1],
            "keystone_ratio": wide(up_edge) / wide(-up_edge),
        }
        asked = {"throw_ratio": ratio, "throw_distance_m": metres, "aspect": aspect, "luminous_flux_lm": lumens, "surface_tilt_deg": np.degrees(tilt)}
        result = service.ask("projection/oblique-projection", **asked)
        service.compare_each("projection/oblique-projection", "numpy rays", result, theirs, 1e-8, asked)


def below_crest(amplitude, number, index, aside):
    """How far below a crest light from straight above, so far aside, comes to the middle."""
    slope = -amplitude * number * np.sin(number * aside)
    angle = np.arctan(slope)
    bent = angle - np.arcsin(np.sin(angle) / index)
    sunk = amplitude * (1 - np.cos(number * aside))
    return sunk + aside / np.tan(abs(bent))


def test_where_waves_gather_light(service, rng):
    """Snell's law beside the crest of a wave; then the length of wave whose crests gather it on a floor."""
    for _ in range(400):
        length, index = 10 ** rng.uniform(-1, 1), rng.uniform(1.2, 1.5)
        slope = rng.uniform(0.02, 0.3)
        number = 2 * np.pi / length
        focus = below_crest(slope / number, number, index, 1e-4 / number)
        asked = {"wave_amplitude_m": slope / number, "wavelength_m": length, "refractive_index": index}
        result = service.ask("projection/caustic-depth", **asked)
        service.compare("projection/caustic-depth", "Snell's law at a crest", result["focal_depth_below_crest_m"], focus, 1e-7, asked)
        floor = rng.uniform(0.5, 20)
        miss = lambda log_length: np.log(below_crest(slope * np.exp(log_length) / (2 * np.pi), 2 * np.pi / np.exp(log_length), index, 1e-5 * np.exp(log_length)) / floor)
        theirs = np.exp(brentq(miss, np.log(1e-4 * floor), np.log(100 * floor), xtol=1e-13, rtol=1e-14))
        asked = {"story_depth_m": floor, "wave_slope": slope, "refractive_index": index}
        result = service.ask("projection/caustic-cell", **asked)
        service.compare("projection/caustic-cell", "scipy root on Snell's law", result["wavelength_focusing_on_floor_m"], theirs, 1e-7, asked)


def test_light_in_a_fibre(service, rng):
    """The steepest ray that its wall still turns back, and the share of an even source that is less steep."""
    for _ in range(400):
        cladding = rng.uniform(1.3, 1.5)
        core = np.sqrt(cladding**2 + rng.uniform(0.15, 0.9) ** 2)
        inside = lambda angle: np.arcsin(np.sin(angle) / core)
        # at the wall the ray in the cladding would run along it
        steepest = brentq(lambda angle: core * np.sin(np.pi / 2 - inside(angle)) - cladding, 1e-6, np.pi / 2, xtol=1e-14, rtol=1e-14)
        result = service.ask("practicals/fibre-acceptance", core_index=core, cladding_index=cladding)
        service.compare("practicals/fibre-acceptance", "scipy root on Snell's law", result["acceptance_half_angle_deg"], np.degrees(steepest), 1e-9, (core, cladding))
        even = lambda angle: np.cos(angle) * np.sin(angle)
        share = quad(even, 0, steepest, epsrel=1e-13)[0] / quad(even, 0, np.pi / 2, epsrel=1e-13)[0]
        covered = rng.uniform(0.1, 1)
        result = service.ask("practicals/fibre-capture", core_index=core, cladding_index=cladding, source_coverage=covered)
        service.compare("practicals/fibre-capture", "scipy quadrature", result["captured_fraction"], covered * share, 1e-9, (core, cladding, covered))


def test_current_in_three_wires(service, rng):
    """Current that lags behind its voltage, so large that the mean of all three is the power."""
    turn = np.linspace(0, 2 * np.pi, 721)[:-1, None] + 2 * np.pi / 3 * np.arange(3)
    for watts, volts, factor in zip(rng.uniform(100, 60_000, 300), rng.uniform(200, 480, 300), rng.uniform(0.3, 1, 300)):
        # between two wires there are the volts; each of them to the middle is found from that
        peak = volts * np.sqrt(2) / abs(1 - np.exp(2j * np.pi / 3))
        mean = (peak * np.cos(turn) * np.cos(turn - np.arccos(factor))).sum(axis=1).mean()
        amperes = watts / mean / np.sqrt(2)
        result = service.ask("power/current-three", power_w=watts, line_voltage_v=volts, power_factor=factor)
        service.compare("power/current-three", "numpy, over a cycle", result["current_per_line_a"], amperes, 1e-11, (watts, volts, factor))


def test_a_frame_of_diffusion(service, rng):
    """Light of a round frame, summed over its rings; each shines as a matt surface does."""
    for lumens, radius, metres in zip(rng.uniform(100, 30_000, 400), rng.uniform(0.1, 1.5, 400), rng.uniform(0.2, 10, 400)):
        ring = lambda r: 2 * np.pi * r * metres**2 / (r * r + metres**2) ** 2
        # a matt surface of one lumen a square metre has a luminance of one over π
        theirs = lumens / (np.pi * radius**2) / np.pi * quad(ring, 0, radius, epsrel=1e-13)[0]
        result = service.ask("lamp-light/frame", flux_through_lm=lumens, frame_radius_m=radius, distance_m=metres)
        service.compare("lamp-light/frame", "scipy quadrature", result["illuminance_lx"], theirs, 1e-11, (lumens, radius, metres))


def test_a_cone_of_light(service, rng):
    for lumens, degrees in zip(rng.uniform(10, 30_000, 300), rng.uniform(0.5, 180, 300)):
        solid = 2 * np.pi * quad(np.sin, 0, np.radians(degrees) / 2, epsrel=1e-13)[0]
        result = service.ask("lamp-light/uniform-cone", flux_lm=lumens, full_angle_deg=degrees)
        theirs = {"solid_angle_sr": solid, "intensity_cd": lumens / solid}
        service.compare_each("lamp-light/uniform-cone", "scipy quadrature", result, theirs, 1e-11, (lumens, degrees))
