//! Setups and their passes: the numbers, the drawings, and what gives the miniature away.

mod acts;
mod bench;
pub mod cautions;
pub mod facts;
pub mod figures;
pub mod giveaway;
mod heads;
mod ledgers;
mod let_pass;
mod list;
pub mod pages;
pub mod pencil;
pub mod placement;
pub mod run;
pub mod scene;
pub mod setup;
pub mod standing;
pub mod things;
pub mod words;
