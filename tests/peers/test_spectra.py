"""Lamps and gels as measured tables, what a camera shows of them, and the search for a stack, against colour-science and
every stack tried."""

from itertools import combinations_with_replacement

import colour
import numpy as np

SHAPE = colour.SpectralShape(380, 780, 5)
NM = SHAPE.wavelengths
CURVES = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(SHAPE)
D65_WHITE = np.array([0.95047, 1.0, 1.08883])


def table(rng, low, high, least, most):
    """A measured table: wavelengths as they come, the first and the last given, and a value at each."""
    between = np.sort(rng.uniform(low + 1, high - 1, rng.integers(4, 40)))
    places = np.round(np.concatenate([[low], between, [high]]), 3)
    places = np.unique(places)
    return places, rng.uniform(least, most, len(places))


def lamp(rng):
    places, powers = table(rng, rng.uniform(370, 399), rng.uniform(701, 800), 0.0, 100.0)
    return {"wavelengths_nm": places, "powers": powers}, np.interp(NM, places, powers, left=0.0, right=0.0)


def gel(rng):
    places, shares = table(rng, rng.uniform(370, 399), rng.uniform(701, 800), 0.01, 1.0)
    return {"wavelengths_nm": places, "transmittances": shares}, np.interp(NM, places, shares)


def tristimulus(power):
    light = colour.SpectralDistribution(power, NM)
    return colour.sd_to_XYZ(light, cmfs=CURVES, illuminant=None, method="Integration", k=1.0)


def plain(given):
    return {name: list(values) for name, values in given.items()}


def test_measured_lamps(service, rng):
    for _ in range(400):
        given, power = lamp(rng)
        xy = colour.XYZ_to_xy(tristimulus(power))
        result = service.ask("colour/spectrum-xy", spd=plain(given))
        service.compare_each("colour/spectrum-xy", "colour-science", result, dict(zip("xy", xy)), 1e-12, given)


def test_lumens_of_a_visible_watt(service, rng):
    """Lamps that are dark at both ends of the grid: colour-science sums by trapezoids, we by samples."""
    eye = colour.SpectralDistribution(CURVES.values[:, 1], NM)
    for _ in range(300):
        places, powers = table(rng, rng.uniform(381, 399), rng.uniform(701, 779), 0.0, 100.0)
        powers[[0, -1]] = 0.0
        power = colour.SpectralDistribution(np.interp(NM, places, powers, left=0.0, right=0.0), NM)
        result = service.ask("lamp-light/luminous-efficacy", spd=plain({"wavelengths_nm": places, "powers": powers}))
        theirs = colour.luminous_efficacy(power, eye)
        service.compare("lamp-light/luminous-efficacy", "colour-science", result["lumens_per_visible_watt"], theirs, 1e-11, places)


def test_daylight_as_a_spectrum(service, rng):
    for kelvin in np.round(rng.uniform(4000, 25_000, 300), 1):
        light = colour.sd_CIE_illuminant_D_series(colour.CCT_to_xy(kelvin, method="CIE Illuminant D Series"), M1_M2_rounding=False)
        xy = colour.XYZ_to_xy(tristimulus(light.copy().align(SHAPE).values))
        result = service.ask("colour/spectrum-xy", spd=f"daylight_{kelvin}")
        service.compare_each("colour/spectrum-xy", "colour-science, daylight", result, dict(zip("xy", xy)), 1e-12, kelvin)


def test_named_daylights(service, rng):
    """The tables that were published with them, which were rounded to six digits or fewer."""
    for name in ("D50", "D55", "D65", "D75"):
        published = colour.SDS_ILLUMINANTS[name]
        for nm in rng.permutation(np.arange(380, 781, 5)):
            result = service.ask("colour/daylight-spd", illuminant=name, wavelength_nm=int(nm))
            service.compare("colour/daylight-spd", "colour-science, published tables", result["relative_power"], published[nm], 1e-4, (name, nm))


def test_lamps_behind_measured_gels(service, rng):
    for _ in range(500):
        (given, power), sheets = lamp(rng), [gel(rng) for _ in range(rng.integers(1, 4))]
        behind = power * np.prod([shares for _, shares in sheets], axis=0)
        bare, gelled = tristimulus(power), tristimulus(behind)
        result = service.ask("colour/gel-stack", lamp=plain(given), gels=[plain(sheet) for sheet, _ in sheets])
        x, y = colour.XYZ_to_xy(gelled)
        theirs = {"x": x, "y": y, "luminous_transmittance": gelled[1] / bare[1], "stops": np.log2(bare[1] / gelled[1])}
        service.compare_each("colour/gel-stack", "colour-science", result, theirs, 1e-11, given)


def test_swatches(service, rng):
    """A camera balanced to one lamp, shown another, on a screen: those that the screen can show."""
    screen = colour.RGB_COLOURSPACES["sRGB"]
    seen = 0
    for _ in range(700):
        kelvin, white = np.round(rng.uniform(2500, 9000, 2))
        power, balance = (colour.sd_blackbody(k, SHAPE, c2=1.4388e-2).values for k in (kelvin, white))
        sheet, shares = gel(rng)
        bright = rng.uniform(0.05, 0.6)
        light, reference = tristimulus(power * shares), tristimulus(balance)
        shown = colour.chromatic_adaptation(light / light[1] * bright, reference / reference[1], D65_WHITE, method="Von Kries", transform="Bradford")
        linear = screen.matrix_XYZ_to_RGB @ shown
        asked = {"lamp": f"planck_{kelvin}", "gels": [plain(sheet)], "white_balance": f"planck_{white}", "show_at_relative_luminance": bright}
        result = service.ask("colour/swatch", **asked)
        if linear.min() < 0.0 or linear.max() > 1.0:
            continue
        seen += 1
        theirs = dict(zip(["red_linear", "green_linear", "blue_linear"], linear))
        service.compare_each("colour/swatch", "colour-science", result, theirs, 1e-11, asked, absolute=True)
        codes = 255 * colour.cctf_encoding(linear, function="sRGB")
        for name, code in zip(["red_8bit", "green_8bit", "blue_8bit"], codes):
            # half a step is as far as rounding goes
            service.compare("colour/swatch", "the same, codes", result[name], code, 0.5 + 1e-9, asked, absolute=True)
    assert seen > 300, f"only {seen} were in gamut"


def test_the_best_stack_of_all(service, rng):
    """Every stack of up to three, repeats and all."""
    for _ in range(120):
        (given, power), stock = lamp(rng), [gel(rng) for _ in range(rng.integers(3, 8))]
        wanted = colour.XYZ_to_xy(tristimulus(lamp(rng)[1]))
        aim = colour.xy_to_Luv_uv(wanted)
        bare = (power @ CURVES.values)[1]
        found = []
        for sheets in range(4):
            for places in combinations_with_replacement(range(len(stock)), sheets):
                behind = power * np.prod([np.ones_like(power)] + [stock[place][1] for place in places], axis=0)
                xyz = behind @ CURVES.values
                if xyz[1] / bare >= 0.1:
                    found.append((np.hypot(*(colour.xy_to_Luv_uv(colour.XYZ_to_xy(xyz)) - aim)), places, xyz[1] / bare))
        best, second = sorted(found)[:2]
        if second[0] - best[0] < 1e-6:
            continue
        asked = {"target_x": wanted[0], "target_y": wanted[1], "min_luminous_transmittance": 0.1}
        result = service.ask("colour/search", lamp=plain(given), stock=[plain(sheet) for sheet, _ in stock], **asked)
        theirs = {"delta_uprime_vprime": best[0], "runner_up_delta": second[0], "luminous_transmittance": best[2]}
        service.compare_each("colour/search", "every stack, colour-science", result, theirs, 1e-10, asked, absolute=True)


def test_light_of_one_wavelength(service, rng):
    """The eye's curve at whole nanometres, of which the service keeps every fifth."""
    eye = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    for nm, watts in zip(rng.permutation(np.arange(360, 831))[:300], rng.uniform(0.01, 100, 300)):
        theirs = 683 * watts * eye[nm][1]
        result = service.ask("lamp-light/flux-from-watts", radiant_power_w=watts, wavelength_nm=int(nm))
        bound, way = (1e-12, "colour-science, its eye") if nm % 5 == 0 else (1e-2, "the same, between every fifth")
        service.compare("lamp-light/flux-from-watts", way, result["flux_lm"], theirs, bound, (nm, watts))
