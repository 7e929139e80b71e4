//! The bench sums: calculators that need no plan. Every value is in the address, so a sum can be sent to someone; nothing
//! is kept.
//!
//! - `daily/` has the sums that crews do daily, each of several calculations that belong together;
//! - `scales` is the sheet on which a scale is chosen;
//! - every other calculation has a plain page, made by `forms` and `plain` from its own description;
//! - `index` groups them by what one is trying to do and finds them by a few words.

mod aims;
mod ask;
mod cautions;
mod daily;
mod forms;
mod index;
mod pages;
mod plain;
mod quantity;
mod scales;
mod sum;

pub use pages::routes;
