//! Lux from candelas and lumens: points, cones, beams and frames.

use crate::calculation::calculation;
use crate::fault::Warnings;
use crate::figure::{carried, found, given};
use std::f64::consts::{FRAC_PI_2, LN_2, PI};

/// Metres in a foot.
const M_PER_FT: f64 = 0.3048;
/// Nearer than this many diameters a source is no point: 1 % too much at five.
const FAR_IN_DIAMETERS: f64 = 5.0;
/// Half beam angles after which a Gaussian beam has nothing left: 2⁻¹⁰⁰.
const BEAM_ENDS: f64 = 10.0;
/// Panels of the integral over a beam.
const PANELS: u32 = 4;
/// Places and weights of Gauss and Legendre's quadrature with sixteen points on −1 to 1, one of each pair (Abramowitz and
/// Stegun, table 25.4).
const GAUSS_LEGENDRE_16: [(f64, f64); 8] = [
    (0.095_012_509_837_637_44, 0.189_450_610_455_068_5),
    (0.281_603_550_779_258_9, 0.182_603_415_044_923_6),
    (0.458_016_777_657_227_4, 0.169_156_519_395_002_54),
    (0.617_876_244_402_643_7, 0.149_595_988_816_576_73),
    (0.755_404_408_355_003, 0.124_628_971_255_533_87),
    (0.865_631_202_387_831_7, 0.095_158_511_682_492_78),
    (0.944_575_023_073_232_6, 0.062_253_523_938_647_89),
    (0.989_400_934_991_649_9, 0.027_152_459_411_754_096),
];

calculation! { "lamp-light";
    /// Footcandles in lux.
    footcandle_to_lux(FootcandleToLux {
        /// Illuminance.
        illuminance_fc: f64 = AtLeast(0.0); usual 100.0,
    }) -> Lux {
        /// The same.
        illuminance_lx: f64,
    }
    because "{illuminance_fc} ÷ 0.3048² = {illuminance_lx} lx"
    source "definition of the foot, 0.3048 m", Confirmed

    /// Illuminance straight on from a lamp that is a point.
    ///
    /// Told (`five_times_rule`) nearer than five diameters of the source, where it is more than 1 % too much.
    inverse_square(PointSource {
        /// Intensity of the lamp.
        intensity_cd: f64 = AtLeast(0.0); usual 50_000.0,
        /// Distance.
        distance_m: f64 = Above(0.0); usual 5.0,
        /// Diameter of the source, when it is known.
        source_diameter_m: Option<f64> = Above(0.0),
    }) -> PointLight {
        /// Illuminance there.
        illuminance_lx: f64,
    }
    because "{intensity_cd} ÷ {distance_m}^2 = {illuminance_lx} lx"
    source "CIE international lighting vocabulary 17-25-104", Confirmed

    /// Illuminance of a plane that the light falls on at an angle.
    cosine(Cosine {
        /// Intensity of the lamp.
        intensity_cd: f64 = AtLeast(0.0); usual 50_000.0,
        /// Distance.
        distance_m: f64 = Above(0.0); usual 5.0,
        /// Angle from straight on.
        incidence_deg: f64 = Between(0.0, 90.0); usual 30.0,
    }) -> SlantLight {
        /// Illuminance there.
        illuminance_lx: f64,
    }
    because cosine_because
    source "cosine law; CIE international lighting vocabulary 17-25-104", Confirmed

    /// Intensity of a lamp that fills a cone evenly.
    uniform_cone(UniformCone {
        /// Light in the cone.
        flux_lm: f64 = AtLeast(0.0); usual 5000.0,
        /// Angle across the cone.
        full_angle_deg: f64 = AboveUpTo(0.0, 180.0); usual 25.0,
    }) -> ConeFound {
        /// Solid angle of the cone.
        solid_angle_sr: f64,
        /// Intensity in it.
        intensity_cd: f64,
    }
    because uniform_cone_because
    source "definition of the candela and the solid angle of a cone", Confirmed

    /// Intensity in the middle of a beam that fades like a bell.
    ///
    /// Use the lumens in the beam. The small-angle figure is 0.4 % low at 15°.
    gaussian_beam(GaussianBeam {
        /// Light in the beam.
        beam_flux_lm: f64 = AtLeast(0.0); usual 5000.0,
        /// Angle across which it falls to half.
        beam_angle_50pct_deg: f64 = AboveUpTo(0.0, 180.0); usual 15.0,
    }) -> BeamFound {
        /// Intensity in the middle.
        peak_intensity_cd: f64,
        /// The same by the formula for small beams.
        small_angle_intensity_cd: f64,
    }
    because gaussian_beam_because
    source "integral of a Gaussian intensity over the half sphere", Confirmed

    /// Intensity of a lamp that shines alike all around.
    full_sphere(FullSphere {
        /// Light of the lamp.
        flux_lm: f64 = AtLeast(0.0); usual 1256.637,
    }) -> SphereFound {
        /// Intensity all around.
        intensity_cd: f64,
    }
    because "{flux_lm} ÷ (4 × π) = {intensity_cd} cd"
    source "definition of the candela", Confirmed

    /// Illuminance straight in front of a round diffusion frame that is filled evenly.
    frame(FrameNear {
        /// Light that comes through the frame.
        flux_through_lm: f64 = AtLeast(0.0); usual 3000.0,
        /// Radius of the frame.
        frame_radius_m: f64 = Above(0.0); usual 0.6,
        /// Distance from the frame.
        distance_m: f64 = Above(0.0); usual 1.5,
    }) -> FrameLight {
        /// Illuminance there.
        illuminance_lx: f64,
    }
    because "{flux_through_lm} ÷ (π × ({frame_radius_m}^2 + {distance_m}^2)) = {illuminance_lx} lx"
    source "uniform Lambertian disc on its axis", Confirmed

    /// A diffusion frame from far away, and as the lamp it then is.
    ///
    /// From five radii it is a lamp of the light through it over π: 4 % there, 1 % at ten. Told (`five_times_rule`) when it
    /// is nearer.
    frame_far(FrameFar {
        /// Light that comes through the frame.
        flux_through_lm: f64 = AtLeast(0.0); usual 3000.0,
        /// Radius of the frame.
        frame_radius_m: f64 = Above(0.0); usual 0.6,
        /// Distance from the frame.
        distance_m: f64 = Above(0.0); usual 20.0,
    }) -> FarFrameLight {
        /// Illuminance there.
        illuminance_lx: f64,
        /// The same by inverse square.
        inverse_square_illuminance_lx: f64,
    }
    because "{flux_through_lm} ÷ (π × ({frame_radius_m}^2 + {distance_m}^2)) = {illuminance_lx} lx; as a point it would be {inverse_square_illuminance_lx} lx"
    source "uniform Lambertian disc on its axis, and its limit", Confirmed

    /// Stops lost by going farther from a lamp that is a point.
    double_distance(DoubleDistance {
        /// New distance over the old.
        distance_ratio: f64 = Above(0.0); usual 2.0,
    }) -> DistanceStops {
        /// Stops lost; negative is gained.
        stops: f64,
    }
    because "2 × log₂({distance_ratio}) = {stops} stops"
    source "trade rule: twice the distance is two stops; inverse square", Confirmed
}

fn footcandle_to_lux(i: &FootcandleToLux, _: &mut Warnings) -> Lux {
    Lux {
        illuminance_lx: i.illuminance_fc / (M_PER_FT * M_PER_FT),
    }
}

fn inverse_square(i: &PointSource, warnings: &mut Warnings) -> PointLight {
    let near = i
        .source_diameter_m
        .is_some_and(|diameter_m| i.distance_m < FAR_IN_DIAMETERS * diameter_m);
    warnings.add_if(near, "five_times_rule");
    PointLight {
        illuminance_lx: i.intensity_cd / i.distance_m.powi(2),
    }
}

/// The cosine, which at a right angle is nought and not what rounding leaves of it.
fn facing(incidence_deg: f64) -> f64 {
    (90.0 - incidence_deg).to_radians().sin()
}

fn cosine(i: &Cosine, _: &mut Warnings) -> SlantLight {
    SlantLight {
        illuminance_lx: i.intensity_cd * facing(i.incidence_deg) / i.distance_m.powi(2),
    }
}

fn cosine_because(i: &Cosine, a: &SlantLight) -> String {
    format!(
        "{} × sin(90° − {}°) ÷ {}^2 = {} lx, from how straight the light falls",
        given(i.intensity_cd),
        given(i.incidence_deg),
        given(i.distance_m),
        found(a.illuminance_lx)
    )
}

/// 2π(1 − cos b/2), written so that narrow cones keep their digits.
fn solid_angle_sr(full_angle_deg: f64) -> f64 {
    4.0 * PI * (full_angle_deg.to_radians() / 4.0).sin().powi(2)
}

fn uniform_cone(i: &UniformCone, _: &mut Warnings) -> ConeFound {
    let solid_angle_sr = solid_angle_sr(i.full_angle_deg);
    ConeFound {
        solid_angle_sr,
        intensity_cd: i.flux_lm / solid_angle_sr,
    }
}

fn uniform_cone_because(i: &UniformCone, a: &ConeFound) -> String {
    let angle = given(i.full_angle_deg);
    format!(
        "{} ÷ (4 × π × sin({angle}° ÷ 4)²) = {} cd over {} sr",
        given(i.flux_lm),
        found(a.intensity_cd),
        found(a.solid_angle_sr)
    )
}

/// Solid angle that the middle of a Gaussian beam would fill with all of its light.
fn beam_sr(beam_angle_50pct_deg: f64) -> f64 {
    let half = beam_angle_50pct_deg.to_radians() / 2.0;
    let end = FRAC_PI_2.min(BEAM_ENDS * half);
    let power = |angle: f64| 2.0 * PI * angle.sin() * (-(angle / half).powi(2)).exp2();
    let width = end / f64::from(PANELS);
    let panel = |number: u32| {
        let middle = (f64::from(number) + 0.5) * width;
        let pair = |(place, weight): &(f64, f64)| {
            let step = place * width / 2.0;
            weight * (power(middle - step) + power(middle + step))
        };
        GAUSS_LEGENDRE_16.iter().map(pair).sum::<f64>() * width / 2.0
    };
    (0..PANELS).map(panel).sum()
}

fn gaussian_beam(i: &GaussianBeam, _: &mut Warnings) -> BeamFound {
    let half = i.beam_angle_50pct_deg.to_radians() / 2.0;
    BeamFound {
        peak_intensity_cd: i.beam_flux_lm / beam_sr(i.beam_angle_50pct_deg),
        small_angle_intensity_cd: i.beam_flux_lm * LN_2 / (PI * half * half),
    }
}

fn gaussian_beam_because(i: &GaussianBeam, a: &BeamFound) -> String {
    format!(
        "{} ÷ {} = {} cd in the middle, over the solid angle that a beam of {}° fills",
        given(i.beam_flux_lm),
        carried(beam_sr(i.beam_angle_50pct_deg)),
        found(a.peak_intensity_cd),
        given(i.beam_angle_50pct_deg)
    )
}

fn full_sphere(i: &FullSphere, _: &mut Warnings) -> SphereFound {
    SphereFound {
        intensity_cd: i.flux_lm / (4.0 * PI),
    }
}

fn frame_lx(flux_through_lm: f64, frame_radius_m: f64, distance_m: f64) -> f64 {
    flux_through_lm / (PI * (frame_radius_m.powi(2) + distance_m.powi(2)))
}

fn frame(i: &FrameNear, _: &mut Warnings) -> FrameLight {
    FrameLight {
        illuminance_lx: frame_lx(i.flux_through_lm, i.frame_radius_m, i.distance_m),
    }
}

fn frame_far(i: &FrameFar, warnings: &mut Warnings) -> FarFrameLight {
    warnings.add_if(
        i.distance_m < FAR_IN_DIAMETERS * i.frame_radius_m,
        "five_times_rule",
    );
    FarFrameLight {
        illuminance_lx: frame_lx(i.flux_through_lm, i.frame_radius_m, i.distance_m),
        inverse_square_illuminance_lx: i.flux_through_lm / (PI * i.distance_m.powi(2)),
    }
}

fn double_distance(i: &DoubleDistance, _: &mut Warnings) -> DistanceStops {
    DistanceStops {
        stops: 2.0 * i.distance_ratio.log2(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    #[test]
    fn the_integral_over_a_beam_is_that_of_many_small_pieces() {
        for angle_deg in [0.5, 5.0, 15.0, 60.0, 120.0, 180.0] {
            let half = f64::to_radians(angle_deg) / 2.0;
            let end = FRAC_PI_2.min(BEAM_ENDS * half);
            let pieces = 20_000;
            let at = |piece: u32| {
                let angle = end * f64::from(piece) / f64::from(pieces);
                2.0 * PI * angle.sin() * (-(angle / half).powi(2)).exp2()
            };
            let inner: f64 = (1..pieces)
                .map(|n| if n % 2 == 1 { 4.0 } else { 2.0 } * at(n))
                .sum();
            let simpson = (at(0) + inner + at(pieces)) * end / f64::from(pieces) / 3.0;
            assert!(
                (beam_sr(angle_deg) / simpson - 1.0).abs() < 1e-12,
                "{angle_deg}°"
            );
        }
    }

    fn cone(full_angle_deg: f64) -> ConeFound {
        let asked = UniformCone {
            flux_lm: 1000.0,
            full_angle_deg,
        };
        asked.work().expect("in range").answer
    }

    #[test]
    fn half_a_sphere_is_two_pi() {
        assert!((cone(180.0).solid_angle_sr - 2.0 * PI).abs() < 1e-12);
        assert!(
            UniformCone {
                flux_lm: 1.0,
                full_angle_deg: 181.0
            }
            .work()
            .is_err()
        );
    }

    #[test]
    fn light_along_a_plane_does_not_light_it() {
        let along = Cosine {
            intensity_cd: 1e6,
            distance_m: 1.0,
            incidence_deg: 90.0,
        };
        assert!(along.work().expect("in range").illuminance_lx.abs() < 1e-12);
    }

    #[test]
    fn near_sources_are_told() {
        let near = PointSource {
            intensity_cd: 1.0,
            distance_m: 1.0,
            source_diameter_m: Some(0.3),
        };
        assert_eq!(near.work().expect("in range").warnings, ["five_times_rule"]);
        let frame = FrameFar {
            flux_through_lm: 1.0,
            frame_radius_m: 0.6,
            distance_m: 2.9,
        };
        assert_eq!(
            frame.work().expect("in range").warnings,
            ["five_times_rule"]
        );
    }

    proptest! {
        #[test]
        fn a_narrow_bell_is_the_small_formula(angle in 0.001..3.0_f64) {
            let beam = GaussianBeam { beam_flux_lm: 1000.0, beam_angle_50pct_deg: angle }.work().expect("in range");
            prop_assert!((beam.peak_intensity_cd / beam.small_angle_intensity_cd - 1.0).abs() < 3e-4);
        }

        #[test]
        fn wider_is_dimmer(angle in 0.5..170.0_f64, more in 0.1..9.0_f64) {
            prop_assert!(cone(angle + more).intensity_cd < cone(angle).intensity_cd);
            let bell = |angle| GaussianBeam { beam_flux_lm: 1000.0, beam_angle_50pct_deg: angle }
                .work().expect("in range").peak_intensity_cd;
            prop_assert!(bell(angle + more) < bell(angle));
        }

        #[test]
        fn stops_are_the_light_lost(ratio in 0.1..10.0_f64) {
            let lx = |distance_m| PointSource { intensity_cd: 900.0, distance_m, source_diameter_m: None }
                .work().expect("in range").illuminance_lx;
            let stops = DoubleDistance { distance_ratio: ratio }.work().expect("in range").stops;
            prop_assert!(((lx(3.0) / lx(3.0 * ratio)).log2() - stops).abs() < 1e-9);
        }
    }
}
