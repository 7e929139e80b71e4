//! What the doubts that go with an answer mean, in words for the stage.

/// A doubt as a sentence.
pub fn words(kind: &str) -> &'static str {
    DOUBTS.iter().find(|(of, _)| *of == kind).map_or(
        "There is a doubt about this figure: see how it is worked out.",
        |(_, words)| words,
    )
}

const DOUBTS: &[(&str, &str)] = &[
    (
        "above_80_percent",
        "Over 80 % of the breaker: not for loads that burn three hours or more.",
    ),
    ("above_limit", "Over the limit chosen."),
    ("beyond_hyperfocal", "Sharp to infinity."),
    (
        "beyond_stokes",
        "Droplets this large fall faster than the formula tells.",
    ),
    (
        "cadence_uneven",
        "The pictures change unevenly from frame to frame.",
    ),
    (
        "cct_not_meaningful",
        "Too far from a glowing body: a colour temperature means nothing here.",
    ),
    ("compression_unusual", "Outside what crews choose."),
    (
        "consistency_unusual",
        "Outside what crews mix: weigh a test.",
    ),
    ("deep_water", "Deeper than the tables reach well."),
    (
        "diffraction_limited",
        "Diffraction alone blurs wider than is permitted: open up.",
    ),
    ("drop_high", "More voltage is lost than is usually allowed."),
    (
        "duv_large",
        "Far from the line of glowing bodies: such shifts no longer add up.",
    ),
    (
        "film_softens",
        "Polyester film softens at this temperature.",
    ),
    (
        "five_times_rule",
        "Nearer than five times the source: it is no point, so this is rough.",
    ),
    ("flagged_water", "The source marks this value as doubtful."),
    (
        "generic_model",
        "A generic gel stands in for a measured one.",
    ),
    (
        "gravity_off",
        "Falls and splashes will not look their size.",
    ),
    (
        "headroom_low",
        "Little voltage is left for the resistor: the current will wander.",
    ),
    (
        "horizon_in_frame",
        "The horizon is in frame: the table needs an end or a backing.",
    ),
    ("lamp_clips", "It will burn out to white."),
    (
        "line_over_people",
        "Not enough for anything that hangs over people.",
    ),
    (
        "long_day",
        "More than eight hours: the average is still taken over eight.",
    ),
    (
        "loss_high",
        "The room leaks: hold it shut or use more output.",
    ),
    ("margin_low", "Too little in hand."),
    (
        "moire_zone",
        "Pixel and photosite are close to one another: expect moiré.",
    ),
    (
        "multiple_scattering",
        "So thick that light scatters more than once: true contrast is lower.",
    ),
    (
        "no_data",
        "No measurement reaches here: carried on from the nearest.",
    ),
    (
        "no_safe_shutter",
        "No shutter angle at this rate holds whole pulses.",
    ),
    ("none_fits", "Not even one fits."),
    (
        "optically_thick",
        "So thick that light scatters more than once: a reading will differ.",
    ),
    ("out_of_gamut", "More colourful than a screen can show."),
    ("oversize_model", "Larger than full size."),
    (
        "phases_unbalanced",
        "Spread the lamps better over the phases.",
    ),
    ("plan_the_lift", "Plan the lift: too heavy for two people."),
    (
        "reading_weak",
        "The two readings are too close to tell well: use a longer way.",
    ),
    (
        "reynolds_low",
        "The flow is no longer turbulent: it reads as small.",
    ),
    (
        "rolling_band",
        "No whole number of pulses: the light rolls or pulses.",
    ),
    (
        "small_angle",
        "Past the small angles that the formula is for.",
    ),
    (
        "spectrum_short",
        "The spectrum leaves out part of the light.",
    ),
    ("table_end_clips", "The table ends inside the frame."),
    ("too_bright", "Brighter than a screen can show."),
    (
        "transmittance_clamped",
        "A share above one was taken as one.",
    ),
    ("two_people_or_trolley", "Two people or a trolley."),
    (
        "umbra_gone",
        "No full shadow is left: the flag is too small or too high.",
    ),
    ("very_blue", "Bluer than the scale tells well."),
    (
        "wall_not_thin",
        "The wall is no longer thin against the piece.",
    ),
    (
        "weber_low",
        "Surface tension shows: drops and skins read as small.",
    ),
];

#[cfg(test)]
mod tests {
    use super::*;
    use std::{fs, path::Path};

    /// Kinds that the sources of this crate add.
    fn added(folder: &Path, kinds: &mut Vec<String>) {
        for entry in fs::read_dir(folder).expect("the sources are there") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                added(&path, kinds);
            } else if path.extension().is_some_and(|e| e == "rs") {
                let text = fs::read_to_string(&path).expect("text");
                for call in text.split("warnings.add").skip(1) {
                    let call = call.split(';').next().unwrap_or_default();
                    let quoted = call.rsplit('"').nth(1).unwrap_or_default();
                    if call.starts_with(['(', '_']) && !quoted.is_empty() && !quoted.contains(' ') {
                        kinds.push(quoted.to_owned());
                    }
                }
            }
        }
    }

    #[test]
    fn every_doubt_has_words() {
        let mut kinds = Vec::new();
        added(Path::new(env!("CARGO_MANIFEST_DIR")), &mut kinds);
        assert!(kinds.len() > 40, "{kinds:?}");
        for kind in kinds.iter().filter(|kind| *kind != "good") {
            assert!(
                DOUBTS.iter().any(|(of, _)| of == kind),
                "{kind} has no words"
            );
        }
    }
}
