//! Shadow: what a flag before a lamp throws on the set, the flag for a wanted shadow, and how it passes.

use super::{
    Told, figure,
    further::{BlankOf, Further, of, of_setup},
    lens, time,
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
    figure::{found, significant},
    shadow::{EdgeStory, FlagForShadow, FlagPass, ShadowWidths, pass::EdgeSeen, widths::Shadow},
};

/// The ledger.
pub const LEDGER: Further = Further {
    id: "shadow",
    title: "Shadow",
    closed: "no flag stands before a lamp",
    needed: |facts| facts.setup.shadow_width_mm.is_some() || pair(facts).is_ok(),
    openers: &["shadow_width_mm"],
    blanks,
    figures: ledger,
};

fn blanks<'a>(facts: &Facts<'a>) -> Vec<BlankOf<'a>> {
    let lamp = pair(facts).ok().and_then(|(_, lamp)| lamp.lamp);
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
        of(lamp, &["source_diameter_mm"]),
    ]
    .concat()
}

/// The flag and the lamp it stands before: one that moves, else the first.
fn pair<'f, 'a>(facts: &'f Facts<'a>) -> Result<(&'f Standing<'a>, &'f Standing<'a>), Gap> {
    let flags = facts.things_of("flag").filter_map(|flag| {
        let lamp = flag.entry.shades.as_ref()?;
        Some((flag, facts.things.iter().find(|t| t.entry.id == *lamp)?))
    });
    let mut flags: Vec<_> = flags.collect();
    flags.sort_by_key(|(flag, _)| matches!(&*flag.entry.motion, "" | "still"));
    flags.into_iter().next().ok_or_else(|| {
        Gap::Impossible("Put a flag on the table and say before which lamp it stands.".into())
    })
}

/// Along the ray from the lamp through the flag's middle: to the flag, and on to the table, in millimetres.
fn ray(facts: &Facts<'_>) -> Result<(f64, f64), Gap> {
    let (flag, lamp) = pair(facts)?;
    let middle = |t: &Standing<'_>| {
        let (place, size) = (t.place(), t.size());
        [place.x_mm, place.y_mm, place.z_mm + size.height_mm / 2.0]
    };
    let (from, through) = (middle(lamp), middle(flag));
    let way = [
        through[0] - from[0],
        through[1] - from[1],
        through[2] - from[2],
    ];
    let to_flag = way.iter().map(|mm| mm * mm).sum::<f64>().sqrt();
    if way[2] >= 0.0 || through[2] <= 0.0 || to_flag <= 0.0 {
        return Err(Gap::Impossible(
            "The flag does not stand between its lamp and the table.".into(),
        ));
    }
    Ok((to_flag, to_flag * through[2] / -way[2]))
}

fn source_mm(facts: &Facts<'_>) -> Result<f64, Gap> {
    let (_, lamp) = pair(facts)?;
    match lamp.lamp {
        Some(stored) => facts.number_of(stored, "source_diameter_mm"),
        None => Err(Gap::Missing {
            blank: format!("row-{}", lamp.entry.id),
            label: "Lamp in stores",
        }),
    }
}

/// The shadow as it stands.
fn stands(facts: &Facts<'_>) -> Result<Worked<Shadow>, Gap> {
    let (flag, _) = pair(facts)?;
    let (to_flag, to_set) = ray(facts)?;
    Ok(ShadowWidths {
        lamp_diameter_m: Some(source_mm(facts)? / 1000.0),
        lamp_height_m: Some((to_flag + to_set) / 1000.0),
        flag_height_m: Some(to_set / 1000.0),
        flag_width_m: Some(flag.size().width_mm / 1000.0),
        lamp_diameter: None,
        flag_width: None,
        lamp_to_flag: None,
        flag_to_set: None,
    }
    .work()?)
}

/// The shadow's soft edge at full size against the one the sun gives.
///
/// # Errors
/// What is not written.
pub fn edge(facts: &Facts<'_>) -> Result<Worked<EdgeSeen>, Gap> {
    let edge_m = stands(facts)?.edge_width_m.unwrap_or(0.0);
    Ok(EdgeStory {
        edge_width_m: edge_m,
        scale_denominator: facts.get("scale_denominator")?,
        story_flag_to_ground_m: facts.get("shadow_story_height_m")?,
    }
    .work()?)
}

/// The number of the flag.
pub fn ring(facts: &Facts<'_>) -> String {
    pair(facts)
        .map(|(flag, _)| flag.ring.to_string())
        .unwrap_or_default()
}

fn ledger(facts: &Facts<'_>) -> Vec<Figure> {
    let ring = ring(facts);
    let all = vec![
        figure(facts, "shadow", &ring, "Shadow as it stands", "mm", |f| {
            let worked = stands(f)?;
            let mm = |m: Option<f64>| significant(m.unwrap_or(0.0) * 1000.0, 3);
            let words = format!(
                "To half its darkness; soft over {} mm at each side. Measured along the ray; where it strikes aslant it is drawn out.",
                mm(worked.edge_width_m)
            );
            let gone = worked.umbra_over_flag <= 0.0;
            let mut told = Told::by(mm(worked.half_level_width_m), &worked, words);
            if gone {
                told.over = format!(
                    "No full shadow is left: {} of the light stays at its middle. Bring the flag nearer the set.",
                    significant(worked.centre_level, 2)
                );
            }
            Ok(told)
        }),
        figure(
            facts,
            "flag-wanted",
            &ring,
            "Flag for the shadow wanted",
            "mm wide",
            |f| {
                let (to_flag, to_set) = ray(f)?;
                let worked = FlagForShadow {
                    shadow_width_m: f.get("shadow_width_mm")? / 1000.0,
                    lamp_diameter_m: source_mm(f)? / 1000.0,
                    lamp_height_m: (to_flag + to_set) / 1000.0,
                    edge_width_m: f.get("shadow_edge_mm")? / 1000.0,
                }
                .work()?;
                let words = format!(
                    "Held {} mm over the set, along the ray.",
                    found((worked.flag_height_m * 1000.0).round())
                );
                Ok(Told::by(
                    significant(worked.flag_width_m * 1000.0, 3),
                    &worked,
                    words,
                ))
            },
        ),
        pass(facts, &ring),
        figure(facts, "edge-story", &ring, "Edge at full size", "m", |f| {
            let worked = edge(f)?;
            let words = format!(
                "The sun would give {} m.",
                significant(worked.sun_edge_m, 2)
            );
            Ok(Told::by(
                significant(worked.story_edge_m, 2),
                &worked,
                words,
            ))
        }),
    ];
    // What is wanted of a shadow is worked out once it is said; a flag may simply keep light off something.
    let setup = facts.setup;
    let wanted = setup.shadow_width_mm.is_some() || setup.shadow_edge_mm.is_some();
    let cast = setup.shadow_story_mps.is_some() || setup.shadow_story_height_m.is_some();
    let needed = [true, wanted, cast, cast];
    all.into_iter()
        .zip(needed)
        .filter(|(_, needed)| *needed)
        .map(|(figure, _)| figure)
        .collect()
}

fn pass(facts: &Facts<'_>, ring: &str) -> Figure {
    figure(facts, "flag-speed", ring, "Flag moves at", "mm/s", |f| {
        let (to_flag, to_set) = ray(f)?;
        let worked = FlagPass {
            story_speed_mps: f.get("shadow_story_mps")?,
            scale_denominator: f.get("scale_denominator")?,
            rate_factor_k: time::rate_factor_k(f)?,
            lamp_height_m: (to_flag + to_set) / 1000.0,
            flag_height_m: to_set / 1000.0,
            shadow_width_m: f.get("shadow_width_mm")? / 1000.0,
            frame_width_m: lens::frame_at_focus_mm(f)?.0 / 1000.0,
        }
        .work()?;
        let words = format!(
            "Its shadow runs at {} mm/s and crosses the frame in {} s of screen time.",
            significant(worked.shadow_speed_mps * 1000.0, 3),
            significant(worked.crossing_screen_s, 2)
        );
        Ok(Told::by(
            significant(worked.flag_speed_mps * 1000.0, 3),
            &worked,
            words,
        ))
    })
}
