//! The program in a real browser: what only a browser can show.
//!
//! Needs `chromium`, `chromedriver`, `pdfinfo` and `pdftotext`; `tests/run` installs them.

mod away;
mod axe;
mod bench;
mod doors;
mod harness;
mod live;
mod looks;
mod path;
mod sums;
