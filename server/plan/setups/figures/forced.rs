//! Forced perspective: pieces at other scales, where they read as standing, and what gives them away.

use super::{
    Told, common, figure,
    further::{BlankOf, Further},
    lens, water,
};
use crate::{
    journal::record::AnyEntry,
    plan::setups::{
        facts::{Facts, Gap},
        standing::Standing,
    },
    web::parts::Figure,
};
use stillair_calc::{
    Calculate as _, OrInfinity, Worked,
    figure::{found, given, significant},
    giveaway::{ForcedPerspective, forced::Forced},
};

/// Things told at most.
const MOST: usize = 3;

/// The ledger.
pub const LEDGER: Further = Further {
    id: "forced",
    title: "Forced perspective",
    closed: "everything is built at one scale",
    needed: |facts| forced(facts).next().is_some(),
    openers: &[],
    blanks: |facts| -> Vec<BlankOf<'_>> {
        let mut seen = Vec::new();
        let things = forced(facts).take(MOST);
        // A placement's own scale stands with the thing itself; here is that of the piece in stores.
        things
            .filter_map(|(t, _)| t.piece)
            .filter(|p| {
                let new = !seen.contains(&p.id.as_str());
                seen.push(p.id.as_str());
                new
            })
            .map(|p| (p as &dyn AnyEntry, "scale_denominator"))
            .collect()
    },
    figures: ledger,
};

/// Pieces built at another scale than the setup's.
fn forced<'f, 'a>(facts: &'f Facts<'a>) -> impl Iterator<Item = (&'f Standing<'a>, f64)> {
    let setup = facts.find("scale_denominator");
    facts
        .things
        .iter()
        .filter(|t| t.is("piece") || t.is("model"))
        .filter_map(move |t| {
            let own = t.scale_denominator()?;
            ((own / setup? - 1.0).abs() > 0.01).then_some((t, own))
        })
}

fn worked(facts: &Facts<'_>, t: &Standing<'_>, own: f64) -> Result<Worked<Forced>, Gap> {
    let o = lens::optics(facts)?;
    Ok(ForcedPerspective {
        piece_distance_m: common::depth_mm(facts, t.place())? / 1000.0,
        piece_scale_denominator: own,
        scale_denominator: facts.get("scale_denominator")?,
        extinction_per_m: water::extinction_per_m(facts)?,
        focal_length_mm: o.focal_length_mm,
        focus_distance_from_entrance_pupil_mm: o.focus_from_pupil_mm,
        pupil_magnification: o.pupil_magnification,
        photosite_mm: common::photosite_mm(facts)?,
        slip_photosites: 1.0,
        growth_error_fraction: 0.01,
    }
    .work()?)
}

/// The piece that the haze gives away most: its standing, how much too clear it is, and how far the camera may move.
///
/// # Errors
/// What is not written.
pub fn worst<'f, 'a>(facts: &'f Facts<'a>) -> Result<(&'f Standing<'a>, Worked<Forced>), Gap> {
    let all = forced(facts).filter_map(|(t, own)| Some((t, worked(facts, t, own).ok()?)));
    all.max_by(|a, b| {
        let off = |w: &Worked<Forced>| w.contrast_excess_ratio.ln().abs();
        off(&a.1).total_cmp(&off(&b.1))
    })
    .ok_or_else(|| Gap::Impossible("Everything is built at one scale.".into()))
}

fn mm(m: OrInfinity) -> String {
    if m.0.is_finite() {
        format!("{} mm", significant(m.0 * 1000.0, 2))
    } else {
        "any way".into()
    }
}

fn ledger(facts: &Facts<'_>) -> Vec<Figure> {
    forced(facts)
        .take(MOST)
        .flat_map(|(t, own)| {
            let ring = t.ring.to_string();
            let scale = given(own);
            [
                figure(facts, &format!("apparent-{ring}"), &ring, &format!("{} reads as standing at", t.called()), "m", |f| {
                    let w = worked(f, t, own)?;
                    let words = format!(
                        "On the stage, at the setup’s scale; built at 1:{scale} it stands for {} m in the story.",
                        significant(w.story_distance_m, 3)
                    );
                    Ok(Told::by(significant(w.apparent_distance_m, 3), &w, words))
                }),
                figure(facts, &format!("clear-{ring}"), &ring, &format!("{} is too clear by", t.called()), "×", |f| {
                    let w = worked(f, t, own)?;
                    let shown = significant(w.contrast_excess_ratio, 3);
                    let sum = format!("2^({} ÷ ln 2) = {shown}", super::step(w.missing_optical_depth));
                    Ok(Told::new(shown, sum, "The haze that its pretended distance should add is missing: a net before it, or paint it paler.", w.source))
                }),
                figure(facts, &format!("slip-{ring}"), &ring, &format!("{}: camera may move", t.called()), "mm", |f| {
                    let w = worked(f, t, own)?;
                    let side = &w.sideways_move_m;
                    let shown = if side.0.is_finite() { found((side.0 * 1000.0).floor()) } else { "any way".into() };
                    let words = format!("Sideways, before it slips by a photosite against the rest; {} forward before its growth shows.", mm(w.forward_move_m));
                    Ok(Told::new(shown, "", words, w.source))
                }),
            ]
        })
        .collect()
}
