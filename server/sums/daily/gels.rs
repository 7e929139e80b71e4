//! A stack of gels: what the lamp becomes, sheet by sheet.

use crate::{
    sums::{
        aims::Aim,
        ask::{Ask, Gap, Given, ask},
        sum::{Came, Draws, Results, Sum},
    },
    web::parts::Caution,
};
use std::sync::OnceLock;
use stillair_calc::{
    Calculate as _,
    colour::{Filter, GelStack, Lamp, PlanckXy, Sheet, UvPrime},
    drawing::sum::colour_path::{Stop, colour_path},
    figure::{found, given},
    gel::{ApplyShift, ShiftStack},
};

pub static STACK: Sum = Sum {
    slug: "gel-stack",
    title: "Gels before a lamp",
    about: "What colour temperature a lamp reads behind up to three gels, and what they cost in light.",
    aim: Aim::Light,
    words: "gel colour temperature mired kelvin orange blue green cto ctb minus green filter warm cool shift stack",
    make_asks: asks,
    kept_asks: OnceLock::new(),
    work,
};

/// The caution beside hot lamps.
pub fn heat() -> Caution {
    Caution {
        head: "Heat".into(),
        body: "Gels, foam, wax and resin soften or burn near a lamp. Keep the clearance the lamp’s maker states, put nothing that burns in the beam, bond every flag and lamp, burn it only for takes and never leave it alone.".into(),
        ..Caution::default()
    }
}

fn asks() -> Vec<Ask> {
    let gel = |name, label: &str| ask::<ApplyShift>("shift_mired").called(name).label(label);
    vec![
        ask::<ApplyShift>("lamp_cct_k").label("Lamp"),
        gel("first_mired", "First gel shifts by")
            .usually(65.0)
            .hint("Warming is positive, cooling negative, in mired."),
        gel("second_mired", "Second gel").or_empty(""),
        gel("third_mired", "Third gel").or_empty(""),
        ask::<stillair_calc::exposure::Nd>("nd_density")
            .called("minus_green")
            .label("Minus green, peak density")
            .usually(0.0)
            .hint("About 0.15 for a half."),
    ]
}

fn shifts(g: &Given) -> Result<Vec<f64>, Gap> {
    let given = [
        g.find("first_mired")?,
        g.find("second_mired")?,
        g.find("third_mired")?,
    ];
    Ok(given.into_iter().flatten().collect())
}

fn sheets(g: &Given) -> Result<Vec<(Sheet, String)>, Gap> {
    let mut sheets: Vec<_> = shifts(g)?
        .into_iter()
        .map(|mired| {
            (
                Sheet::from(Filter::ideal_shift(mired)),
                format!("{} mired", given(mired)),
            )
        })
        .collect();
    let green = g.get("minus_green")?;
    if green > 0.0 {
        sheets.push((
            Sheet::from(Filter::MinusGreen { density: green }),
            "minus green".into(),
        ));
    }
    Ok(sheets)
}

fn work(given: &Given) -> Results {
    let stack = |g: &Given| -> Result<(GelStack, _), Gap> {
        let stack = GelStack {
            lamp: Lamp::Planck(g.get("lamp_cct_k")?),
            gels: sheets(g)?.into_iter().map(|(sheet, _)| sheet).collect(),
        };
        let worked = stack.work()?;
        Ok((stack, worked))
    };
    let figures = vec![
        given.figure("mired", "By adding mired", "K", |g| {
            let shifts = ShiftStack {
                lamp_cct_k: g.get("lamp_cct_k")?,
                shifts_mired: shifts(g)?,
            };
            let worked = shifts.work()?;
            Ok(Came::number(worked.result_cct_k).because(&shifts, &worked))
        }),
        given.figure("cct", "By spectrum", "K", |g| {
            let (stack, worked) = stack(g)?;
            let came = match worked.cct_k {
                Some(cct) => Came::words_only(found(cct.round())),
                None => Came::words_only("none"),
            };
            Ok(came
                .because(&stack, &worked)
                .words(format!("{}.", sentence(worked.status))))
        }),
        given.figure("duv", "Green or pink", "Duv", |g| {
            let (_, worked) = stack(g)?;
            let words = "Above zero greenish, below pinkish; beyond 0.006 the eye minds.";
            Ok(worked
                .duv
                .map_or_else(|| Came::words_only("none"), Came::number)
                .words(words))
        }),
        given.figure("stops", "Light lost", "stops", |g| {
            let (_, worked) = stack(g)?;
            Ok(Came::number(worked.stops).words(
                "Ideal sheets: a real one takes more, and its maker’s figure outranks this.",
            ))
        }),
    ];
    Results {
        figures,
        cautions: vec![heat()],
        drawing: drawing(given).ok(),
        legend: "On the even diagram: dashes are glowing bodies by their temperature, the line is the lamp’s way through the sheets.",
    }
}

fn sentence(word: &str) -> String {
    let mut letters = word.replace('_', " ");
    if let Some(first) = letters.get_mut(..1) {
        first.make_ascii_uppercase();
    }
    letters
}

fn uv(x: f64, y: f64) -> Result<(f64, f64), Gap> {
    let even = UvPrime { x, y }.work()?;
    Ok((even.u_prime, even.v_prime))
}

fn drawing(g: &Given) -> Result<Draws, Gap> {
    let lamp_k = g.get("lamp_cct_k")?;
    let mut stops = Vec::new();
    let mut through: Vec<Sheet> = Vec::new();
    let steps = std::iter::once((None, format!("{} K", given(lamp_k)))).chain(
        sheets(g)?
            .into_iter()
            .map(|(sheet, name)| (Some(sheet), name)),
    );
    for (sheet, name) in steps {
        through.extend(sheet);
        let seen = GelStack {
            lamp: Lamp::Planck(lamp_k),
            gels: through.clone(),
        }
        .work()?;
        stops.push(Stop {
            uv: uv(seen.x, seen.y)?,
            name,
        });
    }
    let mut locus = Vec::new();
    let mut temperature = 1500.0;
    while temperature < 25_000.0 {
        let body = PlanckXy {
            temperature_k: temperature,
        }
        .work()?;
        let named = [2000.0, 2500.0, 3000.0, 4000.0, 5000.0, 6500.0, 10_000.0];
        let name = if named.contains(&temperature) {
            format!("{} K", given(temperature))
        } else {
            String::new()
        };
        locus.push(Stop {
            uv: uv(body.x, body.y)?,
            name,
        });
        temperature += if temperature < 8000.0 { 250.0 } else { 1000.0 };
    }
    Ok(Box::new(move |width| colour_path(&stops, &locus, width)))
}
