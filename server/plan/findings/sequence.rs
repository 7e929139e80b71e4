//! The shots of a cut with their times and lines of action, worked out once for all rules.

use crate::{
    journal::{record::Entry, value::Id},
    plan::{Plan, cut::shot::Shot, setups::setup::Setup},
};
use std::collections::HashMap;

/// The shots of a plan in cut order.
pub(super) struct Sequence<'a> {
    pub plan: &'a Plan,
    pub shots: Vec<&'a Entry<Shot>>,
    /// First frame of each shot; a length not written yet counts nothing.
    starts: Vec<i64>,
    /// First pass of each shot, by shot.
    setups: HashMap<&'a Id, &'a Entry<Setup>>,
}

impl<'a> Sequence<'a> {
    pub fn of(plan: &'a Plan) -> Self {
        let shots = plan.shots_in_order();
        let mut starts = Vec::with_capacity(shots.len());
        let mut frame = 0;
        for shot in &shots {
            starts.push(frame);
            frame += shot.length_frames.unwrap_or(0);
        }
        let mut setups: HashMap<&Id, (&str, &Id, &Entry<Setup>)> = HashMap::new();
        for pass in plan.passes.iter().filter(|p| &*p.element == "main") {
            let setup = pass.setup.as_ref().and_then(|id| plan.setups.get(id));
            if let (Some(shot), Some(setup)) = (&pass.shot, setup) {
                let own = (&*pass.order_key, &pass.id, setup);
                let first = setups.entry(shot).or_insert(own);
                if (own.0, own.1) < (first.0, first.1) {
                    *first = own;
                }
            }
        }
        Self {
            plan,
            shots,
            starts,
            setups: setups.into_iter().map(|(k, v)| (k, v.2)).collect(),
        }
    }

    /// The setup that makes a shot's main element.
    pub fn setup(&self, shot: usize) -> Option<&'a Entry<Setup>> {
        self.setups.get(&self.shots[shot].id).copied()
    }

    /// Seconds on screen from the end of one shot to the start of another.
    pub fn gap_s(&self, first: usize, second: usize) -> f64 {
        let end = self.starts[first] + self.shots[first].length_frames.unwrap_or(0);
        #[expect(clippy::cast_precision_loss, reason = "frames of one cut")]
        let frames = (self.starts[second] - end).max(0) as f64;
        frames / self.plan.base_fps()
    }

    /// What is followed through the cut: shots of one scene that keep to one line of action follow one subject.
    pub fn line(&self, shot: usize) -> (Option<&'a Id>, &'a str) {
        let shot = self.shots[shot];
        (shot.scene.as_ref(), shot.axis.trim())
    }

    /// Neighbours in the cut that follow one subject.
    pub fn neighbours(&self) -> impl Iterator<Item = (usize, usize)> {
        (1..self.shots.len())
            .map(|second| (second - 1, second))
            .filter(|(first, second)| self.line(*first) == self.line(*second))
    }

    /// Code of a shot.
    pub fn code(&self, shot: usize) -> &'a str {
        &self.shots[shot].code
    }

    /// Element id of a shot's blank.
    pub fn blank(&self, shot: usize, field: &str) -> String {
        format!("b-{}-{field}", self.shots[shot].id)
    }
}
