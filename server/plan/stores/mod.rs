//! What the studio owns and its plans share.

pub mod stage;
