//! Units read off the ends of names, and names in words.

/// Endings of names and the units they stand for, longer endings first.
const UNITS: &[(&str, &str)] = &[
    ("btu_per_h", "BTU/h"),
    ("_torque_nm", "N·m"),
    ("_deg_per_s", "°/s"),
    ("_db_per_m", "dB/m"),
    ("_mg_h_pm3", "mg·h/m³"),
    ("_per_sr", "1/sr"),
    ("_per_m3", "1/m³"),
    ("_per_m", "1/m"),
    ("_per_h", "1/h"),
    ("_per_s", "1/s"),
    ("_mgpm3", "mg/m³"),
    ("_kgpm3", "kg/m³"),
    ("_kgpl", "kg/L"),
    ("_gpmin", "g/min"),
    ("_gpmol", "g/mol"),
    ("_lpmol", "L/mol"),
    ("_wpm2k", "W/m²K"),
    ("_wpm2", "W/m²"),
    ("_m2pg", "m²/g"),
    ("_m2pl", "m²/L"),
    ("_m3ps", "m³/s"),
    ("_m2ps", "m²/s"),
    ("_kgm2", "kg·m²"),
    ("_npm", "N/m"),
    ("_mps2", "m/s²"),
    ("_mps", "m/s"),
    ("_cdpm2", "cd/m²"),
    ("_lx_s", "lx·s"),
    ("_mired", "mired"),
    ("_stops", "stops"),
    ("_percent", "%"),
    ("_hours", "h"),
    ("_minutes", "min"),
    ("_seconds", "s"),
    ("_mm2", "mm²"),
    ("_mah", "mAh"),
    ("_kva", "kVA"),
    ("_kpa", "kPa"),
    ("_deg", "°"),
    ("_rad", "rad"),
    ("_ah", "Ah"),
    ("_fps", "fps"),
    ("_rpm", "rpm"),
    ("_ppm", "ppm"),
    ("_ohm", "Ω"),
    ("_gpa", "GPa"),
    ("_min", "min"),
    ("_mm", "mm"),
    ("_um", "µm"),
    ("_nm", "nm"),
    ("_m3", "m³"),
    ("_m2", "m²"),
    ("_lx", "lx"),
    ("_lm", "lm"),
    ("_cd", "cd"),
    ("_fc", "fc"),
    ("_fl", "fL"),
    ("_ft", "ft"),
    ("_hz", "Hz"),
    ("_kg", "kg"),
    ("_ma", "mA"),
    ("_kw", "kW"),
    ("_pa", "Pa"),
    ("_sr", "sr"),
    ("_m", "m"),
    ("_k", "K"),
    ("_c", "°C"),
    ("_s", "s"),
    ("_h", "h"),
    ("_n", "N"),
    ("_g", "g"),
    ("_l", "L"),
    ("_a", "A"),
    ("_v", "V"),
    ("_w", "W"),
];

/// Names whose ending looks like a unit and is none: letters of a formula's own.
const WITHOUT_UNIT: &[&str] = &["rate_factor_k", "lab_a", "stock_n"];

fn split_unit(name: &str) -> (&str, &'static str) {
    if WITHOUT_UNIT.contains(&name) {
        return (name, "");
    }
    UNITS
        .iter()
        .find_map(|&(ending, unit)| name.strip_suffix(ending).map(|stem| (stem, unit)))
        .unwrap_or((name, ""))
}

/// The unit at the end of a name, as people write it: `distance_m` has `m`, `density` has none.
pub fn unit(name: &str) -> &'static str {
    split_unit(name).1
}

/// Names whose words do not read by themselves.
const LABELS: &[(&str, &str)] = &[
    ("fps", "Rate in camera"),
    ("base_fps", "Base rate"),
    ("base_fps_num", "Numerator of the base rate"),
    ("base_fps_den", "Denominator of the base rate"),
    ("shoot_fps", "Shooting rate"),
    ("camera_max_fps", "Highest rate of the camera"),
    ("camera_rate_step_fps", "Rate step of the camera"),
    ("rate_factor_k", "Rate factor"),
    ("iso", "ISO"),
    ("f_number", "f-number"),
    ("t_number", "T-number"),
    ("ev100", "EV at ISO 100"),
    ("k_constant", "Constant K"),
    ("c_constant", "Constant C"),
    ("nd_density", "ND density"),
    ("dry_ice_kg", "Dry ice"),
    ("pwm_hz", "Switching frequency"),
    ("leds_in_series", "LEDs in series"),
    ("next_e24_ohm", "Next resistor of the E24 series"),
    ("current_with_e24_ma", "Current with that resistor"),
    ("x", "x"),
    ("y", "y"),
    ("target_x", "x of the colour wanted"),
    ("target_y", "y of the colour wanted"),
    ("u_prime", "u\u{2032}"),
    ("v_prime", "v\u{2032}"),
    ("x_tristimulus", "X"),
    ("y_tristimulus", "Y"),
    ("z_tristimulus", "Z"),
    ("white_xyz", "X, Y, Z of the white"),
    ("from_white_xyz", "X, Y, Z of the white there is"),
    ("to_white_xyz", "X, Y, Z of the white it becomes"),
    ("lab_a", "a*"),
    ("lab_b", "b*"),
    ("lab1", "First colour"),
    ("lab2", "Second colour"),
    ("delta_e_2000", "Difference, CIEDE2000"),
    ("delta_uprime_vprime", "Distance on the even diagram"),
    ("spd", "Spectrum"),
    ("cct_k", "Colour temperature"),
    ("lamp_cct_k", "Colour temperature of the lamp"),
    ("from_cct_k", "Colour temperature from"),
    ("to_cct_k", "Colour temperature to"),
    ("result_cct_k", "Colour temperature behind it"),
    ("result_from_5500_cct_k", "Colour temperature from 5500 K"),
    ("result_from_3200_cct_k", "Colour temperature from 3200 K"),
    ("nominal_cct_k", "Colour temperature it is named for"),
    ("daylight_cct_k", "Colour temperature of the daylight"),
    ("lamp_duv", "Duv of the lamp"),
    ("gel_duv_shifts", "Duv shifts of the gels"),
    ("stock_n", "Gels in stock"),
    ("kd_source", "Source of the weakening"),
    ("kd_per_m", "Weakening of light from above"),
    ("iop_source", "Source of absorption and scattering"),
    ("beam_attenuation_532nm_per_m", "Beam attenuation at 532 nm"),
    ("flicker_cv", "Flicker"),
    ("awg", "Gauge"),
    ("btu_per_h", "Heat"),
    ("resistance_20c_ohm", "Resistance at 20 °C"),
    ("ppm", "Parts in a million"),
    ("sheet_w_m", "Length of the sheet"),
    ("sheet_h_m", "Width of the sheet"),
    ("part_w_m", "Length of the part"),
    ("part_h_m", "Width of the part"),
    ("block_m", "Sides of the block"),
    ("part_m", "Sides of the part"),
    (
        "consistency_water_per_100",
        "Consistency, water to 100 of plaster",
    ),
    (
        "water_g_per_100g_plaster",
        "Grams of water bound by 100 g of plaster",
    ),
    ("twa_8h_mgpm3", "Eight-hour average"),
    ("twa_limit_mgpm3", "Eight-hour limit"),
    ("co2_added_ppm", "Carbon dioxide added"),
    ("ev_iso", "EV at this ISO"),
    ("iso_factor_needed", "ISO, so many times higher"),
    ("red_8bit", "Red, 0 to 255"),
    ("green_8bit", "Green, 0 to 255"),
    ("blue_8bit", "Blue, 0 to 255"),
    ("m1", "Share of the first component"),
    ("m2", "Share of the second component"),
    ("index", "Refractive index"),
    ("geometric_sd", "Spread of sizes"),
    ("beam_angle_50pct_deg", "Beam angle, to half the middle"),
    ("wavelength_for_1pct_m", "Wavelength for an error of 1 %"),
    ("worst_case_pair_n", "Worst case, on two lines"),
    ("worst_case_line_n", "Worst case, on one line"),
    ("apparent_rel", "Radiance seen, relative"),
    ("target_radiance_rel", "Its own radiance, relative"),
    ("veil_radiance_rel", "Radiance of open water, relative"),
    ("stops_rule_of_thumb", "Stops by rule of thumb"),
];

/// The name in words, without its unit: `focal_length_mm` is `Focal length`.
pub fn label(name: &str) -> String {
    if let Some((_, words)) = LABELS.iter().find(|(of, _)| *of == name) {
        return (*words).to_owned();
    }
    let mut words = String::new();
    for word in split_unit(name).0.split('_') {
        if !words.is_empty() {
            words.push(' ');
        }
        // the second of two lines: tension2
        let stem = word.trim_end_matches(|c: char| c.is_ascii_digit());
        words.push_str(stem);
        if !stem.is_empty() && stem.len() < word.len() {
            words.push(' ');
        }
        words.push_str(&word[stem.len()..]);
    }
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}
