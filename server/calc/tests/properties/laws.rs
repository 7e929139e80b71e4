//! Inverse pairs return, and what physics says grows or falls does so.

use super::given::usual;
use proptest::prelude::*;
use serde_json::{Value, json};
use stillair_calc::find;

/// A number of the answer on the usual inputs but for these.
fn worked(address: &str, output: &str, given: &[(&str, f64)]) -> Option<f64> {
    let (family, name) = address.split_once('/').expect("family/calculation");
    let calculation = find(family, name).unwrap_or_else(|| panic!("{address} is not there"));
    let mut inputs = usual(calculation);
    for (name, value) in given {
        assert!(
            calculation.inputs.iter().any(|input| input.name == *name),
            "{address} has no {name}"
        );
        inputs.insert((*name).to_owned(), json!(value));
    }
    let reply = (calculation.run)(&inputs).ok()?;
    match &reply.result[output] {
        Value::String(_) => Some(f64::INFINITY),
        value => value.as_f64(),
    }
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * b.abs().max(1e-12)
}

/// There and back: a calculation with its varied input and output, and the one that undoes it.
struct Pair {
    there: (&'static str, &'static str, &'static str),
    back: (&'static str, &'static str, &'static str),
    range: (f64, f64),
}

const PAIRS: &[Pair] = &[
    Pair {
        there: ("haze-fill/time-to-target", "target_mgpm3", "time_min"),
        back: ("haze-fill/concentration", "time_min", "concentration_mgpm3"),
        range: (1.0, 120.0),
    },
    Pair {
        there: ("gel/transmittance-to-stops", "transmittance", "density"),
        back: ("gel/nd", "density", "transmittance"),
        range: (0.01, 0.99),
    },
    Pair {
        there: ("projection/water-wave", "period_s", "wavelength_m"),
        back: ("projection/wave-from-length", "wavelength_m", "period_s"),
        range: (0.2, 12.0),
    },
    Pair {
        there: ("exposure/nd", "nd_density", "transmittance"),
        back: ("gel/transmittance-to-stops", "transmittance", "density"),
        range: (0.05, 3.0),
    },
    Pair {
        there: ("gel/mired", "cct_k", "mired"),
        back: ("gel/mired", "cct_k", "mired"),
        range: (1500.0, 20_000.0),
    },
];

/// How an answer goes with an input, everything else as it starts.
struct Trend {
    address: &'static str,
    input: &'static str,
    output: &'static str,
    range: (f64, f64),
    rises: bool,
}

const fn rises(
    address: &'static str,
    input: &'static str,
    output: &'static str,
    range: (f64, f64),
) -> Trend {
    Trend {
        address,
        input,
        output,
        range,
        rises: true,
    }
}

const fn falls(
    address: &'static str,
    input: &'static str,
    output: &'static str,
    range: (f64, f64),
) -> Trend {
    Trend {
        rises: false,
        ..rises(address, input, output, range)
    }
}

/// A dark thing's contrast is negative and rises to nothing.
const TRENDS: &[Trend] = &[
    rises(
        "scale-time/gravity-true-rate",
        "scale_denominator",
        "shoot_fps",
        (1.0, 500.0),
    ),
    falls(
        "scale-time/apparent-gravity",
        "shoot_fps",
        "gravity_ratio",
        (10.0, 1000.0),
    ),
    falls(
        "scale-time/model-speed",
        "scale_denominator",
        "model_speed_mps",
        (1.0, 500.0),
    ),
    falls(
        "focus/depth-of-field",
        "f_number",
        "near_from_entrance_pupil_mm",
        (1.4, 32.0),
    ),
    rises(
        "focus/depth-of-field",
        "f_number",
        "effective_f_number",
        (1.4, 32.0),
    ),
    rises(
        "focus/hyperfocal",
        "focal_length_mm",
        "hyperfocal_simple_mm",
        (10.0, 200.0),
    ),
    falls(
        "story-stop/story-stop",
        "model_f_number",
        "depth_giveaway_stops",
        (1.4, 64.0),
    ),
    rises(
        "exposure/required-illuminance",
        "t_number",
        "illuminance_lx",
        (1.0, 32.0),
    ),
    falls(
        "exposure/required-illuminance",
        "shutter_deg",
        "illuminance_lx",
        (5.0, 360.0),
    ),
    falls(
        "exposure/disc-source",
        "distance_m",
        "illuminance_lx",
        (0.1, 50.0),
    ),
    falls(
        "exposure/panel-source",
        "distance_m",
        "illuminance_lx",
        (0.1, 50.0),
    ),
    falls(
        "haze-optics/path",
        "distance_m",
        "transmittance",
        (0.01, 20.0),
    ),
    rises(
        "haze-optics/haze-demand",
        "scale_denominator",
        "concentration_mgpm3",
        (1.0, 200.0),
    ),
    rises(
        "haze-fill/concentration",
        "time_min",
        "concentration_mgpm3",
        (0.0, 90.0),
    ),
    falls(
        "haze-fill/decay",
        "time_min",
        "concentration_mgpm3",
        (0.0, 300.0),
    ),
    falls(
        "air-limits/allowed-time",
        "concentration_mgpm3",
        "hours_without_protection",
        (1.0, 30.0),
    ),
    rises(
        "air-limits/clear-time",
        "concentration_start_mgpm3",
        "time_min",
        (11.0, 5000.0),
    ),
    rises("suspension/pendulum", "length_m", "period_s", (0.1, 20.0)),
    rises(
        "suspension/pendulum",
        "amplitude_deg",
        "period_s",
        (0.0, 170.0),
    ),
    rises(
        "suspension/shock-factor",
        "slack_drop_m",
        "shock_factor",
        (0.0, 1.0),
    ),
    rises(
        "suspension/line-margin",
        "breaking_load_n",
        "margin",
        (10.0, 5000.0),
    ),
    falls(
        "suspension/stretch",
        "diameter_mm",
        "stretch_mm",
        (0.05, 3.0),
    ),
    falls(
        "suspension/heave",
        "static_stretch_mm",
        "heave_hz",
        (0.1, 200.0),
    ),
    rises(
        "drive/drum-drive",
        "line_speed_mps",
        "drum_rpm",
        (0.01, 5.0),
    ),
    rises(
        "shadow/umbra-length",
        "flag_diameter",
        "umbra_length",
        (0.01, 0.19),
    ),
    rises(
        "coverage/backing-size",
        "backing_distance_m",
        "build_width_m",
        (0.5, 20.0),
    ),
    falls(
        "projection/projector-image",
        "throw_distance_m",
        "illuminance_lx",
        (0.5, 20.0),
    ),
    rises(
        "projection/water-wave",
        "period_s",
        "wavelength_m",
        (0.2, 12.0),
    ),
    falls(
        "practicals/battery-runtime",
        "current_ma",
        "runtime_h",
        (10.0, 2000.0),
    ),
    rises("power/heat-btu", "power_w", "btu_per_h", (0.0, 50_000.0)),
    rises("power/drop-iec", "length_m", "drop_v", (1.0, 200.0)),
    rises("water/light-at-depth", "depth_m", "stops_lost", (0.0, 50.0)),
    rises(
        "water/contrast",
        "beam_attenuation_per_m",
        "contrast",
        (0.0, 2.0),
    ),
    rises(
        "materials/plaster-mix",
        "volume_l",
        "plaster_kg",
        (0.1, 100.0),
    ),
    falls(
        "materials/plaster-mix",
        "consistency_water_per_100",
        "dry_density_kgpm3",
        (25.0, 90.0),
    ),
    rises(
        "dust/silica-in-dust",
        "quartz_fraction",
        "ratio",
        (0.0, 1.0),
    ),
    rises(
        "lamp-light/double-distance",
        "distance_ratio",
        "stops",
        (0.1, 20.0),
    ),
];

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn what_is_undone_is_as_it_was(share in 0.0..1.0_f64) {
        for pair in PAIRS {
            let value = pair.range.0 + share * (pair.range.1 - pair.range.0);
            let there = worked(pair.there.0, pair.there.2, &[(pair.there.1, value)]);
            let there = there.unwrap_or_else(|| panic!("{} of {value}", pair.there.0));
            let back = worked(pair.back.0, pair.back.2, &[(pair.back.1, there)]);
            let back = back.unwrap_or_else(|| panic!("{} of {there}", pair.back.0));
            prop_assert!(close(back, value), "{} and {}: {value} is {back}", pair.there.0, pair.back.0);
        }
    }

    #[test]
    fn rise_and_fall_are_as_physics_has_them(one in 0.0..1.0_f64, more in 0.001..1.0_f64) {
        for trend in TRENDS {
            let (low, high) = trend.range;
            let here = low + one * (high - low);
            let further = here + more * (high - here);
            let at = |value| worked(trend.address, trend.output, &[(trend.input, value)]);
            let name = format!("{} by {}", trend.address, trend.input);
            let (Some(before), Some(after)) = (at(here), at(further)) else {
                panic!("{name} does not work from {here} to {further}");
            };
            let slack = 1e-12 * before.abs();
            let holds = if trend.rises { after >= before - slack } else { after <= before + slack };
            prop_assert!(holds, "{name}: {before} at {here}, {after} at {further}");
        }
    }

    #[test]
    fn a_run_of_the_pair_depends_on_its_input(share in 0.05..0.9_f64) {
        // a trend that is flat everywhere would hold by itself
        for trend in TRENDS {
            let (low, high) = trend.range;
            let at = |share: f64| worked(trend.address, trend.output, &[(trend.input, low + share * (high - low))]);
            prop_assert!(at(share * 0.1) != at(share), "{} does not depend on {}", trend.address, trend.input);
        }
    }
}
