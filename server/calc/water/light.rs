//! Light on its way down: its colour, the stops it loses, how it flickers.

use super::kinds::{KdSource, PRINTED_TO_NM, WaterType, kd_per_m, kd_spectrum, note_depth};
use super::optics::pure_absorption;
use crate::calculation::calculation;
use crate::colour::light::seen;
use crate::colour::observer::{Spectrum, Xyz, tristimulus};
use crate::colour::{Lamp, StandardDaylight};
use crate::fault::{Fault, Warnings};
use crate::figure::{carried, found, given};

/// Share of the story's stops that a stage shows; common practice, no source.
const COMPRESSION: f64 = 0.4;
/// Shares that crews use; common practice, no source.
const USUAL_COMPRESSION: std::ops::RangeInclusive<f64> = 0.3..=0.6;

calculation! { "water";
    /// How fast light from above weakens, by wavelength.
    kd(Kd {
        /// Type of water.
        water_type: WaterType = Any; usual WaterType::Ii,
        /// Wavelength.
        wavelength_nm: f64 = Between(310.0, 780.0); usual 532.0,
        /// Where it is taken from.
        kd_source: KdSource = Any; default KdSource::Jerlov1976,
    }) -> KdFound {
        /// Share lost each metre, as an exponent.
        kd_per_m: f64,
    }
    because kd_because
    source "Jerlov, Marine Optics, 1976, Table XXVII; Austin and Petzold 1986, Table VI", Confirmed

    /// Colour of the light at a depth, and the stops it has lost.
    ///
    /// Told (`deep_water`) below 60 m. The surface type is used all the way down, as is usual; coastal water is clearer
    /// below. With a colour compression under 1 it is the colour to hand to the search for gels: full colour is more than
    /// a stage can afford, and a half sells it.
    light_at_depth(LightAtDepth {
        /// Type of water.
        water_type: WaterType = Any; usual WaterType::Ii,
        /// Depth in the story.
        depth_m: f64 = AtLeast(0.0); usual 10.0,
        /// Where the weakening is taken from.
        kd_source: KdSource = Any; default KdSource::Jerlov1976,
        /// Light at the surface.
        surface: Lamp = Any; default Lamp::Named(StandardDaylight::D65),
        /// Share of the water's colour that is wanted.
        colour_compression: f64 = AboveUpTo(0.0, 1.0); default 1.0,
    }) -> LightFound {
        /// x.
        x: f64,
        /// y.
        y: f64,
        /// Stops below the surface.
        stops_lost: f64,
    }
    because light_at_depth_because
    source "Jerlov, Marine Optics, 1976, Table XXVII; Austin and Petzold 1986; CIE 015", Confirmed

    /// Stops between two depths.
    falloff_between(FalloffBetween {
        /// Type of water.
        water_type: WaterType = Any; usual WaterType::Ii,
        /// Upper depth.
        shallow_m: f64 = AtLeast(0.0); usual 3.0,
        /// Lower depth.
        deep_m: f64 = AtLeast(0.0); usual 15.0,
        /// Where the weakening is taken from.
        kd_source: KdSource = Any; default KdSource::Jerlov1976,
        /// Light at the surface.
        surface: Lamp = Any; default Lamp::Named(StandardDaylight::D65),
    }) -> FalloffFound {
        /// Stops that the deeper one is under the other.
        stops_between: f64,
    }
    because falloff_between_because
    source "Jerlov, Marine Optics, 1976, Table XXVII; Austin and Petzold 1986; CIE 015", Confirmed

    /// Stops to light a depth by on the stage.
    ///
    /// The eye accepts a fall-off that is pressed together. Told (`compression_unusual`) outside 0.3 to 0.6.
    compressed_falloff(CompressedFalloff {
        /// Stops in the story.
        story_stops: f64 = AtLeast(0.0); usual 3.6,
        /// Share of them to show.
        compression: f64 = Between(0.0, 1.0); default COMPRESSION,
    }) -> StageFalloff {
        /// Stops on the stage.
        stage_stops: f64,
    }
    because "{story_stops} × {compression} = {stage_stops} stops on the stage"
    source "proportional compression in stops", CommonPractice
}

/// Power of a light at a depth, wavelength by wavelength.
///
/// # Errors
/// A type that the source has not got.
pub fn downwelling(
    surface: &Spectrum,
    water: WaterType,
    source: KdSource,
    depth_m: f64,
) -> Result<Spectrum, Fault> {
    let kd = kd_spectrum(water, source)?;
    let mut out = *surface;
    for (power, kd_per_m) in out.iter_mut().zip(kd) {
        *power *= (-kd_per_m * depth_m).exp();
    }
    Ok(out)
}

/// A light at the surface and at a depth.
fn lights(
    surface: &Lamp,
    water: WaterType,
    source: KdSource,
    (field, depth_m): (&str, f64),
    warnings: &mut Warnings,
) -> Result<(Xyz, Xyz), Fault> {
    let above = surface.spectrum("surface", warnings)?;
    let below = downwelling(&above, water, source, depth_m)?;
    let (above, below) = (tristimulus(&above), tristimulus(&below));
    seen("surface", above)?;
    seen(field, below)?;
    Ok((above, below))
}

fn kd(i: &Kd, _: &mut Warnings) -> Result<KdFound, Fault> {
    Ok(KdFound {
        kd_per_m: kd_per_m(i.water_type, i.kd_source, i.wavelength_nm)?,
    })
}

fn kd_because(i: &Kd, a: &KdFound) -> String {
    let printed_nm = i.wavelength_nm.min(PRINTED_TO_NM);
    let printed = kd_per_m(i.water_type, i.kd_source, printed_nm).unwrap_or(0.0);
    let more = pure_absorption(i.wavelength_nm) - pure_absorption(printed_nm);
    let more = if i.wavelength_nm > PRINTED_TO_NM {
        more
    } else {
        0.0
    };
    format!(
        "{} + {} = {} 1/m, from {} {} and what pure water takes more above 700 nm",
        carried(printed),
        carried(more),
        found(a.kd_per_m),
        i.kd_source.as_str(),
        i.water_type.as_str()
    )
}

/// Share of the colour that is wanted, as the depth that has it.
fn coloured_depth_m(i: &LightAtDepth) -> f64 {
    i.depth_m * i.colour_compression
}

fn light_at_depth(i: &LightAtDepth, warnings: &mut Warnings) -> Result<LightFound, Fault> {
    note_depth(i.depth_m, warnings);
    let depth = ("depth_m", coloured_depth_m(i));
    let (above, below) = lights(&i.surface, i.water_type, i.kd_source, depth, warnings)?;
    let colour = seen("depth_m", below)?;
    Ok(LightFound {
        x: colour.x,
        y: colour.y,
        stops_lost: (above.y / below.y).log2(),
    })
}

fn light_at_depth_because(i: &LightAtDepth, a: &LightFound) -> String {
    let depth = ("depth_m", coloured_depth_m(i));
    let both = lights(
        &i.surface,
        i.water_type,
        i.kd_source,
        depth,
        &mut Warnings::default(),
    );
    both.map_or_else(
        |fault| fault.problem,
        |(above, below)| {
            format!(
                "log₂({} ÷ {}) = {} stops under the surface, x {} and y {} in water of type {}",
                carried(above.y),
                carried(below.y),
                found(a.stops_lost),
                found(a.x),
                found(a.y),
                i.water_type.as_str()
            )
        },
    )
}

/// The light at both depths.
fn both_lights(i: &FalloffBetween, warnings: &mut Warnings) -> Result<(Xyz, Xyz), Fault> {
    let mut at = |field, depth_m| {
        let depth = (field, depth_m);
        lights(&i.surface, i.water_type, i.kd_source, depth, warnings).map(|(_, below)| below)
    };
    Ok((at("shallow_m", i.shallow_m)?, at("deep_m", i.deep_m)?))
}

fn falloff_between(
    i: &FalloffBetween,
    warnings: &mut Warnings,
) -> Result<FalloffFound, Vec<Fault>> {
    if i.shallow_m > i.deep_m {
        return Err(Fault::reversed("shallow_m", "deep_m"));
    }
    note_depth(i.deep_m, warnings);
    let (shallow, deep) = both_lights(i, warnings)?;
    Ok(FalloffFound {
        stops_between: (shallow.y / deep.y).log2(),
    })
}

fn falloff_between_because(i: &FalloffBetween, a: &FalloffFound) -> String {
    let both = both_lights(i, &mut Warnings::default());
    both.map_or_else(
        |fault| fault.problem,
        |(shallow, deep)| {
            format!(
                "log₂({} ÷ {}) = {} stops from {} to {} m",
                carried(shallow.y),
                carried(deep.y),
                found(a.stops_between),
                given(i.shallow_m),
                given(i.deep_m)
            )
        },
    )
}

fn compressed_falloff(i: &CompressedFalloff, warnings: &mut Warnings) -> StageFalloff {
    warnings.add_if(
        !USUAL_COMPRESSION.contains(&i.compression),
        "compression_unusual",
    );
    StageFalloff {
        stage_stops: i.story_stops * i.compression,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use crate::fault::FaultKind;
    use proptest::prelude::*;

    fn at(water_type: WaterType, depth_m: f64) -> LightAtDepth {
        LightAtDepth {
            water_type,
            depth_m,
            kd_source: KdSource::Jerlov1976,
            surface: Lamp::Named(StandardDaylight::D65),
            colour_compression: 1.0,
        }
    }

    #[test]
    fn oceans_go_blue_and_coasts_go_green() {
        let ocean = at(WaterType::I, 20.0).work().expect("in range");
        let coast = at(WaterType::C1, 20.0).work().expect("in range");
        assert!(ocean.x < 0.2 && ocean.y < 0.25);
        assert!(coast.y > 0.5);
    }

    #[test]
    fn the_deep_is_told_and_beyond_all_light_refused() {
        assert_eq!(
            at(WaterType::I, 61.0).work().expect("in range").warnings,
            ["deep_water"]
        );
        let dark = at(WaterType::C9, 1e6).work().expect_err("refused");
        assert_eq!(
            (dark[0].field.as_str(), dark[0].kind),
            ("depth_m", FaultKind::OutOfRange)
        );
    }

    #[test]
    fn depths_the_wrong_way_round_name_both() {
        let reversed = FalloffBetween {
            water_type: WaterType::Ii,
            shallow_m: 12.0,
            deep_m: 3.0,
            kd_source: KdSource::Jerlov1976,
            surface: Lamp::Named(StandardDaylight::D65),
        };
        assert_eq!(reversed.work().expect_err("refused").len(), 2);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(32))]

        #[test]
        fn deeper_is_darker_and_half_the_colour_is_half_the_depth(depth in 0.5..30.0_f64, more in 0.5..20.0_f64) {
            for water in WaterType::ALL {
                let here = at(*water, depth).work().expect("in range");
                prop_assert!(at(*water, depth + more).work().expect("in range").stops_lost > here.stops_lost);
                let half = LightAtDepth { colour_compression: 0.5, ..at(*water, 2.0 * depth) };
                prop_assert!((half.work().expect("in range").x - here.x).abs() < 1e-9);
            }
        }

        #[test]
        fn the_fall_between_is_the_difference(shallow in 0.0..20.0_f64, more in 0.0..20.0_f64) {
            let between = FalloffBetween {
                water_type: WaterType::C3, shallow_m: shallow, deep_m: shallow + more, kd_source: KdSource::Jerlov1976,
                surface: Lamp::Named(StandardDaylight::D65),
            };
            let stops = |depth| at(WaterType::C3, depth).work().expect("in range").stops_lost;
            let difference = stops(shallow + more) - stops(shallow);
            prop_assert!((between.work().expect("in range").stops_between - difference).abs() < 1e-9);
        }
    }
}
