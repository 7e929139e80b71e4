//! Run speed and travel: how fast the model goes, for how long, and how far.

use crate::sums::{
    aims::Aim,
    ask::{Ask, Gap, Given, ask},
    sum::{Came, Results, Sum},
};
use std::sync::OnceLock;
use stillair_calc::{
    Calculate as _, Worked,
    drive::DrumDrive,
    scale_time::{ApparentGravity, Fall, ShotConversion},
};

pub static RUN: Sum = Sum {
    slug: "run-speed",
    title: "Run speed and travel",
    about: "How fast to run the camera and the model, how long the take lasts and how far the rail must reach.",
    aim: Aim::Move,
    words: "camera rate scale speed rig rail winch drum rpm froude gravity time stretched overcrank travel",
    make_asks: asks,
    kept_asks: OnceLock::new(),
    work,
};

fn asks() -> Vec<Ask> {
    vec![
        ask::<ShotConversion>("scale_denominator")
            .label("Scale, 1 to")
            .usually(48.0),
        ask::<ShotConversion>("base_fps")
            .label("Cut runs at")
            .usually(25.0),
        ask::<ShotConversion>("shoot_fps")
            .label("Camera")
            .or_empty("Left empty: the rate true to gravity."),
        ask::<ShotConversion>("story_speed_mps")
            .label("Full-size speed")
            .usually(1.5),
        ask::<ShotConversion>("screen_duration_s")
            .label("Seconds on screen")
            .usually(6.0),
        ask::<DrumDrive>("drum_diameter_m")
            .label("Winch drum")
            .shown_in("mm")
            .usually(0.04),
    ]
}

fn fall(g: &Given) -> Result<Fall, Gap> {
    Ok(Fall {
        base_fps: Some(g.get("base_fps")?),
        base_fps_num: None,
        base_fps_den: None,
        scale_denominator: g.get("scale_denominator")?,
    })
}

fn camera_fps(g: &Given) -> Result<f64, Gap> {
    match g.find("shoot_fps")? {
        Some(fps) => Ok(fps),
        None => Ok(fall(g)?.work()?.shoot_fps),
    }
}

fn shot(
    g: &Given,
) -> Result<
    (
        ShotConversion,
        Worked<<ShotConversion as stillair_calc::Calculate>::Answer>,
    ),
    Gap,
> {
    let shot = ShotConversion {
        base_fps: g.get("base_fps")?,
        scale_denominator: g.get("scale_denominator")?,
        shoot_fps: camera_fps(g)?,
        story_speed_mps: g.get("story_speed_mps")?,
        screen_duration_s: g.get("screen_duration_s")?,
    };
    let worked = shot.work()?;
    Ok((shot, worked))
}

fn work(given: &Given) -> Results {
    let mut figures = vec![
        given.figure("true-rate", "Rate true to gravity", "fps", |g| {
            let fall = fall(g)?;
            let worked = fall.work()?;
            Ok(Came::number(worked.shoot_fps)
                .because(&fall, &worked)
                .words("Falls, swings and big splashes keep their size."))
        }),
    ];
    if given.find("shoot_fps").is_ok_and(|fps| fps.is_some()) {
        figures.push(given.figure("gravity", "Gravity as it reads", "%", |g| {
            let gravity = ApparentGravity {
                base_fps: g.get("base_fps")?,
                scale_denominator: g.get("scale_denominator")?,
                shoot_fps: camera_fps(g)?,
            };
            let worked = gravity.work()?;
            Ok(Came::number(worked.gravity_ratio * 100.0)
                .because(&gravity, &worked)
                .words("Over 100 the model falls too fast and reads small; under 100 it floats."))
        }));
    }
    figures.extend([
        given.figure("stretched", "Time stretched", "×", |g| {
            let stretched = camera_fps(g)? / g.get("base_fps")?;
            Ok(Came::number(stretched).words("One second on the stage is this many on the screen."))
        }),
        given.figure("run-speed", "Run speed", "mm/s", |g| {
            let (shot, worked) = shot(g)?;
            Ok(Came::number(worked.model_speed_mps * 1000.0).because(&shot, &worked))
        }),
        given.figure("take", "Take on the stage", "s", |g| Ok(Came::number(shot(g)?.1.stage_duration_s))),
        given.figure("frames", "Frames in camera", "", |g| Ok(Came::number(shot(g)?.1.frames.round()))),
        given.figure("travel", "Travel in the shot", "mm", |g| {
            Ok(Came::number(shot(g)?.1.model_travel_m * 1000.0)
                .words("Run-up and run-down come on top: the model must be steady when the frame opens on it."))
        }),
        given.figure("drum", "Winch drum turns", "rpm", |g| {
            let drive = DrumDrive {
                line_speed_mps: shot(g)?.1.model_speed_mps.abs(),
                drum_diameter_m: g.get("drum_diameter_m")?,
                line_diameter_m: 0.0,
                layers_under: 0.0,
                full_steps_per_rev: 200.0,
                microsteps: 1.0,
                gear_ratio: 1.0,
            };
            let worked = drive.work()?;
            Ok(Came::number(worked.drum_rpm).because(&drive, &worked).words("Thin line, one layer."))
        }),
    ]);
    Results {
        figures,
        cautions: vec![super::hang::moving_rig()],
        ..Results::default()
    }
}
