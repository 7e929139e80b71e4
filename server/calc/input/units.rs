//! Units read off the ends of names, and names in words.

/// Endings of names and the units they stand for, longer endings first.
const UNITS: &[(&str, &str)] = &[
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

/// Names whose ending looks like a unit and is none: k is the rate factor's own letter.
const WITHOUT_UNIT: &[&str] = &["rate_factor_k"];

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
];

/// The name in words, without its unit: `focal_length_mm` is `Focal length`.
pub fn label(name: &str) -> String {
    if let Some((_, words)) = LABELS.iter().find(|(of, _)| *of == name) {
        return (*words).to_owned();
    }
    let words = split_unit(name).0.replace('_', " ");
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}
