//! What stands there: the way of an arm, backings that do not fill the frame, pieces at other scales.

use super::{Found, PRACTICE, graded};
use crate::{
    plan::setups::{
        facts::{Facts, Gap},
        figures::{coverage, drive, forced},
    },
    web::parts::Severity,
};
use stillair_calc::figure::{found, given, significant};

/// G6: the way on an arm against a straight one.
pub(super) fn arc(facts: &Facts<'_>) -> Result<Vec<Found>, Gap> {
    let worked = drive::arc(facts)?;
    let n = worked.sagitta_photosites;
    let Some(severity) = graded(n, 1.0, 5.0) else {
        return Ok(Vec::new());
    };
    // The bulge falls with the radius: R ≈ c² ÷ 8σ.
    let radius_mm = facts.get("arm_radius_mm")?;
    let wanted = (radius_mm * n / 10.0).ceil() * 10.0;
    let body = format!(
        "Its way bulges by {} photosites, {} m at full size: it turns on {} m. Wanted is under one, unless a turn is meant; an arm of {} mm would do. {PRACTICE}",
        significant(n, 2),
        significant(worked.sagitta_story_m, 2),
        significant(worked.turn_radius_story_m, 3),
        found(wanted)
    );
    let one = Found {
        rule: "arc",
        severity,
        weight: n,
        ring: "2".into(),
        head: "Its way is bent.".into(),
        quantity: format!("{} photosites", significant(n, 2)),
        sum: String::new(),
        body,
        lever: "arm_radius_mm",
        ..Found::default()
    };
    Ok(vec![one.cure(
        facts,
        format!("an arm of {} mm", found(wanted)),
        "arm_radius_mm",
        given(wanted),
    )])
}

/// A backing whose edge is in the picture.
pub(super) fn backing(facts: &Facts<'_>) -> Result<Vec<Found>, Gap> {
    let Some(short) = coverage::backing_short_mm(facts)? else {
        return Ok(Vec::new());
    };
    let (narrow_mm, low_mm, foot_mm) = (short.narrow_mm(), short.low_mm, short.foot_mm);
    let worst_mm = narrow_mm.max(low_mm).max(foot_mm);
    let lacks = [short.narrow_words(), short.low_words()];
    let lacks: Vec<_> = lacks
        .into_iter()
        .filter(|words| !words.is_empty())
        .collect();
    let mut one = Found {
        rule: "backing",
        severity: Severity::Shows,
        weight: 10.0,
        ring: short.ring.to_string(),
        head: format!("The edge of {} is in the picture.", short.called),
        quantity: format!("{} mm", found(worst_mm.ceil())),
        sum: String::new(),
        body: format!("{} A margin comes on top.", lacks.join(" ")),
        ..Found::default()
    };
    // One press cures the worst; what is left is found again.
    if let Some(t) = facts.things.iter().find(|t| t.ring == short.ring) {
        let (size, place) = (t.size(), t.place());
        let up = |mm: f64| (mm / 10.0).ceil() * 10.0;
        let (says, field, mm) = if narrow_mm >= worst_mm {
            ("wide", "width_mm", up(size.width_mm + narrow_mm))
        } else if low_mm >= worst_mm {
            ("high", "height_mm", up(size.height_mm + low_mm))
        } else {
            ("up", "z_mm", -up(foot_mm - place.z_mm))
        };
        let says = format!("{} mm {says}", found(mm));
        one = one.cure_at(says, format!("{}.{field}", t.entry.id), given(mm));
    }
    Ok(vec![one])
}

/// Contrast too high for its pretended distance from which it may show, and from which it does; common practice.
const CLEAR: (f64, f64) = (1.25, 2.0);

/// A piece at another scale that the haze does not fade as its distance should.
pub(super) fn other_scale(facts: &Facts<'_>) -> Result<Vec<Found>, Gap> {
    let (t, worked) = forced::worst(facts)?;
    let excess = worked.contrast_excess_ratio;
    let Some(severity) = graded(excess.max(1.0 / excess), CLEAR.0, CLEAR.1) else {
        return Ok(Vec::new());
    };
    let side = worked.sideways_move_m.0;
    let slips = if side.is_finite() {
        format!(
            " The camera may move {} mm sideways before it slips.",
            significant(side * 1000.0, 2)
        )
    } else {
        String::new()
    };
    Ok(vec![Found {
        rule: "forced",
        severity,
        weight: excess.max(1.0 / excess),
        ring: t.ring.to_string(),
        head: if excess > 1.0 {
            format!("{} is too clear for its distance.", t.called())
        } else {
            format!("{} is too pale for its distance.", t.called())
        },
        quantity: format!("{} ×", significant(excess, 3)),
        sum: String::new(),
        body: format!(
            "It pretends to stand {} m off and the haze fades it as if nearer. Hang a net before it, or paint it paler.{slips} {PRACTICE}",
            significant(worked.story_distance_m, 3)
        ),
        lever: "reach_m",
        ..Found::default()
    }])
}
