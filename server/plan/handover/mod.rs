//! Handing lists over: shot lists read as crews keep them, lists written by RFC 4180.
//!
//! Which columns a list may have comes from the records' own declarations. Reading is a function of bytes and rows, in
//! steps, each its own file:
//!
//! bytes → text ([`text`]) → records ([`csv`]) or a sheet's rows ([`sheet`]) → a table under its heading row
//! ([`table`]) → headings matched to fields ([`mapping`]) → cells read as values ([`values`], [`length`],
//! [`numbers`]) → checked records with every fault in one answer ([`records`]) → shots ([`shots`]) and what they
//! would change ([`compare`]), and as the one batch of ops that writes them ([`store`]).
//!
//! A file that cannot be cut into rows at all is [`Refused`] with a sentence; a fault in a cell is a [`RowError`]
//! that names its line, its column and what was typed.

pub mod api;
pub mod compare;
pub mod csv;
pub mod export;
pub mod give;
pub mod held;
pub mod length;
pub mod mapping;
pub mod numbers;
pub mod pages;
pub mod problems;
pub mod records;
pub mod remember;
pub mod sent;
pub mod sheet;
pub mod shots;
pub mod shown;
pub mod store;
pub mod table;
pub mod text;
pub mod values;
pub mod work;

#[cfg(test)]
mod tests;

pub use compare::{Change, Comparison, RowState, State, compare};
pub use export::{SetupLine, ShotLine, fields_of, write_setups, write_shots};
pub use mapping::{Column, Kind, Mapping};
pub use problems::{Problem, Refused, RowError};
pub use records::{Fields, Value};
pub use shots::{Look, Options, ShotRow, read};
pub use text::Encoding;

/// Addresses of handing over.
pub fn routes() -> crate::web::routes::Routes {
    crate::web::routes::Routes::new()
        .merge(api::routes())
        .merge(pages::routes())
}

/// Largest file that is read, in bytes. A list of ten thousand shots takes about one million.
pub const MAX_FILE_BYTES: usize = 20 * 1024 * 1024;
/// Most rows in one list, blank ones and titles included.
pub const MAX_ROWS: usize = 20_000;
/// Most columns in one list.
pub const MAX_COLUMNS: usize = 256;
/// Most cells in one list, empty ones included.
pub const MAX_CELLS: usize = 1_000_000;
/// Longest cell, in bytes of UTF-8; what a spreadsheet's own limit of 32,767 characters can come to.
pub const MAX_CELL_BYTES: usize = 32_767 * 4;
