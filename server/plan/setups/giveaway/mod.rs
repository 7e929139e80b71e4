//! What gives the miniature away in one pass, worst first. Physical parts are exact; where a grade begins is common
//! practice without a source, and says so. Each finding says its sum, its cure with the number that would cure it, and the
//! blank that is its lever; what a named person let pass stands at the end until its values change.

mod air;
mod light;
mod motion;
mod rig;
mod sharp;
mod stand;

use super::{
    facts::{Facts, Gap},
    figures,
};
use crate::{
    journal::record::Entry,
    plan::findings::let_pass::LetPass,
    web::parts::{Cure, Severity, Tell},
};

/// Something that tells the eye it is small or dry, with how bad it is among its like.
#[derive(Clone, Debug)]
pub struct Giveaway {
    /// Name of the rule.
    pub rule: &'static str,
    /// How it shows.
    pub severity: Severity,
    /// How far beyond its first edge; sorts within a severity.
    pub weight: f64,
    /// Whether a named person let it pass, at the values it has now.
    pub let_pass: bool,
    /// As the list shows it.
    pub tell: Tell,
    /// What would cure it: for each cure of the tell, the blanks it pencils in.
    pub levers: Vec<Lever>,
}

/// Blanks by name ("entity.field"), each with the text that a cure writes into it.
pub type Lever = Vec<(String, String)>;

/// Said where a grade is nobody's finding but how crews work.
const PRACTICE: &str = "Where this begins to show is common practice, no source.";

/// A finding about to be told.
struct Found {
    rule: &'static str,
    severity: Severity,
    weight: f64,
    ring: String,
    head: String,
    quantity: String,
    /// The sum with this setup's numbers in it; empty for none.
    sum: String,
    body: String,
    /// Field of the setup whose blank is the lever, where no cure says so.
    lever: &'static str,
    cures: Vec<(String, Lever)>,
}

impl Default for Found {
    fn default() -> Self {
        Self {
            rule: "",
            severity: Severity::Slight,
            weight: 0.0,
            ring: String::new(),
            head: String::new(),
            quantity: String::new(),
            sum: String::new(),
            body: String::new(),
            lever: "code",
            cures: Vec::new(),
        }
    }
}

impl Found {
    /// Adds a cure: what its button says, and the one field of the setup it writes.
    fn cure(
        mut self,
        facts: &Facts<'_>,
        says: impl Into<String>,
        field: &str,
        text: String,
    ) -> Self {
        // A pass that says otherwise than its setup is cured where it says so.
        let own = facts.pass.filter(|pass| {
            let index = crate::journal::record::AnyEntry::kind(*pass).index(field);
            index.is_some_and(|i| {
                crate::journal::record::AnyEntry::get(*pass, i)
                    != crate::journal::value::Value::Absent
            })
        });
        let id = own.map_or(&facts.setup.id, |pass| &pass.id);
        self.cures
            .push((says.into(), vec![(format!("{id}.{field}"), text)]));
        self
    }

    /// Adds a cure that writes a field of another record.
    fn cure_at(mut self, says: impl Into<String>, blank: String, text: String) -> Self {
        self.cures.push((says.into(), vec![(blank, text)]));
        self
    }

    fn tell(self, facts: &Facts<'_>) -> Giveaway {
        let id = format!("tell-{}", self.rule);
        let lever = self.cures.iter().flat_map(|(_, lever)| lever).next();
        let blank = lever.map_or_else(
            || format!("b-{}-{}", facts.setup.id, self.lever),
            |(key, _)| format!("b-{}", key.replacen('.', "-", 1)),
        );
        let passed = let_pass_of(facts, self.rule);
        let accepted = passed.filter(|p| *p.accepted == *self.quantity);
        let mut body = self.body;
        if let (Some(passed), None) = (passed, accepted) {
            body = format!(
                "Let pass at {} by {}; it has changed since. {body}",
                passed.accepted, passed.let_by
            );
        }
        let (says, levers): (Vec<String>, Vec<Lever>) = self.cures.into_iter().unzip();
        let cures = says.into_iter().enumerate().map(|(at, says)| Cure {
            says,
            value: format!("{}:{at}", self.rule),
        });
        let tell = Tell {
            id,
            severity: self.severity,
            head: self.head,
            quantity: self.quantity.clone(),
            sum: self.sum,
            body,
            ring: self.ring,
            let_pass: accepted.map(said).unwrap_or_default(),
            let_pass_id: passed.map(|p| p.id.to_string()).unwrap_or_default(),
            rule: self.rule.to_owned(),
            href: format!("#{blank}"),
            cures: cures.collect(),
        };
        Giveaway {
            rule: self.rule,
            severity: self.severity,
            weight: self.weight,
            let_pass: accepted.is_some(),
            tell,
            levers,
        }
    }
}

/// Who let it pass, when and why.
fn said(passed: &Entry<LetPass>) -> String {
    let on = match &*passed.let_on {
        "" => String::new(),
        on => format!(", {}", crate::web::units::day_in_words(on)),
    };
    format!("Let pass by {}{on}: “{}”", passed.let_by, passed.reason)
}

/// What was let pass for this rule in this pass, the newest.
fn let_pass_of<'a>(facts: &Facts<'a>, rule: &str) -> Option<&'a Entry<LetPass>> {
    let here = |p: &&Entry<LetPass>| {
        p.setup.as_ref() == Some(&facts.setup.id)
            && p.pass.as_ref() == facts.pass.map(|pass| &pass.id)
            && &*p.rule == rule
    };
    facts
        .plan
        .let_pass
        .iter()
        .filter(here)
        .max_by_key(|p| p.created_seq)
}

/// A rule: what it finds, or which fact it lacks.
type Rule = fn(&Facts<'_>) -> Result<Vec<Found>, Gap>;

/// Every rule.
const RULES: &[Rule] = &[
    air::limit,
    air::drift,
    air::texture,
    air::past_the_end,
    motion::rate,
    motion::gravity,
    motion::blur,
    motion::strobe,
    motion::drops,
    sharp::pieces,
    sharp::softness,
    sharp::story_depth,
    sharp::detail,
    rig::margin,
    rig::line,
    rig::swing,
    rig::settle,
    light::shadow_edge,
    light::pixel,
    light::swing,
    light::emitter,
    stand::arc,
    stand::backing,
    stand::other_scale,
];

/// Everything found in a pass, worst first; what was let pass stands at the end.
pub fn giveaways(facts: &Facts<'_>) -> Vec<Giveaway> {
    let mut found: Vec<_> = RULES
        .iter()
        .filter_map(|rule| rule(facts).ok())
        .flatten()
        .map(|found| found.tell(facts))
        .collect();
    found.sort_by(|a, b| {
        a.let_pass
            .cmp(&b.let_pass)
            .then((a.severity as u8).cmp(&(b.severity as u8)))
            .then(b.weight.total_cmp(&a.weight))
    });
    found
}

/// A grade from its two edges: beyond the second it shows, beyond the first it may show, else it is no finding.
fn graded(value: f64, watch: f64, shows: f64) -> Option<Severity> {
    if value > shows {
        Some(Severity::Shows)
    } else if value > watch {
        Some(Severity::MayShow)
    } else {
        None
    }
}

/// Heat by the lamps; not a giveaway, but it is said where the light is.
pub fn is_hot(facts: &Facts<'_>) -> bool {
    figures::light::before_haze_lx(facts)
        .or_else(|_| figures::light::key_lx(facts))
        .is_ok_and(|lx| lx > figures::light::HOT_LUX)
}
