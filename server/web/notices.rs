//! What the program rests on that others made: tables of published values, formulas, and the terms that go with them.

use super::{
    look::Look,
    page::{TABS, page},
    routes::Routes,
    sheet::{Person, Sheet},
    units::day_and_clock,
};
use crate::{access::Hand, error::PageError};
use axum::{response::Response, routing::get};
use std::collections::BTreeMap;
use stillair_calc::{
    Mark, catalogue,
    notices::{TABLES, Table},
};

/// Its address.
pub const NOTICES: &str = "/notices";

/// Addresses of this part.
pub fn routes() -> Routes {
    Routes::new().route(NOTICES, get(show))
}

/// A source with the families whose formulas rest on it.
struct Source {
    words: &'static str,
    families: String,
}

/// Sources that are known equally well.
struct Known {
    heading: &'static str,
    sources: Vec<Source>,
}

#[derive(askama::Template)]
#[template(path = "notices.html")]
struct Notices {
    sheet: Sheet,
    tables: &'static [Table],
    known: Vec<Known>,
}

async fn show(hand: Result<Hand, PageError>, look: Look) -> Result<Response, PageError> {
    let sheet = Sheet {
        name: "Notices".into(),
        subtitle: "What this book rests on that others found, and the terms that go with it."
            .into(),
        tabs: TABS,
        person: hand.ok().map(|hand| Person {
            id: hand.id.to_string(),
            name: hand.name.to_string(),
            role: hand.shown().to_owned(),
        }),
        look,
        printed: day_and_clock(crate::journal::writer::now_ms()),
        path: NOTICES.into(),
        ..Sheet::default()
    };
    let known = [Mark::Confirmed, Mark::FromMemory, Mark::CommonPractice].map(|mark| Known {
        heading: match mark {
            Mark::Confirmed => {
                "Seen in a published source, or derived and agreed by an independent method"
            }
            Mark::FromMemory => "From memory, and not looked up again",
            Mark::CommonPractice => "Common practice, no source",
        },
        sources: sources(mark),
    });
    let notices = Notices {
        sheet,
        tables: TABLES,
        known: known
            .into_iter()
            .filter(|known| !known.sources.is_empty())
            .collect(),
    };
    page(&notices, false)
}

/// Every source of the calculations that is known so well, once.
fn sources(mark: Mark) -> Vec<Source> {
    let mut by_words: BTreeMap<&'static str, Vec<&'static str>> = BTreeMap::new();
    for calculation in catalogue()
        .iter()
        .filter(|calculation| calculation.mark == mark)
    {
        let families = by_words.entry(calculation.source).or_default();
        if !families.contains(&calculation.family) {
            families.push(calculation.family);
        }
    }
    by_words
        .into_iter()
        .map(|(words, families)| Source {
            words,
            families: families.join(", ").replace('-', " "),
        })
        .collect()
}
