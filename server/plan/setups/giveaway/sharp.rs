//! Sharpness: blur on what stands in frame, softening by the stop, how shallow it reads, and detail.

use super::{Found, PRACTICE};
use crate::{
    plan::setups::{
        facts::{Facts, Gap},
        figures::{common, lens, step},
    },
    web::parts::Severity,
};
use stillair_calc::{
    Calculate as _,
    figure::{found, given, significant},
    giveaway::Detail,
};

/// Blur over the line by this much is plain to see; common practice, no source.
const PLAIN_BLUR: f64 = 1.25;
/// A thing on the table this near a distance that was written is the piece that was meant.
const SAME_MM: f64 = 60.0;

/// Something that must be sharp: what it is called, its ring, and how far from the mark.
struct Subject {
    called: String,
    ring: String,
    from_mark_mm: f64,
}

/// G2: blur on the pieces that stand in frame, against the blur line: the worst before the focus and the worst behind it.
pub(super) fn pieces(facts: &Facts<'_>) -> Result<Vec<Found>, Gap> {
    let o = lens::optics(facts)?;
    let focus_mm = o.pupil_from_mark_mm + o.focus_from_pupil_mm;
    let subjects = subjects(facts, &o);
    let worst = |near: bool| {
        let side = subjects
            .iter()
            .filter(|s| (s.from_mark_mm < focus_mm) == near);
        let blurred = side.filter_map(|s| Some((s, o.blur_mm(s.from_mark_mm)?)));
        blurred.max_by(|a, b| a.1.total_cmp(&b.1))
    };
    Ok([true, false]
        .into_iter()
        .filter_map(|near| {
            let (subject, blur_mm) = worst(near)?;
            soft(facts, &o, subject, blur_mm, near)
        })
        .collect())
}

/// The pieces that were said to be the nearest and the farthest, and those that stand on the table.
fn subjects(facts: &Facts<'_>, o: &lens::Optics) -> Vec<Subject> {
    let standing: Vec<Subject> = facts
        .things
        .iter()
        .filter(|t| t.is("piece") || t.is("model"))
        .filter_map(|t| {
            Some(Subject {
                called: t.called().to_owned(),
                ring: t.ring.to_string(),
                from_mark_mm: common::depth_mm(facts, t.place()).ok()? + o.pupil_from_mark_mm,
            })
        })
        .collect();
    let said = [
        ("nearest_piece_mm", "The nearest piece", "3"),
        ("farthest_piece_mm", "The farthest piece", "4"),
    ];
    let said: Vec<Subject> = said
        .into_iter()
        .filter_map(|(field, words, ring)| {
            let from_mark_mm = facts.find(field)?;
            let near = standing
                .iter()
                .find(|s| (s.from_mark_mm - from_mark_mm).abs() < SAME_MM);
            Some(Subject {
                called: near.map_or_else(|| words.to_owned(), |s| s.called.clone()),
                ring: near.map_or_else(|| ring.to_owned(), |s| s.ring.clone()),
                from_mark_mm,
            })
        })
        .collect();
    // With both ends said, what must be sharp is said; what stands beyond them is there to be soft.
    if said.len() == 2 {
        said
    } else {
        said.into_iter().chain(standing).collect()
    }
}

fn soft(
    facts: &Facts<'_>,
    o: &lens::Optics,
    subject: &Subject,
    blur_mm: f64,
    near: bool,
) -> Option<Found> {
    let over = blur_mm / o.blur_line_mm;
    if over <= 1.0 {
        return None;
    }
    let (blur_um, line_um) = (blur_mm * 1000.0, o.blur_line_mm * 1000.0);
    let refocus = refocus(o, subject.from_mark_mm, near);
    // The stop is rounded up, so that what is pencilled in does bring it in.
    let stop = ((o.f_number * over * 10.0).ceil() / 10.0).max(o.f_number + 0.1);
    let body = format!(
        "Blur {} µm at {} mm against a line of {} µm. {}f/{} brings it in, and asks for {} stops more light.",
        significant(blur_um, 2),
        found(subject.from_mark_mm.round()),
        significant(line_um, 3),
        refocus
            .as_ref()
            .map(|(_, words)| format!("{words} "))
            .unwrap_or_default(),
        given(stop),
        significant(2.0 * (stop / o.f_number).log2(), 2)
    );
    let sum = format!(
        "{} ÷ {} × {} × {} ÷ {} × 1000 = {}",
        given(o.focal_length_mm),
        given(o.f_number),
        step(o.magnification),
        step((subject.from_mark_mm - o.pupil_from_mark_mm - o.focus_from_pupil_mm).abs()),
        step(subject.from_mark_mm - o.pupil_from_mark_mm),
        significant(blur_um, 2)
    );
    let mut one = Found {
        rule: if near { "near-blur" } else { "far-blur" },
        severity: if over > PLAIN_BLUR {
            Severity::Shows
        } else {
            Severity::MayShow
        },
        weight: over,
        ring: subject.ring.clone(),
        head: format!("{} is soft.", subject.called),
        quantity: format!("{} ×", significant(over, 2)),
        sum,
        body,
        lever: "focus_from_mark_mm",
        ..Found::default()
    };
    if let Some((mm, _)) = refocus {
        one = one.cure(
            facts,
            format!("focus {} mm", found(mm)),
            "focus_from_mark_mm",
            given(mm),
        );
    }
    let smallest = facts.lens.and_then(|l| l.smallest_f_number);
    if smallest.is_none_or(|n| stop <= n) {
        one = one.cure(facts, format!("f/{}", given(stop)), "f_number", given(stop));
    }
    Some(one)
}

/// The focus that lays a limit on a piece, a millimetre to its good side, and what that does to the other limit.
fn refocus(o: &lens::Optics, at_mm: f64, nearer: bool) -> Option<(f64, String)> {
    let x = at_mm - o.pupil_from_mark_mm;
    // Limit x = u ÷ (1 ± δ(u)) with δ = N c (u − f/P) ÷ f²: solved for u.
    let r = o.f_number * o.blur_line_mm / (o.focal_length_mm * o.focal_length_mm);
    let step = o.focal_length_mm / o.pupil_magnification;
    let u = if nearer {
        x * (1.0 - r * step) / (1.0 - r * x)
    } else {
        x * (1.0 + r * step) / (1.0 + r * x)
    };
    if !u.is_finite() || u <= step {
        return None;
    }
    let share = r * (u - step);
    let from_mark = |mm: f64| (mm + o.pupil_from_mark_mm).round();
    let other = if nearer {
        if share < 1.0 {
            format!(
                "pulls the far limit to {} mm",
                found(from_mark(u / (1.0 - share)))
            )
        } else {
            "keeps the far end sharp".into()
        }
    } else {
        format!(
            "pushes the near limit to {} mm",
            found(from_mark(u / (1.0 + share)))
        )
    };
    let whole = (u + o.pupil_from_mark_mm) * if nearer { 1.0 } else { -1.0 };
    let focus_mm = whole.floor().abs();
    let words = format!("Focus at {} mm brings it in, and {other}.", found(focus_mm));
    Some((focus_mm, words))
}

/// Diffraction over the line: no focus helps.
pub(super) fn softness(facts: &Facts<'_>) -> Result<Vec<Found>, Gap> {
    let (um, line_um, stop) = (
        lens::softening_um(facts)?,
        lens::blur_line_mm(facts)? * 1000.0,
        facts.get("f_number")?,
    );
    let over = um / line_um;
    let Some(severity) = super::graded(over, 1.0, PLAIN_BLUR) else {
        return Ok(Vec::new());
    };
    let open = (stop / over * 10.0).floor() / 10.0;
    let body = format!(
        "f/{} spreads a point to {} µm against a line of {} µm, everywhere in the picture. Open to f/{}; what depth that costs, give back with tilt, slices or a shorter table.",
        found(stop),
        significant(um, 3),
        significant(line_um, 3),
        given(open)
    );
    let one = Found {
        rule: "diffraction",
        severity,
        weight: over,
        ring: "5".into(),
        head: "The stop itself softens the picture.".into(),
        quantity: format!("{} ×", significant(over, 2)),
        sum: format!(
            "{} ÷ {} = {}",
            step(um),
            step(line_um),
            significant(over, 2)
        ),
        body,
        lever: "f_number",
        ..Found::default()
    };
    Ok(vec![one.cure(
        facts,
        format!("f/{}", given(open)),
        "f_number",
        given(open),
    )])
}

/// G2: the story-equivalent stop is a figure; as a finding it is slight at most.
pub(super) fn story_depth(facts: &Facts<'_>) -> Result<Vec<Found>, Gap> {
    let (stop, scale, story) = (
        facts.get("f_number")?,
        facts.get("scale_denominator")?,
        facts.get("story_f_number")?,
    );
    let stops = 2.0 * (scale * story / stop).log2();
    if stops <= 1.0 {
        return Ok(Vec::new());
    }
    let shown = significant(stop / scale, 2);
    Ok(vec![Found {
        rule: "depth",
        severity: Severity::Slight,
        weight: stops,
        ring: "5".into(),
        head: "Depth reads shallow.".into(),
        quantity: format!("f/{shown}"),
        sum: format!("{} ÷ {} = {shown}", given(stop), given(scale)),
        body: format!(
            "{} stops too shallow for f/{}; blur sets how large a picture reads (Using blur to affect perceived distance and size, ACM Transactions on Graphics 29(2), 2010).",
            significant(stops, 2),
            given(story)
        ),
        lever: "f_number",
        ..Found::default()
    }])
}

/// G7: detail coarser than the camera shows at full size.
pub(super) fn detail(facts: &Facts<'_>) -> Result<Vec<Found>, Gap> {
    let (scale, photosite_mm) = (
        facts.get("scale_denominator")?,
        common::photosite_mm(facts)?,
    );
    let o = lens::optics(facts)?;
    let mut worst: Option<(f64, Found)> = None;
    for t in &facts.things {
        let Some(piece) = t.piece.filter(|p| p.finest_detail_mm.is_some()) else {
            continue;
        };
        let Ok(depth_mm) = common::depth_mm(facts, t.place()) else {
            continue;
        };
        // What is soft or lost in the haze hides its own detail.
        let blur_mm = o
            .blur_mm(depth_mm + o.pupil_from_mark_mm)
            .unwrap_or(f64::MAX);
        if blur_mm > 2.0 * o.blur_line_mm {
            continue;
        }
        let worked = Detail {
            finest_detail_mm: facts.number_of(piece, "finest_detail_mm")?,
            scale_denominator: scale,
            magnification: common::magnification_at(facts, depth_mm)?,
            photosite_mm,
        }
        .work()?;
        let over = worked.detail_story_mm / worked.camera_limit_story_mm;
        let Some(severity) = super::graded(over, 1.0, 3.0) else {
            continue;
        };
        if worst.as_ref().is_some_and(|(most, _)| *most >= over) {
            continue;
        }
        let fine = worked.camera_limit_story_mm / scale;
        let body = format!(
            "Its finest detail reads as {} mm and the camera shows {} mm: smooth between, it looks like a toy. Texture down to {} mm. {PRACTICE}",
            significant(worked.detail_story_mm, 2),
            significant(worked.camera_limit_story_mm, 2),
            significant(fine, 2)
        );
        let one = Found {
            rule: "detail",
            severity,
            weight: over,
            ring: t.ring.to_string(),
            head: format!("{} is smooth where it is seen.", t.called()),
            quantity: format!("{} ×", significant(over, 2)),
            sum: format!(
                "{} ÷ {} = {}",
                step(worked.detail_story_mm),
                step(worked.camera_limit_story_mm),
                significant(over, 2)
            ),
            body,
            lever: "code",
            ..Found::default()
        };
        let blank = format!("{}.finest_detail_mm", piece.id);
        let fine = (fine * 100.0).floor() / 100.0;
        worst = Some((
            over,
            one.cure_at(format!("detail of {} mm", found(fine)), blank, given(fine)),
        ));
    }
    Ok(worst.into_iter().map(|(_, found)| found).collect())
}
