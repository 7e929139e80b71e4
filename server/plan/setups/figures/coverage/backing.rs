//! Backings: how wide and high they have to be where they stand, and what they lack.

use super::{Seen, Told, figure, found, given, step, table_mm};
use crate::{
    plan::setups::{
        facts::{Facts, Gap},
        standing::Standing,
    },
    web::parts::Figure,
};
use stillair_calc::{Calculate as _, coverage::BackingSize};

/// Part of a backing's width and height that is built beyond what is seen, on each side; common practice, no source.
const MARGIN: f64 = 0.1;

/// What the frame sees of an upright plane where a cloth stands.
struct Needs {
    seen: Seen,
    /// From the pupil, along the floor.
    at_mm: f64,
    /// Lowest height seen; what the table hides needs no cloth.
    foot_mm: f64,
    /// Highest height seen.
    top_mm: f64,
    /// Widest row seen, and its height.
    wide_mm: f64,
    widest_at_mm: f64,
}

fn needs(facts: &Facts<'_>, cloth: &Standing<'_>) -> Result<Needs, Gap> {
    let s = Seen::of(facts, 0.0)?;
    let at_mm = cloth.place().x_mm - s.ahead_mm;
    let worked = BackingSize {
        camera_height_m: s.height_mm / 1000.0,
        tilt_down_deg: s.tilt_deg,
        focal_length_mm: s.optics.focal_length_mm,
        focus_distance_from_entrance_pupil_mm: s.optics.focus_from_pupil_mm,
        sensor_width_mm: s.sensor_mm.0,
        sensor_height_mm: s.sensor_mm.1,
        backing_distance_m: at_mm / 1000.0,
        pupil_magnification: s.optics.pupil_magnification,
        squeeze: s.squeeze,
        margin_fraction: MARGIN,
    }
    .work()?;
    // Over the table's far edge the eye reaches down to this height of the plane.
    let (_, ends) = table_mm(facts)?;
    let end_mm = ends - s.ahead_mm;
    let hidden_mm = if end_mm > 0.0 && at_mm > end_mm {
        s.height_mm * (1.0 - at_mm / end_mm)
    } else {
        0.0
    };
    let foot_mm = (worked.bottom_height_m * 1000.0).max(hidden_mm);
    let top_mm = worked.top_height_m * 1000.0;
    let wide =
        |up_mm: f64| s.sees_mm * depth_mm(&s, at_mm, up_mm) / s.optics.projection_distance_mm();
    let widest_at_mm = if wide(foot_mm) >= wide(top_mm) {
        foot_mm
    } else {
        top_mm
    };
    Ok(Needs {
        at_mm,
        foot_mm,
        top_mm,
        wide_mm: wide(widest_at_mm),
        widest_at_mm,
        seen: s,
    })
}

/// Depth along the axis of a point so far ahead and so high.
fn depth_mm(s: &Seen, at_mm: f64, up_mm: f64) -> f64 {
    let (sin, cos) = s.tilt_deg.to_radians().sin_cos();
    at_mm * cos + (s.height_mm - up_mm) * sin
}

/// What a cloth lacks to fill the frame where it stands, without any margin; zero where it lacks nothing.
pub struct Short {
    /// Number ring of the cloth.
    pub ring: u32,
    /// What the crew calls it.
    pub called: String,
    /// Missing at its left end.
    pub left_mm: f64,
    /// Missing at its right end.
    pub right_mm: f64,
    /// Missing above.
    pub low_mm: f64,
    /// How much too high its foot hangs.
    pub foot_mm: f64,
}

impl Short {
    fn of(cloth: &Standing<'_>, needs: &Needs) -> Self {
        let (place, size) = (cloth.place(), cloth.size());
        let seen = needs.top_mm > needs.foot_mm;
        let if_seen = |mm: f64| if seen { mm.max(0.0) } else { 0.0 };
        let half_mm = needs.wide_mm / 2.0;
        Self {
            ring: cloth.ring,
            called: cloth.called().to_owned(),
            left_mm: if_seen(half_mm + place.y_mm - size.width_mm / 2.0),
            right_mm: if_seen(half_mm - place.y_mm - size.width_mm / 2.0),
            low_mm: if_seen(needs.top_mm - place.z_mm - size.height_mm),
            foot_mm: if_seen(place.z_mm - needs.foot_mm),
        }
    }

    /// How much wider it would have to be, hung where it hangs.
    pub fn narrow_mm(&self) -> f64 {
        2.0 * self.left_mm.max(self.right_mm)
    }

    fn any(&self) -> bool {
        [self.left_mm, self.right_mm, self.low_mm, self.foot_mm]
            .iter()
            .any(|mm| *mm > 0.0)
    }

    /// What it lacks in width, as a sentence; empty for nothing.
    pub fn narrow_words(&self) -> String {
        let mm = |mm: f64| found(mm.ceil());
        match (self.left_mm, self.right_mm) {
            (l, r) if l <= 0.0 && r <= 0.0 => String::new(),
            (l, r) if (l - r).abs() < 1.0 => {
                format!("It is {} mm too narrow on each side.", mm(l.max(r)))
            }
            (l, r) if r <= 0.0 => format!("It is {} mm too narrow on the left.", mm(l)),
            (l, r) if l <= 0.0 => format!("It is {} mm too narrow on the right.", mm(r)),
            (l, r) => format!(
                "It is too narrow: {} mm on the left, {} mm on the right.",
                mm(l),
                mm(r)
            ),
        }
    }

    /// What it lacks in height, as a sentence; empty for nothing.
    pub fn low_words(&self) -> String {
        let mut words = Vec::new();
        if self.low_mm > 0.0 {
            words.push(format!(
                "It is {} mm too low at the top.",
                found(self.low_mm.ceil())
            ));
        }
        if self.foot_mm > 0.0 {
            words.push(format!(
                "Its foot hangs {} mm too high.",
                found(self.foot_mm.ceil())
            ));
        }
        words.join(" ")
    }
}

/// The first backing that does not fill the frame.
///
/// # Errors
/// What is not written.
pub fn backing_short_mm(facts: &Facts<'_>) -> Result<Option<Short>, Gap> {
    for cloth in facts.things_of("backing") {
        let short = Short::of(cloth, &needs(facts, cloth)?);
        if short.any() {
            return Ok(Some(short));
        }
    }
    Ok(None)
}

/// The figures of one cloth: how wide and how high to build it.
pub(super) fn of_cloth(facts: &Facts<'_>, cloth: &Standing<'_>) -> Vec<Figure> {
    let ring = cloth.ring.to_string();
    let called = cloth.called();
    let wide = figure(
        facts,
        &format!("backing-{ring}"),
        &ring,
        &format!("{called}: build it wide"),
        "mm",
        |f| {
            let n = needs(f, cloth)?;
            if n.top_mm <= n.foot_mm {
                return Ok(Told::new("0", "", "The frame does not see it.", ""));
            }
            let shown = found((n.wide_mm * (1.0 + 2.0 * MARGIN)).round());
            let s = &n.seen;
            let mut told = Told::new(
                shown.clone(),
                format!(
                    "{} × ({} × cos({tilt}°) + {} × sin({tilt}°)) ÷ {} × (1 + 2 × {MARGIN}) = {shown}",
                    given(s.sees_mm),
                    step(n.at_mm),
                    step(s.height_mm - n.widest_at_mm),
                    step(s.optics.projection_distance_mm()),
                    tilt = given(s.tilt_deg)
                ),
                format!(
                    "It has {} and {} fill the frame; a tenth to spare on each side is common practice, no source.",
                    given(cloth.size().width_mm),
                    found(n.wide_mm.ceil())
                ),
                "central projection on an upright plane",
            );
            told.over = Short::of(cloth, &n).narrow_words();
            Ok(told)
        },
    );
    let high = figure(
        facts,
        &format!("backing-{ring}-high"),
        &ring,
        &format!("{called}: build it high"),
        "mm",
        |f| {
            let n = needs(f, cloth)?;
            if n.top_mm <= n.foot_mm {
                return Ok(Told::new("0", "", "The frame does not see it.", ""));
            }
            let shown = found(((n.top_mm - n.foot_mm) * (1.0 + 2.0 * MARGIN)).round());
            let mut told = Told::new(
                shown.clone(),
                format!(
                    "({} + {} × tan({}°) − {}) × (1 + 2 × {MARGIN}) = {shown}",
                    step(n.seen.height_mm),
                    step(n.at_mm),
                    step(n.seen.top_deg()),
                    step(n.foot_mm)
                ),
                format!(
                    "The frame sees it from {} to {} mm over the table; it reaches from {} to {}. Tall backings are braced and weighted by people who know how.",
                    found(n.foot_mm.round()),
                    found(n.top_mm.round()),
                    found(cloth.place().z_mm.round()),
                    found((cloth.place().z_mm + cloth.size().height_mm).round())
                ),
                "central projection on an upright plane",
            );
            told.over = Short::of(cloth, &n).low_words();
            Ok(told)
        },
    );
    vec![wide, high]
}
