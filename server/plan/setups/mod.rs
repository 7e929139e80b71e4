//! Setups and their passes: the numbers, the drawings, and what gives the miniature away.

pub mod cautions;
pub mod facts;
pub mod figures;
pub mod giveaway;
pub mod pages;
pub mod scene;
pub mod setup;
