//! Usual cautions that stand beside a setup's numbers, on screen and on paper. They give the limit, whose it is, and what
//! to do; local rules and competent people decide.

use super::{
    facts::Facts,
    figures::{
        drive::{self, Kind},
        water,
    },
    giveaway,
};
use crate::{plan::production::AirLimits, web::parts::Caution};
use stillair_calc::figure::{found, significant};

/// Cautions that stand in full on paper; the others keep their first sentence there, and the bench has the rest.
const IN_FULL: [&str; 3] = ["Haze", "Heat", "Hung models and moving rigs"];

/// The cautions of a setup as its wall sheet has room for them: one page, none left out.
pub fn on_paper(facts: &Facts<'_>) -> Vec<Caution> {
    let short = |caution: Caution| {
        if IN_FULL.contains(&&*caution.head) {
            return caution;
        }
        let first = caution
            .body
            .split_once(". ")
            .map(|(first, _)| format!("{first}."));
        Caution {
            body: first.unwrap_or_else(|| caution.body.clone()),
            ..caution
        }
    };
    of_setup(facts).into_iter().map(short).collect()
}

/// The cautions of a setup as it stands.
pub fn of_setup(facts: &Facts<'_>) -> Vec<Caution> {
    let mut list = Vec::new();
    let sigma = water::extinction_per_m(facts).unwrap_or(0.0);
    if sigma > 0.0 {
        list.push(haze(facts));
    }
    if giveaway::is_hot(facts) {
        list.push(Caution {
            head: "Heat".into(),
            body: "Gels, foam, wax and resin soften or burn at this level. Keep the lamp maker’s distances, burn it only for takes, never leave it alone, and let eyes rest.".into(),
            ..Caution::default()
        });
    }
    list.extend(flags(facts));
    list.extend(drives(facts));
    list.extend(placed(facts));
    let moves = facts.pass.map(|p| p.moves.to_string()).unwrap_or_default();
    if !facts.setup.rig.is_empty() || moves == "hangs" {
        list.push(Caution {
            head: "Hung models and moving rigs".into(),
            body: "Nobody under a load or in the path of a rig. A competent person checks every line, knot and anchor before it is lifted, and again after any change. Guards and a stop button on anything that runs.".into(),
            ..Caution::default()
        });
    }
    list
}

/// Flags before lamps burn, and whatever hangs over a set may fall on it.
fn flags(facts: &Facts<'_>) -> Option<Caution> {
    facts
        .things_of("flag")
        .find(|t| t.entry.shades.is_some())
        .map(|_| Caution {
            head: "Flags before lamps".into(),
            body: "Keep the clearance the lamp’s maker gives, and use flags that do not burn. A safety bond on every flag, arm and lamp that is overhead. Where local rules ask for more, they hold.".into(),
            ..Caution::default()
        })
}

/// What is driven pinches and winds in, and does not stop by itself.
fn drives(facts: &Facts<'_>) -> Option<Caution> {
    let which = match drive::kind(facts)? {
        Kind::Pulley => "Drum and line pinch, wind in and whip: guard the drum, cover eyes.",
        Kind::Turntable => "Keep everyone out of the arm’s circle while it has power.",
        Kind::Dolly => "Wheels and belts pinch: hands and cables off the track.",
    };
    Some(Caution {
        head: "What is driven".into(),
        body: format!(
            "{which} Limit switches at both ends, a stop button within reach of whoever watches it, hands clear before the drive is switched on; springs, counterweights and taut lines hold energy after it is off. Local rules and competent people decide."
        ),
        ..Caution::default()
    })
}

/// Cautions that what stands on the table brings.
fn placed(facts: &Facts<'_>) -> Vec<Caution> {
    let caution = |head: &str, body: &str, mark: &str| Caution {
        head: head.into(),
        body: body.into(),
        mark: mark.into(),
        ..Caution::default()
    };
    let mut list = Vec::new();
    if facts.things.iter().any(|t| t.is("projector")) {
        list.push(caution(
            "Projected beams",
            "No eyes in the beam near its lens, and nobody in the throw: follow the class label, and local rules for lasers.",
            "",
        ));
    }
    let cells = facts
        .things
        .iter()
        .filter_map(|t| t.piece)
        .any(|p| p.cell_capacity_mah.is_some());
    if cells {
        list.push(caution(
            "Cells in models",
            "A protected cell, its own charger, a fuse beside it; never charged in the model or left alone; a swollen or crushed one goes outside. A sealed hull traps heat: measure it. Above extra-low voltage, or where it is wet, the work is a licensed electrician’s under the local code.",
            "",
        ));
    }
    if strobes(facts) {
        list.push(caution(
            "Light that pulses",
            "Light pulsing 3 to 30 times a second can set off seizures: warn everybody before testing it, and let people leave.",
            "from memory",
        ));
    }
    list
}

/// Slow pulses that an eye on the stage sees.
const SEEN_HZ: std::ops::RangeInclusive<f64> = 3.0..=30.0;

fn strobes(facts: &Facts<'_>) -> bool {
    facts
        .things_of("lamp")
        .filter_map(|t| t.lamp?.flicker_hz)
        .any(|hz| SEEN_HZ.contains(&hz))
}

fn haze(facts: &Facts<'_>) -> Caution {
    let limits = AirLimits::of(facts.plan.production());
    let (peak, average) = (limits.peak_mgpm3, limits.average_mgpm3);
    let level = water::concentration_mgpm3(facts);
    let body = match level {
        Ok(mg) if mg > peak => format!(
            "The tent holds {} mg/m³, {} times the peak limit: nobody in the haze without a protection programme run by a competent person. Shut the tent, clear it before anyone enters, and trust a reading over this figure. Tell everyone before a fill; keep exits and steps in sight; wipe slippery floors; isolating smoke detection needs the building’s written permission and a named fire watch.",
            found(mg.round()),
            significant(mg / peak, 2)
        ),
        Ok(mg) => format!(
            "The tent holds {} mg/m³, below the peak limit chosen. Keep it as low as the shot allows: people nearest the machine have been irritated even under the limits. Tell everyone before a fill, read the safety data sheet, keep exits in sight, wipe slippery floors.",
            found(if mg < 10.0 {
                (mg * 10.0).round() / 10.0
            } else {
                mg.round()
            })
        ),
        Err(_) => {
            "How much liquid hangs in the air is not known yet: read it before anyone stays in it."
                .into()
        }
    };
    Caution {
        head: "Haze".into(),
        body,
        limit: format!(
            "{} mg/m³ at any moment, {} over eight hours",
            found(peak),
            found(average)
        ),
        authority: limits.authority,
        date: limits.date,
        mark: limits.mark,
    }
}
