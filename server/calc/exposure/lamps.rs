//! What lamps give at a distance, and how far that is from what is needed.

use super::FAR_IN_SOURCE_SIZES;
use crate::calculation::calculation;
use crate::fault::{Fault, FaultKind, Warnings};
use crate::figure::{found, given};
use std::f64::consts::PI;

calculation! { "exposure";
    /// Illuminance at another distance from a small lamp.
    ///
    /// Focused heads do not obey it near the lens: measure.
    inverse_square(InverseSquare {
        /// Illuminance read.
        illuminance_known_fc: f64 = AtLeast(0.0); usual 600.0,
        /// Distance at which it was read.
        distance_known_ft: f64 = Above(0.0); usual 5.0,
        /// Distance asked about.
        distance_ft: f64 = Above(0.0); usual 10.0,
    }) -> InverseSquareFound {
        /// Illuminance there.
        illuminance_fc: f64,
    }
    because "{illuminance_known_fc} × ({distance_known_ft} ÷ {distance_ft})^2 = {illuminance_fc} fc"
    source "CIE international lighting vocabulary 17-25-104", Confirmed

    /// Illuminance in front of a round, even source, and how much the inverse square overstates it.
    ///
    /// E = π L R²/(R² + d²). Warns (`five_times_rule`) nearer than five diameters.
    disc_source(DiscSource {
        /// Diameter of the source.
        source_diameter_m: f64 = Above(0.0); usual 0.6,
        /// Distance on the axis.
        distance_m: f64 = Above(0.0); usual 2.0,
        /// Luminance of the source.
        luminance_cdpm2: f64 = AtLeast(0.0); usual 1000.0,
    }) -> DiscLight {
        /// Illuminance there.
        illuminance_lx: f64,
        /// Share by which the inverse square is too high.
        inverse_square_overestimate_fraction: f64,
    }
    because "π × {luminance_cdpm2} × ({source_diameter_m} ÷ 2)^2 ÷ (({source_diameter_m} ÷ 2)^2 + {distance_m}^2) = {illuminance_lx} lx"
    source "integral over a uniform Lambertian disc; five-times rule: lighting society definition 9.1.1", Confirmed

    /// Illuminance in front of the middle of a rectangular, even source.
    panel_source(PanelSource {
        /// Width of the source.
        panel_width_m: f64 = Above(0.0); usual 1.2,
        /// Height of the source.
        panel_height_m: f64 = Above(0.0); usual 0.6,
        /// Distance on the axis.
        distance_m: f64 = Above(0.0); usual 1.0,
        /// Luminance of the source.
        luminance_cdpm2: f64 = AtLeast(0.0); usual 2000.0,
    }) -> PanelLight {
        /// Illuminance there.
        illuminance_lx: f64,
    }
    because panel_source_because
    source "integral over a uniform Lambertian rectangle", Confirmed

    /// Illuminance of several lamps on one plane: lux add up, stops do not.
    lamp_sum(LampSum {
        /// Intensity of each lamp.
        intensities_cd: Vec<f64> = AtLeast(0.0); usual vec![30_000.0, 8000.0],
        /// Distance of each lamp.
        distances_m: Vec<f64> = Above(0.0); usual vec![3.0, 2.0],
        /// Angle of each lamp from straight on; straight on when none is given.
        incidence_deg: Option<Vec<f64>> = Between(0.0, 90.0); usual vec![30.0, 50.0],
    }) -> LampSumFound {
        /// Illuminance of all together.
        illuminance_lx: f64,
    }
    because lamp_sum_because
    source "CIE international lighting vocabulary 17-25-104; cosine law", Confirmed

    /// How many stops the light falls short.
    stop_deficit(StopDeficit {
        /// Illuminance needed.
        required_lx: f64 = Above(0.0); usual 15_000.0,
        /// Illuminance there is.
        available_lx: f64 = Above(0.0); usual 4200.0,
    }) -> Deficit {
        /// Stops short; negative is to spare.
        deficit_stops: f64,
        /// Factor on the exposure index that would make it up.
        iso_factor_needed: f64,
    }
    because "log₂({required_lx} ÷ {available_lx}) = {deficit_stops} stops short"
    source "definition of the stop", Confirmed

    /// Distance at which a lamp gives the light that is needed.
    ///
    /// Warns (`five_times_rule`) when that is nearer than five diameters of the source, where the law fails.
    spot_distance(SpotDistance {
        /// Illuminance read.
        illuminance_known_lx: f64 = Above(0.0); usual 4200.0,
        /// Distance at which it was read.
        distance_known_m: f64 = Above(0.0); usual 4.0,
        /// Illuminance needed.
        illuminance_needed_lx: f64 = Above(0.0); usual 15_000.0,
        /// Diameter of the source, when it is known.
        source_diameter_m: Option<f64> = Above(0.0),
    }) -> SpotDistanceFound {
        /// Distance of the lamp.
        distance_m: f64,
    }
    because "{distance_known_m} × √({illuminance_known_lx} ÷ {illuminance_needed_lx}) = {distance_m} m"
    source "CIE international lighting vocabulary 17-25-104", Confirmed
}

fn inverse_square(i: &InverseSquare, _: &mut Warnings) -> InverseSquareFound {
    InverseSquareFound {
        illuminance_fc: i.illuminance_known_fc * (i.distance_known_ft / i.distance_ft).powi(2),
    }
}

fn disc_source(i: &DiscSource, warnings: &mut Warnings) -> DiscLight {
    let radius_m = i.source_diameter_m / 2.0;
    warnings.add_if(
        i.distance_m < FAR_IN_SOURCE_SIZES * i.source_diameter_m,
        "five_times_rule",
    );
    let overestimate = (radius_m / i.distance_m).powi(2);
    DiscLight {
        illuminance_lx: PI * i.luminance_cdpm2 * overestimate / (1.0 + overestimate),
        inverse_square_overestimate_fraction: overestimate,
    }
}

/// Half a side, its slant distance, and the angle in degrees under which the other half side stands there.
fn panel_half(half_m: f64, other_half_m: f64, distance_m: f64) -> (f64, f64, f64) {
    let slant_m = half_m.hypot(distance_m);
    (
        half_m,
        slant_m,
        (other_half_m / slant_m).atan().to_degrees(),
    )
}

fn panel_halves(i: &PanelSource) -> [(f64, f64, f64); 2] {
    let (a, b) = (i.panel_width_m / 2.0, i.panel_height_m / 2.0);
    [
        panel_half(a, b, i.distance_m),
        panel_half(b, a, i.distance_m),
    ]
}

fn panel_source(i: &PanelSource, warnings: &mut Warnings) -> PanelLight {
    let largest_m = i.panel_width_m.max(i.panel_height_m);
    warnings.add_if(
        i.distance_m < FAR_IN_SOURCE_SIZES * largest_m,
        "five_times_rule",
    );
    let seen: f64 = panel_halves(i)
        .iter()
        .map(|(half_m, slant_m, angle_deg)| half_m / slant_m * angle_deg.to_radians())
        .sum();
    PanelLight {
        illuminance_lx: 2.0 * i.luminance_cdpm2 * seen,
    }
}

fn panel_source_because(i: &PanelSource, a: &PanelLight) -> String {
    let [(w, w_slant, w_deg), (h, h_slant, h_deg)] =
        panel_halves(i).map(|(half, slant, angle)| (given(half), given(slant), given(angle)));
    format!(
        "2 × {} × ({w} ÷ {w_slant} × {w_deg} + {h} ÷ {h_slant} × {h_deg}) × π ÷ 180 = {} lx, from half sides, their slant distances and the degrees they subtend",
        given(i.luminance_cdpm2),
        found(a.illuminance_lx)
    )
}

/// Intensity, distance and incidence of each lamp.
fn lamps(i: &LampSum) -> impl Iterator<Item = (f64, f64, f64)> {
    let incidences = i.incidence_deg.as_deref().unwrap_or_default();
    let incidence = |place: usize| incidences.get(place).copied().unwrap_or(0.0);
    let both = i.intensities_cd.iter().zip(&i.distances_m).enumerate();
    both.map(move |(place, (intensity, distance))| (*intensity, *distance, incidence(place)))
}

fn lamp_sum(i: &LampSum, _: &mut Warnings) -> Result<LampSumFound, Vec<Fault>> {
    let count = i.intensities_cd.len();
    let mut faults = Vec::new();
    if count == 0 {
        faults.push(Fault::new(
            "intensities_cd",
            FaultKind::Missing,
            "At least one lamp is needed.",
        ));
    }
    let incidences = i.incidence_deg.as_ref().map_or(count, Vec::len);
    for (field, length) in [
        ("distances_m", i.distances_m.len()),
        ("incidence_deg", incidences),
    ] {
        if length != count {
            let problem = format!(
                "{count} lamps are given, so {count} values are needed here, not {length}."
            );
            faults.push(Fault::new(field, FaultKind::OutOfRange, problem));
        }
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    let illuminance_lx = lamps(i)
        .map(|(intensity_cd, distance_m, incidence_deg)| {
            intensity_cd * incidence_deg.to_radians().cos() / distance_m.powi(2)
        })
        .sum();
    Ok(LampSumFound { illuminance_lx })
}

fn lamp_sum_because(i: &LampSum, a: &LampSumFound) -> String {
    let terms: Vec<String> = lamps(i)
        .map(|(intensity, distance, incidence)| {
            format!(
                "{} × cos({}°) ÷ {}^2",
                given(intensity),
                given(incidence),
                given(distance)
            )
        })
        .collect();
    format!("{} = {} lx", terms.join(" + "), found(a.illuminance_lx))
}

fn stop_deficit(i: &StopDeficit, _: &mut Warnings) -> Deficit {
    let iso_factor_needed = i.required_lx / i.available_lx;
    Deficit {
        deficit_stops: iso_factor_needed.log2(),
        iso_factor_needed,
    }
}

fn spot_distance(i: &SpotDistance, warnings: &mut Warnings) -> SpotDistanceFound {
    let distance_m = i.distance_known_m * (i.illuminance_known_lx / i.illuminance_needed_lx).sqrt();
    let nearest_m = i
        .source_diameter_m
        .map_or(0.0, |diameter_m| FAR_IN_SOURCE_SIZES * diameter_m);
    warnings.add_if(distance_m < nearest_m, "five_times_rule");
    SpotDistanceFound { distance_m }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    #[test]
    fn twice_the_distance_is_a_quarter() {
        let there = InverseSquare {
            illuminance_known_fc: 600.0,
            distance_known_ft: 5.0,
            distance_ft: 10.0,
        };
        assert!((there.work().expect("in range").illuminance_fc - 150.0).abs() < 1e-9);
    }

    #[test]
    fn five_diameters_are_far_enough() {
        let disc = |distance_m| DiscSource {
            source_diameter_m: 1.0,
            distance_m,
            luminance_cdpm2: 1000.0,
        };
        assert!(disc(5.0).work().expect("in range").warnings.is_empty());
        assert_eq!(
            disc(4.9).work().expect("in range").warnings,
            ["five_times_rule"]
        );
        let spot = SpotDistance {
            illuminance_known_lx: 4200.0,
            distance_known_m: 4.0,
            illuminance_needed_lx: 15_000.0,
            source_diameter_m: Some(0.5),
        };
        assert_eq!(spot.work().expect("in range").warnings, ["five_times_rule"]);
    }

    #[test]
    fn every_lamp_needs_its_distance() {
        let lamps = LampSum {
            intensities_cd: vec![1.0, 2.0],
            distances_m: vec![1.0],
            incidence_deg: Some(vec![]),
        };
        assert_eq!(lamps.work().expect_err("refused").len(), 2);
        let none = LampSum {
            intensities_cd: vec![],
            distances_m: vec![],
            incidence_deg: None,
        };
        assert_eq!(
            none.work().expect_err("refused")[0].kind,
            FaultKind::Missing
        );
    }

    proptest! {
        #[test]
        fn a_far_panel_is_a_point(width in 0.1..1.0, height in 0.1..1.0) {
            let far = PanelSource { panel_width_m: width, panel_height_m: height, distance_m: 100.0, luminance_cdpm2: 1e6 };
            let point_lx = 1e6 * width * height / 1e4;
            prop_assert!((far.work().expect("in range").illuminance_lx / point_lx - 1.0).abs() < 1e-4);
        }

        #[test]
        fn the_spot_gives_the_light_needed(known in 100.0..9000.0, needed in 100.0..9000.0) {
            let spot = SpotDistance {
                illuminance_known_lx: known, distance_known_m: 4.0, illuminance_needed_lx: needed, source_diameter_m: None,
            }.work().expect("in range");
            let there = InverseSquare { illuminance_known_fc: known, distance_known_ft: 4.0, distance_ft: spot.distance_m };
            prop_assert!((there.work().expect("in range").illuminance_fc / needed - 1.0).abs() < 1e-9);
        }
    }
}
