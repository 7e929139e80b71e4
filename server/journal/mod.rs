//! One append-only journal a studio: every write is a change, checked and decided before anything is stored.
//!
//! [`field`] and [`record`] declare what can be written; [`decide`] says what comes of a write; [`writer`] stores it and
//! only then answers; [`load`] rebuilds a plan from the tables, and [`apply`] advances it change by change.

pub mod apply;
pub mod ask;
mod blank;
pub mod change;
pub mod decide;
pub mod field;
mod forms;
mod group;
pub mod load;
mod quiet;
mod read_op;
mod refer;
pub mod replay;
mod rows;
mod standing;
mod typed;
mod undo;
#[macro_use]
pub mod record;
pub mod schema;
pub mod value;
pub mod writer;
