//! What a list that was looked at writes: one batch of ops, all or none.
//!
//! A shot is known by its code. A new one goes to the end of the cut in the order of the file; one that is there gets
//! what the file says otherwise, on the number the look was made at; one that the file does not name is left alone.
//! Setups are made or matched by code, and a shot is in a setup by its passes.

use std::collections::BTreeMap;

use serde_json::{Map, Value as Json, json};
use stillair_calc::order_key;

use super::compare::{Comparison, RowState, State, compare};
use super::export::fields_of;
use super::records::{Fields, Value};
use super::shots::{Look, ShotRow};
use crate::journal::change::Op;
use crate::journal::record::Entry;
use crate::journal::value::Id;
use crate::plan::Plan;
use crate::plan::cut::shot::Shot;

/// How many of each a batch writes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize)]
pub struct Counts {
    /// Shots made.
    pub new: usize,
    /// Shots changed.
    pub changed: usize,
    /// Shots that already were as the file has them.
    pub same: usize,
    /// Setups made.
    pub setups: usize,
}

/// A list against a plan.
pub fn against(plan: &Plan, look: &Look) -> Comparison {
    let existing: Vec<_> = plan
        .shots_in_order()
        .into_iter()
        .map(|shot| (shot.code.to_string(), fields_of_shot(plan, shot)))
        .collect();
    compare(look, &existing)
}

/// A shot's fields by declared name, with the codes of its setups.
pub fn fields_of_shot(plan: &Plan, shot: &Entry<Shot>) -> Fields {
    let mut fields = fields_of(shot);
    fields.insert("setups", Value::Codes(setup_codes(plan, &shot.id)));
    fields
}

/// Codes of the setups a shot has passes in, each once.
pub fn setup_codes(plan: &Plan, shot: &Id) -> Vec<String> {
    let mut setups: Vec<_> = plan
        .passes_of_shot(shot)
        .into_iter()
        .filter_map(|pass| plan.setups.get(pass.setup.as_ref()?))
        .collect();
    setups.sort_by(|a, b| (&a.order_key, &a.id).cmp(&(&b.order_key, &b.id)));
    setups.dedup_by_key(|setup| &setup.id);
    setups
        .into_iter()
        .map(|setup| setup.code.to_string())
        .collect()
}

/// The ops that write a list into a plan as it stood when it was looked at. None where the list says nothing new.
pub fn ops(plan: &Plan, look: &Look, comparison: &Comparison) -> Vec<Op> {
    let mut writing = Writing::new(plan);
    writing.make_setups(look);
    let new = comparison
        .rows
        .iter()
        .filter(|row| row.state == State::New)
        .count();
    let mut places = places_after(
        plan.shots_in_order().last().map(|shot| &*shot.order_key),
        new,
    )
    .into_iter();
    for (row, state) in look.rows.iter().zip(&comparison.rows) {
        match &state.state {
            State::New => writing.make_shot(row, places.next().unwrap_or_default()),
            State::Changed(_) => writing.change_shot(row, state),
            State::Same => {}
        }
    }
    writing.ops
}

/// What storing a list comes to.
pub fn count(plan: &Plan, look: &Look, comparison: &Comparison) -> Counts {
    let mut counts = Counts::default();
    for row in &comparison.rows {
        match row.state {
            State::New => counts.new += 1,
            State::Changed(_) => counts.changed += 1,
            State::Same => counts.same += 1,
        }
    }
    let codes = look.setup_codes().into_iter();
    counts.setups = codes
        .filter(|code| plan.setup_by_code(code).is_none())
        .count();
    counts
}

/// Ops as they gather.
struct Writing<'p> {
    plan: &'p Plan,
    base: i64,
    ops: Vec<Op>,
    /// Setups by code, the new ones too.
    setups: BTreeMap<String, Id>,
    /// Place of the last pass in a setup.
    last_pass: BTreeMap<Id, String>,
}

impl<'p> Writing<'p> {
    fn new(plan: &'p Plan) -> Self {
        let setups = plan.setups.iter();
        let mut last_pass = BTreeMap::new();
        for pass in plan.passes.iter() {
            if let Some(setup) = &pass.setup {
                let last: &mut String = last_pass.entry(setup.clone()).or_default();
                if **last < *pass.order_key {
                    *last = pass.order_key.to_string();
                }
            }
        }
        Self {
            plan,
            base: plan.number(),
            ops: Vec::new(),
            setups: setups
                .map(|setup| (setup.code.to_string(), setup.id.clone()))
                .collect(),
            last_pass,
        }
    }

    /// Setups the file names and the plan has not, in the order they stand there.
    fn make_setups(&mut self, look: &Look) {
        let missing: Vec<&str> = look
            .setup_codes()
            .into_iter()
            .filter(|code| !self.setups.contains_key(*code))
            .collect();
        let last = self.plan.setups_in_order();
        let places = places_after(last.last().map(|setup| &*setup.order_key), missing.len());
        for (code, place) in missing.into_iter().zip(places) {
            let id = Id::new();
            let fields = json!({"code": code, "order_key": place});
            self.ops.push(Op::insert("setup", id.clone(), fields));
            self.setups.insert(code.to_owned(), id);
        }
    }

    fn make_shot(&mut self, row: &ShotRow, place: String) {
        let id = Id::new();
        let mut fields: Map<String, Json> = row
            .fields
            .iter()
            .filter(|(_, value)| **value != Value::Blank)
            .map(|(field, value)| ((*field).to_owned(), to_json(value)))
            .collect();
        fields.insert("code".into(), row.code.as_str().into());
        fields.insert("order_key".into(), place.into());
        self.ops.push(Op::insert("shot", id.clone(), fields.into()));
        for code in row.setups.iter().flatten() {
            self.make_pass(&id, code);
        }
    }

    fn change_shot(&mut self, row: &ShotRow, state: &RowState) {
        let (Some(shot), State::Changed(changes)) =
            (self.plan.shot_by_code(&row.code), &state.state)
        else {
            return;
        };
        for change in changes {
            if change.field == "setups" {
                self.put_in_setups(&shot.id, row.setups.as_deref().unwrap_or_default());
            } else {
                let set = Op::set(
                    shot.id.clone(),
                    change.field,
                    self.base,
                    to_json(&change.to),
                );
                self.ops.push(set);
            }
        }
    }

    /// Passes follow the file: those of a setup the shot has left go to one it has come to, with what was written on
    /// them; what is left over is struck out, what is missing is made.
    fn put_in_setups(&mut self, shot: &Id, codes: &[String]) {
        let (before, plan) = (setup_codes(self.plan, shot), self.plan);
        let left: Vec<&String> = before.iter().filter(|code| !codes.contains(code)).collect();
        let mut come_to = codes.iter().filter(|code| !before.contains(code));
        for code in left {
            let to = come_to
                .next()
                .and_then(|code| self.setups.get(code))
                .cloned();
            let passes = plan.passes_of_shot(shot).into_iter().filter(|pass| {
                let setup = pass.setup.as_ref().and_then(|id| plan.setups.get(id));
                setup.is_some_and(|setup| *setup.code == **code)
            });
            for pass in passes {
                match &to {
                    Some(setup) => {
                        let place = self.next_place(setup);
                        let set = |field, value: &str| {
                            Op::set(pass.id.clone(), field, self.base, value.into())
                        };
                        let (setup, place) =
                            (set("setup", setup.as_str()), set("order_key", &place));
                        self.ops.extend([setup, place]);
                    }
                    None => self.ops.push(Op::remove(pass.id.clone(), self.base)),
                }
            }
        }
        for code in come_to {
            self.make_pass(shot, code);
        }
    }

    fn make_pass(&mut self, shot: &Id, code: &str) {
        let Some(setup) = self.setups.get(code).cloned() else {
            return;
        };
        let place = self.next_place(&setup);
        let fields = json!({
            "shot": shot.as_str(), "setup": setup.as_str(), "element": "main", "order_key": place,
        });
        self.ops.push(Op::insert("pass", Id::new(), fields));
    }

    /// The place behind the last pass of a setup, which is then the last.
    fn next_place(&mut self, setup: &Id) -> String {
        let last = self.last_pass.entry(setup.clone()).or_default();
        *last = places_after(Some(last), 1).pop().unwrap_or_default();
        last.clone()
    }
}

/// Places at the end of a list. They share the front that comes after the last one, so they stay short however many
/// they are.
fn places_after(last: Option<&str>, count: usize) -> Vec<String> {
    let front = last
        .filter(|key| !key.is_empty())
        .and_then(|key| order_key::between(Some(key), None).ok());
    match front {
        Some(front) if count == 1 => vec![front],
        front => {
            let front = front.unwrap_or_default();
            let keys = order_key::spread(count).into_iter();
            keys.map(|key| format!("{front}{key}")).collect()
        }
    }
}

fn to_json(value: &Value) -> Json {
    match value {
        Value::Blank => Json::Null,
        Value::Text(text) => text.as_str().into(),
        Value::Whole(whole) => (*whole).into(),
        Value::Number(number) => (*number).into(),
        Value::YesNo(is_yes) => (*is_yes).into(),
        Value::Codes(codes) => codes.clone().into(),
    }
}

#[cfg(test)]
mod tests {
    use super::places_after;
    use stillair_calc::order_key;

    #[test]
    fn places_at_the_end_of_a_list_stand_in_order_behind_it_and_stay_short() {
        let mut all = places_after(None, 14);
        for count in [400, 1, 1, 120, 400] {
            let more = places_after(all.last().map(String::as_str), count);
            assert_eq!(more.len(), count);
            all.extend(more);
        }
        assert!(all.is_sorted_by(|a, b| a < b), "{all:?}");
        let longest = all.iter().map(String::len).max().unwrap_or_default();
        assert!(longest < order_key::MAX_KEY_LENGTH, "{longest}");
    }
}
