//! stillair: a shared effects-prep workbook. This file is the table of contents of the program.

pub mod journal;
pub mod plan;
pub mod store;
pub mod web;
