"""The day's haze against scipy: the two boxes as differential equations, the crew as a switch that looks at the level.

Source of the equations: mass balance of a well-mixed box (dossier B5), written out again here. The peer is told when a
setup wants haze and decides for itself when to top up; it shares no closed form with the program.
"""

import json
import os
import pathlib
import subprocess

import numpy as np
import pytest
from scipy.integrate import solve_ivp

ROOT = pathlib.Path(__file__).resolve().parents[2]
DAYS = 30


@pytest.fixture(scope="session")
def program():
    subprocess.run(
        ["cargo", "build", "--locked", "--quiet", "-p", "stillair-calc", "--example", "haze_day"], cwd=ROOT, check=True
    )
    target = pathlib.Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target"))
    return target / "debug" / "examples" / "haze_day"


def worked(program, days):
    lines = "\n".join(json.dumps(day) for day in days) + "\n"
    done = subprocess.run([program], input=lines, capture_output=True, text=True, check=True)
    return [json.loads(line) for line in done.stdout.splitlines()]


def a_day(rng):
    tent = rng.uniform(5, 40)
    wanted = rng.uniform(20, 1500)
    start = 540 + rng.uniform(0, 60)
    end = start + rng.uniform(20, 150)
    return {
        "air": {
            "room_m3": rng.uniform(100, 2000),
            "leak_per_h": rng.uniform(0.05, 1.5),
            "settling_per_h": rng.uniform(0.0, 0.6),
            "purge_per_h": rng.uniform(5, 40),
            "room_shooting_per_h": rng.uniform(0.2, 3),
            "room_between_per_h": rng.uniform(1, 12),
            "airborne_gpmin": rng.uniform(2, 8),
            "band": rng.uniform(0.03, 0.2),
            "clear_mgpm3": 10.0,
        },
        "held": [{"start_min": start, "end_min": end, "wanted_mgpm3": wanted, "tent_m3": tent}],
        "from_min": 480.0,
        "to_min": end + 180,
        "minutes": list(np.linspace(480, end + 180, 41)),
    }


def integrated(day):
    """Levels at the minutes asked for, and when the machine was switched on again, by a solver of stiff equations."""
    air, held = day["air"], day["held"][0]
    tent_m3, room_m3 = held["tent_m3"], air["room_m3"]
    low, high = (held["wanted_mgpm3"] * (1 + sign * air["band"]) for sign in (-1, 1))

    def slope(runs, purges, shoots):
        loss = air["leak_per_h"] + air["settling_per_h"] + (air["purge_per_h"] if purges else 0.0)
        room = air["room_shooting_per_h"] if shoots else air["room_between_per_h"]
        gain = air["airborne_gpmin"] * 60_000.0 / tent_m3 if runs else 0.0

        def of(_, y):
            tent, breathed, _ = y
            return [
                gain - loss * tent,
                air["leak_per_h"] * tent * tent_m3 / room_m3 - (room + air["settling_per_h"]) * breathed,
                breathed,
            ]

        return of

    def crosses(level, direction):
        def event(_, y):
            return y[0] - level

        event.terminal, event.direction = True, direction
        return event

    minutes = np.array(day["minutes"])
    found = np.zeros((len(minutes), 3))
    switched = []

    def run(state, start, end, of, event=None):
        """From one minute on, until an end or an event; hours inside."""
        done = solve_ivp(
            of, (start / 60, end / 60), state, method="LSODA", rtol=1e-10, atol=1e-9, events=event, dense_output=True
        )
        stop = done.t[-1] * 60
        inside = (minutes >= start) & (minutes <= stop)
        if inside.any():
            found[inside] = done.sol(minutes[inside] / 60).T
        return done.y[:, -1], stop

    # How long a fill takes from nothing; it is to be done when the setup begins.
    filled = solve_ivp(
        slope(True, False, False), (0, 50), [0, 0, 0], method="LSODA", rtol=1e-10, atol=1e-9, events=crosses(high, 1)
    )
    takes = filled.t[-1] * 60 if filled.status == 1 else None
    if takes is None or takes > held["start_min"] - day["from_min"]:
        return None
    state, now = run([0, 0, 0], day["from_min"], held["start_min"] - takes, slope(False, False, False))
    state, now = run(state, now, held["start_min"], slope(True, False, False))
    while now < held["end_min"] - 1e-9:
        state, now = run(state, now, held["end_min"], slope(False, False, True), crosses(low, -1))
        if now >= held["end_min"] - 1e-9:
            break
        switched.append(now)
        state, now = run(state, now, held["end_min"], slope(True, False, True), crosses(high, 1))
    state, now = run(state, now, day["to_min"], slope(False, True, False), crosses(air["clear_mgpm3"], -1))
    # What is left in the tent leaves with it.
    state = [0.0, state[1], state[2]]
    run(state, now, day["to_min"], slope(False, False, False))
    return found, switched, state


def test_the_day_is_what_a_solver_makes_of_the_two_boxes(program, rng):
    days = [a_day(rng) for _ in range(DAYS)]
    told = worked(program, days)
    compared = switches = 0
    largest = 0.0
    for day, ours in zip(days, told):
        peer = integrated(day)
        if peer is None:
            continue
        found, switched, _ = peer
        assert len(ours["top_ups_min"]) == len(switched), day
        assert np.allclose(ours["top_ups_min"], switched, atol=1e-3), day
        at = np.array(ours["at"])
        # the level of the tent jumps where it is let out of doors, so a minute at that very place is left out
        scale = np.maximum(np.abs(found), [day["held"][0]["wanted_mgpm3"] * 1e-3, 1e-3, 1e-3])
        apart = np.abs(at - found) / scale
        assert np.quantile(apart, 0.98) < 5e-3, day
        assert np.median(apart) < 1e-6, day
        largest = max(largest, float(np.quantile(apart, 0.98)))
        compared += 1
        switches += len(switched)
    assert compared > DAYS * 0.6 and switches > DAYS
    print(f"\nhaze over {compared} days with {switches} top-ups: at most {largest:.1e} apart")


def test_a_leak_that_is_a_tenth_larger_is_noticed(program, rng):
    day = a_day(rng)
    while integrated(day) is None:
        day = a_day(rng)
    found, _, _ = integrated(day)
    day["air"]["leak_per_h"] *= 1.1
    ours = np.array(worked(program, [day])[0]["at"])
    apart = np.abs(ours - found)[:, 1] / np.maximum(found[:, 1], 1e-3)
    assert apart.max() > 5e-3
