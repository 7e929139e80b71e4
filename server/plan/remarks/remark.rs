//! The record of a remark.

use crate::{journal::value::Text, record};

/// Whether it still asks for something.
pub const STANDING: &[(&str, &str)] = &[("open", "open"), ("settled", "settled")];

record! {
    /// A short remark on a thing, open until somebody settles it.
    Remark, "remark" in "remark" list "remarks" {
        /// Id of the thing; empty for the plan as a whole.
        about: Text = text(64), "About";
        /// What is remarked.
        words: Text = text(240).needed(), "Remark";
        /// Whether it still asks for something.
        standing: Text = choice(STANDING), "Standing";
        /// Who said it.
        said_by: Text = text(60), "Said by";
        /// When.
        said_at: Text = text(40), "Said at";
        /// Who settled it.
        settled_by: Text = text(60), "Settled by";
    }
}
