//! What every page stands on: the sheet's frame, its parts, its look, the blanks that write, and the files it asks for.

pub mod assets;
pub mod changed;
pub mod fields;
pub mod in_time;
pub mod look;
pub mod notices;
pub mod page;
pub mod parts;
pub mod problem;
pub mod routes;
pub mod security;
pub mod sheet;
pub mod svg;
pub mod units;
pub mod unstuck;

#[cfg(test)]
mod specimen;
#[cfg(test)]
mod styles;

/// Addresses that belong to no slice.
pub fn routes() -> routes::Routes {
    routes::Routes::new()
        .with(
            &["/static/{hash}/{*path}", assets::KEEPER],
            assets::router(),
        )
        .with(&[look::SWITCH], look::router())
        .merge(notices::routes())
}
