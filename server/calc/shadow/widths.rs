//! How wide and how soft a flag's shadow is.

use crate::calculation::{OrInfinity, calculation};
use crate::fault::{Fault, FaultKind, Warnings};
use crate::figure::{carried, found, given};
use std::f64::consts::FRAC_2_PI;

calculation! { "shadow";
    /// How far behind a round flag the full shadow reaches, in the unit of the lengths given.
    ///
    /// w z/(s − w); without end when the flag is as large as the lamp or larger.
    umbra_length(UmbraLength {
        /// Diameter of the lamp.
        lamp_diameter: f64 = Above(0.0); usual 0.2,
        /// Diameter of the flag.
        flag_diameter: f64 = Above(0.0); usual 0.1,
        /// Distance from lamp to flag.
        lamp_to_flag: f64 = Above(0.0); usual 3.0,
    }) -> Umbra {
        /// Length of the full shadow behind the flag.
        umbra_length: OrInfinity,
    }
    because umbra_length_because
    source "similar triangles; published eclipse geometry", Confirmed

    /// Width of a flag's shadow: full, half and outer, and the softness of its edge.
    ///
    /// Give lamp diameter, lamp height, flag height and flag width in metres; or, for widths over the flag alone, lamp
    /// diameter, flag width, lamp to flag and flag to set in any one unit. A flag too small for its height leaves no full
    /// shadow (`umbra_gone`): a long strip then leaves the share of the lamp's light that is told as centre level. Hot
    /// lamps: clearance as the maker states, nothing that burns, a safety bond on every flag and lamp.
    shadow_widths(ShadowWidths {
        /// Diameter of the lamp.
        lamp_diameter_m: Option<f64> = Above(0.0); usual 0.05,
        /// Height of the lamp over the set.
        lamp_height_m: Option<f64> = Above(0.0); usual 3.5,
        /// Height of the flag over the set, below the lamp.
        flag_height_m: Option<f64> = Above(0.0); usual 0.5,
        /// Width of the flag.
        flag_width_m: Option<f64> = Above(0.0); usual 0.3,
        /// Diameter of the lamp, in any unit.
        lamp_diameter: Option<f64> = Above(0.0),
        /// Width of the flag, in the same unit.
        flag_width: Option<f64> = Above(0.0),
        /// Distance from lamp to flag, in the same unit.
        lamp_to_flag: Option<f64> = Above(0.0),
        /// Distance from flag to set, in the same unit.
        flag_to_set: Option<f64> = Above(0.0),
    }) -> Shadow {
        /// Width of the full shadow over that of the flag.
        umbra_over_flag: f64,
        /// Width to the outer ends over that of the flag.
        penumbra_outer_over_flag: f64,
        /// Width of the full shadow.
        umbra_width_m: Option<f64>,
        /// Width to the outer ends.
        penumbra_outer_width_m: Option<f64>,
        /// Width where half the lamp is seen.
        half_level_width_m: Option<f64>,
        /// Width of the soft edge, each side.
        edge_width_m: Option<f64>,
        /// Share of the lamp's light left in the middle.
        centre_level: f64,
    }
    because shadow_widths_because
    source "similar triangles; published eclipse geometry; centre level: visible part of a round lamp, agreed by a sum over it", Confirmed
}

fn umbra_length(i: &UmbraLength, _: &mut Warnings) -> Umbra {
    let wider = i.lamp_diameter - i.flag_diameter;
    Umbra {
        umbra_length: OrInfinity(if wider > 0.0 {
            i.flag_diameter * i.lamp_to_flag / wider
        } else {
            f64::INFINITY
        }),
    }
}

fn umbra_length_because(i: &UmbraLength, a: &Umbra) -> String {
    let (lamp, flag) = (given(i.lamp_diameter), given(i.flag_diameter));
    if a.umbra_length.0.is_infinite() {
        return format!(
            "{flag} ÷ {lamp} = {} of the lamp. A flag as large as the lamp or larger throws a shadow without end.",
            found(i.flag_diameter / i.lamp_diameter)
        );
    }
    format!(
        "{flag} × {} ÷ ({} − {}) = {} behind the flag",
        given(i.lamp_to_flag),
        carried(i.lamp_diameter),
        carried(i.flag_diameter),
        found(a.umbra_length.0)
    )
}

/// Lamp, flag and the two distances, in one unit.
struct Beam {
    lamp: f64,
    flag: f64,
    to_flag: f64,
    to_set: f64,
}

impl Beam {
    /// Width where half the lamp is seen.
    fn half_level(&self) -> f64 {
        self.flag * (self.to_flag + self.to_set) / self.to_flag
    }

    /// Width of the soft edge, each side.
    fn edge(&self) -> f64 {
        self.lamp * self.to_set / self.to_flag
    }

    fn umbra(&self) -> f64 {
        let width = self.half_level() - self.edge();
        if width < 0.0 { 0.0 } else { width }
    }

    /// Share of a round lamp that a long strip leaves to the middle of its shadow.
    fn centre_level(&self) -> f64 {
        let covered = self.half_level() / self.edge();
        if covered >= 1.0 {
            return 0.0;
        }
        let hidden = covered.asin() + covered * (1.0 - covered * covered).sqrt();
        1.0 - FRAC_2_PI * hidden
    }
}

fn all_of(fields: [(&str, Option<f64>); 4]) -> Result<[f64; 4], Vec<Fault>> {
    let absent: Vec<Fault> = fields
        .iter()
        .filter(|(_, value)| value.is_none())
        .map(|(field, _)| {
            let problem = format!("{} is needed.", crate::input::label(field));
            Fault::new(*field, FaultKind::Missing, problem)
        })
        .collect();
    if absent.is_empty() {
        Ok(fields.map(|(_, value)| value.unwrap_or_default()))
    } else {
        Err(absent)
    }
}

/// The beam, and whether its lengths are metres.
fn beam(i: &ShadowWidths) -> Result<(Beam, bool), Vec<Fault>> {
    let any_unit = [
        ("lamp_diameter", i.lamp_diameter),
        ("flag_width", i.flag_width),
        ("lamp_to_flag", i.lamp_to_flag),
        ("flag_to_set", i.flag_to_set),
    ];
    let metres = [
        ("lamp_diameter_m", i.lamp_diameter_m),
        ("lamp_height_m", i.lamp_height_m),
        ("flag_height_m", i.flag_height_m),
        ("flag_width_m", i.flag_width_m),
    ];
    let some = |fields: &[(&str, Option<f64>)]| fields.iter().any(|(_, value)| value.is_some());
    if some(&any_unit) {
        if some(&metres) {
            let problem = "Give the lengths in metres or in any one unit, not both.";
            let given = any_unit.iter().filter(|(_, value)| value.is_some());
            return Err(given
                .map(|(field, _)| Fault::new(*field, FaultKind::OutOfRange, problem))
                .collect());
        }
        let [lamp, flag, to_flag, to_set] = all_of(any_unit)?;
        return Ok((
            Beam {
                lamp,
                flag,
                to_flag,
                to_set,
            },
            false,
        ));
    }
    let [lamp, lamp_height_m, flag_height_m, flag] = all_of(metres)?;
    if flag_height_m >= lamp_height_m {
        return Err(Fault::reversed("flag_height_m", "lamp_height_m"));
    }
    let to_flag = lamp_height_m - flag_height_m;
    Ok((
        Beam {
            lamp,
            flag,
            to_flag,
            to_set: flag_height_m,
        },
        true,
    ))
}

fn shadow_widths(i: &ShadowWidths, warnings: &mut Warnings) -> Result<Shadow, Vec<Fault>> {
    let (beam, metres) = beam(i)?;
    let (half_level, edge) = (beam.half_level(), beam.edge());
    warnings.add_if(half_level <= edge, "umbra_gone");
    let in_metres = |width: f64| metres.then_some(width);
    Ok(Shadow {
        umbra_over_flag: beam.umbra() / beam.flag,
        penumbra_outer_over_flag: (half_level + edge) / beam.flag,
        umbra_width_m: in_metres(beam.umbra()),
        penumbra_outer_width_m: in_metres(half_level + edge),
        half_level_width_m: in_metres(half_level),
        edge_width_m: in_metres(edge),
        centre_level: beam.centre_level(),
    })
}

fn shadow_widths_because(i: &ShadowWidths, a: &Shadow) -> String {
    let Ok((beam, metres)) = beam(i) else {
        return String::new();
    };
    let ending = if a.umbra_over_flag > 0.0 {
        format!(
            "The full shadow is {} of the flag.",
            found(a.umbra_over_flag)
        )
    } else {
        format!(
            "No full shadow is left: {} of the lamp's light remains in the middle of a long strip.",
            found(a.centre_level)
        )
    };
    format!(
        "{} × ({to_flag} + {}) ÷ {to_flag} + {} × {} ÷ {to_flag} = {}{} to the outer ends. {ending}",
        given(beam.flag),
        carried(beam.to_set),
        given(beam.lamp),
        carried(beam.to_set),
        found(beam.half_level() + beam.edge()),
        if metres { " m" } else { "" },
        to_flag = carried(beam.to_flag),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use proptest::prelude::*;
    use std::f64::consts::PI;

    fn metres(lamp_m: f64, lamp_height_m: f64, flag_height_m: f64, flag_m: f64) -> ShadowWidths {
        ShadowWidths {
            lamp_diameter_m: Some(lamp_m),
            lamp_height_m: Some(lamp_height_m),
            flag_height_m: Some(flag_height_m),
            flag_width_m: Some(flag_m),
            lamp_diameter: None,
            flag_width: None,
            lamp_to_flag: None,
            flag_to_set: None,
        }
    }

    #[test]
    fn the_lengths_are_needed_in_one_way_or_the_other() {
        let mut mixed = metres(0.1, 3.0, 1.0, 0.2);
        mixed.flag_width = Some(0.2);
        assert_eq!(mixed.work().expect_err("refused")[0].field, "flag_width");
        let mut part = metres(0.1, 3.0, 1.0, 0.2);
        part.lamp_height_m = None;
        let faults = part.work().expect_err("refused");
        assert_eq!(
            (faults[0].field.as_str(), faults[0].kind),
            ("lamp_height_m", FaultKind::Missing)
        );
        let above = metres(0.1, 3.0, 3.0, 0.2).work().expect_err("refused");
        assert_eq!(
            (above[0].field.as_str(), above[0].kind),
            ("flag_height_m", FaultKind::RangeReversed)
        );
    }

    #[test]
    fn a_flag_as_large_as_the_lamp_shadows_without_end() {
        let umbra = |flag_diameter| UmbraLength {
            lamp_diameter: 1.0,
            flag_diameter,
            lamp_to_flag: 1.0,
        };
        assert!(
            umbra(1.0)
                .work()
                .expect("in range")
                .umbra_length
                .0
                .is_infinite()
        );
        assert!((umbra(0.5).work().expect("in range").umbra_length.0 - 1.0).abs() < 1e-12);
    }

    proptest! {
        #[test]
        fn the_middle_is_as_bright_as_the_part_of_the_lamp_it_sees(flag in 0.01..0.2) {
            // strips of the round lamp, counted when the flag does not stand before them
            let beam = Beam { lamp: 0.5, flag, to_flag: 2.0, to_set: 2.0 };
            let strips = 20_000;
            let seen: f64 = (0..strips).map(|place| {
                let across = (f64::from(place) + 0.5) / f64::from(strips) - 0.5;
                let hidden = (across * beam.lamp).abs() < beam.half_level() / 2.0 * beam.to_flag / beam.to_set;
                if hidden { 0.0 } else { (0.25 - across * across).sqrt() }
            }).sum::<f64>() * 2.0 / f64::from(strips) / (PI / 4.0);
            prop_assert!((seen - beam.centre_level()).abs() < 1e-3, "{seen} {}", beam.centre_level());
        }
    }
}
