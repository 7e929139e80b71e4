//! The colour of open water, and of things seen through it.

use super::kinds::{IopSource, KdSource, WaterType, note_depth};
use super::light::downwelling;
use super::optics::{Beam, beam, beams};
use super::{DARK_BODY, GREEN_NM};
use crate::calculation::calculation;
use crate::colour::light::{seen, x_because};
use crate::colour::observer::{SAMPLES, Spectrum, Xyz, tristimulus};
use crate::colour::{Lamp, StandardDaylight};
use crate::fault::{Fault, Warnings};
use crate::figure::{carried, found};
use std::f64::consts::PI;

/// Strength of the veil to start from; artistic, 0.02 to 0.2.
const VEIL_STRENGTH: f64 = 0.05;
/// How light things are that nobody described.
const REFLECTANCE: f64 = 0.2;

calculation! { "water";
    /// Colour of open water, seen with no bottom behind it.
    ///
    /// Only the colour is physics, single scattering; its strength does not follow from the type. Told (`deep_water`) below
    /// 60 m and (`flagged_water`) where the table itself is in doubt.
    veil_colour(VeilColour {
        /// Type of water.
        water_type: WaterType = Any; usual WaterType::Ii,
        /// Depth in the story.
        depth_m: f64 = AtLeast(0.0); usual 10.0,
        /// Where absorption and scattering are taken from; measured when there is a measurement.
        iop_source: Option<IopSource> = Any,
        /// Where the weakening of light from above is taken from.
        kd_source: KdSource = Any; default KdSource::Jerlov1976,
        /// Light at the surface.
        surface: Lamp = Any; default Lamp::Named(StandardDaylight::D65),
    }) -> VeilFound {
        /// x.
        x: f64,
        /// y.
        y: f64,
    }
    because veil_colour_because
    source "single scattering; Williamson and Hollins 2022; Solonenko and Mobley 2015; Jerlov 1976", Confirmed

    /// Colour of a thing seen through water, and how bright it is against itself without the water between.
    ///
    /// Told as open water is.
    apparent_colour(ApparentColour {
        /// Type of water.
        water_type: WaterType = Any; usual WaterType::Ii,
        /// Depth in the story.
        depth_m: f64 = AtLeast(0.0); usual 10.0,
        /// Distance in the story.
        range_m: f64 = AtLeast(0.0); usual 6.0,
        /// How light the thing is.
        target_reflectance: f64 = Between(0.0, 1.0); default REFLECTANCE,
        /// Strength of the veil: artistic, 0.02 to 0.2.
        veil_strength: f64 = Between(0.0, 1.0); default VEIL_STRENGTH,
        /// How far one sees; that of the type when it is not given.
        visibility_m: Option<f64> = Above(0.0),
        /// Where absorption and scattering are taken from; measured when there is a measurement.
        iop_source: Option<IopSource> = Any,
        /// Where the weakening of light from above is taken from.
        kd_source: KdSource = Any; default KdSource::Jerlov1976,
        /// Light at the surface.
        surface: Lamp = Any; default Lamp::Named(StandardDaylight::D65),
    }) -> ApparentFound {
        /// x.
        x: f64,
        /// y.
        y: f64,
        /// Brightness over that of the thing with no water between; none for a black thing.
        luminance_relative_to_unveiled: Option<f64>,
    }
    because apparent_colour_because
    source "Duntley 1963, horizontal path; Williamson and Hollins 2022; Solonenko and Mobley 2015; Jerlov 1976", Confirmed
}

/// Light of open water, for a strength of the veil.
fn veil(light: &Spectrum, beams: &[Beam; SAMPLES], strength: f64) -> Spectrum {
    let mut out = *light;
    for (power, beam) in out.iter_mut().zip(beams) {
        *power *= strength / PI * beam.scattering_per_m / beam.attenuation_per_m();
    }
    out
}

/// Light of open water of this type at this depth.
fn open_water(i: &VeilColour, warnings: &mut Warnings) -> Result<Xyz, Fault> {
    let surface = i.surface.spectrum("surface", warnings)?;
    let light = downwelling(&surface, i.water_type, i.kd_source, i.depth_m)?;
    let source = i.iop_source.unwrap_or(i.water_type.preferred_source());
    let beams = beams(i.water_type, source, warnings)?;
    Ok(tristimulus(&veil(&light, beams, VEIL_STRENGTH)))
}

fn veil_colour(i: &VeilColour, warnings: &mut Warnings) -> Result<VeilFound, Fault> {
    note_depth(i.depth_m, warnings);
    let colour = seen("depth_m", open_water(i, warnings)?)?;
    Ok(VeilFound {
        x: colour.x,
        y: colour.y,
    })
}

fn veil_colour_because(i: &VeilColour, a: &VeilFound) -> String {
    open_water(i, &mut Warnings::default()).map_or_else(
        |fault| fault.problem,
        |light| x_because(light, crate::colour::Chromaticity { x: a.x, y: a.y }),
    )
}

/// How much more the water takes than its type does, by the visibility typed.
fn murkier(i: &ApparentColour, source: IopSource, warnings: &mut Warnings) -> Result<f64, Fault> {
    let Some(visibility_m) = i.visibility_m else {
        return Ok(1.0);
    };
    let of_type = beam(i.water_type, source, GREEN_NM, warnings)?.attenuation_per_m();
    Ok(DARK_BODY / visibility_m / of_type)
}

/// Light of the thing itself, and of what is seen of it.
fn bare_and_veiled(i: &ApparentColour, warnings: &mut Warnings) -> Result<(Xyz, Xyz), Fault> {
    let surface = i.surface.spectrum("surface", warnings)?;
    let light = downwelling(&surface, i.water_type, i.kd_source, i.depth_m)?;
    let source = i.iop_source.unwrap_or(i.water_type.preferred_source());
    let beams = beams(i.water_type, source, warnings)?;
    let murkier = murkier(i, source, warnings)?;
    let bare = light.map(|power| power * i.target_reflectance / PI);
    let open = veil(&light, beams, i.veil_strength);
    let mut veiled = bare;
    for ((power, open), beam) in veiled.iter_mut().zip(open).zip(beams) {
        let through = (-beam.attenuation_per_m() * murkier * i.range_m).exp();
        *power = *power * through + open * (1.0 - through);
    }
    Ok((tristimulus(&bare), tristimulus(&veiled)))
}

fn apparent_colour(i: &ApparentColour, warnings: &mut Warnings) -> Result<ApparentFound, Fault> {
    note_depth(i.depth_m, warnings);
    let (bare, veiled) = bare_and_veiled(i, warnings)?;
    let colour = seen("range_m", veiled)?;
    Ok(ApparentFound {
        x: colour.x,
        y: colour.y,
        luminance_relative_to_unveiled: (bare.y > 0.0).then(|| veiled.y / bare.y),
    })
}

fn apparent_colour_because(i: &ApparentColour, a: &ApparentFound) -> String {
    let Ok((bare, veiled)) = bare_and_veiled(i, &mut Warnings::default()) else {
        return String::new();
    };
    let colour = crate::colour::Chromaticity { x: a.x, y: a.y };
    match a.luminance_relative_to_unveiled {
        None => x_because(veiled, colour),
        Some(brightness) => format!(
            "{} ÷ {} = {} of its brightness with no water between, x {} and y {}",
            carried(veiled.y),
            carried(bare.y),
            found(brightness),
            found(a.x),
            found(a.y)
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    fn thing(range_m: f64, target_reflectance: f64, visibility_m: Option<f64>) -> ApparentColour {
        ApparentColour {
            water_type: WaterType::C1,
            depth_m: 6.0,
            range_m,
            target_reflectance,
            veil_strength: VEIL_STRENGTH,
            visibility_m,
            iop_source: None,
            kd_source: KdSource::Jerlov1976,
            surface: Lamp::Named(StandardDaylight::D65),
        }
    }

    fn open() -> VeilColour {
        VeilColour {
            water_type: WaterType::C1,
            depth_m: 6.0,
            iop_source: None,
            kd_source: KdSource::Jerlov1976,
            surface: Lamp::Named(StandardDaylight::D65),
        }
    }

    #[test]
    fn far_things_are_the_colour_of_the_water() {
        let far = thing(500.0, 0.2, None).work().expect("in range");
        let water = open().work().expect("in range");
        assert!((far.x - water.x).abs() < 1e-6 && (far.y - water.y).abs() < 1e-6);
    }

    #[test]
    fn a_black_thing_has_no_brightness_of_its_own() {
        let black = thing(5.0, 0.0, None).work().expect("in range");
        assert_eq!(black.luminance_relative_to_unveiled, None);
        assert!(
            crate::because::evaluate(&black.because)
                .expect("an expression")
                .units_apart()
                <= 0.6
        );
        assert_eq!(
            thing(0.0, 0.0, None).work().expect_err("refused")[0].field,
            "range_m"
        );
    }

    #[test]
    fn types_in_doubt_are_told() {
        let clear = VeilColour {
            water_type: WaterType::I,
            ..open()
        };
        assert_eq!(clear.work().expect("in range").warnings, ["flagged_water"]);
        let lost = VeilColour {
            water_type: WaterType::C5,
            iop_source: Some(IopSource::Solonenko2015),
            ..open()
        };
        assert_eq!(lost.work().expect_err("refused")[0].field, "iop_source");
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(32))]

        #[test]
        fn at_no_distance_there_is_no_veil(reflectance in 0.01..1.0_f64) {
            let near = thing(0.0, reflectance, None).work().expect("in range");
            prop_assert!((near.luminance_relative_to_unveiled.expect("not black") - 1.0).abs() < 1e-12);
        }

        #[test]
        fn murkier_water_is_like_farther_away(visibility in 1.0..30.0_f64, range in 0.5..10.0_f64) {
            let near = thing(range, 0.5, Some(visibility)).work().expect("in range");
            let far = thing(2.0 * range, 0.5, Some(2.0 * visibility)).work().expect("in range");
            prop_assert!((near.x - far.x).abs() < 1e-9 && (near.y - far.y).abs() < 1e-9);
        }
    }
}
