//! stillair: a shared effects-prep workbook. This file is the table of contents of the program.

pub mod access;
pub mod api;
pub mod app;
pub mod command;
pub mod demo;
pub mod error;
pub mod journal;
pub mod live;
pub mod plan;
pub mod serve;
pub mod settings;
pub mod store;
pub mod sums;
pub mod web;
