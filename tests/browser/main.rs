//! The program in a real browser: what only a browser can show.
//!
//! Needs `chromium`, `chromedriver`, `pdfinfo` and `pdftotext`; `tests/run` installs them.

mod axe;
mod bench;
mod doors;
mod harness;
mod looks;
mod path;
mod sums;
