//! How far apart two colours look.

use super::observer::{Chromaticity, Xyz};
use super::screen::{D65_WHITE, adapted, lab_of};
use crate::calculation::calculation;
use crate::fault::Warnings;
use crate::figure::{carried, found};

/// Brightness at which two colours are compared, as a share of white.
const COMPARED_AT: f64 = 0.40;
/// 25⁷, at which chroma counts for half in the weights.
const CHROMA_TURN: f64 = 6_103_515_625.0;

calculation! { "colour";
    /// Difference of two colours, as CIEDE2000.
    ///
    /// Below 1 it cannot be seen side by side, 1 to 3 is small, 3 to 6 shows between cuts, above 6 is another look (common
    /// practice). For deep saturated colours trust the distance on the even diagram more.
    ciede2000(Ciede2000 {
        /// L*, a*, b* of the first.
        lab1: [f64; 3] = Between(-1000.0, 1000.0); usual [50.0, 2.5, 0.0],
        /// L*, a*, b* of the second.
        lab2: [f64; 3] = Between(-1000.0, 1000.0); usual [52.0, 4.0, 3.0],
    }) -> Difference {
        /// The difference.
        delta_e_2000: f64,
    }
    because ciede2000_because
    source "ISO/CIE 11664-6; Sharma, Wu and Dalal 2005, Color Research and Application 30(1)", Confirmed
}

/// The three differences over their weights, and the turn between the last two.
#[derive(Clone, Copy, Debug)]
struct Parts {
    lightness: f64,
    chroma: f64,
    hue: f64,
    turn: f64,
}

/// Chroma and hue in degrees of a colour whose a* was stretched.
struct Polar {
    chroma: f64,
    hue_deg: f64,
}

fn polar([_, a, b]: [f64; 3], stretch: f64) -> Polar {
    let a = a * (1.0 + stretch);
    Polar {
        chroma: a.hypot(b),
        hue_deg: if a == 0.0 && b == 0.0 {
            0.0
        } else {
            b.atan2(a).to_degrees().rem_euclid(360.0)
        },
    }
}

/// √(C⁷/(C⁷ + 25⁷)).
fn saturation(chroma: f64) -> f64 {
    let seventh = chroma.powi(7);
    (seventh / (seventh + CHROMA_TURN)).sqrt()
}

fn sin_deg(angle_deg: f64) -> f64 {
    angle_deg.to_radians().sin()
}

fn cos_deg(angle_deg: f64) -> f64 {
    angle_deg.to_radians().cos()
}

/// The way from one hue to the other, by the shorter side.
fn hue_step_deg(first: &Polar, second: &Polar) -> f64 {
    if first.chroma * second.chroma == 0.0 {
        return 0.0;
    }
    let step = second.hue_deg - first.hue_deg;
    if step > 180.0 {
        step - 360.0
    } else if step < -180.0 {
        step + 360.0
    } else {
        step
    }
}

/// The hue between two, on the shorter side.
fn mean_hue_deg(first: &Polar, second: &Polar) -> f64 {
    let sum = first.hue_deg + second.hue_deg;
    if first.chroma * second.chroma == 0.0 {
        sum
    } else if (first.hue_deg - second.hue_deg).abs() <= 180.0 {
        sum / 2.0
    } else if sum < 360.0 {
        f64::midpoint(sum, 360.0)
    } else {
        f64::midpoint(sum, -360.0)
    }
}

fn parts(lab1: [f64; 3], lab2: [f64; 3]) -> Parts {
    let mean_chroma = f64::midpoint(lab1[1].hypot(lab1[2]), lab2[1].hypot(lab2[2]));
    let stretch = 0.5 * (1.0 - saturation(mean_chroma));
    let (first, second) = (polar(lab1, stretch), polar(lab2, stretch));
    let hue_step =
        2.0 * (first.chroma * second.chroma).sqrt() * sin_deg(hue_step_deg(&first, &second) / 2.0);
    let lightness = f64::midpoint(lab1[0], lab2[0]);
    let chroma = f64::midpoint(first.chroma, second.chroma);
    let hue = mean_hue_deg(&first, &second);
    let t = 1.0 - 0.17 * cos_deg(hue - 30.0)
        + 0.24 * cos_deg(2.0 * hue)
        + 0.32 * cos_deg(3.0 * hue + 6.0)
        - 0.20 * cos_deg(4.0 * hue - 63.0);
    let turn_deg = 30.0 * (-((hue - 275.0) / 25.0).powi(2)).exp();
    let off_middle = (lightness - 50.0).powi(2);
    Parts {
        lightness: (lab2[0] - lab1[0]) / (1.0 + 0.015 * off_middle / (20.0 + off_middle).sqrt()),
        chroma: (second.chroma - first.chroma) / (1.0 + 0.045 * chroma),
        hue: hue_step / (1.0 + 0.015 * chroma * t),
        turn: -sin_deg(2.0 * turn_deg) * 2.0 * saturation(chroma),
    }
}

/// Difference of two colours given as L*, a*, b*.
pub fn delta_e_2000(lab1: [f64; 3], lab2: [f64; 3]) -> f64 {
    let Parts {
        lightness,
        chroma,
        hue,
        turn,
    } = parts(lab1, lab2);
    let square = lightness * lightness + chroma * chroma + hue * hue + turn * chroma * hue;
    square.max(0.0).sqrt()
}

/// Difference of two colours at the same brightness, to an eye or a camera whose white is this light.
pub fn difference_seen(one: Chromaticity, other: Chromaticity, white: Xyz) -> f64 {
    let white = white.scaled(1.0 / white.y).column();
    let [one, other] = [one, other].map(|colour| {
        let light = adapted(colour.at_luminance(COMPARED_AT), white, D65_WHITE);
        lab_of(light, D65_WHITE)
    });
    delta_e_2000(one, other)
}

fn ciede2000(i: &Ciede2000, _: &mut Warnings) -> Difference {
    Difference {
        delta_e_2000: delta_e_2000(i.lab1, i.lab2),
    }
}

fn ciede2000_because(i: &Ciede2000, a: &Difference) -> String {
    let of = parts(i.lab1, i.lab2);
    let [lightness, chroma, hue, turn] =
        [of.lightness, of.chroma, of.hue, of.turn].map(|part| format!("({})", carried(part)));
    format!(
        "√({lightness}² + {chroma}² + {hue}² + {turn} × {chroma} × {hue}) = {}, from lightness, chroma and hue over their weights: {}",
        found(a.delta_e_2000),
        reading(a.delta_e_2000)
    )
}

/// What a difference means on the screen; common practice, no source.
pub fn reading(delta_e_2000: f64) -> &'static str {
    match delta_e_2000 {
        small if small < 1.0 => "not seen side by side",
        small if small < 3.0 => "small",
        seen if seen <= 6.0 => "seen between cuts",
        _ => "another look",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_difference_is_the_same_both_ways_and_none_to_itself(
            one in proptest::array::uniform3(-90.0..90.0_f64), other in proptest::array::uniform3(-90.0..90.0_f64),
        ) {
            let lab = |[l, a, b]: [f64; 3]| [f64::abs(l), a, b];
            let (one, other) = (lab(one), lab(other));
            prop_assert!((delta_e_2000(one, other) - delta_e_2000(other, one)).abs() < 1e-9);
            prop_assert!(delta_e_2000(one, one) < 1e-12);
        }
    }
}
