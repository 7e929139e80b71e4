"""Shadows and the table in frame, against rays: counted at random where an area is asked."""

import numpy as np
import shapely

# Tiles of which less is seen are not counted.
LEAST_M2 = 1e-6


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


def table_seen(asked, end, half_width):
    """The table in frame as a polygon: the corners of the frame thrown onto it, cut to its edges."""
    half = asked["sensor_width_mm"] / 2, asked["sensor_height_mm"] / 2
    corners = [onto_table(asked, across * half[0], up * half[1]) for across, up in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
    return shapely.Polygon(corners).intersection(shapely.box(0, -half_width, end, half_width))


def test_tiles_under_the_frame(service, rng):
    """Tiles that share any of the table seen, each cut with it; then a grid moved to a hundred places."""
    for turn in range(260):
        asked = camera(rng)
        far, _ = onto_table(asked, 0, asked["sensor_height_mm"] / 2)
        end, half_width = far * rng.uniform(0.5, 1.2), rng.uniform(0.2, 2)
        seen = table_seen(asked, end, half_width)
        if seen.area < 1e-3:
            continue
        asked |= {"table_end_m": end, "table_half_width_m": half_width}
        result = service.ask("coverage/table-seen", **asked)
        service.compare("coverage/table-seen", "shapely", result["area_m2"], seen.area, 1e-10, asked)
        low_x, low_y, high_x, high_y = seen.bounds
        tile = np.array([high_x - low_x, high_y - low_y]) / rng.uniform(2, 14, 2)

        def covering(origin):
            rows = [np.arange(np.floor((low - at) / side) - 1, np.ceil((high - at) / side) + 1) for low, high, at, side in zip((low_x, low_y), (high_x, high_y), origin, tile)]
            x, y = (at + side * of.ravel() for at, side, of in zip(origin, tile, np.meshgrid(*rows)))
            shared = shapely.area(shapely.intersection(seen, shapely.box(x, y, x + tile[0], y + tile[1])))
            # what is nearly as small as the least that counts may fall either way
            return None if (np.abs(shared - LEAST_M2) < 1e-9).any() else int((shared > LEAST_M2).sum())

        asked |= {"tile_x_m": tile[0], "tile_y_m": tile[1]}
        origin = rng.uniform(-1, 1, 2) * tile
        count = covering(origin)
        if count is not None:
            spare = rng.uniform(0, 0.3)
            result = service.ask("coverage/tile-count", grid_origin_m=origin, spare_fraction=spare, **asked)
            theirs = {"tiles_covering": count, "tiles_to_cast": np.ceil(count * (1 + spare))}
            service.compare_each("coverage/tile-count", "shapely", result, theirs, 1e-12, (asked, origin, spare))
        if turn % 12 == 0:
            counts = [covering(tile * (forward, across) / 10) for forward in range(10) for across in range(10)]
            if None not in counts:
                result = service.ask("coverage/tile-grid", **asked)
                service.compare("coverage/tile-grid", "shapely, a hundred places", result["tiles_covering"], min(counts), 1e-12, asked)
                service.compare("coverage/tile-grid", "the same, saved", result["tiles_saved"], counts[0] - min(counts), 1e-12, asked)


def test_a_backing_behind_the_table(service, rng):
    """The corners of the frame thrown onto an upright wall, and the tops of pieces that touch the horizon or the frame."""
    for _ in range(400):
        asked = camera(rng) | {"tilt_down_deg": rng.uniform(-10, 25)}
        metres = rng.uniform(0.5, 8)
        focal, focus = asked["focal_length_mm"], asked["focus_distance_from_entrance_pupil_mm"]
        image = focal * focus / (focus - focal)
        tilt = np.radians(asked["tilt_down_deg"])

        def onto_wall(across, up, away):
            forward = np.cos(tilt) * image + np.sin(tilt) * up
            rise = np.cos(tilt) * up - np.sin(tilt) * image
            return across / forward * away, asked["camera_height_m"] + rise / forward * away

        wide, high = asked["sensor_width_mm"] / 2, asked["sensor_height_mm"] / 2
        (half_bottom, bottom), (half_top, top) = onto_wall(wide, -high, metres), onto_wall(wide, high, metres)
        result = service.ask("coverage/backing-size", backing_distance_m=metres, **asked)
        theirs = {"bottom_height_m": bottom, "top_height_m": top, "width_at_bottom_m": 2 * half_bottom, "width_at_top_m": 2 * half_top}
        service.compare_each("coverage/backing-size", "numpy rays", result, theirs, 1e-11, (asked, metres), absolute=True)
        del asked["sensor_width_mm"]
        result = service.ask("coverage/piece-height", piece_distance_m=metres, **asked)
        theirs = {"leaves_frame_above_m": top, "breaks_horizon_above_m": onto_wall(0, np.tan(tilt) * image, metres)[1]}
        service.compare_each("coverage/piece-height", "numpy rays", result, theirs, 1e-11, (asked, metres), absolute=True)


def test_the_flag_for_a_shadow(service, rng):
    """The flag that is told, held up to the lamp: how much of the lamp is seen across the edge of its shadow."""
    for _ in range(300):
        lamp, height = rng.uniform(0.05, 0.6), rng.uniform(2, 6)
        edge, shadow = rng.uniform(0.01, 0.3), rng.uniform(0.35, 2)
        result = service.ask("shadow/flag-for-shadow", shadow_width_m=shadow, lamp_diameter_m=lamp, lamp_height_m=height, edge_width_m=edge)
        lifted, half = result["flag_height_m"], result["flag_width_m"] / 2
        # rays from both rims of the lamp, and from its middle, past the rim of the flag to the set
        onto_set = lambda start: half + (half - start) * lifted / (height - lifted)
        theirs = {"edge": onto_set(-lamp / 2) - onto_set(lamp / 2), "shadow": 2 * onto_set(0.0)}
        service.compare_each("shadow/flag-for-shadow", "rays past the flag", {"edge": edge, "shadow": shadow}, theirs, 1e-11, (lamp, height))
        size = rng.uniform(0.02, 0.9) * lamp
        meets = lamp * (height - lifted) / (lamp - size)
        result = service.ask("shadow/umbra-length", lamp_diameter=lamp, flag_diameter=size, lamp_to_flag=height - lifted)
        service.compare("shadow/umbra-length", "where both rims meet", result["umbra_length"], meets - (height - lifted), 1e-10, (lamp, size))
