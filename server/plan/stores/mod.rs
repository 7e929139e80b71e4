//! What the studio owns and its plans share.

pub mod kit;
pub mod pages;
pub mod stage;
