//! Short remarks on anything in a plan, seen in the title block of its sheet until somebody settles them.

mod pages;
pub mod remark;

pub use pages::{routes, short};
