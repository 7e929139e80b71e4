//! Setups and their passes: the numbers, the drawings, and what gives the miniature away.

pub mod setup;
