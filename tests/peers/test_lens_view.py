"""The lens view against a pinhole projection of its own: numpy matrices built from first principles.

Source of the projection: the homogeneous camera matrix of any computer-vision text, K [R | -R c]; the pupil's place and the
distance over which the frame opens are the thick-lens relations of the dossier's A3, written out again here.
"""

import json
import os
import pathlib
import subprocess

import numpy as np
import pytest

ROOT = pathlib.Path(__file__).resolve().parents[2]
SCENES = 1000


@pytest.fixture(scope="session")
def program():
    subprocess.run(
        ["cargo", "build", "--locked", "--quiet", "-p", "stillair-calc", "--example", "lens_view"], cwd=ROOT, check=True
    )
    target = pathlib.Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target"))
    return target / "debug" / "examples" / "lens_view"


def drawn(program, scenes):
    lines = "\n".join(json.dumps(scene) for scene in scenes) + "\n"
    done = subprocess.run([program], input=lines, capture_output=True, text=True, check=True)
    return [json.loads(line) for line in done.stdout.splitlines()]


def scene(rng):
    focal = rng.uniform(12, 90)
    pupil_ratio = rng.uniform(0.5, 2.0)
    return {
        "focal_length_mm": focal,
        "f_number": rng.uniform(2, 22),
        "focus_from_pupil_mm": rng.uniform(4 * focal / min(pupil_ratio, 1.0), 4000),
        "pupil_magnification": pupil_ratio,
        "principal_plane_separation_mm": rng.uniform(-20, 40),
        "height_mm": rng.uniform(20, 1200),
        "tilt_deg": rng.uniform(-60, 60),
        "roll_deg": rng.uniform(-180, 180),
        "sensor_width_mm": rng.uniform(8, 40),
        "sensor_height_mm": rng.uniform(5, 30),
        "squeeze": rng.choice([1.0, 1.33, 2.0]),
        "photosites_across": float(rng.integers(1000, 6000)),
        "things": [
            {
                "x_mm": rng.uniform(-500, 4000),
                "y_mm": rng.uniform(-1500, 1500),
                "z_mm": rng.uniform(-200, 1200),
                "length_mm": rng.uniform(1, 900),
                "width_mm": rng.uniform(1, 900),
                "height_mm": rng.uniform(1, 900),
                "heading_deg": rng.uniform(-180, 180),
                "pitch_deg": rng.uniform(-90, 90),
            }
            for _ in range(rng.integers(1, 6))
        ],
    }


def turn(axis, degrees):
    """Rotation about an axis by the right hand (Rodrigues)."""
    k = np.asarray(axis, float) / np.linalg.norm(axis)
    cross = np.array([[0, -k[2], k[1]], [k[2], 0, -k[0]], [-k[1], k[0], 0]])
    a = np.radians(degrees)
    return np.eye(3) + np.sin(a) * cross + (1 - np.cos(a)) * cross @ cross


def camera(s, twist_deg=0.0):
    """The 3 by 4 matrix, and photosites down. Stage axes: x ahead, y to the camera's right, z up: a left-handed set."""
    m = s["focal_length_mm"] / (s["focus_from_pupil_mm"] - s["focal_length_mm"] / s["pupil_magnification"])
    ahead = s["focal_length_mm"] * (2 + m - 1 / s["pupil_magnification"]) + s["principal_plane_separation_mm"]
    opens = s["focal_length_mm"] * (1 + m / s["pupil_magnification"])
    # In a left-handed set a right-hand turn about y lifts x toward z; roll clockwise as the camera sees takes y toward -z.
    tilt = turn([0, 1, 0], -s["tilt_deg"])
    axis, right, up = (tilt @ v for v in np.eye(3))
    roll = turn(axis, -(s["roll_deg"] + twist_deg))
    right, up = roll @ right, roll @ up
    pupil = np.array([0, 0, s["height_mm"]]) + ahead * axis
    rows = np.array([right, -up, axis])
    pitch = s["sensor_width_mm"] / s["photosites_across"]
    down = s["sensor_height_mm"] / pitch
    k = np.array(
        [
            [opens / (pitch * s["squeeze"]), 0, s["photosites_across"] / 2],
            [0, opens / pitch, down / 2],
            [0, 0, 1],
        ]
    )
    return k @ np.hstack([rows, (-rows @ pupil)[:, None]]), down


def corners(t):
    h, p = np.radians(t["heading_deg"]), np.radians(t["pitch_deg"])
    frame = np.array(
        [
            [np.cos(p) * np.cos(h), np.cos(p) * np.sin(h), np.sin(p)],
            [-np.sin(h), np.cos(h), 0],
            [-np.sin(p) * np.cos(h), -np.sin(p) * np.sin(h), np.cos(p)],
        ]
    )
    middle = np.array([t["x_mm"], t["y_mm"], t["z_mm"] + t["height_mm"] / 2])
    half = np.array([t["length_mm"], t["width_mm"], t["height_mm"]]) / 2
    signs = np.array([[x, y, z] for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)])
    return middle + (signs * half) @ frame


def farthest_apart(scenes, answers, twist_deg=0.0):
    """The largest distance in photosites between both, of corners that fall within ten frames, and how many there were."""
    worst, count = 0.0, 0
    for s, answer in zip(scenes, answers):
        matrix, down = camera(s, twist_deg)
        for thing, seen in zip(s["things"], answer["corners"]):
            for corner, got in zip(corners(thing), seen):
                x, y, w = matrix @ np.append(corner, 1)
                if w <= 1e-6:
                    assert got is None or w > -1e-6, "what is behind the pupil is not drawn"
                    continue
                site = np.array([x / w, y / w])
                if np.any(np.abs(site) > 10 * s["photosites_across"]):
                    continue
                assert got is not None, "what is before the pupil is drawn"
                worst = max(worst, float(np.linalg.norm(site - np.array(got))))
                count += 1
    return worst, count


def test_corners_fall_on_the_same_photosite(program, rng):
    scenes = [scene(rng) for _ in range(SCENES)]
    answers = drawn(program, scenes)
    assert len(answers) == SCENES and all(answers)
    worst, count = farthest_apart(scenes, answers)
    assert count > 5000
    assert worst < 1.0, f"{worst} photosites apart"


def test_a_camera_rolled_by_a_tenth_of_a_degree_more_is_noticed(program, rng):
    scenes = [scene(rng) for _ in range(50)]
    worst, _ = farthest_apart(scenes, drawn(program, scenes), twist_deg=0.1)
    assert worst > 1.0


def test_the_horizon_is_where_level_lines_vanish(program, rng):
    scenes = [scene(rng) for _ in range(SCENES)]
    found = 0
    for s, answer in zip(scenes, drawn(program, scenes)):
        if answer["horizon"] is None:
            continue
        found += 1
        matrix, _ = camera(s)
        # The line through the vanishing points of two level directions, as a homogeneous line.
        ends = [matrix @ np.array([np.cos(a), np.sin(a), 0, 0]) for a in (0.3, -0.4)]
        line = np.cross(ends[0], ends[1])
        for x, y in answer["horizon"]:
            away = abs(line @ np.array([x, y, 1])) / np.hypot(line[0], line[1])
            assert away < 1.0, f"{away} photosites off"
    assert found > 100
