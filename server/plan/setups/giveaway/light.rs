//! Lamps and what they throw: shadow edges, projected pixels, flicker, lights that read too large.

use super::{Found, PRACTICE, graded};
use crate::{
    plan::setups::{
        facts::{Facts, Gap},
        figures::{flicker, practicals, projection, shadow, step},
    },
    web::parts::Severity,
};
use stillair_calc::figure::{fixed, found, given, significant};

/// G11: the shadow's edge against the one the sun would give.
pub(super) fn shadow_edge(facts: &Facts<'_>) -> Result<Vec<Found>, Gap> {
    let worked = shadow::edge(facts)?;
    let ratio = worked.edge_ratio;
    let severity = if !(0.2..=5.0).contains(&ratio) {
        Severity::Shows
    } else if !(0.5..=2.0).contains(&ratio) {
        Severity::MayShow
    } else {
        return Ok(Vec::new());
    };
    let body = format!(
        "Its edge reads as {} m and the sun would draw {} m from that height. {} {PRACTICE}",
        significant(worked.story_edge_m, 2),
        significant(worked.sun_edge_m, 2),
        if ratio > 1.0 {
            "Bring the flag nearer the set, or use a smaller source farther off."
        } else {
            "Raise the flag, or soften the source."
        }
    );
    Ok(vec![Found {
        rule: "shadow-edge",
        severity,
        weight: ratio.max(1.0 / ratio),
        ring: shadow::ring(facts),
        head: if ratio > 1.0 {
            "The shadow is too soft.".into()
        } else {
            "The shadow is too hard.".into()
        },
        quantity: format!("{} ×", significant(ratio, 2)),
        sum: format!(
            "{} ÷ {} = {}",
            step(worked.story_edge_m),
            step(worked.sun_edge_m),
            significant(ratio, 2)
        ),
        body,
        lever: "shadow_edge_mm",
        ..Found::default()
    }])
}

/// G7b: pixels of a projector that the camera sees.
pub(super) fn pixel(facts: &Facts<'_>) -> Result<Vec<Found>, Gap> {
    let worked = projection::pixel(facts)?;
    let n = worked.photosites_per_pixel;
    let Some(severity) = graded(n, 1.0, 3.0) else {
        return Ok(Vec::new());
    };
    let nearer = facts
        .things_of("projector")
        .next()
        .and_then(|t| Some((t, t.entry.throw_mm?)));
    let mut one = Found {
        rule: "pixel",
        severity,
        weight: n,
        ring: projection::ring(facts),
        head: "The projector’s pixels show.".into(),
        quantity: format!("{} ×", significant(n, 2)),
        sum: String::new(),
        body: format!(
            "A pixel covers {} photosites, {} mm in the story. Defocus it by about a pixel, or throw a smaller picture. {PRACTICE}",
            significant(n, 2),
            significant(worked.pixel_story_mm_oblique, 2)
        ),
        lever: "wave_length_m",
        ..Found::default()
    };
    if let Some((t, throw_mm)) = nearer {
        let throw = (throw_mm / n / 10.0).floor() * 10.0;
        one = one.cure_at(
            format!("a throw of {} mm", found(throw)),
            format!("{}.throw_mm", t.entry.id),
            given(throw),
        );
    }
    Ok(vec![one])
}

/// Light that swings from frame to frame.
pub(super) fn swing(facts: &Facts<'_>) -> Result<Vec<Found>, Gap> {
    let (t, stops, steady) = flicker::worst(facts)?;
    let Some(severity) = graded(stops, flicker::SEEN_STOPS, flicker::PLAIN_STOPS) else {
        return Ok(Vec::new());
    };
    let swings = if stops.is_finite() {
        format!("{} stops", significant(stops, 2))
    } else {
        "black frames".into()
    };
    let cure = match steady {
        Some(deg) => format!("At {}° every frame holds whole swings.", fixed(deg, 1)),
        None => "No shutter holds it still at this rate: run it from a steady supply.".into(),
    };
    let one = Found {
        rule: "flicker",
        severity,
        weight: (stops / flicker::SEEN_STOPS).min(1000.0),
        ring: t.ring.to_string(),
        head: format!("{} flickers.", t.called()),
        quantity: swings.clone(),
        sum: String::new(),
        body: format!(
            "Frames differ by {swings} at worst; haze is a large flat field and shows it first. {cure} {PRACTICE}"
        ),
        lever: "shutter_deg",
        ..Found::default()
    };
    // To the hundredth of a degree the swing that is left is far under what is seen.
    Ok(vec![match steady {
        Some(deg) => {
            let deg = (deg * 100.0).round() / 100.0;
            one.cure(facts, format!("{}°", given(deg)), "shutter_deg", given(deg))
        }
        None => one,
    }])
}

/// A light inside a model that would be huge at full size.
pub(super) fn emitter(facts: &Facts<'_>) -> Result<Vec<Found>, Gap> {
    let (t, piece, story_mm, real_mm) = practicals::emitter(facts)?;
    let over = story_mm / real_mm;
    let Some(severity) = graded(over, 1.25, 3.0) else {
        return Ok(Vec::new());
    };
    let scale = facts.get("scale_denominator")?;
    let mask = (real_mm / scale * 10.0).round() / 10.0;
    let one = Found {
        rule: "emitter",
        severity,
        weight: over,
        ring: t.ring.to_string(),
        head: format!("The light of {} reads too big.", t.called()),
        quantity: format!("{} mm", significant(story_mm, 2)),
        sum: format!(
            "{} × {} = {}",
            given(piece.emitter_mm.unwrap_or(0.0)),
            given(scale),
            significant(story_mm, 2)
        ),
        body: format!(
            "A real one is {} mm. Mask it to {} mm. {PRACTICE}",
            given(real_mm),
            given(mask)
        ),
        lever: "scale_denominator",
        ..Found::default()
    };
    Ok(vec![one.cure_at(
        format!("a mask of {} mm", given(mask)),
        format!("{}.emitter_mm", piece.id),
        given(mask),
    )])
}
