"""What is in frame and what is sharp, against rays through a lens of two glasses, found and not solved."""

import numpy as np
from lens import some_lens
from scipy.optimize import brentq, minimize_scalar


def test_a_lens_in_front_of_a_plane(service, rng):
    """Sharpness, size and pupils of lenses whose pupils are not alike."""
    for _ in range(600):
        lens = some_lens(rng)
        far = lens.focal * rng.uniform(6, 60) + 2 * abs(lens.entrance)
        blur = lens.entrance_width * rng.uniform(2e-4, 4e-3)
        sensor = lens.sensor_for(far)
        if sensor < lens.glasses[1][0] + 1:
            continue
        cone = lambda x: lens.width_on(sensor, lens.through(x, 0.0, lens.opening / 2)) - blur
        chief = lens.through(far, 1.0, 0.0)
        asked = {
            "focal_length_mm": lens.focal,
            "f_number": lens.f_number,
            "permitted_blur_mm": blur,
            "focus_distance_from_entrance_pupil_mm": far,
            "pupil_magnification": lens.pupil_magnification,
            "principal_plane_separation_mm": lens.principal_gap,
        }
        near = far
        while cone(near) < 0:
            near *= 0.8
        upper = lens.through(far, 0.0, lens.opening / 2)
        size = abs(chief[0] + chief[1] * (sensor - lens.glasses[1][0]))
        theirs = {
            "magnification": size,
            "near_from_entrance_pupil_mm": brentq(cone, near, far, xtol=1e-12, rtol=1e-14),
            "effective_f_number": 1 / (2 * abs(upper[1])),
        }
        result = service.ask("focus/depth-of-field", **asked)
        service.compare_each("focus/depth-of-field", "rays through two glasses", result, theirs, 1e-11, asked)
        place = result["entrance_pupil_to_sensor_mm"]
        service.compare("focus/depth-of-field", "the same, sensor by focal lengths", place / lens.focal, (sensor - lens.entrance) / lens.focal, 1e-10, asked, absolute=True)
        open_end = lens.width_on(sensor, lens.parallel(lens.opening / 2)) <= blur
        if open_end:
            assert result["far_from_entrance_pupil_mm"] == "Infinity", asked
        elif lens.width_on(sensor, lens.parallel(lens.opening / 2)) > 1.01 * blur:
            end = brentq(cone, far, 1e8, xtol=1e-9, rtol=1e-14)
            service.compare("focus/depth-of-field", "the same, far limit through two glasses", result["far_from_entrance_pupil_mm"], end, 1e-10, asked)

        wide = rng.uniform(8, 40)
        framed = service.ask(
            "lens/angle-of-view",
            sensor_width_mm=wide,
            focal_length_mm=lens.focal,
            magnification=size,
            pupil_magnification=lens.pupil_magnification,
        )
        # the point whose image lies at the edge of the sensor
        edge = wide / 2 / size
        theirs = {"horizontal_deg": 2 * np.degrees(np.arctan(edge / far)), "frame_width_at_focus_mm": 2 * edge}
        service.compare_each("lens/angle-of-view", "rays through two glasses", framed, theirs, 1e-11, (asked, wide))
        place = far * rng.uniform(0.5, 3)
        framed = service.ask(
            "lens/frame-at-distance",
            sensor_width_mm=wide,
            sensor_height_mm=wide / 1.5,
            distance_mm=place,
            **{name: asked[name] for name in ("focal_length_mm", "focus_distance_from_entrance_pupil_mm", "pupil_magnification")},
        )
        there = lens.through(place, 1.0, 0.0)
        size_there = abs(there[0] + there[1] * (sensor - lens.glasses[1][0]))
        theirs = {"frame_width_mm": wide / size_there, "frame_height_mm": wide / 1.5 / size_there}
        service.compare_each("lens/frame-at-distance", "rays through two glasses", framed, theirs, 1e-11, (asked, place))


def test_focus_from_which_infinity_is_sharp(service, rng):
    for _ in range(300):
        lens = some_lens(rng)
        blur = lens.entrance_width * rng.uniform(3e-4, 4e-3)
        at_infinity = lens.parallel(lens.opening / 2)
        excess = lambda far: lens.width_on(lens.sensor_for(far), at_infinity) - blur
        low = 3 * lens.focal + 2 * abs(lens.entrance)
        if excess(low) < 0:
            continue
        theirs = brentq(excess, low, 1e8, xtol=1e-9, rtol=1e-14)
        asked = (lens.focal, lens.f_number, blur)
        result = service.ask(
            "focus/hyperfocal",
            focal_length_mm=lens.focal,
            f_number=lens.f_number,
            permitted_blur_mm=blur,
            pupil_magnification=lens.pupil_magnification,
        )
        service.compare("focus/hyperfocal", "rays through two glasses", result["hyperfocal_from_entrance_pupil_mm"], theirs, 1e-10, asked)


def thin_cone(focal, stop, sensor, place):
    """Width on a sensor behind a thin lens of the cone from a point of the axis."""
    sharp = focal * place / (place - focal)
    return focal / stop * abs(sensor - sharp) / sharp


def test_best_stop(service, rng):
    """The stop that leaves the worse end of a range as sharp as it can be, of all stops."""
    for _ in range(400):
        focal, nm = rng.uniform(15, 120), rng.uniform(450, 650)
        near = focal * rng.uniform(6, 40)
        end = near * rng.uniform(1.05, 4)
        image = lambda place: focal * place / (place - focal)
        focus = brentq(lambda u: thin_cone(focal, 8, image(u), near) - thin_cone(focal, 8, image(u), end), near, end, xtol=1e-12, rtol=1e-14)
        sensor = image(focus)

        def worse(log_stop):
            stop = np.exp(log_stop)
            dark_ring = 2.44 * nm * 1e-6 * stop * sensor / focal
            return np.hypot(max(thin_cone(focal, stop, sensor, place) for place in (near, end)), dark_ring)

        best = minimize_scalar(worse, bounds=(np.log(0.2), np.log(2000)), method="bounded", options={"xatol": 1e-10})
        asked = {"focal_length_mm": focal, "near_from_entrance_pupil_mm": near, "far_from_entrance_pupil_mm": end, "wavelength_nm": nm}
        result = service.ask("focus/best-stop", **asked)
        service.compare("focus/best-stop", "scipy search, focus", result["focus_from_entrance_pupil_mm"], focus, 1e-10, asked)
        service.compare("focus/best-stop", "the same, blur", result["total_blur_um"], best.fun * 1e3, 1e-10, asked)
        # the lowest place of a curve is known to half the digits of its value
        service.compare("focus/best-stop", "the same, stop", result["best_f_number"], np.exp(best.x), 1e-6, asked)


def test_slices_of_a_stack(service, rng):
    """Each slice begins where the one before ends, its limits found on the cone of rays."""
    for _ in range(250):
        focal, stop, blur = rng.uniform(20, 100), rng.uniform(2.8, 16), rng.uniform(0.004, 0.03)
        near = focal * rng.uniform(6, 20)
        hyperfocal = focal**2 / (stop * blur)
        end = min(near * rng.uniform(1.1, 3), 0.45 * hyperfocal)
        if end < near * 1.05:
            continue
        image = lambda place: focal * place / (place - focal)
        begin, focuses = near, []
        while begin < end:
            focus = brentq(lambda u: thin_cone(focal, stop, image(u), begin) - blur, begin * (1 + 1e-9), hyperfocal, xtol=1e-11, rtol=1e-14)
            begin = brentq(lambda x: thin_cone(focal, stop, image(focus), x) - blur, focus * (1 + 1e-12), 1e9, xtol=1e-9, rtol=1e-14)
            focuses.append(focus)
        if abs(begin / end - 1) < 1e-6:
            continue
        asked = {
            "focal_length_mm": focal,
            "f_number": stop,
            "permitted_defocus_blur_mm": blur,
            "near_from_entrance_pupil_mm": near,
            "far_from_entrance_pupil_mm": end,
        }
        result = service.ask("focus/focus-slices", **asked)
        service.compare_each("focus/focus-slices", "scipy roots, slice by slice", result, {"slices": len(focuses), "focus_distances_mm": focuses}, 1e-7, asked)


def tilted_image(focal, tilt, along, up):
    """Where a thin lens that is tilted down makes the image of a point, along the camera's axis and up."""
    turn = np.array([[np.cos(tilt), -np.sin(tilt)], [np.sin(tilt), np.cos(tilt)]])
    depth, height = turn @ (along, up)
    behind = focal * depth / (depth - focal)
    return turn.T @ (-behind, -height * behind / depth)


def test_tilted_lenses(service, rng):
    """Which point of a plumb line is sharp on the sensor, and where its blur grows to what passes."""
    for _ in range(300):
        focal, tilt = rng.uniform(20, 90), np.radians(rng.uniform(0.5, 12))
        stop, blur = rng.uniform(4, 22), rng.uniform(0.005, 0.03)
        # sharp on the axis at some distance before the lens
        along = focal * rng.uniform(8, 40)
        sensor = -tilted_image(focal, tilt, focal * rng.uniform(8, 60), 0.0)[0]

        def spread(up):
            there = tilted_image(focal, tilt, along, up)
            # rays to both rims of the lens, run on to the sensor; the opening is as wide upward as the lens is
            rims = np.array([-1, 1]) * focal / stop / 2
            on_sensor = rims + (there[1] - rims) * (-sensor) / there[0]
            return on_sensor[1] - on_sensor[0]

        # nothing nearer to the lens than its focal length has an image on the sensor
        highest = (along * np.cos(tilt) - 1.000001 * focal) / np.sin(tilt)
        sharp = brentq(lambda up: tilted_image(focal, tilt, along, up)[0] + sensor, -1e7, highest, xtol=1e-10, rtol=1e-14)
        result = service.ask(
            "focus/tilt-plane-and-wedge",
            focal_length_mm=focal,
            tilt_deg=np.degrees(tilt),
            lens_to_sensor_mm=sensor,
            f_number=stop,
            permitted_blur_mm=blur,
            distance_along_axis_mm=along,
        )
        asked = (focal, np.degrees(tilt), sensor, stop, blur, along)
        service.compare("focus/tilt-plane-and-wedge", "rays through a tilted lens, by its height", result["plane_height_mm"] / along, sharp / along, 1e-9, asked, absolute=True)
        wide = 4 * abs(result["upper_limit_mm"] - result["plane_height_mm"])
        ends = [brentq(lambda up: abs(spread(up)) - blur, sharp, sharp + side * wide, xtol=1e-10, rtol=1e-14) for side in (-1, 1)]
        ours = sorted([result["lower_limit_mm"], result["upper_limit_mm"]])
        for mine, theirs in zip(ours, ends):
            service.compare("focus/tilt-plane-and-wedge", "the same, ends of the wedge", (mine - sharp) / wide, (theirs - sharp) / wide, 1e-9, asked, absolute=True)


def test_a_table_in_focus(service, rng):
    """The tilt and the sensor on which two points of the table, and so all of it, are sharp."""
    for _ in range(200):
        focal = rng.uniform(18, 90)
        high = focal * rng.uniform(2, 12)
        image = lambda tilt, place: tilted_image(focal, tilt, place * focal, -high)[0]
        tilt = brentq(lambda of: image(of, 12) - image(of, 40), 0.0, 0.99, xtol=1e-15, rtol=1e-14)
        result = service.ask("focus/tilt-for-table", focal_length_mm=focal, lens_height_above_table_mm=high)
        theirs = {"tilt_deg": np.degrees(tilt), "lens_to_sensor_mm": -image(tilt, 12)}
        service.compare_each("focus/tilt-for-table", "scipy root on rays through a tilted lens", result, theirs, 1e-11, (focal, high))


def test_the_lens_that_repeats_a_plate(service, rng):
    for _ in range(300):
        wide, focal, far = rng.uniform(12, 36), rng.uniform(14, 85), rng.uniform(1500, 20_000)
        scale, model_wide = rng.uniform(6, 48), rng.uniform(8, 36)
        framed = lambda sensor, lens, place: sensor * place / (lens * place / (place - lens))
        near = far / scale
        theirs = brentq(lambda lens: framed(model_wide, lens, near) - framed(wide, focal, far) / scale, 1e-3, near * 0.999, xtol=1e-12, rtol=1e-14)
        asked = {
            "plate_sensor_width_mm": wide,
            "plate_focal_length_mm": focal,
            "plate_focus_distance_mm": far,
            "scale_denominator": scale,
            "model_sensor_width_mm": model_wide,
        }
        result = service.ask("lens/match-plate", **asked)
        service.compare("lens/match-plate", "scipy root on frames", result["model_focal_length_mm"], theirs, 1e-10, asked)


def refracted(direction, normal, ratio):
    """Snell's law for unit vectors, the normal against the light; `ratio` is the index before over the one behind."""
    cosine = -direction @ normal
    return ratio * direction + (ratio * cosine - np.sqrt(1 - ratio**2 * (1 - cosine**2))) * normal


def onto_sphere(place, direction, vertex, radius):
    """Where a ray meets a sphere near its vertex, and the normal there against the light."""
    centre = np.array([vertex + radius, 0.0])
    away = place - centre
    half = away @ direction
    length = -half - np.sign(radius) * np.sqrt(half**2 - away @ away + radius**2)
    there = place + length * direction
    return there, (there - centre) / abs(radius) * np.sign(radius)


def test_a_thick_lens(service, rng):
    """A ray near the axis, refracted at two spheres."""
    for _ in range(400):
        index = rng.uniform(1.4, 1.9)
        front, back = rng.uniform(30, 200), -rng.uniform(30, 200)
        thick = rng.uniform(1, 15)
        height = 1e-5 * min(front, -back)
        place, direction = np.array([-10.0, height]), np.array([1.0, 0.0])
        place, normal = onto_sphere(place, direction, 0.0, front)
        direction = refracted(direction, normal, 1 / index)
        place, normal = onto_sphere(place, direction, thick, back)
        direction = refracted(direction, normal, index)
        slope = direction[1] / direction[0]
        theirs = {"focal_length_mm": -height / slope, "back_focus_mm": place[0] - place[1] / slope - thick}
        asked = {"index": index, "radius1_mm": front, "radius2_mm": back, "thickness_mm": thick}
        result = service.ask("lens/thick-lens-reference", **asked)
        service.compare_each("lens/thick-lens-reference", "Snell's law at two spheres", result, theirs, 1e-8, asked)


def test_how_planes_slide_past_each_other(service, rng):
    """Two points seen by a camera in two pictures."""
    for _ in range(300):
        speed, focal, fps = rng.uniform(0.01, 1), rng.uniform(18, 90), rng.uniform(24, 120)
        focus, pitch = rng.uniform(400, 4000), rng.uniform(0.003, 0.009)
        near, end = rng.uniform(300, 1500), rng.uniform(1600, 9000)
        image = focal * focus / (focus - focal)
        step = speed * 1000 / fps
        seen = lambda moved, place: image * (10.0 - moved) / place / pitch
        shifts = [seen(0, place) - seen(step, place) for place in (near, end)]
        asked = {
            "dolly_speed_mps": speed,
            "focal_length_mm": focal,
            "focus_distance_from_entrance_pupil_mm": focus,
            "near_plane_mm": near,
            "far_plane_mm": end,
            "photosite_mm": pitch,
            "fps": fps,
        }
        result = service.ask("drive/parallax-rate", **asked)
        theirs = {
            "near_shift_photosites_per_frame": shifts[0],
            "far_shift_photosites_per_frame": shifts[1],
            "parallax_photosites_per_frame": shifts[0] - shifts[1],
        }
        service.compare_each("drive/parallax-rate", "points in two pictures", result, theirs, 1e-11, asked)
