//! What gives the miniature away in one pass, worst first. Physical parts are exact; where a grade begins is common
//! practice without a source, and says so.

use super::{
    facts::{Facts, Gap},
    figures::{lens, light, time, water},
};
use crate::web::parts::{Severity, Tell};
use stillair_calc::figure::{fixed, found, significant};

/// Something that tells the eye it is small or dry, with how bad it is among its like.
#[derive(Clone, Debug)]
pub struct Giveaway {
    /// Name of the rule.
    pub rule: &'static str,
    /// How it shows.
    pub severity: Severity,
    /// How far beyond its first edge; sorts within a severity.
    pub weight: f64,
    /// As the list shows it.
    pub tell: Tell,
}

const PRACTICE: &str = "Where this begins to show is common practice, no source.";

/// A finding about to be told.
struct Found {
    rule: &'static str,
    severity: Severity,
    weight: f64,
    ring: &'static str,
    head: &'static str,
    quantity: String,
    body: String,
    lever: &'static str,
}

impl Found {
    fn tell(self, facts: &Facts<'_>) -> Giveaway {
        let tell = Tell {
            id: format!("tell-{}", self.rule),
            severity: self.severity,
            head: self.head.into(),
            quantity: self.quantity,
            body: self.body,
            ring: self.ring.into(),
            let_pass: String::new(),
            href: format!("#b-{}-{}", facts.setup.id, self.lever),
        };
        Giveaway {
            rule: self.rule,
            severity: self.severity,
            weight: self.weight,
            tell,
        }
    }
}

/// A rule: what it finds, or which fact it lacks.
type Rule = fn(&Facts<'_>) -> Result<Vec<Found>, Gap>;

/// Everything found in a pass, worst first.
pub fn giveaways(facts: &Facts<'_>) -> Vec<Giveaway> {
    let rules: [Rule; 9] = [
        air,
        rate,
        pieces,
        softness,
        gravity,
        motion_blur,
        strobe,
        drift,
        story_depth,
    ];
    let mut found: Vec<_> = rules
        .iter()
        .filter_map(|rule| rule(facts).ok())
        .flatten()
        .map(|found| found.tell(facts))
        .collect();
    found.sort_by(|a, b| {
        (a.severity as u8)
            .cmp(&(b.severity as u8))
            .then(b.weight.total_cmp(&a.weight))
    });
    found
}

/// Haze above the chosen peak with people in it: no look is worth that.
fn air(facts: &Facts<'_>) -> Result<Vec<Found>, Gap> {
    let (mg, peak) = (
        water::concentration_mgpm3(facts)?,
        facts.get("air_peak_mgpm3")?,
    );
    if mg <= peak || facts.setup.air.as_ref() != "people" {
        return Ok(Vec::new());
    }
    let head = "Nobody may stand in this haze.";
    let body = format!(
        "{} mg/m³ against a peak limit of {} mg/m³. Shut the tent with nobody inside and clear it before anyone enters, or ask for contrast at the far end instead.",
        found(mg.round()),
        found(peak)
    );
    Ok(vec![Found {
        rule: "air",
        severity: Severity::Shows,
        weight: 100.0 + mg / peak,
        ring: "13",
        head,
        quantity: format!("{} ×", significant(mg / peak, 2)),
        body,
        lever: "air",
    }])
}

/// A rate that the camera's mode does not reach.
fn rate(facts: &Facts<'_>) -> Result<Vec<Found>, Gap> {
    let (fps, highest) = (facts.get("shoot_fps")?, facts.get("highest_fps")?);
    if fps <= highest {
        return Ok(Vec::new());
    }
    let body = format!(
        "This mode runs to {} fps and {} is asked. Choose a mode that crops, or run at {}.",
        found(highest),
        found(fps),
        found(highest)
    );
    Ok(vec![Found {
        rule: "rate",
        severity: Severity::Shows,
        weight: 50.0,
        ring: "1",
        head: "The camera does not run that fast.",
        quantity: format!("{} fps", found(fps)),
        body,
        lever: "camera_mode",
    }])
}

/// G2: blur on the pieces that stand in frame, against the blur line.
fn pieces(facts: &Facts<'_>) -> Result<Vec<Found>, Gap> {
    let o = lens::optics(facts)?;
    let ends = [
        ("nearest_piece_mm", "The nearest piece is soft.", "3"),
        ("farthest_piece_mm", "The farthest piece is soft.", "4"),
    ];
    Ok(ends
        .into_iter()
        .filter_map(|(field, head, ring)| soft_piece(facts, &o, field, head, ring))
        .collect())
}

/// Blur over the line by this much is plain to see; common practice, no source.
const PLAIN_BLUR: f64 = 1.25;

fn soft_piece(
    facts: &Facts<'_>,
    o: &lens::Optics,
    field: &str,
    head: &'static str,
    ring: &'static str,
) -> Option<Found> {
    let at = facts.find(field)?;
    let blur = o.blur_mm(at)?;
    let over = blur / o.blur_line_mm;
    if over <= 1.0 {
        return None;
    }
    let severity = if over > PLAIN_BLUR {
        Severity::Shows
    } else {
        Severity::MayShow
    };
    let body = format!(
        "Blur {} µm at {} mm against a line of {} µm. {} f/{} brings it in, and asks for {} stops more light.",
        significant(blur * 1000.0, 2),
        found(at.round()),
        significant(o.blur_line_mm * 1000.0, 3),
        refocus(o, at),
        significant(o.f_number * over, 2),
        significant(2.0 * over.log2(), 2)
    );
    Some(Found {
        rule: if ring == "3" { "near-blur" } else { "far-blur" },
        severity,
        weight: over,
        ring,
        head,
        quantity: format!("{} ×", significant(over, 2)),
        body,
        lever: "focus_from_mark_mm",
    })
}

/// The focus that lays a limit on a piece, and what that does to the other limit.
fn refocus(o: &lens::Optics, at_mm: f64) -> String {
    let x = at_mm - o.pupil_from_mark_mm;
    // Limit x = u ÷ (1 ± δ(u)) with δ = N c (u − f/P) ÷ f²: solved for u.
    let r = o.f_number * o.blur_line_mm / (o.focal_length_mm * o.focal_length_mm);
    let step = o.focal_length_mm / o.pupil_magnification;
    let nearer = at_mm < o.pupil_from_mark_mm + o.focus_from_pupil_mm;
    let u = if nearer {
        x * (1.0 - r * step) / (1.0 - r * x)
    } else {
        x * (1.0 + r * step) / (1.0 + r * x)
    };
    if !u.is_finite() || u <= step {
        return String::new();
    }
    let share = r * (u - step);
    let from_mark = |mm: f64| found((mm + o.pupil_from_mark_mm).round());
    let other = if nearer {
        if share < 1.0 {
            format!("pulls the far limit to {} mm", from_mark(u / (1.0 - share)))
        } else {
            "keeps the far end sharp".into()
        }
    } else {
        format!(
            "pushes the near limit to {} mm",
            from_mark(u / (1.0 + share))
        )
    };
    format!("Focus at {} mm brings it in, and {other}.", from_mark(u))
}

/// Diffraction over the line: no focus helps.
fn softness(facts: &Facts<'_>) -> Result<Vec<Found>, Gap> {
    let (um, line_um, stop) = (
        lens::softening_um(facts)?,
        lens::blur_line_mm(facts)? * 1000.0,
        facts.get("f_number")?,
    );
    let over = um / line_um;
    if over <= 1.0 {
        return Ok(Vec::new());
    }
    let severity = if over > PLAIN_BLUR {
        Severity::Shows
    } else {
        Severity::MayShow
    };
    let body = format!(
        "f/{} spreads a point to {} µm against a line of {} µm, everywhere in the picture. Open to f/{}; what depth that costs, give back with tilt, slices or a shorter table.",
        found(stop),
        significant(um, 3),
        significant(line_um, 3),
        significant(stop / over, 2)
    );
    Ok(vec![Found {
        rule: "diffraction",
        severity,
        weight: over,
        ring: "5",
        head: "The stop itself softens the picture.",
        quantity: format!("{} ×", significant(over, 2)),
        body,
        lever: "f_number",
    }])
}

/// G1: only where something hangs, falls or floats.
fn gravity(facts: &Facts<'_>) -> Result<Vec<Found>, Gap> {
    let moves = facts.pass.map(|p| p.moves.clone()).unwrap_or_default();
    if !matches!(&*moves, "hangs" | "falls" | "floats") {
        return Ok(Vec::new());
    }
    let ratio = time::gravity_ratio(facts)?;
    let severity = if !(0.5..=2.0).contains(&ratio) {
        Severity::Shows
    } else if !(0.8..=1.25).contains(&ratio) {
        Severity::MayShow
    } else if (ratio - 1.0).abs() < 0.01 {
        return Ok(Vec::new());
    } else {
        Severity::Slight
    };
    let true_rate = facts.get("scale_denominator")?.sqrt() * facts.base_fps();
    let way = if ratio > 1.0 {
        "quick: it reads smaller"
    } else {
        "slow: it reads larger"
    };
    let body = format!(
        "What {moves} reads {} times the size meant, {way}. {} fps is true for this scale. {PRACTICE}",
        significant(1.0 / ratio, 3),
        fixed(true_rate, 1)
    );
    let head = if ratio > 1.0 {
        "Falls and swings are quick."
    } else {
        "Falls and swings are slow."
    };
    let percent = (ratio - 1.0) * 100.0;
    let quantity = format!(
        "{}{} %",
        if percent > 0.0 { "+" } else { "" },
        significant(percent, 2)
    );
    let slight = matches!(severity, Severity::Slight);
    Ok(vec![Found {
        rule: "gravity",
        severity,
        weight: ratio.max(1.0 / ratio),
        ring: "1",
        head,
        quantity,
        body: if slight { String::new() } else { body },
        lever: "shoot_fps",
    }])
}

/// Shutter angle the story is taken to be shot with; common practice.
const STORY_SHUTTER_DEG: f64 = 180.0;

/// G3: motion blur against the story's shutter. Scale and rate cancel.
fn motion_blur(facts: &Facts<'_>) -> Result<Vec<Found>, Gap> {
    let shutter = facts.get("shutter_deg")?;
    let ratio = shutter / STORY_SHUTTER_DEG;
    let severity = if !(0.35..=2.8).contains(&ratio) {
        Severity::Shows
    } else if !(0.7..=1.4).contains(&ratio) {
        Severity::MayShow
    } else {
        return Ok(Vec::new());
    };
    let head = if ratio < 1.0 {
        "Movement is too crisp."
    } else {
        "Movement is too smeared."
    };
    let body = format!(
        "{}° smears {} times as far as {}°, at any scale and rate. Open or close the shutter towards 126° to 252°. {PRACTICE}",
        found(shutter),
        significant(ratio, 2),
        found(STORY_SHUTTER_DEG)
    );
    Ok(vec![Found {
        rule: "motion-blur",
        severity,
        weight: ratio.max(1.0 / ratio),
        ring: "",
        head,
        quantity: format!("{} ×", significant(ratio, 2)),
        body,
        lever: "shutter_deg",
    }])
}

/// G10: how long the subject takes to cross the frame.
fn strobe(facts: &Facts<'_>) -> Result<Vec<Found>, Gap> {
    let travel = facts.shot.map(|s| s.travel.clone()).unwrap_or_default();
    if !matches!(&*travel, "l_to_r" | "r_to_l" | "up" | "down") {
        return Ok(Vec::new());
    }
    let (speed, scale) = (
        facts.get("story_speed_mps")?,
        facts.get("scale_denominator")?,
    );
    let (width, height) = lens::frame_at_focus_mm(facts)?;
    let across = if matches!(&*travel, "up" | "down") {
        height
    } else {
        width
    } / 1000.0
        * scale;
    if speed <= 0.0 {
        return Ok(Vec::new());
    }
    let seconds = across / speed;
    let severity = if seconds < 4.0 {
        Severity::Shows
    } else if seconds < 7.0 {
        Severity::MayShow
    } else {
        return Ok(Vec::new());
    };
    let body = format!(
        "It crosses {} m of frame in {} s of screen time; under 7 s edges begin to stutter. {} m/s holds 7 s, or let it pass farther off. {PRACTICE}",
        significant(across, 2),
        significant(seconds, 2),
        significant(across / 7.0, 2)
    );
    Ok(vec![Found {
        rule: "strobe",
        severity,
        weight: 7.0 / seconds,
        ring: "2",
        head: "It crosses the frame fast enough to stutter.",
        quantity: format!("{} s", significant(seconds, 2)),
        body,
        lever: "shoot_fps",
    }])
}

/// G4: what the stage's own air plays as.
fn drift(facts: &Facts<'_>) -> Result<Vec<Found>, Gap> {
    if water::extinction_per_m(facts)? <= 0.0 {
        return Ok(Vec::new());
    }
    let (drift, scale, k) = (
        facts.get("air_drift_mm_per_s")?,
        facts.get("scale_denominator")?,
        time::rate_factor_k(facts)?,
    );
    let story = drift / 1000.0 * scale / k;
    let severity = if story > 1.0 {
        Severity::Shows
    } else if story > 0.3 {
        Severity::MayShow
    } else {
        return Ok(Vec::new());
    };
    let quiet = 0.3 * k / scale * 1000.0;
    let body = format!(
        "{} mm/s on the stage plays as {} m/s: {}. Wait for {} mm/s, or run faster. {PRACTICE}",
        found(drift),
        significant(story, 2),
        if story > 1.0 {
            "wind or smoke, not water"
        } else {
            "a current"
        },
        significant(quiet, 2)
    );
    Ok(vec![Found {
        rule: "drift",
        severity,
        weight: story / 0.3,
        ring: "",
        head: "The haze drifts.",
        quantity: format!("{} m/s", significant(story, 2)),
        body,
        lever: "air_drift_mm_per_s",
    }])
}

/// The story-equivalent stop is a figure; as a finding it is slight at most.
fn story_depth(facts: &Facts<'_>) -> Result<Vec<Found>, Gap> {
    let (stop, scale, story) = (
        facts.get("f_number")?,
        facts.get("scale_denominator")?,
        facts.get("story_f_number")?,
    );
    let stops = 2.0 * (scale * story / stop).log2();
    if stops <= 1.0 {
        return Ok(Vec::new());
    }
    Ok(vec![Found {
        rule: "depth",
        severity: Severity::Slight,
        weight: stops,
        ring: "5",
        head: "Depth reads shallow.",
        quantity: format!("f/{}", significant(stop / scale, 2)),
        body: String::new(),
        lever: "f_number",
    }])
}

/// Heat by the lamps; not a giveaway, but it is said where the light is.
pub fn is_hot(facts: &Facts<'_>) -> bool {
    light::before_haze_lx(facts)
        .or_else(|_| light::key_lx(facts))
        .is_ok_and(|lx| lx > light::HOT_LUX)
}
