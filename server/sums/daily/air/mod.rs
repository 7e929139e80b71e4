//! Haze: how thick, filling and clearing, reading it off two cards.

mod cards;
mod fill;
mod haze;

pub use cards::CARDS;
pub use fill::FILL;
pub use haze::HAZE;

use crate::{sums::ask::Gap, web::parts::Caution};
use stillair_calc::figure::{found, significant};

/// Contrast that still shows: Koschmieder's 2 %.
const THRESHOLD: f64 = 0.02;

/// The usual caution beside a level of haze.
pub fn caution(level_mgpm3: Result<f64, Gap>, peak_mgpm3: Result<f64, Gap>) -> Caution {
    let common = "Tell everyone before a fill; read the safety data sheet; keep exits and steps in sight; wipe slippery floors; isolating smoke detection needs the building’s written permission and a named fire watch.";
    let body = match (level_mgpm3, &peak_mgpm3) {
        (Ok(mg), Ok(peak)) if mg > *peak => format!(
            "This is {} mg/m³, {} times the peak limit: nobody in the haze without a protection programme run by a competent person. Clear the tent before anyone enters and trust a reading over this figure. {common}",
            found(mg.round()),
            significant(mg / peak, 2)
        ),
        (Ok(mg), Ok(_)) => format!(
            "This is {} mg/m³, below the peak limit chosen. Keep it as low as the shot allows: people nearest the machine have been irritated even under the limits. {common}",
            significant(mg, 2)
        ),
        _ => format!(
            "How much liquid hangs in the air is not known yet: read it before anyone stays in it. {common}"
        ),
    };
    Caution {
        head: "Haze in the air".into(),
        body,
        limit: peak_mgpm3.map_or_else(|_| String::new(), |peak| format!("{} mg/m³ peak", found(peak))),
        authority: "as typed above: the published figures are under “A published limit of what is in the air”".into(),
        ..Caution::default()
    }
}
