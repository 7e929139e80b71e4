//! Flicker: how far each lamp of the setup swings from frame to frame, and the shutter angles at which it stands still.

use super::{
    Told, common, figure,
    further::{BlankOf, Further, of},
};
use crate::{
    journal::record::Entry,
    plan::{
        setups::{
            facts::{Facts, Gap},
            standing::Standing,
        },
        stores::kit::Lamp,
    },
    web::parts::Figure,
};
use stillair_calc::{
    Calculate as _,
    figure::{fixed, found, given, significant},
    flicker::{Beat, PwmWorstSwing, ResidualModulation},
};

/// Swing from which a flat picture shows it; common practice, no source.
pub const SEEN_STOPS: f64 = 0.02;
/// Swing that is obvious; common practice, no source.
pub const PLAIN_STOPS: f64 = 0.1;
/// Shutters beyond this are no shutter.
const OPEN_DEG: f64 = 360.0;

/// The ledger.
pub const LEDGER: Further = Further {
    id: "flicker",
    title: "Flicker",
    closed: "every lamp here burns steadily",
    needed: |facts| swinging(facts).next().is_some(),
    openers: &[],
    blanks,
    figures: ledger,
};

/// Lamps whose light swings, each kind once.
fn swinging<'f, 'a>(
    facts: &'f Facts<'a>,
) -> impl Iterator<Item = (&'f Standing<'a>, &'a Entry<Lamp>)> {
    let mut seen = Vec::new();
    facts.things_of("lamp").filter_map(move |t| {
        let lamp = t.lamp?;
        if !lamp.flicker_hz.is_some_and(|hz| hz > 0.0) || seen.contains(&&lamp.id) {
            return None;
        }
        seen.push(&lamp.id);
        Some((t, lamp))
    })
}

fn blanks<'a>(facts: &Facts<'a>) -> Vec<BlankOf<'a>> {
    swinging(facts)
        .flat_map(|(_, lamp)| of(Some(lamp), &["flicker_hz", "flicker_depth", "pwm_duty"]))
        .collect()
}

/// How far a lamp swings, its sum and source.
fn swing(facts: &Facts<'_>, lamp: &Entry<Lamp>) -> Result<(f64, Told), Gap> {
    let (hz, exposure_s) = (
        facts.number_of(lamp, "flicker_hz")?,
        common::exposure_s(facts)?,
    );
    if lamp.pwm_duty.is_some_and(|duty| duty > 0.0) {
        let worked = PwmWorstSwing {
            pwm_hz: hz,
            duty: facts.number_of(lamp, "pwm_duty")?,
            exposure_s,
        }
        .work()?;
        let stops = worked.worst_swing_stops.0;
        return Ok((stops, Told::by(shown(stops), &worked, "")));
    }
    let worked = ResidualModulation {
        lamp_modulation_hz: hz,
        lamp_modulation_depth: facts.number_of(lamp, "flicker_depth")?,
        exposure_s,
    }
    .work()?;
    let stops = worked.worst_swing_stops.0;
    Ok((stops, Told::by(shown(stops), &worked, "")))
}

fn shown(stops: f64) -> String {
    if stops.is_infinite() {
        "black frames".into()
    } else if stops < 0.0005 {
        "0".into()
    } else {
        significant(stops, 2)
    }
}

/// Whether frames fall on the swing in step: the rate divides it, so every frame gets the same light.
fn in_step(hz: f64, fps: f64) -> bool {
    let n = (hz / fps).round();
    n >= 1.0 && (hz / n - fps).abs() < 1e-6 * fps
}

/// Shutter angles at which every frame holds whole swings: 360 × fps × n ÷ Hz.
pub fn steady_angles_deg(hz: f64, fps: f64) -> Vec<f64> {
    let one = OPEN_DEG * fps / hz;
    (1..=400_u32)
        .map(|n| f64::from(n) * one)
        .take_while(|deg| *deg <= OPEN_DEG + 1e-9)
        .collect()
}

/// The lamp that swings furthest: its standing, the swing in stops, and the nearest steady angle if there is one.
///
/// # Errors
/// What is not written.
pub fn worst<'f, 'a>(facts: &'f Facts<'a>) -> Result<(&'f Standing<'a>, f64, Option<f64>), Gap> {
    let (fps, shutter) = (facts.get("shoot_fps")?, facts.get("shutter_deg")?);
    let swings = swinging(facts).filter_map(|(t, lamp)| {
        let hz = lamp.flicker_hz?;
        let (stops, _) = swing(facts, lamp).ok()?;
        let stops = if in_step(hz, fps) { 0.0 } else { stops };
        let nearest = steady_angles_deg(hz, fps)
            .into_iter()
            .min_by(|a, b| (a - shutter).abs().total_cmp(&(b - shutter).abs()));
        Some((t, stops, nearest))
    });
    swings
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .ok_or_else(|| Gap::Impossible("Every lamp here burns steadily.".into()))
}

fn ledger(facts: &Facts<'_>) -> Vec<Figure> {
    swinging(facts)
        .flat_map(|(t, lamp)| [swing_figure(facts, t, lamp), angle_figure(facts, t, lamp)])
        .collect()
}

fn swing_figure(facts: &Facts<'_>, t: &Standing<'_>, lamp: &Entry<Lamp>) -> Figure {
    let ring = t.ring.to_string();
    figure(
        facts,
        &format!("flicker-{ring}"),
        &ring,
        &format!("{} swings", t.called()),
        "stops",
        |f| {
            let (stops, mut told) = swing(f, lamp)?;
            let (hz, fps) = (f.number_of(lamp, "flicker_hz")?, f.get("shoot_fps")?);
            let beat = Beat {
                lamp_modulation_hz: hz,
                fps,
                base_fps: f.base_fps(),
            }
            .work()?;
            told.words = if in_step(hz, fps) {
                "The rate keeps step with it, so every frame gets the same light; a rolling shutter still carves bands that stand.".into()
            } else {
                format!(
                    "At worst from frame to frame; on the screen it beats {} times a second. Under 0.02 is not seen on flat haze (common practice).",
                    significant(beat.beat_screen_hz, 2)
                )
            };
            if stops > PLAIN_STOPS && !in_step(hz, fps) {
                told.over = "Plain to see in haze.".into();
            }
            Ok(told)
        },
    )
}

fn angle_figure(facts: &Facts<'_>, t: &Standing<'_>, lamp: &Entry<Lamp>) -> Figure {
    let ring = t.ring.to_string();
    figure(
        facts,
        &format!("steady-{ring}"),
        &ring,
        &format!("{} stands still at", t.called()),
        "°",
        |f| {
            let (hz, fps, shutter) = (
                f.number_of(lamp, "flicker_hz")?,
                f.get("shoot_fps")?,
                f.get("shutter_deg")?,
            );
            let angles = steady_angles_deg(hz, fps);
            let Some(nearest) = angles
                .iter()
                .copied()
                .min_by(|a, b| (a - shutter).abs().total_cmp(&(b - shutter).abs()))
            else {
                let slower = found(hz.floor());
                let words = format!(
                    "{} fps is faster than it swings: no shutter holds it still. Run it from a steady supply, or shoot at {slower} fps or slower.",
                    given(fps)
                );
                return Ok(Told::new(
                    "none",
                    "",
                    words,
                    "pulse counting, published flicker notes",
                ));
            };
            let n = (nearest * hz / OPEN_DEG / fps).round();
            let shown = fixed(nearest, 1);
            let others: Vec<_> = angles
                .iter()
                .rev()
                .take(4)
                .map(|deg| fixed(*deg, 1))
                .collect();
            let words = format!(
                "{} swings in every frame, whatever the rate does. Also: {}{}.",
                given(n),
                others.join("°, "),
                "°"
            );
            Ok(Told::new(
                shown.clone(),
                format!(
                    "360 × {} × {} ÷ {} = {shown}",
                    given(fps),
                    given(n),
                    given(hz)
                ),
                words,
                "pulse counting, published flicker notes",
            ))
        },
    )
}
