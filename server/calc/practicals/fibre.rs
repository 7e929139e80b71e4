//! Light through optical fibres.

use crate::calculation::{OrInfinity, calculation};
use crate::fault::{Fault, Warnings};
use crate::figure::{carried, found, given};
use crate::input::choice;
use std::f64::consts::{FRAC_PI_4, PI};

/// Millimetres in a metre.
const MM_PER_M: f64 = 1e3;

choice! {
    /// How the source that a fibre stands against shines.
    FibreSource {
        /// Equally bright from every side, like a bare LED or a frosted lamp.
        Lambertian = "lambertian",
    }
}

calculation! { "practicals";
    /// Cone of light that a fibre takes in and gives out.
    ///
    /// NA = √(n₁² − n₂²), at most 1 in air. The core must have the higher index.
    fibre_acceptance(FibreAcceptance {
        /// Refractive index of the core.
        core_index: f64 = Above(0.0); usual 1.492,
        /// Refractive index of the cladding.
        cladding_index: f64 = Above(0.0); usual 1.402,
    }) -> Acceptance {
        /// Sine of the widest angle in air.
        numerical_aperture: f64,
        /// Widest angle in air, from the axis.
        acceptance_half_angle_deg: f64,
        /// Angle at the wall from which light stays in, from straight on.
        critical_angle_deg: f64,
    }
    because fibre_acceptance_because
    source "optical fibre text; lighting society definition 10.2.11", Confirmed

    /// Share of a source's light that a fibre standing against it takes in.
    ///
    /// NA² of what meets the core, for a source as bright from every side.
    fibre_capture(FibreCapture {
        /// Refractive index of the core.
        core_index: f64 = Above(0.0); usual 1.492,
        /// Refractive index of the cladding.
        cladding_index: f64 = Above(0.0); usual 1.402,
        /// How the source shines.
        source: FibreSource = Any; default FibreSource::Lambertian,
        /// Share of the source that the core covers.
        source_coverage: f64 = AboveUpTo(0.0, 1.0); default 1.0,
    }) -> Capture {
        /// Sine of the widest angle in air.
        numerical_aperture: f64,
        /// Share of the light that is taken in.
        captured_fraction: f64,
    }
    because fibre_capture_because
    source "Lambertian source over a cone, derived and agreed by a sum over angles", Confirmed

    /// Light that comes out of a fibre's far end.
    ///
    /// Capture × ends × length. A polished end in air passes 1 − ((n − 1)/(n + 1))²; acrylic loses 0.15 to 0.25 dB/m (from
    /// memory). Bends tighter than ten fibre diameters leak (common practice). A fibre's end at a hot lamp melts.
    fibre_throughput(FibreThroughput {
        /// Light of the source.
        source_lm: f64 = AtLeast(0.0); usual 20.0,
        /// Share of the source that the core covers.
        source_coverage: f64 = AboveUpTo(0.0, 1.0); default 1.0; usual 0.5,
        /// Refractive index of the core.
        core_index: f64 = Above(0.0); usual 1.492,
        /// Refractive index of the cladding.
        cladding_index: f64 = Above(0.0); usual 1.402,
        /// Length of the fibre.
        length_m: f64 = AtLeast(0.0); usual 2.5,
        /// Loss along it.
        attenuation_db_per_m: f64 = AtLeast(0.0); default 0.2,
        /// Ends that stand in air.
        air_ends: u32 = Between(0.0, 2.0); default 2_u32,
    }) -> Throughput {
        /// Share that passes the ends.
        end_transmission: f64,
        /// Share that passes the length.
        length_transmission: f64,
        /// Light that comes out.
        output_lm: f64,
    }
    because fibre_throughput_because
    source "product of capture, reflection at the ends and attenuation; attenuation from memory", Confirmed

    /// Light of a fibre's end on what it points at, and how wide the spot is.
    ///
    /// Φ/(π NA²) on the axis, over the square of the distance, for an end small against it.
    fibre_illuminance(FibreIlluminance {
        /// Light out of the end.
        output_lm: f64 = AtLeast(0.0); usual 0.05,
        /// Sine of the widest angle.
        numerical_aperture: f64 = AboveUpTo(0.0, 1.0); usual 0.51,
        /// Distance.
        distance_m: f64 = Above(0.0); usual 0.1,
    }) -> FibreSpot {
        /// Illuminance in the middle.
        on_axis_lx: f64,
        /// Width of the spot.
        spot_diameter_m: OrInfinity,
    }
    because "{output_lm} ÷ (π × {numerical_aperture}^2 × {distance_m}^2) = {on_axis_lx} lx in the middle of a spot {spot_diameter_m} m wide"
    source "Lambertian end within a cone, derived and agreed by four million random rays", Confirmed

    /// How bright a fibre's end looks.
    fibre_end_luminance(FibreEndLuminance {
        /// Light out of the end.
        output_lm: f64 = AtLeast(0.0); usual 0.05,
        /// Sine of the widest angle.
        numerical_aperture: f64 = AboveUpTo(0.0, 1.0); usual 0.51,
        /// Diameter of the core.
        core_diameter_mm: f64 = Above(0.0); usual 0.75,
    }) -> EndLuminance {
        /// Luminance of the end.
        luminance_cdpm2: f64,
    }
    because "{output_lm} × 4 × 1000^2 ÷ (π^2 × {numerical_aperture}^2 × {core_diameter_mm}^2) = {luminance_cdpm2} cd/m²"
    source "Lambertian end within a cone", Confirmed
}

/// Sine of the widest angle in air, at most 1.
fn aperture(core_index: f64, cladding_index: f64) -> Result<f64, Vec<Fault>> {
    if cladding_index >= core_index {
        return Err(Fault::reversed("cladding_index", "core_index"));
    }
    let squared = (core_index - cladding_index) * (core_index + cladding_index);
    Ok(squared.sqrt().min(1.0))
}

/// The aperture's square as it stands in a *because*.
fn aperture_words(core_index: f64, cladding_index: f64) -> String {
    let (core, cladding) = (carried(core_index), carried(cladding_index));
    match aperture(core_index, cladding_index) {
        Ok(aperture) if aperture >= 1.0 => "1".to_owned(),
        _ => format!("({core}^2 − {cladding}^2)"),
    }
}

fn fibre_acceptance(i: &FibreAcceptance, _: &mut Warnings) -> Result<Acceptance, Vec<Fault>> {
    let numerical_aperture = aperture(i.core_index, i.cladding_index)?;
    Ok(Acceptance {
        numerical_aperture,
        acceptance_half_angle_deg: numerical_aperture.asin().to_degrees(),
        critical_angle_deg: (i.cladding_index / i.core_index).asin().to_degrees(),
    })
}

fn fibre_acceptance_because(i: &FibreAcceptance, a: &Acceptance) -> String {
    format!(
        "√{} = {}, the sine of {}° from the axis",
        aperture_words(i.core_index, i.cladding_index),
        found(a.numerical_aperture),
        found(a.acceptance_half_angle_deg)
    )
}

fn fibre_capture(i: &FibreCapture, _: &mut Warnings) -> Result<Capture, Vec<Fault>> {
    let numerical_aperture = aperture(i.core_index, i.cladding_index)?;
    Ok(Capture {
        numerical_aperture,
        captured_fraction: i.source_coverage * numerical_aperture.powi(2),
    })
}

fn fibre_capture_because(i: &FibreCapture, a: &Capture) -> String {
    format!(
        "{} × {} = {} of the light is taken in",
        given(i.source_coverage),
        aperture_words(i.core_index, i.cladding_index),
        found(a.captured_fraction)
    )
}

fn fibre_throughput(i: &FibreThroughput, _: &mut Warnings) -> Result<Throughput, Vec<Fault>> {
    let captured = i.source_coverage * aperture(i.core_index, i.cladding_index)?.powi(2);
    let reflected = ((i.core_index - 1.0) / (i.core_index + 1.0)).powi(2);
    let end_transmission = (0..i.air_ends).map(|_| 1.0 - reflected).product();
    let length_transmission = 10_f64.powf(-i.attenuation_db_per_m * i.length_m / 10.0);
    Ok(Throughput {
        end_transmission,
        length_transmission,
        output_lm: i.source_lm * captured * end_transmission * length_transmission,
    })
}

fn fibre_throughput_because(i: &FibreThroughput, a: &Throughput) -> String {
    format!(
        "{} × {} × {} × {} × {} = {} lm: the source, the part of it covered and taken in, the ends and the length",
        given(i.source_lm),
        given(i.source_coverage),
        aperture_words(i.core_index, i.cladding_index),
        carried(a.end_transmission),
        carried(a.length_transmission),
        found(a.output_lm)
    )
}

fn fibre_illuminance(i: &FibreIlluminance, _: &mut Warnings) -> FibreSpot {
    let na = i.numerical_aperture;
    let spread = if na < 1.0 {
        na / ((1.0 - na) * (1.0 + na)).sqrt()
    } else {
        f64::INFINITY
    };
    FibreSpot {
        on_axis_lx: i.output_lm / (PI * na.powi(2)) / i.distance_m.powi(2),
        spot_diameter_m: OrInfinity(2.0 * i.distance_m * spread),
    }
}

fn fibre_end_luminance(i: &FibreEndLuminance, _: &mut Warnings) -> EndLuminance {
    let core_m2 = FRAC_PI_4 * (i.core_diameter_mm / MM_PER_M).powi(2);
    EndLuminance {
        luminance_cdpm2: i.output_lm / (PI * i.numerical_aperture.powi(2) * core_m2),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Calculate, FaultKind};
    use proptest::prelude::*;

    #[test]
    fn the_aperture_ends_at_one_and_needs_the_denser_core() {
        let accepts = |core_index, cladding_index| {
            FibreAcceptance {
                core_index,
                cladding_index,
            }
            .work()
        };
        let wide = accepts(1.9, 1.3).expect("in range");
        assert!((wide.numerical_aperture - 1.0).abs() < 1e-12);
        assert!((wide.acceptance_half_angle_deg - 90.0).abs() < 1e-9);
        assert_eq!(
            accepts(1.4, 1.4).expect_err("refused")[0].kind,
            FaultKind::RangeReversed
        );
    }

    proptest! {
        #[test]
        fn what_is_captured_comes_out_of_a_fibre_without_loss(cladding in 1.3..1.5, more in 0.001..0.3) {
            let core = cladding + more;
            let captured = FibreCapture {
                core_index: core, cladding_index: cladding, source: FibreSource::Lambertian, source_coverage: 0.5,
            }.work().expect("in range");
            let out = FibreThroughput {
                source_lm: 1.0, source_coverage: 0.5, core_index: core, cladding_index: cladding, length_m: 0.0,
                attenuation_db_per_m: 0.2, air_ends: 0,
            }.work().expect("in range");
            prop_assert!((out.output_lm / captured.captured_fraction - 1.0).abs() < 1e-12);
        }

        #[test]
        fn the_spot_holds_the_light(na in 0.05..0.95_f64) {
            // rings of the cone: intensity over the axis is the cosine, as of any Lambertian end
            let spot = FibreIlluminance { output_lm: 1.0, numerical_aperture: na, distance_m: 1.0 }.work().expect("in range");
            let edge = na.asin();
            let rings = 2000;
            let flux: f64 = (0..rings).map(|ring| {
                let angle = (f64::from(ring) + 0.5) / f64::from(rings) * edge;
                spot.on_axis_lx * angle.cos() * 2.0 * PI * angle.sin() * edge / f64::from(rings)
            }).sum();
            prop_assert!((flux - 1.0).abs() < 1e-5);
        }
    }
}
