//! Haze read off two cards.

use crate::sums::{
    aims::Aim,
    ask::{Ask, Gap, Given, ask},
    sum::{Came, Results, Sum},
};
use std::sync::OnceLock;
use stillair_calc::{
    Calculate, Worked,
    haze_fill::{ExtinctionFromStops, LossRateFromTwoReadings},
    haze_optics::{ExtinctionFromCards, StageExtinction},
};

pub static CARDS: Sum = Sum {
    slug: "two-cards",
    title: "Two-card reading",
    about: "Haze from a white and a black card side by side, read in clear air and again through it.",
    aim: Aim::Haze,
    words: "white black card meter reading extinction spot measure haze stops loss",
    make_asks: card_asks,
    kept_asks: OnceLock::new(),
    work: cards,
};

fn card_asks() -> Vec<Ask> {
    vec![
        ask::<ExtinctionFromCards>("white_clear")
            .label("White, clear air")
            .hint("Any one scale, lamps unchanged."),
        ask::<ExtinctionFromCards>("black_clear").label("Black, clear air"),
        ask::<ExtinctionFromCards>("white_haze").label("White, in haze"),
        ask::<ExtinctionFromCards>("black_haze").label("Black, in haze"),
        ask::<ExtinctionFromCards>("distance_m")
            .label("From lens to cards")
            .usually(1.0),
        ask::<StageExtinction>("scale_denominator")
            .label("Scale, 1 to")
            .usually(48.0),
        ask::<LossRateFromTwoReadings>("extinction_second_per_m")
            .label("Read again, haze")
            .or_empty("A second reading of haze, machine off, tells what the room loses."),
        ask::<LossRateFromTwoReadings>("minutes_between").label("Minutes later"),
    ]
}

fn read(
    g: &Given,
) -> Result<
    (
        ExtinctionFromCards,
        Worked<<ExtinctionFromCards as Calculate>::Answer>,
    ),
    Gap,
> {
    let cards = ExtinctionFromCards {
        white_clear: g.get("white_clear")?,
        black_clear: g.get("black_clear")?,
        white_haze: g.get("white_haze")?,
        black_haze: g.get("black_haze")?,
        distance_m: g.get("distance_m")?,
    };
    let worked = cards.work()?;
    Ok((cards, worked))
}

fn cards(given: &Given) -> Results {
    let mut figures = vec![
        given.figure("haze", "Haze", "per m", |g| {
            let (cards, worked) = read(g)?;
            Ok(Came::number(worked.extinction_per_m)
                .because(&cards, &worked)
                .words(
                    "The cards’ difference shrinks; the veil falls on both alike and drops out.",
                ))
        }),
        given.figure("left", "Contrast left at the cards", "%", |g| {
            let (cards, _) = read(g)?;
            Ok(Came::number(
                (cards.white_haze - cards.black_haze) / (cards.white_clear - cards.black_clear)
                    * 100.0,
            ))
        }),
        given.figure("reach", "Reach in the story", "m", |g| {
            let sigma = read(g)?.1.extinction_per_m;
            if sigma <= 0.0 {
                return Ok(Came::words_only("no end"));
            }
            let reach = -super::THRESHOLD.ln() / sigma * g.get("scale_denominator")?;
            Ok(Came::number(reach).words("There 2 % of the contrast is left."))
        }),
        given.figure("tenth", "A tenth of a stop misread makes", "per m", |g| {
            let stops = ExtinctionFromStops {
                stop_drop: 0.1,
                path_m: g.get("distance_m")?,
            };
            let worked = stops.work()?;
            Ok(
                Came::number(worked.extinction_uncertainty_for_tenth_stop_per_m)
                    .because(&stops, &worked)
                    .words("A longer way reads better."),
            )
        }),
    ];
    if given
        .find("extinction_second_per_m")
        .is_ok_and(|second| second.is_some())
    {
        figures.push(
            given.figure("loss", "The room loses", "times an hour", |g| {
                let loss = LossRateFromTwoReadings {
                    extinction_first_per_m: read(g)?.1.extinction_per_m,
                    extinction_second_per_m: g.get("extinction_second_per_m")?,
                    minutes_between: g.get("minutes_between")?,
                };
                let worked = loss.work()?;
                Ok(Came::number(worked.total_loss_per_h).because(&loss, &worked))
            }),
        );
    }
    Results {
        figures,
        ..Results::default()
    }
}
