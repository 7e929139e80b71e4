"""Haze: single spheres against miepython, levels in a room against an integrated mass balance."""

import miepython
import numpy as np
from scipy.integrate import quad, solve_ivp


def test_single_spheres(service, rng):
    index = rng.uniform(1.2, 1.7, 1200)
    absorbed = rng.choice([0.0, 0.0, 1e-3, 0.05], 1200)
    size = 10 ** rng.uniform(-1, 2, 1200)
    for n, k, x in zip(index, absorbed, size):
        result = service.ask("haze-optics/mie", refractive_index=n, absorption_index=k, size_parameter=x)
        extinction, scattering, _, asymmetry = miepython.efficiencies_mx(n - 1j * k, x)
        peers = {"extinction_efficiency": extinction, "scattering_efficiency": scattering, "asymmetry": asymmetry}
        for name, theirs in peers.items():
            service.compare("haze-optics/mie", "miepython", result[name], theirs, 1e-7, (n, k, x))


def test_a_gram_of_droplets(service, rng):
    for n, density, microns in zip(rng.uniform(1.33, 1.48, 300), rng.uniform(850, 1300, 300), 10 ** rng.uniform(-0.5, 1, 300)):
        result = service.ask(
            "haze-optics/mass-extinction-one-size",
            refractive_index=n,
            density_kgpm3=density,
            diameter_um=microns,
            wavelength_nm=550.0,
        )
        extinction = miepython.efficiencies_mx(n, np.pi * microns / 0.55)[0]
        # cross-section of one over its mass, in square metres a gram
        theirs = extinction * np.pi / 4 * microns**2 * 1e-12 / (density * 1e3 * np.pi / 6 * microns**3 * 1e-18)
        service.compare("haze-optics/mass-extinction-one-size", "miepython", result["mass_extinction_m2pg"], theirs, 1e-9, (n, density, microns))


def test_phase_function(service, rng):
    for g, degrees in zip(rng.uniform(-0.9, 0.9, 300), rng.uniform(0, 180, 300)):
        shape = lambda angle: (1 + g * g - 2 * g * np.cos(angle)) ** -1.5
        whole = 2 * np.pi * quad(lambda angle: shape(angle) * np.sin(angle), 0, np.pi, epsrel=1e-11)[0]
        result = service.ask("haze-optics/henyey-greenstein", asymmetry=g, angle_deg=degrees)
        theirs = shape(np.radians(degrees)) / whole
        service.compare("haze-optics/henyey-greenstein", "scipy quadrature", result["phase_function_per_sr"], theirs, 1e-11, (g, degrees))


def test_levels_in_a_room(service, rng):
    for _ in range(400):
        rate, volume, loss = rng.uniform(0.1, 10), rng.uniform(5, 2000), rng.uniform(0.05, 12)
        start, minutes = rng.uniform(0, 500), rng.uniform(1, 120)
        fed = rate * 60_000 / volume
        course = solve_ivp(lambda _, c: fed - loss * c, (0, minutes / 60), [start], method="DOP853", rtol=1e-11, atol=1e-9)
        result = service.ask(
            "haze-fill/concentration",
            airborne_rate_gpmin=rate,
            volume_m3=volume,
            total_loss_per_h=loss,
            concentration_start_mgpm3=start,
            time_min=minutes,
        )
        service.compare("haze-fill/concentration", "scipy ODE", result["concentration_mgpm3"], course.y[0, -1], 1e-9, (rate, volume, loss, start, minutes))


def test_contrast_along_a_path(service, rng):
    """Light that is lost in steps, each a share of what is left."""
    for sigma, metres in zip(rng.uniform(0.01, 3, 400), rng.uniform(0.05, 5, 400)):
        steps = 200_000
        left = (1 - sigma * metres / steps) ** steps
        result = service.ask("haze-optics/path", extinction_per_m=sigma, distance_m=metres)
        service.compare("haze-optics/path", "numpy, in small steps", result["transmittance"], left, 1e-3, (sigma, metres))
