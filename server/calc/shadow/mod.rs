//! Shadow flags (family `shadow`): a hull, wing or cloud that passes overhead and is seen by its shadow.
//!
//! A flag in the beam of a hot lamp keeps the clearance that the lamp's maker states and is of material that does not
//! burn; every overhead flag and lamp has a safety bond. An oblique lamp: take the distances along the ray; the pattern
//! stretches along the beam by 1 ÷ cos of the incidence.

pub mod pass;
pub mod widths;

pub use pass::{EdgeStory, FlagForShadow, FlagPass};
pub use widths::{ShadowWidths, UmbraLength};
