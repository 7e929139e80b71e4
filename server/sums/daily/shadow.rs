//! Flag for a shadow.

use crate::sums::{
    aims::Aim,
    ask::{Ask, Gap, Given, ask},
    sum::{Came, Results, Sum},
};
use std::sync::OnceLock;
use stillair_calc::{
    Calculate, Worked,
    shadow::{EdgeStory, FlagForShadow, FlagPass, ShadowWidths},
};

pub static FLAG: Sum = Sum {
    slug: "flag-for-a-shadow",
    title: "Flag for a shadow",
    about: "How wide a flag, and how high, throws the shadow you want with the edge you want; and how fast to pass it.",
    aim: Aim::Throw,
    words: "cutter gobo umbra penumbra soft edge cloud ship passes over lamp sun",
    make_asks: asks,
    kept_asks: OnceLock::new(),
    work,
};

fn asks() -> Vec<Ask> {
    vec![
        ask::<FlagForShadow>("shadow_width_m")
            .label("Shadow on the set")
            .shown_in("mm"),
        ask::<FlagForShadow>("edge_width_m")
            .label("Its soft edge")
            .shown_in("mm"),
        ask::<FlagForShadow>("lamp_diameter_m")
            .label("Lamp, across")
            .shown_in("mm"),
        ask::<FlagForShadow>("lamp_height_m").label("Lamp over the set"),
        ask::<FlagPass>("scale_denominator")
            .label("Scale, 1 to")
            .usually(48.0),
        ask::<FlagPass>("story_speed_mps").label("What passes goes, full size"),
        ask::<stillair_calc::scale_time::ApparentGravity>("shoot_fps").label("Camera"),
        ask::<stillair_calc::scale_time::ApparentGravity>("base_fps")
            .label("Cut runs at")
            .usually(25.0),
        ask::<FlagPass>("frame_width_m")
            .label("Frame, across the set")
            .shown_in("mm"),
        ask::<EdgeStory>("story_flag_to_ground_m").label("In the story it flies at"),
    ]
}

fn flag(g: &Given) -> Result<(FlagForShadow, Worked<<FlagForShadow as Calculate>::Answer>), Gap> {
    let flag = FlagForShadow {
        shadow_width_m: g.get("shadow_width_m")?,
        lamp_diameter_m: g.get("lamp_diameter_m")?,
        lamp_height_m: g.get("lamp_height_m")?,
        edge_width_m: g.get("edge_width_m")?,
    };
    let worked = flag.work()?;
    Ok((flag, worked))
}

fn pass(g: &Given) -> Result<(FlagPass, Worked<<FlagPass as Calculate>::Answer>), Gap> {
    let pass = FlagPass {
        story_speed_mps: g.get("story_speed_mps")?,
        scale_denominator: g.get("scale_denominator")?,
        rate_factor_k: g.get("shoot_fps")? / g.get("base_fps")?,
        lamp_height_m: g.get("lamp_height_m")?,
        flag_height_m: flag(g)?.1.flag_height_m,
        shadow_width_m: g.get("shadow_width_m")?,
        frame_width_m: g.get("frame_width_m")?,
    };
    let worked = pass.work()?;
    Ok((pass, worked))
}

fn work(given: &Given) -> Results {
    let figures = vec![
        given.figure("width", "Flag, across", "mm", |g| {
            Ok(Came::number(flag(g)?.1.flag_width_m * 1000.0))
        }),
        given.figure("height", "Flag over the set", "mm", |g| {
            let (flag, worked) = flag(g)?;
            Ok(Came::number(worked.flag_height_m * 1000.0).because(&flag, &worked))
        }),
        given.figure("umbra", "Full shadow inside it", "mm", |g| {
            let (asked, found) = flag(g)?;
            let widths = ShadowWidths {
                lamp_diameter_m: Some(asked.lamp_diameter_m),
                lamp_height_m: Some(asked.lamp_height_m),
                flag_height_m: Some(found.flag_height_m),
                flag_width_m: Some(found.flag_width_m),
                lamp_diameter: None,
                flag_width: None,
                lamp_to_flag: None,
                flag_to_set: None,
            };
            let worked = widths.work()?;
            let came = match worked.umbra_width_m {
                Some(umbra) if umbra > 0.0 => Came::number(umbra * 1000.0),
                _ => Came::words_only("none"),
            };
            Ok(came.because(&widths, &worked))
        }),
        given.figure("speed", "Pass the flag at", "mm/s", |g| {
            let (pass, worked) = pass(g)?;
            Ok(Came::number(worked.flag_speed_mps * 1000.0).because(&pass, &worked))
        }),
        given.figure("crossing", "Through the frame in", "s", |g| {
            let (_, pass) = pass(g)?;
            Ok(Came::number(pass.crossing_stage_s).words(format!(
                "On screen {} s, from the first edge in to the last edge out.",
                stillair_calc::figure::significant(pass.crossing_screen_s, 3)
            )))
        }),
        given.figure("edge", "Edge in the story", "m", |g| {
            let edge = EdgeStory {
                edge_width_m: g.get("edge_width_m")?,
                scale_denominator: g.get("scale_denominator")?,
                story_flag_to_ground_m: g.get("story_flag_to_ground_m")?,
            };
            let worked = edge.work()?;
            Ok(Came::number(worked.story_edge_m).because(&edge, &worked))
        }),
    ];
    Results {
        figures,
        cautions: vec![super::gels::heat()],
        ..Results::default()
    }
}
