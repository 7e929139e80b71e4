//! Where haze sends light: phase functions, shafts of light, and when it bounces more than once.

use super::THICK;
use crate::calculation::calculation;
use crate::fault::Warnings;
use crate::figure::{carried, found, given};
use crate::input::choice;
use std::f64::consts::PI;
use std::sync::LazyLock;

/// Reflectance of the card that a shaft is compared with.
const CARD_REFLECTANCE: f64 = 0.18;
/// A shaft seen along its own length has no width; common practice, no source.
const LEAST_VIEW_DEG: f64 = 10.0;
/// Reduced optical depth above which light bounces more than once.
pub(super) const SINGLE_SCATTERING: f64 = 1.0;

choice! {
    /// Droplets whose phase function is in the table: liquid and mass median diameter, sizes spread by 1.5.
    PhaseColumn {
        /// Propylene glycol, 0.3 µm.
        Glycol03 = "pg_0.3um",
        /// Propylene glycol, 0.5 µm.
        Glycol05 = "pg_0.5um",
        /// Propylene glycol, 0.7 µm.
        Glycol07 = "pg_0.7um",
        /// Propylene glycol, 1 µm.
        Glycol10 = "pg_1.0um",
        /// Propylene glycol, 2 µm.
        Glycol20 = "pg_2.0um",
        /// White mineral oil, 0.7 µm.
        Oil07 = "oil_0.7um",
        /// White mineral oil, 1 µm.
        Oil10 = "oil_1.0um",
    }
}

calculation! { "haze-optics";
    /// Share of scattered light that goes to an angle, by the common one-number form.
    ///
    /// Zero degrees is the lamp shining at the camera. At 90° it reads half a stop too bright, beyond 140° a stop too
    /// dark.
    henyey_greenstein(HenyeyGreenstein {
        /// Mean cosine of the scattered light; 0.70 to 0.75 for haze.
        asymmetry: f64 = Within(-1.0, 1.0); usual 0.73,
        /// Angle from straight on.
        angle_deg: f64 = Between(0.0, 180.0); usual 45.0,
    }) -> Phase {
        /// Share of the light for each steradian.
        phase_function_per_sr: f64,
    }
    because "(1 − {asymmetry}^2) ÷ (4 × π × (1 + {asymmetry}^2 − 2 × {asymmetry} × cos({angle_deg}°))^1.5) = {phase_function_per_sr} for each steradian"
    source "Henyey and Greenstein 1941", Confirmed

    /// The same summed over all angles, which must be 1: all the light goes somewhere.
    henyey_greenstein_integral(HenyeyGreensteinIntegral {
        /// Mean cosine of the scattered light.
        asymmetry: f64 = Within(-1.0, 1.0); usual 0.73,
    }) -> PhaseSum {
        /// Sum over the sphere.
        integral_over_sphere: f64,
    }
    because henyey_greenstein_integral_because
    source "Henyey and Greenstein 1941", Confirmed

    /// How much brighter haze glows against the lamp than with it, by the one-number form.
    back_vs_front(BackVsFront {
        /// Mean cosine of the scattered light.
        asymmetry: f64 = Within(-1.0, 1.0); usual 0.75,
        /// Angle of the lamp behind the haze.
        back_light_angle_deg: f64 = Between(0.0, 180.0); usual 20.0,
        /// Angle of the lamp on the camera's side.
        front_light_angle_deg: f64 = Between(0.0, 180.0); usual 150.0,
    }) -> Glow {
        /// Back light over front light.
        ratio: f64,
        /// The same in stops.
        stops: f64,
    }
    because "((1 + {asymmetry}^2 − 2 × {asymmetry} × cos({front_light_angle_deg}°)) ÷ (1 + {asymmetry}^2 − 2 × {asymmetry} × cos({back_light_angle_deg}°)))^1.5 = {ratio} times, which is {stops} stops"
    source "Henyey and Greenstein 1941", Confirmed

    /// How much brighter haze glows against the lamp than with it, for real droplets.
    ///
    /// Between the rows of the table the logarithm runs straight.
    back_vs_front_mie(BackVsFrontMie {
        /// Droplets, as the columns of the table.
        column: PhaseColumn = Any; default PhaseColumn::Glycol07,
        /// Angle of the lamp behind the haze.
        back_light_angle_deg: f64 = Between(0.0, 180.0); usual 20.0,
        /// Angle of the lamp on the camera's side.
        front_light_angle_deg: f64 = Between(0.0, 180.0); usual 150.0,
    }) -> GlowOfDroplets {
        /// Back light over front light.
        ratio: f64,
        /// The same in stops.
        stops: f64,
    }
    because back_vs_front_mie_because
    source "Mie's theory over log-normal droplets (general Mie code), table in data/haze_phase_function_mie.csv", Confirmed

    /// Brightness of a shaft of light, and how it stands against a grey card in the same light.
    ///
    /// Light scattered once. Warns when the shaft is seen along its length (`small_angle`) and when the way is thick
    /// (`optically_thick`).
    beam_luminance(BeamLuminance {
        /// Illuminance in the shaft.
        beam_illuminance_lx: f64 = Above(0.0); usual 2000.0,
        /// Scattering of the haze; all its extinction, for clear droplets.
        scattering_per_m: f64 = Above(0.0); usual 0.06,
        /// Mean cosine of the scattered light.
        asymmetry: f64 = Within(-1.0, 1.0); usual 0.73,
        /// Angle between the lamp's light and the way to the camera.
        scattering_angle_deg: f64 = Between(0.0, 180.0); usual 45.0,
        /// Width of the shaft.
        shaft_width_m: f64 = Above(0.0); usual 0.3,
        /// Angle between the view and the shaft.
        view_to_shaft_angle_deg: f64 = Within(0.0, 180.0); usual 60.0,
        /// Lamp to shaft.
        lamp_to_shaft_m: f64 = AtLeast(0.0); usual 2.0,
        /// Shaft to camera.
        shaft_to_camera_m: f64 = AtLeast(0.0); usual 3.0,
    }) -> Beam {
        /// Luminance of the shaft.
        luminance_cdpm2: f64,
        /// Stops over an 18 % card in the same light.
        stops_over_card: f64,
    }
    because beam_luminance_because
    source "single scattering with the Henyey and Greenstein phase function (1941)", Confirmed

    /// Optical depth as it counts for light that bounces: whether shafts blur and shadows fill.
    ///
    /// τ(1 − g); above 1 light bounces more than once (`multiple_scattering`).
    transport_depth(TransportDepth {
        /// Optical depth across the haze.
        optical_depth: f64 = AtLeast(0.0); usual 3.0,
        /// Mean cosine of the scattered light.
        asymmetry: f64 = Within(-1.0, 1.0); usual 0.75,
    }) -> TransportDepthFound {
        /// Depth that counts for bounces.
        reduced_optical_depth: f64,
        /// Whether light bounces more than once.
        multiple_scattering_flag: bool,
    }
    because "{optical_depth} × (1 − {asymmetry}) = {reduced_optical_depth}; above 1 light bounces more than once"
    source "similarity relation of radiative transfer", FromMemory
}

/// The square that the phase function falls with: 1 + g² − 2 g cos θ.
fn spread(asymmetry: f64, angle_deg: f64) -> f64 {
    1.0 + asymmetry.powi(2) - 2.0 * asymmetry * angle_deg.to_radians().cos()
}

pub(super) fn phase_per_sr(asymmetry: f64, angle_deg: f64) -> f64 {
    (1.0 - asymmetry.powi(2)) / (4.0 * PI * spread(asymmetry, angle_deg).powf(1.5))
}

fn henyey_greenstein(i: &HenyeyGreenstein, _: &mut Warnings) -> Phase {
    Phase {
        phase_function_per_sr: phase_per_sr(i.asymmetry, i.angle_deg),
    }
}

fn henyey_greenstein_integral(i: &HenyeyGreensteinIntegral, _: &mut Warnings) -> PhaseSum {
    let g = i.asymmetry;
    PhaseSum {
        integral_over_sphere: if g.abs() < 1e-6 {
            // even light in every direction; the quotient below would lose its digits
            4.0 * PI * phase_per_sr(g, 90.0)
        } else {
            (1.0 - g * g) / (2.0 * g) * (1.0 / (1.0 - g) - 1.0 / (1.0 + g))
        },
    }
}

fn henyey_greenstein_integral_because(i: &HenyeyGreensteinIntegral, a: &PhaseSum) -> String {
    let (g, sum) = (given(i.asymmetry), found(a.integral_over_sphere));
    if i.asymmetry.abs() < 1e-6 {
        return format!("4 × π × (1 ÷ (4 × π)) = {sum}");
    }
    format!("(1 − {g}^2) ÷ (2 × {g}) × (1 ÷ (1 − {g}) − 1 ÷ (1 + {g})) = {sum}")
}

fn back_vs_front(i: &BackVsFront, _: &mut Warnings) -> Glow {
    let ratio = (spread(i.asymmetry, i.front_light_angle_deg)
        / spread(i.asymmetry, i.back_light_angle_deg))
    .powf(1.5);
    Glow {
        ratio,
        stops: ratio.log2(),
    }
}

/// Angles of the table and, for each column, the phase function there.
struct PhaseTable {
    angles_deg: Vec<f64>,
    columns: Vec<Vec<f64>>,
}

static PHASES: LazyLock<PhaseTable> = LazyLock::new(|| {
    let rows = crate::table::rows(include_str!("../data/haze_phase_function_mie.csv"));
    let column = |name: &str| {
        rows.iter()
            .filter_map(|row| row.get(name)?.parse().ok())
            .collect()
    };
    PhaseTable {
        angles_deg: column("angle_deg"),
        columns: PhaseColumn::ALL
            .iter()
            .map(|of| column(of.as_str()))
            .collect(),
    }
});

/// Phase function of real droplets, log-straight between the rows of the table.
fn droplet_phase_per_sr(column: PhaseColumn, angle_deg: f64) -> f64 {
    let phases = &PHASES.columns[column as usize];
    let angles = &PHASES.angles_deg;
    let above = angles
        .partition_point(|angle| *angle < angle_deg)
        .clamp(1, angles.len() - 1);
    let share = (angle_deg - angles[above - 1]) / (angles[above] - angles[above - 1]);
    let (low, high) = (phases[above - 1].ln(), phases[above].ln());
    (low + (high - low) * share).exp()
}

fn back_vs_front_mie(i: &BackVsFrontMie, _: &mut Warnings) -> GlowOfDroplets {
    let ratio = droplet_phase_per_sr(i.column, i.back_light_angle_deg)
        / droplet_phase_per_sr(i.column, i.front_light_angle_deg);
    GlowOfDroplets {
        ratio,
        stops: ratio.log2(),
    }
}

fn back_vs_front_mie_because(i: &BackVsFrontMie, a: &GlowOfDroplets) -> String {
    format!(
        "{} ÷ {} = {} times, which is {} stops, from the table at {}° and {}°",
        carried(droplet_phase_per_sr(i.column, i.back_light_angle_deg)),
        carried(droplet_phase_per_sr(i.column, i.front_light_angle_deg)),
        found(a.ratio),
        found(a.stops),
        given(i.back_light_angle_deg),
        given(i.front_light_angle_deg)
    )
}

fn beam_luminance(i: &BeamLuminance, warnings: &mut Warnings) -> Beam {
    let view_deg = i.view_to_shaft_angle_deg;
    warnings.add_if(
        !(LEAST_VIEW_DEG..=180.0 - LEAST_VIEW_DEG).contains(&view_deg),
        "small_angle",
    );
    let optical_depth = i.scattering_per_m * (i.lamp_to_shaft_m + i.shaft_to_camera_m);
    warnings.add_if(optical_depth > THICK, "optically_thick");
    let through_m = i.shaft_width_m / view_deg.to_radians().sin();
    let luminance_cdpm2 = i.beam_illuminance_lx
        * i.scattering_per_m
        * phase_per_sr(i.asymmetry, i.scattering_angle_deg)
        * through_m
        * (-optical_depth).exp();
    let card_cdpm2 = CARD_REFLECTANCE * i.beam_illuminance_lx / PI;
    Beam {
        luminance_cdpm2,
        stops_over_card: (luminance_cdpm2 / card_cdpm2).log2(),
    }
}

fn beam_luminance_because(i: &BeamLuminance, a: &Beam) -> String {
    let scattering = given(i.scattering_per_m);
    format!(
        "{} × {scattering} × {} × {} ÷ sin({}°) × e^−({scattering} × ({} + {})) = {} cd/m², which is {} stops over a grey card",
        given(i.beam_illuminance_lx),
        carried(phase_per_sr(i.asymmetry, i.scattering_angle_deg)),
        given(i.shaft_width_m),
        given(i.view_to_shaft_angle_deg),
        given(i.lamp_to_shaft_m),
        given(i.shaft_to_camera_m),
        found(a.luminance_cdpm2),
        found(a.stops_over_card)
    )
}

fn transport_depth(i: &TransportDepth, warnings: &mut Warnings) -> TransportDepthFound {
    let reduced_optical_depth = i.optical_depth * (1.0 - i.asymmetry);
    let multiple_scattering_flag = reduced_optical_depth > SINGLE_SCATTERING;
    warnings.add_if(multiple_scattering_flag, "multiple_scattering");
    TransportDepthFound {
        reduced_optical_depth,
        multiple_scattering_flag,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    #[test]
    fn real_droplets_send_all_their_light_somewhere() {
        // trapezoids over 5° steps of the table; coarse, and enough to find a shifted column
        for (at, column) in PhaseColumn::ALL.iter().enumerate() {
            assert_eq!(PHASES.columns[at].len(), PHASES.angles_deg.len());
            let ring = |angle: f64| {
                droplet_phase_per_sr(*column, angle) * 2.0 * PI * angle.to_radians().sin()
            };
            let sum: f64 = (0..1800)
                .map(|step| ring(f64::from(step) / 10.0 + 0.05) * 0.1_f64.to_radians())
                .sum();
            assert!(
                (sum - 1.0).abs() < 0.02,
                "{} sums to {sum}",
                column.as_str()
            );
        }
    }

    #[test]
    fn a_shaft_seen_along_itself_is_doubted() {
        let shaft = |view_to_shaft_angle_deg| BeamLuminance {
            beam_illuminance_lx: 2000.0,
            scattering_per_m: 0.06,
            asymmetry: 0.73,
            scattering_angle_deg: 45.0,
            shaft_width_m: 0.3,
            view_to_shaft_angle_deg,
            lamp_to_shaft_m: 2.0,
            shaft_to_camera_m: 3.0,
        };
        assert!(shaft(60.0).work().expect("in range").warnings.is_empty());
        assert_eq!(
            shaft(9.0).work().expect("in range").warnings,
            ["small_angle"]
        );
        assert!(shaft(0.0).work().is_err());
    }

    #[test]
    fn deep_haze_bounces_light_more_than_once() {
        let haze = TransportDepth {
            optical_depth: 4.5,
            asymmetry: 0.75,
        }
        .work()
        .expect("in range");
        assert!(haze.multiple_scattering_flag);
        assert_eq!(haze.warnings, ["multiple_scattering"]);
    }

    proptest! {
        #[test]
        fn forward_haze_glows_from_behind(g in 0.05..0.95, back in 0.0..80.0, front in 100.0..180.0) {
            let glow = BackVsFront { asymmetry: g, back_light_angle_deg: back, front_light_angle_deg: front };
            prop_assert!(glow.work().expect("in range").ratio > 1.0);
        }

        #[test]
        fn all_the_light_goes_somewhere(g in -0.99..0.99_f64) {
            let sum = HenyeyGreensteinIntegral { asymmetry: g }.work().expect("in range");
            prop_assert!((sum.integral_over_sphere - 1.0).abs() < 1e-9);
        }
    }
}
