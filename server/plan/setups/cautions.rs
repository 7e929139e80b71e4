//! Usual cautions that stand beside a setup's numbers, on screen and on paper. They give the limit, whose it is, and what
//! to do; local rules and competent people decide.

use super::{facts::Facts, figures::water, giveaway};
use crate::web::parts::Caution;
use stillair_calc::figure::{found, significant};

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

fn haze(facts: &Facts<'_>) -> Caution {
    let production = facts.plan.production();
    let peak = facts.find("air_peak_mgpm3").unwrap_or(40.0);
    let average = facts.find("air_average_mgpm3").unwrap_or(10.0);
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
    let text = |f: fn(&crate::plan::production::Production) -> &str, none: &str| {
        production
            .map(|p| f(p))
            .filter(|t| !t.is_empty())
            .unwrap_or(none)
            .to_owned()
    };
    Caution {
        head: "Haze".into(),
        body,
        limit: format!(
            "{} mg/m³ at any moment, {} over eight hours",
            found(peak),
            found(average)
        ),
        authority: text(|p| &p.air_authority, "ANSI E1.5, glycol fog"),
        date: text(|p| &p.air_date, ""),
        mark: text(
            |p| &p.air_mark,
            "peak confirmed, average secondary; local codes may be stricter",
        ),
    }
}
