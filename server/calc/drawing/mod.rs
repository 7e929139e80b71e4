//! The drawings, worked out as plain shapes to scale.
//!
//! A drawing is a [`Drawing`]: a size in drawing units, shapes, one sentence of key figures for people who hear pages, and
//! the same facts as pairs for the ledger beside it. Nothing here knows about screens: each shape carries a [`Class`] and
//! the style sheet of each look (lights up, blackout, paper) decides what that class looks like. One drawing unit is one
//! CSS pixel when a drawing is shown at its own width.
//!
//! - [`setup::plan_and_elevation`] draws a [`scene::Scene`]: plan above elevation on one axis and one scale.
//! - [`lens_view::lens_view`] draws what the frame sees, in true perspective from the entrance pupil.
//! - [`run::run`] draws a pass: every mover on one stage clock, the screen clock under it.
//! - [`day::stage_day`] draws a stage day to time.
//! - [`sum`] draws single sums: curves, the sharp stretch, the table from above, a colour's way.
//! - [`cut::cut_sheet`] draws the cut: boards, ribbon, light, water, travel, pieces, setups.

mod account;
mod bounds;
pub mod class;
pub mod cut;
pub mod day;
mod dimension;
mod elevation;
mod figure;
mod fit;
mod geometry;
mod glyph;
pub mod haze;
pub mod lens_view;
mod naming;
#[cfg(test)]
mod nave;
mod plan;
mod rig;
mod ring;
mod room;
pub mod run;
pub mod scene;
pub mod setup;
pub mod shade;
pub mod shape;
pub mod sum;
mod view;

pub use class::Class;
pub use shape::{Anchor, Drawing, Hatch, Point, Rect, Shape, Step, Text};
