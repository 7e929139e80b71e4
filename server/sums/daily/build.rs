//! Plaster mix, and what a piece weighs.

use crate::{
    sums::{
        aims::Aim,
        ask::{Ask, Gap, Given, ask},
        sum::{Came, Results, Sum},
    },
    web::parts::Caution,
};
use std::sync::OnceLock;
use stillair_calc::{
    Calculate, Worked,
    materials::{Drying, PieceMass, PlasterMix},
};

pub static PLASTER: Sum = Sum {
    slug: "plaster-mix",
    title: "Plaster mix",
    about: "Plaster and water that fill a mould, what the cast weighs wet and dry, and the water that must dry out.",
    aim: Aim::Build,
    words: "gypsum casting mould consistency water powder weigh litres dry",
    make_asks: plaster_asks,
    kept_asks: OnceLock::new(),
    work: plaster,
};

pub static SCALE_WEIGHT: Sum = Sum {
    slug: "piece-weight",
    title: "What a piece weighs",
    about: "A carved or cast piece by its volume, and whether it takes two people.",
    aim: Aim::Build,
    words: "foam plaster density mass lift carry heavy weight set piece",
    make_asks: weight_asks,
    kept_asks: OnceLock::new(),
    work: weight,
};

fn plaster_asks() -> Vec<Ask> {
    vec![
        ask::<PlasterMix>("volume_l").label("Volume to fill"),
        ask::<PlasterMix>("consistency_water_per_100").label("Water to 100 of plaster").hint("By weight: pottery 60 to 75, casting 55 to 70, hard gypsum 34 to 45, dental stone 24 to 32."),
        ask::<PlasterMix>("density_plaster_kgpm3").label("Density of the plaster").hint("2 630 soft, 2 750 hard."),
        ask::<PlasterMix>("spare_fraction").label("Spare").in_percent(),
    ]
}

fn mix(g: &Given) -> Result<(PlasterMix, Worked<<PlasterMix as Calculate>::Answer>), Gap> {
    let mix = PlasterMix {
        volume_l: g.get("volume_l")?,
        consistency_water_per_100: g.get("consistency_water_per_100")?,
        density_plaster_kgpm3: g.get("density_plaster_kgpm3")?,
        spare_fraction: g.get("spare_fraction")?,
    };
    let worked = mix.work()?;
    Ok((mix, worked))
}

fn plaster(given: &Given) -> Results {
    let figures = vec![
        given.figure("plaster", "Plaster", "kg", |g| {
            let (mix, worked) = mix(g)?;
            Ok(Came::number(worked.plaster_kg).because(&mix, &worked))
        }),
        given.figure("water", "Water", "kg", |g| {
            Ok(Came::number(mix(g)?.1.water_kg).words("A litre of water is a kilogram."))
        }),
        given.figure("wet", "As poured it weighs", "kg", |g| {
            let (_, mix) = mix(g)?;
            Ok(Came::number(mix.plaster_kg + mix.water_kg))
        }),
        given.figure("free", "Has to dry out", "kg", |g| {
            let drying = Drying {
                plaster_kg: mix(g)?.1.plaster_kg,
                consistency: g.get("consistency_water_per_100")?,
            };
            let worked = drying.work()?;
            Ok(Came::number(worked.free_water_kg)
                .because(&drying, &worked)
                .words("Until then it is cold, heavy and weak."))
        }),
        given.figure("dry", "Dry it weighs", "kg/m³", |g| {
            Ok(Came::number(mix(g)?.1.dry_density_kgpm3).words("A cubic metre of it."))
        }),
    ];
    Results {
        figures,
        cautions: vec![Caution {
            head: "Plaster".into(),
            body: "Setting plaster gets hot enough to burn: never cast a hand or any part of a body in it. Weigh powder with the extraction on and a mask fitted by someone competent; sanding dust can hold silica. Lift with two people from 25 kg.".into(),
            ..Caution::default()
        }],
        ..Results::default()
    }
}

fn weight_asks() -> Vec<Ask> {
    vec![
        ask::<PieceMass>("volume_m3")
            .label("Volume")
            .shown_in("L")
            .usually(0.02),
        ask::<PieceMass>("density_kgpm3")
            .label("Density")
            .usually(33.0)
            .hint("Extruded foam 33, plaster dry 1 100, water 1 000, plywood 600."),
    ]
}

fn weight(given: &Given) -> Results {
    let figures = vec![given.figure("mass", "It weighs", "kg", |g| {
        let piece = PieceMass {
            material: None,
            volume_m3: g.get("volume_m3")?,
            density_kgpm3: Some(g.get("density_kgpm3")?),
        };
        let worked = piece.work()?;
        Ok(Came::number(worked.mass_kg).because(&piece, &worked))
    })];
    Results {
        figures,
        ..Results::default()
    }
}
