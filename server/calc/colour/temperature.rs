//! Correlated colour temperature and Duv: the glowing body that a light comes nearest to, and how far off it is.
//!
//! Found by search on the diagram of 1960, with the line of glowing bodies summed on the same grid as the light.

use super::lamp::{C2_NM_K, SCALED_AT_NM, planck};
use super::observer::{Chromaticity, FIRST_NM, SAMPLES, STEP_NM, curves, tristimulus};
use crate::calculation::calculation;
use crate::fault::{Fault, FaultKind, Warnings};
use crate::figure::{carried, found};
use crate::gel::MIRED_KELVIN;
use std::sync::LazyLock;

/// Coldest glowing body of the table, K.
const COLDEST_K: f64 = 1000.0;
/// From one temperature of the table to the next.
const STEP: f64 = 1.01;
/// Temperatures in the table: up to 100 000 K.
const STEPS: i32 = 464;
/// Steps toward the nearest point; four are usual, halvings at the end of the table take more.
const MOST_STEPS: u32 = 80;
/// A step that is this share of the mired is the last: the next would be its square.
const CLOSE_ENOUGH: f64 = 1e-9;
/// Off the line by more than this, a light has no colour temperature (IEC 60050-845-23-068).
const HAS_NONE: f64 = 0.05;
/// Off the line by more than this, a colour temperature is only a direction; common practice, no source.
const DIRECTION_ONLY: f64 = 0.02;
/// Off the line by more than this, a light looks greenish or pinkish; common practice, no source.
const WHITE: f64 = 0.005;
/// As near the end of the table as the search can tell, in mired.
const AT_END_MIRED: f64 = 1e-6;

/// Where a light stands against the line of glowing bodies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Temperature {
    /// Temperature of the nearest glowing body, mired.
    pub mired: f64,
    /// Distance from it: above the line is positive, greenish.
    pub duv: f64,
    /// Steps on the diagram from the nearest glowing body to the light: u, then v.
    pub step: (f64, f64),
    /// Whether the nearest is the end of the table, so that nothing was found.
    pub at_end: bool,
}

impl Temperature {
    /// The correlated colour temperature; none when the light is too far from every glowing body.
    pub fn cct_k(self) -> Option<f64> {
        self.meaningful().then(|| MIRED_KELVIN / self.mired)
    }

    /// The distance from the line; none when no nearest point was found.
    pub fn duv(self) -> Option<f64> {
        (!self.at_end).then_some(self.duv)
    }

    /// Whether a colour temperature says anything of this light.
    pub fn meaningful(self) -> bool {
        !self.at_end && self.duv.abs() <= HAS_NONE
    }

    /// The word to show with it.
    pub fn status(self) -> &'static str {
        let distance = self.duv.abs();
        if !self.meaningful() {
            "not_meaningful"
        } else if distance > DIRECTION_ONLY {
            "only_a_direction"
        } else if distance <= WHITE {
            "white"
        } else if self.duv > 0.0 {
            "greenish"
        } else {
            "pinkish"
        }
    }

    /// Tells (`cct_not_meaningful`) when there is no colour temperature.
    pub(crate) fn note(self, warnings: &mut Warnings) {
        warnings.add_if(!self.meaningful(), "cct_not_meaningful");
    }

    /// The sum that led to it, and what to make of it.
    pub(crate) fn because(self) -> String {
        match self.cct_k() {
            Some(cct_k) => format!(
                "10^6 ÷ {} mired = {} K, the nearest glowing body, {} away: {}",
                carried(self.mired),
                found(cct_k),
                found(self.duv.abs()),
                self.status().replace('_', " ")
            ),
            None => format!(
                "√({}² + {}²) = {} from the nearest glowing body: too far for a colour temperature, go by x and y",
                bracketed(self.step.0),
                bracketed(self.step.1),
                found(self.step.0.hypot(self.step.1))
            ),
        }
    }
}

/// A number whose sign is squared with it.
fn bracketed(value: f64) -> String {
    format!("({})", carried(value))
}

/// u, v of a glowing body.
pub(crate) fn locus_uv(mired: f64) -> (f64, f64) {
    let light = tristimulus(&planck(MIRED_KELVIN / mired)).chromaticity();
    light.map_or((f64::NAN, f64::NAN), Chromaticity::uv)
}

/// The table of glowing bodies: mired, u, v, from red to blue.
fn table() -> &'static [(f64, (f64, f64))] {
    static TABLE: LazyLock<Vec<(f64, (f64, f64))>> = LazyLock::new(|| {
        (0..STEPS)
            .map(|step| {
                let mired = MIRED_KELVIN / (COLDEST_K * STEP.powi(step));
                (mired, locus_uv(mired))
            })
            .collect()
    });
    &TABLE
}

fn square_distance(a: (f64, f64), b: (f64, f64)) -> f64 {
    (a.0 - b.0).powi(2) + (a.1 - b.1).powi(2)
}

/// Where a colour stands against the line of glowing bodies.
///
/// On the nearest point the way to the light stands upright on the line: (P − light)·P′ is zero there, and is found by
/// Newton's steps from the nearest of the table, kept between its neighbours.
pub fn temperature(colour: Chromaticity) -> Temperature {
    let here = colour.uv();
    let table = table();
    let (nearest, _) = table
        .iter()
        .enumerate()
        .min_by(|(_, a), (_, b)| square_distance(a.1, here).total_cmp(&square_distance(b.1, here)))
        .unwrap_or((0, &table[0]));
    let last = table.len() - 1;
    let (mut low, mut high) = (
        table[(nearest + 1).min(last)].0,
        table[nearest.saturating_sub(1)].0,
    );
    let mut mired = vertex(nearest, |at| {
        table
            .get(at)
            .map(|(mired, there)| (*mired, square_distance(*there, here)))
    });
    let mut there = (f64::NAN, f64::NAN);
    for _ in 0..MOST_STEPS {
        let line = locus(mired);
        let away = (line.at.0 - here.0, line.at.1 - here.1);
        let slope = dot(away, line.by_mired);
        if slope > 0.0 {
            high = mired;
        } else {
            low = mired;
        }
        let bend = dot(line.by_mired, line.by_mired) + dot(away, line.bend);
        let wanted = mired - slope / bend;
        let inside = bend > 0.0 && wanted > low && wanted < high;
        let next = if inside {
            wanted
        } else {
            f64::midpoint(low, high)
        };
        let step = next - mired;
        there = (
            line.at.0 + step * line.by_mired.0,
            line.at.1 + step * line.by_mired.1,
        );
        mired = next;
        if step.abs() <= CLOSE_ENOUGH * mired {
            break;
        }
    }
    let step = (here.0 - there.0, here.1 - there.1);
    Temperature {
        mired,
        duv: step.0.hypot(step.1).copysign(step.1),
        step,
        at_end: mired - table[last].0 < AT_END_MIRED || table[0].0 - mired < AT_END_MIRED,
    }
}

/// Lowest point of the parabola through a place of a table and its two neighbours; the place itself at an end.
fn vertex(place: usize, table: impl Fn(usize) -> Option<(f64, f64)>) -> f64 {
    let at = |place: Option<usize>| place.and_then(&table);
    let neighbours = (
        at(place.checked_sub(1)),
        at(Some(place)),
        at(Some(place + 1)),
    );
    let (Some(before), Some(here), Some(after)) = neighbours else {
        return neighbours.1.map_or(f64::NAN, |(x, _)| x);
    };
    let (to_before, to_after) = (here.0 - before.0, here.0 - after.0);
    let (of_before, of_after) = (here.1 - before.1, here.1 - after.1);
    let below = to_before * of_after - to_after * of_before;
    let above = to_before * to_before * of_after - to_after * to_after * of_before;
    if below == 0.0 {
        here.0
    } else {
        here.0 - above / below / 2.0
    }
}

fn dot(a: (f64, f64), b: (f64, f64)) -> f64 {
    a.0 * b.0 + a.1 * b.1
}

/// A point of the line of glowing bodies with its first two derivatives by mired.
struct LocusPoint {
    at: (f64, f64),
    by_mired: (f64, f64),
    bend: (f64, f64),
}

/// With n = 1/(eˣ − 1) and x in proportion to mired, a glowing body's power goes as n, its derivative by x as −n(1 + n)
/// and the second as n(1 + n)(1 + 2n); u and v are quotients of sums of it.
fn locus(mired: f64) -> LocusPoint {
    let mut sums = [[0.0_f64; 3]; 3];
    let curves = curves();
    let mut at_nm = FIRST_NM;
    for place in 0..SAMPLES {
        let by_mired = C2_NM_K / (at_nm * MIRED_KELVIN);
        let n = 1.0 / (by_mired * mired).exp_m1();
        let size = (SCALED_AT_NM / at_nm).powi(5);
        let first = -n * (1.0 + n) * by_mired;
        let second = n * (1.0 + n) * (1.0 + 2.0 * n) * by_mired * by_mired;
        for (sums, curve) in sums.iter_mut().zip(curves) {
            let weight = size * curve[place];
            sums[0] += weight * n;
            sums[1] += weight * first;
            sums[2] += weight * second;
        }
        at_nm += STEP_NM;
    }
    let [x, y, z] = sums;
    let below: [f64; 3] = std::array::from_fn(|of| x[of] + 15.0 * y[of] + 3.0 * z[of]);
    let u = quotient(x.map(|x| 4.0 * x), below);
    let v = quotient(y.map(|y| 6.0 * y), below);
    LocusPoint {
        at: (u[0], v[0]),
        by_mired: (u[1], v[1]),
        bend: (u[2], v[2]),
    }
}

/// A quotient with its first two derivatives, from those above and below.
fn quotient(above: [f64; 3], below: [f64; 3]) -> [f64; 3] {
    let value = above[0] / below[0];
    let first = (above[1] - value * below[1]) / below[0];
    let second = (above[2] - 2.0 * first * below[1] - value * below[2]) / below[0];
    [value, first, second]
}

/// The colour of a colour temperature and a distance from the line.
pub fn colour_at(cct_k: f64, duv: f64) -> Chromaticity {
    let mired = MIRED_KELVIN / cct_k;
    let (u, v) = locus_uv(mired);
    let nearby = mired * 1e-4;
    let (redder, bluer) = (locus_uv(mired + nearby), locus_uv(mired - nearby));
    let (along_u, along_v) = (redder.0 - bluer.0, redder.1 - bluer.1);
    let length = along_u.hypot(along_v);
    // a quarter turn from the line, upwards
    let (up_u, up_v) = (-along_v / length, along_u / length);
    Chromaticity::from_uv(u + duv * up_u, v + duv * up_v)
}

calculation! { "colour";
    /// Correlated colour temperature of a light.
    ///
    /// None, and told (`cct_not_meaningful`), when the light is more than 0.05 from every glowing body.
    cct(CctOf {
        /// x of the light.
        x: f64 = Between(0.0, 1.0); usual 0.35,
        /// y of the light.
        y: f64 = AboveUpTo(0.0, 1.0); usual 0.36,
    }) -> CctFound {
        /// Colour temperature; none when it means nothing.
        cct_k: Option<f64>,
    }
    because cct_because
    source "IEC 60050-845, entry 845-23-068; search on the CIE 1960 diagram", Confirmed

    /// Correlated colour temperature of a light, and how greenish or pinkish it is.
    ///
    /// Told as for the temperature alone.
    cct_duv(CctDuv {
        /// x of the light.
        x: f64 = Between(0.0, 1.0); usual 0.35,
        /// y of the light.
        y: f64 = AboveUpTo(0.0, 1.0); usual 0.36,
    }) -> CctDuvFound {
        /// Colour temperature; none when it means nothing.
        cct_k: Option<f64>,
        /// Distance from the line of glowing bodies: above is positive, greenish; none when no nearest one was found.
        duv: Option<f64>,
    }
    because cct_duv_because
    source "IEC 60050-845, entry 845-23-068; sign of Duv as in ANSI C78.377", Confirmed

    /// Whether a colour temperature may be shown for a light, and with which word.
    ///
    /// Up to 0.005 from the line it is white, up to 0.02 greenish or pinkish, up to 0.05 only a direction; beyond that it
    /// is not meaningful: show x, y and the swatch.
    cct_status(CctStatus {
        /// x of the light.
        x: f64 = Between(0.0, 1.0); usual 0.35,
        /// y of the light.
        y: f64 = AboveUpTo(0.0, 1.0); usual 0.36,
    }) -> CctStatusFound {
        /// `white`, `greenish`, `pinkish`, `only_a_direction` or `not_meaningful`.
        status: &'static str,
        /// Distance from the line of glowing bodies.
        distance_uv: f64,
    }
    because cct_status_because
    source "IEC 60050-845, entry 845-23-068, note 1 for 0.05; the nearer steps are common practice", Confirmed
}

/// The colour that was typed, unless no light has it.
pub(crate) fn real_colour(field: &str, x: f64, y: f64) -> Result<Chromaticity, Fault> {
    if x + y > 1.0 + 1e-9 {
        let problem = "x and y cannot add up to more than 1: no light has that colour.";
        return Err(Fault::new(field, FaultKind::OutOfRange, problem));
    }
    Ok(Chromaticity { x, y })
}

fn cct(i: &CctOf, warnings: &mut Warnings) -> CctFound {
    let found = temperature(Chromaticity { x: i.x, y: i.y });
    found.note(warnings);
    CctFound {
        cct_k: found.cct_k(),
    }
}

fn cct_because(i: &CctOf, _: &CctFound) -> String {
    temperature(Chromaticity { x: i.x, y: i.y }).because()
}

fn cct_duv(i: &CctDuv, warnings: &mut Warnings) -> CctDuvFound {
    let found = temperature(Chromaticity { x: i.x, y: i.y });
    found.note(warnings);
    CctDuvFound {
        cct_k: found.cct_k(),
        duv: found.duv(),
    }
}

fn cct_duv_because(i: &CctDuv, _: &CctDuvFound) -> String {
    temperature(Chromaticity { x: i.x, y: i.y }).because()
}

fn cct_status(i: &CctStatus, _: &mut Warnings) -> CctStatusFound {
    let found = temperature(Chromaticity { x: i.x, y: i.y });
    CctStatusFound {
        status: found.status(),
        distance_uv: found.duv.abs(),
    }
}

fn cct_status_because(i: &CctStatus, a: &CctStatusFound) -> String {
    let (u, v) = temperature(Chromaticity { x: i.x, y: i.y }).step;
    format!(
        "√({}² + {}²) = {} from the nearest glowing body: {}",
        bracketed(u),
        bracketed(v),
        found(a.distance_uv),
        a.status.replace('_', " ")
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn of_planck(kelvin: f64) -> Temperature {
        let light = tristimulus(&planck(kelvin)).chromaticity().expect("light");
        temperature(light)
    }

    #[test]
    fn beyond_the_table_nothing_is_meant() {
        for kelvin in [800.0, 200_000.0] {
            let found = of_planck(kelvin);
            assert_eq!(
                (found.cct_k(), found.duv(), found.status()),
                (None, None, "not_meaningful")
            );
        }
        assert!(of_planck(1003.0).meaningful());
    }

    #[test]
    fn words_follow_the_distance() {
        for (duv, word) in [
            (0.004, "white"),
            (0.006, "greenish"),
            (-0.006, "pinkish"),
            (0.03, "only_a_direction"),
            (-0.03, "only_a_direction"),
            (0.06, "not_meaningful"),
        ] {
            assert_eq!(temperature(colour_at(4000.0, duv)).status(), word, "{duv}");
        }
    }

    #[test]
    fn no_light_has_a_colour_off_the_diagram() {
        assert_eq!(real_colour("y", 0.7, 0.4).expect_err("refused").field, "y");
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(48))]

        #[test]
        fn the_derivatives_are_those_of_the_line(mired in 20.0..900.0_f64) {
            let small = mired * 1e-4;
            let (before, here, after) = (locus(mired - small), locus(mired), locus(mired + small));
            let at = locus_uv(mired);
            prop_assert!((here.at.0 - at.0).abs() < 1e-12 && (here.at.1 - at.1).abs() < 1e-12);
            let slope = (after.at.0 - before.at.0) / (2.0 * small);
            prop_assert!((here.by_mired.0 - slope).abs() < 1e-6 * slope.abs() + 1e-12);
            let bend = (after.by_mired.1 - before.by_mired.1) / (2.0 * small);
            prop_assert!((here.bend.1 - bend).abs() < 1e-5 * bend.abs() + 1e-12);
        }

        #[test]
        fn no_glowing_body_nearby_is_nearer(x in 0.2..0.6_f64, y in 0.2..0.45_f64) {
            let colour = Chromaticity { x, y };
            let found = temperature(colour);
            let distance = |mired: f64| square_distance(locus_uv(mired), colour.uv());
            for share in [0.999, 0.999_9, 1.000_1, 1.001] {
                let other = (found.mired * share).clamp(10.001, 999.9);
                prop_assert!(distance(found.mired.clamp(10.001, 999.9)) <= distance(other) + 1e-14);
            }
        }

        #[test]
        fn a_glowing_body_is_its_own_temperature(mired in 20.0..900.0_f64) {
            let kelvin = MIRED_KELVIN / mired;
            let found = of_planck(kelvin);
            prop_assert!((found.cct_k().expect("on the line") - kelvin).abs() < 0.01 * (kelvin / 6500.0).max(1.0).powi(2));
            prop_assert!(found.duv.abs() < 2e-6);
        }

        #[test]
        fn a_colour_made_from_its_temperature_has_it(kelvin in 1800.0..15_000.0_f64, duv in -0.03..0.03_f64) {
            let found = temperature(colour_at(kelvin, duv));
            prop_assert!((found.cct_k().expect("near the line") / kelvin - 1.0).abs() < 1e-4);
            prop_assert!((found.duv - duv).abs() < 2e-6);
        }
    }
}
