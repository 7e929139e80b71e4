//! Paper: the call sheet of a day and the setup sheet for the wall, for A4 and Letter, printed by the browser.

mod call;
mod pages;
mod setup;

pub use pages::routes;
