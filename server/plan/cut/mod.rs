//! The cut: shots in order, what is seen in them, and what does not cut together.

pub mod shot;
