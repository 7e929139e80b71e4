//! One test program; one module a slice. Tests send requests to the router in process.
#![expect(
    clippy::needless_pass_by_value,
    reason = "tests hand over what `json!` made on the spot"
)]

mod access;
mod access_commands;
mod api_plans;
mod bench;
mod bench_use;
mod book;
mod calc;
mod copies;
mod crew;
mod cut;
mod cut_pictures;
mod days;
mod demo;
mod export;
mod fuzz;
mod harness;
mod haze;
mod history;
mod import;
mod import_page;
mod journal_checks;
mod journal_histories;
mod journal_kept;
mod journal_model;
mod journal_rules;
mod kill;
mod ledgers_drive;
mod ledgers_ground;
mod live;
mod live_crowd;
mod live_reader;
mod openapi;
mod paper;
mod partition;
mod power;
mod remarks;
mod runs;
mod security;
mod stage;
mod sums;
mod undecided;
