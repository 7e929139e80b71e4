//! The cut: shots in order, what is seen in them, and what does not cut together.

mod acts;
mod figures;
pub mod pages;
pub mod shot;
pub mod sketch;
mod table;
