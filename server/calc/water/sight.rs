//! How far one sees, and what contrast is left on the way.

use super::kinds::{IopSource, WaterType};
use super::optics::beam;
use super::{DARK_BODY, GREEN_NM};
use crate::calculation::calculation;
use crate::fault::{Fault, FaultKind, Warnings};
use crate::figure::{carried, found, given};
use std::sync::LazyLock;

/// Depth at which a white disc is lost times the weakening of light from above (Poole and Atkins 1929, from memory).
const SECCHI_KD: f64 = 1.7;
/// The same times beam and downward weakening together (Tyler 1968, from memory).
const SECCHI_SUM: f64 = 8.69;

calculation! { "water";
    /// How far a dark body is seen, by water type.
    ///
    /// Told (`flagged_water`) where the table itself is in doubt: types I and IA.
    visibility(Visibility {
        /// Type of water.
        water_type: WaterType = Any; usual WaterType::Ii,
        /// Where absorption and scattering are taken from; measured when there is a measurement.
        iop_source: Option<IopSource> = Any,
        /// Wavelength.
        wavelength_nm: f64 = Between(300.0, 780.0); default GREEN_NM,
    }) -> VisibilityFound {
        /// What a beam loses each metre, as an exponent.
        beam_attenuation_per_m: f64,
        /// Distance at which a dark body is lost, looking level.
        black_target_visibility_m: f64,
    }
    because visibility_because
    source "Davies-Colley 1988; Zaneveld and Pegau, Opt. Express 11, 2997, 2003; Williamson and Hollins 2022; Solonenko and Mobley 2015", Confirmed

    /// What a visibility says of the water.
    attenuation_from_visibility(AttenuationFromVisibility {
        /// Distance at which a dark body is lost, looking level.
        visibility_m: f64 = Above(0.0); usual 20.0,
    }) -> AttenuationFound {
        /// What a green beam loses each metre, as an exponent.
        beam_attenuation_532nm_per_m: f64,
    }
    because "4.8 ÷ {visibility_m} = {beam_attenuation_532nm_per_m} 1/m in green"
    source "Davies-Colley 1988; Zaneveld and Pegau, Opt. Express 11, 2997, 2003", Confirmed

    /// What a sinking disc says of light from above.
    secchi_kd(SecchiKd {
        /// Depth at which a white disc is lost from above.
        secchi_m: f64 = Above(0.0); usual 10.0,
    }) -> SecchiKdFound {
        /// How fast light from above weakens.
        kd_per_m: f64,
    }
    because "1.7 ÷ {secchi_m} = {kd_per_m} 1/m; 1.4 to 1.7 in practice"
    source "Poole and Atkins 1929", FromMemory

    /// Depth at which a white disc is lost from above.
    secchi_sum(SecchiSum {
        /// What a beam loses each metre, as an exponent.
        beam_attenuation_per_m: f64 = Above(0.0); usual 0.3,
        /// How fast light from above weakens.
        kd_per_m: f64 = AtLeast(0.0); usual 0.1,
    }) -> SecchiFound {
        /// Depth of the disc.
        secchi_m: f64,
    }
    because "8.69 ÷ ({beam_attenuation_per_m} + {kd_per_m}) = {secchi_m} m"
    source "Tyler 1968; published constants range from 7 to 9.6", FromMemory

    /// Contrast left against the water behind.
    ///
    /// Level it falls with the beam alone; straight down faster, straight up slower.
    contrast(WaterContrast {
        /// What a beam loses each metre, as an exponent.
        beam_attenuation_per_m: f64 = AtLeast(0.0); usual 0.25,
        /// How fast light from above weakens.
        kd_per_m: f64 = AtLeast(0.0); usual 0.09,
        /// Distance in the story.
        range_m: f64 = AtLeast(0.0); usual 10.0,
        /// Direction looked in: 0 is straight up, 90 level, 180 straight down.
        path_zenith_angle_deg: f64 = Between(0.0, 180.0); default 90.0,
        /// Contrast at no distance: −1 is black.
        inherent_contrast: f64 = Any; default -1.0,
    }) -> ContrastFound {
        /// Contrast left.
        contrast: f64,
    }
    because "{inherent_contrast} × e^−(({beam_attenuation_per_m} − {kd_per_m} × cos({path_zenith_angle_deg}°)) × {range_m}) = {contrast}"
    source "Duntley, J. Opt. Soc. Am. 53, 214, 1963", Confirmed

    /// What is seen of a thing through water: its own light, and that of the water before it.
    path(WaterPath {
        /// Light of the thing, against any white.
        target_radiance_rel: f64 = AtLeast(0.0); usual 0.3,
        /// Light of open water, against the same.
        veil_radiance_rel: f64 = AtLeast(0.0); usual 1.0,
        /// What a beam loses each metre, as an exponent.
        beam_attenuation_per_m: f64 = AtLeast(0.0); usual 0.25,
        /// Distance in the story.
        range_m: f64 = AtLeast(0.0); usual 8.0,
    }) -> WaterPathFound {
        /// Light that is seen.
        apparent_rel: f64,
        /// Share that is still the thing's own.
        direct_fraction: f64,
    }
    because "{veil_radiance_rel} + ({target_radiance_rel} − {veil_radiance_rel}) × e^−({beam_attenuation_per_m} × {range_m}) = {apparent_rel}, {direct_fraction} of it still the thing's own"
    source "Duntley, J. Opt. Soc. Am. 53, 214, 1963, horizontal path", Confirmed

    /// What a beam loses, from what is absorbed and what is scattered.
    attenuation_sum(AttenuationSum {
        /// Absorption; that of the station when it is not given.
        absorption_per_m: Option<f64> = AtLeast(0.0); usual 0.195,
        /// Scattering; that of the station when it is not given.
        scattering_per_m: Option<f64> = AtLeast(0.0); usual 0.275,
        /// A water that was measured at 530 nm, such as `HAOCE_5`.
        station: Option<String> = Any,
    }) -> AttenuationSumFound {
        /// What a beam loses each metre, as an exponent.
        beam_attenuation_per_m: f64,
    }
    because attenuation_sum_because
    source "definition; Petzold, SIO Ref. 72-78, 1972, for the stations", Confirmed
}

fn visibility(i: &Visibility, warnings: &mut Warnings) -> Result<VisibilityFound, Fault> {
    let source = i.iop_source.unwrap_or(i.water_type.preferred_source());
    let beam = beam(i.water_type, source, i.wavelength_nm, warnings)?;
    let beam_attenuation_per_m = beam.attenuation_per_m();
    Ok(VisibilityFound {
        beam_attenuation_per_m,
        black_target_visibility_m: DARK_BODY / beam_attenuation_per_m,
    })
}

fn visibility_because(_: &Visibility, a: &VisibilityFound) -> String {
    format!(
        "4.8 ÷ {} = {} m for a dark body, looking level",
        carried(a.beam_attenuation_per_m),
        found(a.black_target_visibility_m)
    )
}

fn attenuation_from_visibility(
    i: &AttenuationFromVisibility,
    _: &mut Warnings,
) -> AttenuationFound {
    AttenuationFound {
        beam_attenuation_532nm_per_m: DARK_BODY / i.visibility_m,
    }
}

fn secchi_kd(i: &SecchiKd, _: &mut Warnings) -> SecchiKdFound {
    SecchiKdFound {
        kd_per_m: SECCHI_KD / i.secchi_m,
    }
}

fn secchi_sum(i: &SecchiSum, _: &mut Warnings) -> SecchiFound {
    SecchiFound {
        secchi_m: SECCHI_SUM / (i.beam_attenuation_per_m + i.kd_per_m),
    }
}

fn contrast(i: &WaterContrast, _: &mut Warnings) -> ContrastFound {
    let upwards = i.path_zenith_angle_deg.to_radians().cos();
    let loss_per_m = i.beam_attenuation_per_m - i.kd_per_m * upwards;
    ContrastFound {
        contrast: i.inherent_contrast * (-loss_per_m * i.range_m).exp(),
    }
}

fn path(i: &WaterPath, _: &mut Warnings) -> WaterPathFound {
    let through = (-i.beam_attenuation_per_m * i.range_m).exp();
    WaterPathFound {
        apparent_rel: i.target_radiance_rel * through + i.veil_radiance_rel * (1.0 - through),
        direct_fraction: through,
    }
}

/// Measured waters: name, absorption, scattering.
fn stations() -> &'static [(String, f64, f64)] {
    static STATIONS: LazyLock<Vec<(String, f64, f64)>> = LazyLock::new(|| {
        crate::table::rows(include_str!("../data/petzold1972_stations.csv"))
            .iter()
            .filter_map(|row| {
                let number = |name: &str| row.get(name)?.parse().ok();
                Some((
                    row.get("station")?.clone(),
                    number("a_per_m")?,
                    number("b_per_m")?,
                ))
            })
            .collect()
    });
    &STATIONS
}

/// Absorption and scattering as given, or those of the station.
fn absorbed_and_scattered(i: &AttenuationSum) -> Result<(f64, f64), Vec<Fault>> {
    if let (Some(absorbed), Some(scattered)) = (i.absorption_per_m, i.scattering_per_m) {
        return Ok((absorbed, scattered));
    }
    let Some(name) = &i.station else {
        let missing = |field: &str| {
            let problem = format!("{} is needed, or a station.", crate::input::label(field));
            Fault::new(field, FaultKind::Missing, problem)
        };
        let needed = [
            i.absorption_per_m
                .is_none()
                .then(|| missing("absorption_per_m")),
            i.scattering_per_m
                .is_none()
                .then(|| missing("scattering_per_m")),
        ];
        return Err(needed.into_iter().flatten().collect());
    };
    let Some((_, absorbed, scattered)) = stations().iter().find(|(of, _, _)| of == name) else {
        let known: Vec<_> = stations().iter().map(|(of, _, _)| of.as_str()).collect();
        let problem = format!("Station must be one of {}.", known.join(", "));
        return Err(Fault::new("station", FaultKind::NotOneOf, problem).into());
    };
    Ok((
        i.absorption_per_m.unwrap_or(*absorbed),
        i.scattering_per_m.unwrap_or(*scattered),
    ))
}

fn attenuation_sum(
    i: &AttenuationSum,
    _: &mut Warnings,
) -> Result<AttenuationSumFound, Vec<Fault>> {
    let (absorbed, scattered) = absorbed_and_scattered(i)?;
    Ok(AttenuationSumFound {
        beam_attenuation_per_m: absorbed + scattered,
    })
}

fn attenuation_sum_because(i: &AttenuationSum, a: &AttenuationSumFound) -> String {
    let (absorbed, scattered) = absorbed_and_scattered(i).unwrap_or_default();
    format!(
        "{} + {} = {} 1/m; a dark body is lost at {} m",
        given(absorbed),
        given(scattered),
        found(a.beam_attenuation_per_m),
        carried(DARK_BODY / a.beam_attenuation_per_m)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;

    #[test]
    fn a_station_stands_for_its_numbers() {
        let asked = |station: Option<&str>| AttenuationSum {
            absorption_per_m: None,
            scattering_per_m: None,
            station: station.map(str::to_owned),
        };
        let harbour = asked(Some("NUC_2200")).work().expect("a station");
        assert!((harbour.beam_attenuation_per_m - 1.92).abs() < 1e-9);
        assert_eq!(
            asked(Some("PIER_1")).work().expect_err("refused")[0].kind,
            FaultKind::NotOneOf
        );
        assert_eq!(asked(None).work().expect_err("refused").len(), 2);
        assert_eq!(stations().len(), 8);
    }

    #[test]
    fn the_source_is_chosen_by_the_type() {
        for water in WaterType::ALL {
            let asked = Visibility {
                water_type: *water,
                iop_source: None,
                wavelength_nm: GREEN_NM,
            };
            let seen = asked.work().expect("a type");
            let doubted = matches!(water, WaterType::I | WaterType::Ia);
            assert_eq!(
                seen.warnings.contains(&"flagged_water"),
                doubted,
                "{}",
                water.as_str()
            );
        }
    }

    proptest! {
        #[test]
        fn straight_down_loses_most(c in 0.05..2.0_f64, share in 0.0..1.0_f64, range in 0.1..30.0_f64, angle in 0.0..170.0_f64) {
            let left = |path_zenith_angle_deg| WaterContrast {
                beam_attenuation_per_m: c, kd_per_m: c * share, range_m: range, path_zenith_angle_deg, inherent_contrast: 1.0,
            }.work().expect("in range").contrast;
            prop_assert!(left(angle) >= left(angle + 10.0));
            prop_assert!(left(0.0) <= 1.0 + 1e-12);
        }

        #[test]
        fn what_is_seen_lies_between_the_thing_and_the_water(target in 0.0..2.0_f64, veil in 0.0..2.0_f64, depth in 0.0..9.0_f64) {
            let seen = WaterPath {
                target_radiance_rel: target, veil_radiance_rel: veil, beam_attenuation_per_m: depth, range_m: 1.0,
            }.work().expect("in range").apparent_rel;
            prop_assert!(seen >= target.min(veil) - 1e-12 && seen <= target.max(veil) + 1e-12);
        }

        #[test]
        fn a_visibility_gives_itself_back(metres in 0.2..60.0_f64) {
            let water = AttenuationFromVisibility { visibility_m: metres }.work().expect("in range");
            prop_assert!((DARK_BODY / water.beam_attenuation_532nm_per_m / metres - 1.0).abs() < 1e-12);
        }
    }
}
