//! The rig: the line's margin, whether it is seen, how what hangs swings, and whether it is still in time.

use super::{Found, PRACTICE};
use crate::{
    plan::setups::{
        facts::{Facts, Gap},
        figures::{hanging, step, time},
        standing::Standing,
    },
    web::parts::Severity,
};
use stillair_calc::{
    Calculate as _,
    figure::{found, given, significant},
    giveaway::SwingPeriod,
};

/// Margin under which a line is a loss of the model; usually quoted for slings, from memory.
const LOW_MARGIN: f64 = 5.0;
/// Share of the ground a line may darken unseen (from memory), and from which it is seen (common practice).
const UNSEEN: f64 = 0.01;
const SEEN: f64 = 0.03;

fn hung_ring(facts: &Facts<'_>) -> String {
    facts.hung().map(|t| t.ring.to_string()).unwrap_or_default()
}

/// A line that may break: the model is lost, and nobody may be below.
pub(super) fn margin(facts: &Facts<'_>) -> Result<Vec<Found>, Gap> {
    if !hanging::hangs(facts) {
        return Ok(Vec::new());
    }
    let worked = hanging::margin(facts)?;
    if worked.margin >= LOW_MARGIN {
        return Ok(Vec::new());
    }
    let shown = significant(worked.margin, 2);
    let needed_n = facts
        .filament
        .and_then(|f| f.breaking_n)
        .map(|n| n * LOW_MARGIN / worked.margin);
    let body = format!(
        "Knot and shock taken off, it holds {shown} times the pull; under five plan to lose the model, and let nobody be below.{} A qualified rigger decides.",
        needed_n
            .map(|n| format!(" A line that breaks at {} N has five.", significant(n, 2)))
            .unwrap_or_default()
    );
    let mut one = Found {
        rule: "line-margin",
        severity: Severity::MayShow,
        weight: LOW_MARGIN / worked.margin,
        ring: hung_ring(facts),
        head: "The line may break.".into(),
        quantity: format!("{shown} ×"),
        sum: String::new(),
        body,
        lever: "filament",
        ..Found::default()
    };
    // The thinnest line in stores that holds five times the pull.
    let lines = facts.plan.studio.filaments.iter();
    let holds = lines.filter(|f| needed_n.zip(f.breaking_n).is_some_and(|(n, has)| has >= n));
    let thinnest = holds.min_by(|a, b| {
        let mm = |f: &crate::plan::stores::kit::Filament| f.diameter_mm.unwrap_or(f64::MAX);
        mm(a).total_cmp(&mm(b))
    });
    if let Some(line) = thinnest {
        one = one.cure(
            facts,
            line.name.to_string(),
            "filament",
            line.id.to_string(),
        );
    }
    Ok(vec![one])
}

/// G5: how much the line darkens its ground.
pub(super) fn line(facts: &Facts<'_>) -> Result<Vec<Found>, Gap> {
    if !hanging::hangs(facts) {
        return Ok(Vec::new());
    }
    let worked = hanging::seen(facts)?;
    let dip = worked.dip_contrast;
    let Some(severity) = super::graded(dip, UNSEEN, SEEN) else {
        return Ok(Vec::new());
    };
    let (contrast, shown) = (facts.get("line_contrast")?, significant(dip * 100.0, 2));
    let matt = (contrast * UNSEEN / dip * 100.0).floor() / 100.0;
    let beam = beam_on(facts);
    let body = format!(
        "{} mm of line dips the picture by {shown} %; over 1 % can be seen (from memory).{} Blacken it until it stands out by no more than {} from its ground, keep the key off it, or spend defocus on it. {PRACTICE}",
        facts
            .filament
            .and_then(|f| f.diameter_mm)
            .map(given)
            .unwrap_or_default(),
        beam.map(|t| format!(" {} reaches it.", t.called()))
            .unwrap_or_default(),
        given(matt)
    );
    let one = Found {
        rule: "line",
        severity,
        weight: dip / UNSEEN,
        ring: hung_ring(facts),
        head: "The lines show.".into(),
        quantity: format!("{shown} %"),
        sum: String::new(),
        body,
        lever: "line_contrast",
        ..Found::default()
    };
    if matt < 0.01 {
        return Ok(vec![one]);
    }
    Ok(vec![one.cure(
        facts,
        format!("a line at {}", given(matt)),
        "line_contrast",
        given(matt),
    )])
}

/// A lamp in whose beam what hangs stands, if its aim is known.
fn beam_on<'f, 'a>(facts: &'f Facts<'a>) -> Option<&'f Standing<'a>> {
    let hung = facts.hung()?.place();
    facts.things_of("lamp").find(|lamp| {
        let Some(beam_deg) = lamp
            .entry
            .beam_deg
            .or_else(|| lamp.lamp.and_then(|l| l.beam_deg))
        else {
            return false;
        };
        let from = lamp.place();
        let way = [
            hung.x_mm - from.x_mm,
            hung.y_mm - from.y_mm,
            hung.z_mm - from.z_mm,
        ];
        let (sin_h, cos_h) = lamp.entry.heading_deg.unwrap_or(0.0).to_radians().sin_cos();
        let (sin_p, cos_p) = lamp.entry.tilt_deg.unwrap_or(0.0).to_radians().sin_cos();
        let along = way[0] * cos_p * cos_h + way[1] * cos_p * sin_h + way[2] * sin_p;
        let length = way.iter().map(|mm| mm * mm).sum::<f64>().sqrt();
        length > 0.0 && along / length > (beam_deg / 2.0).to_radians().cos()
    })
}

/// G9: the line that the swing suggests against the one that hangs in the story.
pub(super) fn swing(facts: &Facts<'_>) -> Result<Vec<Found>, Gap> {
    if facts.setup.story_line_m.is_none() || !hanging::hangs(facts) {
        return Ok(Vec::new());
    }
    let (drop, k, story) = (
        facts.get("line_drop_mm")? / 1000.0,
        time::rate_factor_k(facts)?,
        facts.get("story_line_m")?,
    );
    let worked = SwingPeriod {
        line_length_m: drop,
        rate_factor_k: k,
        story_line_m: Some(story),
    }
    .work()?;
    let ratio = worked.suggested_line_m / story;
    let severity = if !(0.5..=2.0).contains(&ratio) {
        Severity::Shows
    } else if !(0.8..=1.25).contains(&ratio) {
        Severity::MayShow
    } else {
        return Ok(Vec::new());
    };
    let right_mm = (story / (k * k) * 1000.0).round();
    let body = format!(
        "It swings as on {} m and the story hangs it on {} m. A drop of {} mm swings right. {PRACTICE}",
        significant(worked.suggested_line_m, 2),
        given(story),
        found(right_mm)
    );
    let one = Found {
        rule: "swing",
        severity,
        weight: ratio.max(1.0 / ratio),
        ring: hung_ring(facts),
        head: if ratio > 1.0 {
            "It swings too slowly.".into()
        } else {
            "It swings too quickly.".into()
        },
        quantity: format!("{} ×", significant(ratio, 2)),
        sum: format!(
            "{}^2 × {} ÷ {} = {}",
            step(k),
            given(drop),
            given(story),
            significant(ratio, 2)
        ),
        body,
        lever: "line_drop_mm",
        ..Found::default()
    };
    Ok(vec![one.cure(
        facts,
        format!("drop {} mm", found(right_mm)),
        "line_drop_mm",
        given(right_mm),
    )])
}

/// What hangs is still swinging when the setup's own wait is over.
pub(super) fn settle(facts: &Facts<'_>) -> Result<Vec<Found>, Gap> {
    if !hanging::hangs(facts) {
        return Ok(Vec::new());
    }
    let (needed_s, given_min) = (hanging::settle_s(facts)?, facts.get("settle_min")?);
    if needed_s <= given_min * 60.0 {
        return Ok(Vec::new());
    }
    let minutes = (needed_s / 60.0 * 2.0).ceil() / 2.0;
    let body = format!(
        "By the swings counted it is still after {} s, and the setup waits {} min. Damp it, start it without swing by a ramp of whole swings, or wait {} min.",
        significant(needed_s, 2),
        given(given_min),
        given(minutes)
    );
    let one = Found {
        rule: "settle",
        severity: Severity::MayShow,
        weight: needed_s / (given_min * 60.0).max(1.0),
        ring: hung_ring(facts),
        head: "It still swings when the camera rolls.".into(),
        quantity: format!("{} s", significant(needed_s, 2)),
        sum: String::new(),
        body,
        lever: "settle_min",
        ..Found::default()
    };
    Ok(vec![one.cure(
        facts,
        format!("a wait of {} min", given(minutes)),
        "settle_min",
        given(minutes),
    )])
}
