"""Shadows and the table in frame, against rays: counted at random where an area is asked."""

import numpy as np


def test_soft_edges(service, rng):
    """Share of a round lamp that a place on the set sees past a long flag, by random points of the lamp. At the edges that
    are told it is all, half and nothing."""
    for _ in range(150):
        lamp, height = rng.uniform(0.05, 0.6), rng.uniform(2, 6)
        lifted = height * rng.uniform(0.05, 0.4)
        # wide enough for a full shadow
        flag = lamp * lifted / height * rng.uniform(1.5, 6) + 0.05
        result = service.ask("shadow/shadow-widths", lamp_diameter_m=lamp, lamp_height_m=height, flag_height_m=lifted, flag_width_m=flag)
        radius = lamp / 2 * np.sqrt(rng.random(40_000))
        points = radius * np.cos(2 * np.pi * rng.random(40_000))

        def seen(place):
            # where the ray from the place to each point of the lamp passes the level of the flag
            crossing = place + (points - place) * lifted / height
            return (np.abs(crossing) > flag / 2).mean()

        half, outer = result["half_level_width_m"] / 2, result["penumbra_outer_width_m"] / 2
        umbra = result["umbra_width_m"] / 2
        # standard error of a share of 40 000 points is a quarter of a hundredth
        service.compare("shadow/shadow-widths", "numpy rays at random, half", seen(half), 0.5, 0.013, (lamp, height), absolute=True)
        service.compare("shadow/shadow-widths", "the same, full shadow", seen(umbra * 0.999), 0.0, 1e-12, (lamp, height), absolute=True)
        service.compare("shadow/shadow-widths", "the same, outside", seen(outer * 1.001), 1.0, 1e-12, (lamp, height), absolute=True)


def camera(rng):
    """A camera that looks down on a table so that the whole frame lies on an endless one."""
    focal, focus = rng.uniform(20, 60), rng.uniform(800, 3000)
    wide, high = rng.uniform(15, 36), rng.uniform(10, 24)
    half = np.arctan(high / 2 / (focal * focus / (focus - focal)))
    tilt = np.degrees(half) + rng.uniform(8, 45)
    return {
        "camera_height_m": rng.uniform(0.2, 2),
        "tilt_down_deg": min(tilt, 80.0),
        "focal_length_mm": focal,
        "focus_distance_from_entrance_pupil_mm": focus,
        "sensor_width_mm": wide,
        "sensor_height_mm": high,
    }


def onto_table(asked, across, up):
    """Where the ray through a place on the sensor meets the table: forward and sideways."""
    focal, focus = asked["focal_length_mm"], asked["focus_distance_from_entrance_pupil_mm"]
    image = focal * focus / (focus - focal)
    tilt = np.radians(asked["tilt_down_deg"])
    forward = np.cos(tilt) + np.sin(tilt) * up / image
    down = np.sin(tilt) - np.cos(tilt) * up / image
    scale = asked["camera_height_m"] / down
    return forward * scale, across / image * scale


def in_frame(asked, forward, aside):
    """Whether places on the table are in frame, by projecting them onto the sensor."""
    focal, focus = asked["focal_length_mm"], asked["focus_distance_from_entrance_pupil_mm"]
    image = focal * focus / (focus - focal)
    tilt = np.radians(asked["tilt_down_deg"])
    depth = forward * np.cos(tilt) + asked["camera_height_m"] * np.sin(tilt)
    up = (forward * np.sin(tilt) - asked["camera_height_m"] * np.cos(tilt)) / depth * image
    across = aside / depth * image
    return (depth > 0) & (np.abs(up) <= asked["sensor_height_mm"] / 2) & (np.abs(across) <= asked["sensor_width_mm"] / 2)


def test_edges_of_the_table_seen(service, rng):
    for _ in range(500):
        asked = camera(rng)
        result = service.ask("coverage/ground-quad", **asked)
        half_width, half_height = asked["sensor_width_mm"] / 2, asked["sensor_height_mm"] / 2
        near, near_aside = onto_table(asked, half_width, -half_height)
        far, far_aside = onto_table(asked, half_width, half_height)
        peers = {"near_edge_m": near, "far_edge_m": far, "near_width_m": 2 * near_aside, "far_width_m": 2 * far_aside}
        for name, theirs in peers.items():
            service.compare("coverage/ground-quad", "numpy rays", result[name], theirs, 1e-11, asked)


def test_area_of_a_table_with_ends(service, rng):
    for _ in range(60):
        asked = camera(rng)
        far, _ = onto_table(asked, 0, asked["sensor_height_mm"] / 2)
        asked |= {"table_end_m": far * rng.uniform(0.6, 1.2), "table_half_width_m": rng.uniform(0.2, 2)}
        result = service.ask("coverage/table-seen", **asked)
        count = 400_000
        forward = asked["table_end_m"] * rng.random(count)
        aside = asked["table_half_width_m"] * rng.uniform(-1, 1, count)
        whole = asked["table_end_m"] * 2 * asked["table_half_width_m"]
        share = in_frame(asked, forward, aside).mean()
        # five standard errors of a counted share
        error = 5 * np.sqrt(max(share * (1 - share), 1e-6) / count)
        service.compare("coverage/table-seen", "numpy at random, of the table", result["area_m2"] / whole, share, 0.005, asked, absolute=True)
        assert abs(result["area_m2"] / whole - share) <= error, asked
