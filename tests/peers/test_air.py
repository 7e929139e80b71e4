"""Haze that fills, leaks, settles into lungs and is breathed, against integrated balances; clouds of droplets against miepython."""

import miepython
import numpy as np
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq

TIGHT = {"method": "DOP853", "rtol": 1e-12, "atol": 1e-10}
# refractive index and density of the liquids, of handbooks
LIQUIDS = {
    "propylene_glycol": (1.432, 1036),
    "triethylene_glycol": (1.456, 1124),
    "glycerin": (1.473, 1261),
    "white_mineral_oil": (1.467, 850),
    "water": (1.334, 998),
}


def first_time(change, start, level, longest):
    """When a level that changes so first meets another, in hours."""
    meets = lambda _, c: c[0] - level
    meets.terminal = True
    course = solve_ivp(change, (0, longest), [start], events=meets, **TIGHT)
    return course.t_events[0][0]


def test_until_it_is_thick_enough(service, rng):
    for _ in range(300):
        rate, volume, loss = rng.uniform(0.1, 10), rng.uniform(5, 500), rng.uniform(0.05, 10)
        steady = rate * 60_000 / volume / loss
        start, target = np.sort(rng.uniform(0, 0.97, 2)) * steady
        hours = first_time(lambda _, c: [rate * 60_000 / volume - loss * c[0]], start, target, 20 / loss)
        asked = {"airborne_rate_gpmin": rate, "volume_m3": volume, "total_loss_per_h": loss, "concentration_start_mgpm3": start, "target_mgpm3": target}
        result = service.ask("haze-fill/time-to-target", **asked)
        service.compare("haze-fill/time-to-target", "scipy ODE", result["time_min"], hours * 60, 1e-8, asked)


def test_until_it_is_topped_up(service, rng):
    """How long from the high level to the low one, and the mass that brings it back."""
    for _ in range(300):
        low, high = np.sort(rng.uniform(1, 1500, 2))
        loss, volume = rng.uniform(0.05, 10), rng.uniform(5, 2000)
        hours = first_time(lambda _, c: [-loss * c[0]], high, low, 20 / loss)
        asked = {"concentration_high_mgpm3": high, "concentration_low_mgpm3": low, "total_loss_per_h": loss, "volume_m3": volume}
        result = service.ask("haze-fill/top-up", **asked)
        service.compare("haze-fill/top-up", "scipy ODE", result["interval_min"], hours * 60, 1e-8, asked)
        mixing, target = rng.uniform(1, 10), low
        asked = {"concentration_start_mgpm3": high, "target_mgpm3": target, "air_changes_per_h": loss, "mixing_factor": mixing}
        hours = first_time(lambda _, c: [-loss / mixing * c[0]], high, target, 300 / loss)
        result = service.ask("air-limits/clear-time", **asked)
        service.compare("air-limits/clear-time", "scipy ODE", result["time_min"], hours * 60, 1e-8, asked)


def test_what_is_breathed_in_a_day(service, rng):
    """The level followed through a fill and the clearing after it, and summed over eight hours."""
    for _ in range(300):
        steady, start = rng.uniform(5, 800), rng.uniform(0, 100)
        loss, hours = rng.uniform(0.05, 8), rng.uniform(0.1, 3)
        clearing, after = rng.uniform(0.05, 8), rng.uniform(0.1, 5)
        # the level and its sum so far
        filled = solve_ivp(lambda _, s: [loss * (steady - s[0]), s[0]], (0, hours), [start, 0.0], **TIGHT).y[:, -1]
        cleared = solve_ivp(lambda _, s: [-clearing * s[0], s[0]], (0, after), filled, **TIGHT).y[:, -1]
        asked = {
            "fill": {"concentration_start_mgpm3": start, "concentration_steady_mgpm3": steady, "loss_per_h": loss, "hours": hours},
            "decay": {"loss_per_h": clearing, "hours": after},
        }
        result = service.ask("air-limits/twa-model", **asked)
        theirs = {"dose_mg_h_pm3": cleared[1], "twa_8h_mgpm3": cleared[1] / 8}
        service.compare_each("air-limits/twa-model", "scipy ODE", result, theirs, 1e-9, asked)


def test_droplets_that_meet(service, rng):
    """Each meeting makes one of two: until half are left."""
    for _ in range(200):
        level, microns, density = 10 ** rng.uniform(1, 3.5), rng.uniform(0.3, 5), rng.uniform(850, 1300)
        rate = 10 ** rng.uniform(-16, -15)
        each = quad(lambda r: 4 * np.pi * r * r * density, 0, microns * 1e-6 / 2)[0]
        number = level * 1e-6 / each
        half = lambda _, n: n[0] - 0.5
        half.terminal = True
        course = solve_ivp(lambda _, n: [-rate * number * n[0] ** 2], (0, 1e9), [1.0], events=half, method="DOP853", rtol=1e-12, atol=1e-13)
        asked = {"concentration_mgpm3": level, "diameter_um": microns, "density_kgpm3": density, "coagulation_m3ps": rate}
        result = service.ask("haze-fill/coagulation", **asked)
        theirs = {"number_per_m3": number, "halving_time_min": course.t_events[0][0] / 60}
        service.compare_each("haze-fill/coagulation", "scipy ODE", result, theirs, 1e-9, asked)


def test_droplets_of_many_sizes(service, rng):
    """A gram of a log-normal cloud: of the same 801 sizes, and of a thousand and more, between which ripples of single
    sizes come and go."""
    for _ in range(25):
        liquid = str(rng.choice(list(LIQUIDS)))
        median, spread, nm = 10 ** rng.uniform(-0.6, 0.6), rng.uniform(1.3, 2.0), rng.uniform(450, 650)
        index, density = LIQUIDS[liquid]
        asked = {"liquid": liquid, "mass_median_diameter_um": median, "geometric_sd": spread, "wavelength_nm": nm}
        result = service.ask("haze-optics/mass-extinction", **asked)
        for sizes, bound in ((801, 1e-9), (1201, 1e-3)):
            place = np.linspace(-4, 4, sizes)
            weight = np.exp(-place * place / 2)
            metres = median * spread**place * 1e-6
            extinction = np.array([miepython.efficiencies_mx(index, x)[0] for x in np.pi * metres / (nm * 1e-9)])
            area_of_a_gram = 1.5 / (density * 1e3 * metres)
            theirs = (weight * extinction * area_of_a_gram).sum() / weight.sum()
            service.compare("haze-optics/mass-extinction", f"miepython, {sizes} sizes", result["mass_extinction_m2pg"], theirs, bound, asked)


def test_contrast_that_is_wanted(service, rng):
    """The haze in which a card at the end is as pale as asked, the loss followed along the path."""
    for metres, wanted in zip(rng.uniform(0.3, 10, 150), rng.uniform(0.02, 0.9, 150)):
        left = lambda sigma: solve_ivp(lambda _, c: -sigma * c, (0, metres), [1.0], **TIGHT).y[0, -1] - wanted
        theirs = brentq(left, 0, 5 / metres, xtol=1e-13, rtol=1e-12)
        result = service.ask("haze-optics/extinction-for-contrast", distance_m=metres, wanted_contrast_fraction=wanted)
        service.compare("haze-optics/extinction-for-contrast", "scipy ODE and root", result["extinction_per_m"], theirs, 1e-8, (metres, wanted))


def test_two_cards_in_haze(service, rng):
    """A white and a black card seen through haze that scatters light in: what the cards are, the haze veils alike."""
    for _ in range(300):
        white, black, sigma = rng.uniform(20, 500), rng.uniform(0.5, 15), rng.uniform(0.01, 2)
        metres, veil = rng.uniform(0.5, 3), rng.uniform(0, 400)
        along = solve_ivp(lambda _, light: sigma * (veil - light), (0, metres), [white, black], **TIGHT).y[:, -1]
        result = service.ask(
            "haze-optics/extinction-from-cards",
            white_clear=white,
            black_clear=black,
            white_haze=along[0],
            black_haze=along[1],
            distance_m=metres,
        )
        service.compare("haze-optics/extinction-from-cards", "scipy ODE", result["extinction_per_m"], sigma, 1e-7, (white, black, sigma, metres))
