//! Ledgers that a setup opens only when it needs them: each says when, which blanks it has, and what comes out.

use super::{
    coverage, drive, flicker, forced, hanging, live_action, practicals, projection, shadow, slices,
};
use crate::{journal::record::AnyEntry, plan::setups::facts::Facts, web::parts::Figure};

/// A blank, by its record and field.
pub type BlankOf<'a> = (&'a dyn AnyEntry, &'static str);

/// One of those ledgers.
pub struct Further {
    /// Id of its section.
    pub id: &'static str,
    /// Its heading.
    pub title: &'static str,
    /// What its line says while the setup does not need it.
    pub closed: &'static str,
    /// Whether the setup needs it.
    pub needed: fn(&Facts<'_>) -> bool,
    /// Blanks of the setup that open it, shown while it is closed.
    pub openers: &'static [&'static str],
    /// All its blanks.
    pub blanks: for<'a> fn(&Facts<'a>) -> Vec<BlankOf<'a>>,
    /// What comes out.
    pub figures: fn(&Facts<'_>) -> Vec<Figure>,
}

/// All of them, in the order of the sheet.
pub const ALL: &[Further] = &[
    hanging::LEDGER,
    drive::LEDGER,
    shadow::LEDGER,
    coverage::LEDGER,
    projection::LEDGER,
    practicals::LEDGER,
    flicker::LEDGER,
    live_action::LEDGER,
    slices::LEDGER,
    forced::LEDGER,
];

/// Blanks of the setup itself.
pub fn of_setup<'a>(facts: &Facts<'a>, names: &[&'static str]) -> Vec<BlankOf<'a>> {
    let setup: &'a dyn AnyEntry = facts.setup;
    names.iter().map(|name| (setup, *name)).collect()
}

/// Blanks of another record, if there is one.
pub fn of<'a, R: crate::journal::record::Record>(
    entry: Option<&'a crate::journal::record::Entry<R>>,
    names: &[&'static str],
) -> Vec<BlankOf<'a>> {
    entry.map_or_else(Vec::new, |entry| {
        names
            .iter()
            .map(|name| (entry as &dyn AnyEntry, *name))
            .collect()
    })
}
