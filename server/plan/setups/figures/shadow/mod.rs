//! Shadow: what a flag before a lamp throws on the set, the flag for a wanted shadow, and how it passes.

mod moves;
mod throws;

use super::{
    Told, common, figure,
    further::{BlankOf, Further, of, of_setup},
    lens, step, time,
};
use crate::{
    plan::setups::{
        facts::{Facts, Gap},
        standing::Standing,
    },
    web::parts::Figure,
};
use stillair_calc::{
    Calculate as _, Worked,
    drawing::scene::Place,
    shadow::{EdgeStory, ShadowWidths, pass, widths},
};

/// The ledger.
pub const LEDGER: Further = Further {
    id: "shadow",
    title: "Shadow",
    closed: "no flag stands before a lamp",
    needed: |facts| facts.setup.shadow_width_mm.is_some() || !pairs(facts).is_empty(),
    openers: &["shadow_width_mm"],
    blanks,
    figures: ledger,
};

fn blanks<'a>(facts: &Facts<'a>) -> Vec<BlankOf<'a>> {
    let pair = pair(facts).ok();
    [
        of_setup(
            facts,
            &[
                "shadow_width_mm",
                "shadow_edge_mm",
                "shadow_story_mps",
                "shadow_story_height_m",
            ],
        ),
        of(pair.as_ref().map(|p| p.flag.entry), &["width_mm"]),
        of(
            pair.as_ref().and_then(|p| p.lamp.lamp),
            &["source_diameter_mm"],
        ),
    ]
    .concat()
}

/// A flag and the lamp it stands before.
#[derive(Clone, Copy)]
struct Pair<'f, 'a> {
    flag: &'f Standing<'a>,
    lamp: &'f Standing<'a>,
}

/// All flags that stand before a lamp; those that move come first.
fn pairs<'f, 'a>(facts: &'f Facts<'a>) -> Vec<Pair<'f, 'a>> {
    let mut all: Vec<_> = facts
        .things_of("flag")
        .filter_map(|flag| {
            let lamp = flag.entry.shades.as_ref()?;
            let lamp = facts.things.iter().find(|t| t.entry.id == *lamp)?;
            Some(Pair { flag, lamp })
        })
        .collect();
    all.sort_by_key(|p| matches!(&*p.flag.entry.motion, "" | "still"));
    all
}

/// The flag that the wanted shadow is thrown by.
fn pair<'f, 'a>(facts: &'f Facts<'a>) -> Result<Pair<'f, 'a>, Gap> {
    pairs(facts).into_iter().next().ok_or_else(|| {
        Gap::Impossible("Put a flag on the table and say before which lamp it stands.".into())
    })
}

/// The way of the light through the middle of a flag.
struct Ray {
    /// Lamp to flag, in millimetres along the ray.
    to_flag_mm: f64,
    /// Flag to table.
    to_set_mm: f64,
    /// From upright.
    aslant_deg: f64,
    /// Where it meets the table.
    foot: Place,
}

impl Ray {
    fn whole_mm(&self) -> f64 {
        self.to_flag_mm + self.to_set_mm
    }
}

fn ray(p: Pair<'_, '_>) -> Result<Ray, Gap> {
    let middle = |t: &Standing<'_>| {
        let (place, size) = (t.place(), t.size());
        [place.x_mm, place.y_mm, place.z_mm + size.height_mm / 2.0]
    };
    let (from, through) = (middle(p.lamp), middle(p.flag));
    let way = [0, 1, 2].map(|axis| through[axis] - from[axis]);
    let to_flag_mm = way.iter().map(|mm| mm * mm).sum::<f64>().sqrt();
    // Level or rising rays never meet the table; the small share keeps what follows finite.
    if -way[2] < to_flag_mm * 1e-3 || through[2] <= 0.0 {
        return Err(Gap::Impossible(format!(
            "{} does not stand between {} and the table.",
            p.flag.called(),
            p.lamp.called()
        )));
    }
    let on = through[2] / -way[2];
    Ok(Ray {
        to_flag_mm,
        to_set_mm: to_flag_mm * on,
        aslant_deg: (-way[2] / to_flag_mm).min(1.0).acos().to_degrees(),
        foot: Place {
            x_mm: through[0] + way[0] * on,
            y_mm: through[1] + way[1] * on,
            z_mm: 0.0,
        },
    })
}

fn source_mm(facts: &Facts<'_>, p: Pair<'_, '_>) -> Result<f64, Gap> {
    match p.lamp.lamp {
        Some(stored) => facts.number_of(stored, "source_diameter_mm"),
        None => Err(Gap::Missing {
            blank: format!("row-{}", p.lamp.entry.id),
            label: "Lamp in stores",
        }),
    }
}

/// The shadow as it stands, across the ray.
fn stands(facts: &Facts<'_>, p: Pair<'_, '_>) -> Result<Worked<widths::Shadow>, Gap> {
    let ray = ray(p)?;
    Ok(ShadowWidths {
        lamp_diameter_m: Some(source_mm(facts, p)? / 1000.0),
        lamp_height_m: Some(ray.whole_mm() / 1000.0),
        flag_height_m: Some(ray.to_set_mm / 1000.0),
        flag_width_m: Some(p.flag.size().width_mm / 1000.0),
        lamp_diameter: None,
        flag_width: None,
        lamp_to_flag: None,
        flag_to_set: None,
    }
    .work()?)
}

fn mm(metres: Option<f64>) -> f64 {
    metres.unwrap_or(0.0) * 1000.0
}

/// The shadow's soft edge at full size against the one the sun gives.
///
/// # Errors
/// What is not written.
pub fn edge(facts: &Facts<'_>) -> Result<Worked<pass::EdgeSeen>, Gap> {
    Ok(EdgeStory {
        edge_width_m: stands(facts, pair(facts)?)?.edge_width_m.unwrap_or(0.0),
        scale_denominator: facts.get("scale_denominator")?,
        story_flag_to_ground_m: facts.get("shadow_story_height_m")?,
    }
    .work()?)
}

/// Edge of the shadow at full size over the one the sun gives from the caster's height.
///
/// # Errors
/// What is not written.
pub fn edge_ratio(facts: &Facts<'_>) -> Result<f64, Gap> {
    Ok(edge(facts)?.edge_ratio)
}

/// The number of the flag.
pub fn ring(facts: &Facts<'_>) -> String {
    pair(facts)
        .map(|p| p.flag.ring.to_string())
        .unwrap_or_default()
}

fn ledger(facts: &Facts<'_>) -> Vec<Figure> {
    let setup = facts.setup;
    let mut all = Vec::new();
    for (at, p) in pairs(facts).into_iter().enumerate() {
        all.extend(throws::as_it_stands(facts, p, at == 0));
    }
    // What is wanted of a shadow is worked out once it is said; a flag may simply keep light off something.
    if setup.shadow_width_mm.is_some() || setup.shadow_edge_mm.is_some() {
        all.extend(throws::wanted(facts));
    }
    if setup.shadow_story_mps.is_some() || setup.shadow_story_height_m.is_some() {
        all.extend(moves::passing(facts));
        all.push(moves::edge_figure(facts));
    }
    all
}
