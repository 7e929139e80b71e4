//! Lamps, projectors, drives and lines: what the calculations need of each.

use crate::{
    journal::value::{Id, Text},
    record,
};

/// Knots whose efficiency the handbook table gives.
pub const KNOT: &[(&str, &str)] = &[
    ("unknown", "not known"),
    ("overhand", "overhand"),
    ("bowline", "bowline"),
    ("clove_hitch", "clove hitch"),
    ("clinch", "clinch on monofilament"),
    ("eye_splice", "eye splice"),
];

record! {
    /// A lamp head.
    Lamp, "lamp" in "lamp" list "lamps" {
        /// What the crew calls it.
        name: Text = text(120).needed(), "Lamp";
        /// Diameter of what the light leaves by: lens, reflector or gel frame.
        source_diameter_mm: Option<f64> = number("mm", 0.1, 5000.0), "Source diameter";
        /// Full angle of its beam.
        beam_deg: Option<f64> = number("°", 1.0, 170.0).usual(5.0, 90.0), "Beam";
        /// Intensity on its axis.
        intensity_cd: Option<f64> = number("cd", 0.01, 100_000_000.0), "Intensity";
        /// What it draws.
        power_w: Option<f64> = number("W", 0.01, 100_000.0), "Draws";
        /// Rate at which its light swings; 0 is steady.
        flicker_hz: Option<f64> = number("Hz", 0.0, 1_000_000.0), "Light swings at";
        /// How far it swings: (most − least) over (most + least).
        flicker_depth: Option<f64> = number("", 0.0, 1.0), "Depth of the swing";
        /// Share of the time it is on, where it is chopped on and off.
        pwm_duty: Option<f64> = number("", 0.0, 1.0), "On for, if chopped";
        /// Power factor: tungsten 1, corrected supplies 0.9 to 0.98, uncorrected 0.5 to 0.6. Read the plate.
        power_factor: Option<f64> = number("", 0.1, 1.0).start(1.0), "Power factor";
        /// Where it lives.
        lives_at: Text = text(120), "Lives at";
    }
}

/// Phases of a supply.
pub const PHASE: &[(&str, &str)] = &[("L1", "L1"), ("L2", "L2"), ("L3", "L3")];

record! {
    /// A circuit of a stage.
    Circuit, "circuit" in "circuit" list "circuits" {
        /// What stands on its socket.
        name: Text = text(60).needed(), "Circuit";
        /// The stage it is on.
        stage: Option<Id> = reference("stage"), "On stage";
        /// Rating of its breaker.
        breaker_a: Option<f64> = number("A", 0.5, 1000.0).usual(6.0, 125.0).start(16.0), "Breaker";
        /// Voltage of the supply.
        voltage_v: Option<f64> = number("V", 10.0, 1000.0).usual(100.0, 250.0).start(230.0), "Supply";
        /// Which phase feeds it.
        phase: Text = choice(PHASE), "Phase";
        /// Length of the cable to the lamps.
        cable_length_m: Option<f64> = number("m", 0.1, 1000.0), "Cable";
        /// Its cross-section.
        cable_area_mm2: Option<f64> = number("mm²", 0.1, 500.0), "Cross-section";
    }
}

record! {
    /// A projector.
    Projector, "projector" in "projector" list "projectors" {
        /// What the crew calls it.
        name: Text = text(120).needed(), "Projector";
        /// Distance over width of the picture.
        throw_ratio: Option<f64> = number("", 0.05, 20.0), "Throw over width";
        /// Width over height of the picture.
        aspect: Option<f64> = number("", 0.2, 5.0).start(1.7778), "Picture, width over height";
        /// Light it gives.
        flux_lm: Option<f64> = number("lm", 1.0, 200_000.0), "Light";
        /// Pixels across.
        pixels_across: Option<i64> = whole("", 16, 100_000), "Pixels across";
        /// Pictures a second.
        refresh_hz: Option<f64> = number("Hz", 1.0, 1000.0), "Pictures a second";
        /// Where it lives.
        lives_at: Text = text(120), "Lives at";
    }
}

record! {
    /// A motor with its drum, turntable or dolly.
    Drive, "drive" in "drive" list "drives" {
        /// What the crew calls it.
        name: Text = text(120).needed(), "Drive";
        /// Drum that the line winds on, or wheel that rolls.
        drum_diameter_mm: Option<f64> = number("mm", 0.5, 2000.0), "Drum or wheel";
        /// Full steps a turn of the motor.
        steps_per_turn: Option<i64> = whole("", 1, 100_000).start(200.0), "Steps a turn";
        /// Microsteps a step.
        microsteps: Option<i64> = whole("", 1, 1024).start(16.0), "Microsteps";
        /// Turns of the motor for one of the drum.
        gear_ratio: Option<f64> = number("", 0.01, 10_000.0).start(1.0), "Gearing, motor to drum";
        /// Acceleration not to exceed.
        most_acceleration_mm_per_s2: Option<f64> = number("mm/s²", 1.0, 100_000.0).start(300.0), "Most acceleration";
        /// Dial of the first timed run.
        dial_slow: Option<f64> = number("", 0.0, 100_000.0), "Slow run, dial";
        /// Speed timed at it.
        speed_slow_mm_per_s: Option<f64> = number("mm/s", 0.001, 100_000.0), "Slow run, timed";
        /// Dial of the second timed run.
        dial_fast: Option<f64> = number("", 0.0, 100_000.0), "Fast run, dial";
        /// Speed timed at it.
        speed_fast_mm_per_s: Option<f64> = number("mm/s", 0.001, 100_000.0), "Fast run, timed";
        /// Who timed it, and when.
        timed_by: Text = text(120), "Timed by";
        /// Where it lives.
        lives_at: Text = text(120), "Lives at";
    }
}

record! {
    /// A line to hang models on.
    Filament, "line" in "filament" list "filaments" {
        /// What the crew calls it.
        name: Text = text(120).needed(), "Line";
        /// Diameter.
        diameter_mm: Option<f64> = number("mm", 0.005, 20.0).usual(0.03, 1.0), "Diameter";
        /// Load it breaks at, straight.
        breaking_n: Option<f64> = number("N", 0.01, 1_000_000.0), "Breaks at";
        /// Stiffness of the material.
        modulus_gpa: Option<f64> = number("GPa", 0.01, 1000.0), "Stiffness";
        /// Knot that holds it.
        knot: Text = choice(KNOT), "Knot";
        /// Where it lives.
        lives_at: Text = text(120), "Lives at";
    }
}
