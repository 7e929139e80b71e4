"""Colour against the package colour-science, and colour temperature against a plain search with scipy."""

import colour
import numpy as np
from scipy.optimize import minimize_scalar

# CIE 015: the second radiation constant that colour temperatures are reckoned with, m K.
C2 = 1.4388e-2
SHAPE = colour.SpectralShape(380, 780, 5)
CURVES = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(SHAPE)
WAVELENGTHS_M = SHAPE.wavelengths * 1e-9


def glowing_xy(kelvin):
    power = WAVELENGTHS_M**-5 / np.expm1(C2 / (WAVELENGTHS_M * kelvin))
    xyz = (power / power.max()) @ CURVES.values
    return xyz[:2] / xyz.sum()


def uv_1960(xy):
    x, y = xy
    return np.array([4 * x, 6 * y]) / (-2 * x + 12 * y + 3)


def test_glowing_bodies(service, rng):
    for kelvin in rng.uniform(1000, 25_000, 1500):
        result = service.ask("colour/planck-xy", temperature_k=kelvin)
        xy = glowing_xy(kelvin)
        for name, theirs in zip("xy", xy):
            service.compare("colour/planck-xy", "colour-science, its observer", result[name], theirs, 1e-12, kelvin)


def test_colour_temperature_by_search(service, rng):
    """The nearest glowing body, found by scipy on the diagram of 1960."""
    for mired, duv in zip(rng.uniform(45, 650, 600), rng.uniform(-0.03, 0.03, 600)):
        line = lambda m: uv_1960(glowing_xy(1e6 / m))
        along = line(mired * 1.0001) - line(mired * 0.9999)
        up = np.array([-along[1], along[0]]) / np.hypot(*along)
        u, v = line(mired) + duv * up
        x, y = np.array([3 * u, 2 * v]) / (2 * u - 8 * v + 4)
        distance = lambda m: float(((line(m) - (u, v)) ** 2).sum())
        nearest = minimize_scalar(distance, bounds=(mired * 0.9, mired * 1.1), method="bounded", options={"xatol": 1e-9})
        result = service.ask("colour/cct-duv", x=x, y=y)
        service.compare("colour/cct-duv", "scipy search", result["cct_k"], 1e6 / nearest.x, 1e-6, (x, y))
        service.compare("colour/cct-duv", "scipy search, Duv", abs(result["duv"]), np.sqrt(nearest.fun), 1e-12, (x, y), absolute=True)


def test_colour_temperature_by_ohno(service, rng):
    kelvin = rng.uniform(2000, 12_000, 600)
    duv = rng.uniform(-0.015, 0.015, 600)
    uv = colour.CCT_to_uv(np.column_stack([kelvin, duv]), method="Ohno 2013", cmfs=CURVES)
    xy = colour.UCS_uv_to_xy(uv)
    for (x, y), theirs in zip(xy, kelvin):
        result = service.ask("colour/cct-duv", x=x, y=y)
        service.compare("colour/cct-duv", "colour-science, Ohno 2013", result["cct_k"], theirs, 1e-5, (x, y))


def test_differences(service, rng):
    one = np.column_stack([rng.uniform(0, 100, 3000), rng.uniform(-90, 90, (3000, 2))])
    other = one + rng.normal(0, rng.choice([0.5, 5, 40], (3000, 1)), (3000, 3))
    theirs = colour.delta_E(one, other, method="CIE 2000")
    for lab1, lab2, difference in zip(one, other, theirs):
        result = service.ask("colour/ciede2000", lab1=lab1, lab2=lab2)
        service.compare("colour/ciede2000", "colour-science", result["delta_e_2000"], difference, 1e-11, (lab1, lab2))


def test_adaptation(service, rng):
    light = rng.uniform(0.05, 1, (800, 3))
    whites = rng.uniform([0.85, 1, 0.3], [1.15, 1, 1.3], (2, 800, 3))
    theirs = colour.chromatic_adaptation(light, whites[0], whites[1], method="Von Kries", transform="Bradford")
    for row in range(800):
        x, y, z = light[row]
        result = service.ask(
            "colour/bradford",
            x_tristimulus=x,
            y_tristimulus=y,
            z_tristimulus=z,
            from_white_xyz=whites[0][row],
            to_white_xyz=whites[1][row],
        )
        for name, value in zip("xyz", theirs[row]):
            service.compare("colour/bradford", "colour-science", result[f"{name}_tristimulus"], value, 1e-12, row, absolute=True)


def test_daylight(service, rng):
    for kelvin in rng.uniform(4000, 25_000, 800):
        theirs = colour.CCT_to_xy(kelvin, method="CIE Illuminant D Series")
        result = service.ask("colour/daylight-locus", temperature_k=kelvin)
        for name, value in zip("xy", theirs):
            service.compare("colour/daylight-locus", "colour-science", result[name], value, 1e-12, kelvin)


def test_screens_and_lightness(service, rng):
    for linear in rng.uniform(0, 1, 600):
        result = service.ask("colour/srgb-encode", linear=linear)
        theirs = colour.cctf_encoding(linear, function="sRGB")
        service.compare("colour/srgb-encode", "colour-science", result["encoded"], theirs, 1e-12, linear)
    for x, y, z in rng.uniform(0.001, 1, (800, 3)):
        white = np.array([0.95047, 1.0, 1.08883])
        result = service.ask("colour/lab", x_tristimulus=x, y_tristimulus=y, z_tristimulus=z, white_xyz=white)
        theirs = colour.XYZ_to_Lab([x, y, z], colour.XYZ_to_xy(white))
        for name, value in zip(["lightness", "lab_a", "lab_b"], theirs):
            service.compare("colour/lab", "colour-science", result[name], value, 1e-10, (x, y, z), absolute=True)
    for x, y in rng.uniform(0.1, 0.5, (800, 2)):
        result = service.ask("colour/uv-prime", x=x, y=y)
        for name, value in zip(["u_prime", "v_prime"], colour.xy_to_Luv_uv([x, y])):
            service.compare("colour/uv-prime", "colour-science", result[name], value, 1e-12, (x, y))
