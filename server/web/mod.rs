//! What every page stands on: the sheet's frame, its parts, its look, and the files it asks for.

pub mod assets;
pub mod look;
pub mod parts;
pub mod sheet;

#[cfg(test)]
mod specimen;
