//! What does not cut together, worst first: one list for all sheets. Each rule reads the plan and names the shots, says
//! the quantity in words, what would clear it, and where the lever is.

mod direction;
pub mod let_pass;
mod sequence;
mod speed;

use super::Plan;
use crate::{
    journal::value::Id,
    web::parts::{self, Tell},
};
use stillair_calc::continuity;

/// Where the practice behind every limit here is said.
const PRACTICE: &str = "(common practice, no source)";

/// Something that does not cut together.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// Name of the rule: `direction`, `speed`, `weight`.
    pub rule: &'static str,
    /// The shots it speaks of, in cut order.
    pub things: Vec<Id>,
    /// How it shows.
    pub severity: parts::Severity,
    /// How bad it is among its like: the larger, the worse.
    pub weight: f64,
    /// What is wrong, in a line.
    pub head: String,
    /// How much, with its unit.
    pub quantity: String,
    /// The quantity in a sentence and the cure.
    pub cure: String,
    /// Where it is cured.
    pub lever: Lever,
}

/// The blank that cures a finding.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lever {
    /// The shot in whose row the blank stands.
    pub shot: Id,
    /// The blank's element id.
    pub blank: String,
}

impl Finding {
    /// As a list shows it. `cut` is the address of the cut; empty on that sheet itself.
    pub fn tell(&self, cut: &str) -> Tell {
        let things: Vec<_> = self.things.iter().map(Id::as_str).collect();
        Tell {
            id: format!("tell-{}-{}", self.rule, things.join("-")),
            severity: self.severity,
            head: self.head.clone(),
            quantity: self.quantity.clone(),
            body: self.cure.clone(),
            href: format!("{cut}#{}", self.lever.blank),
            ..Tell::default()
        }
    }
}

/// How a finding of a pure rule shows.
pub fn shown(severity: continuity::Severity) -> parts::Severity {
    match severity {
        continuity::Severity::Clash => parts::Severity::Shows,
        continuity::Severity::Look => parts::Severity::MayShow,
        continuity::Severity::Note => parts::Severity::Slight,
    }
}

/// Everything found in the cut, worst first; what is equally bad stands in the order of the cut.
pub fn of_cut(plan: &Plan) -> Vec<Finding> {
    let sequence = sequence::Sequence::of(plan);
    let mut found = direction::findings(&sequence);
    found.extend(speed::findings(&sequence));
    found.sort_by(|a, b| {
        (a.severity as u8)
            .cmp(&(b.severity as u8))
            .then(b.weight.total_cmp(&a.weight))
    });
    found
}
