//! The rules of shared editing once more, as plainly as possible, to hold the journal against: outcomes of a write, values
//! kept beside, undo, removal and references, sets that merge. Written from the rules, not from the program.

use serde_json::{Value, json};
use std::collections::BTreeMap;

/// What came of an op: its number and outcome, or nothing when it was refused.
pub type Reply = Option<(i64, &'static str)>;

/// Fields that matter here, by kind of thing: name, and what may stand in it.
pub const FIELDS: &[(&str, &[(&str, What)])] = &[
    (
        "scene",
        &[
            ("code", What::Code),
            ("name", What::Words),
            ("order_key", What::Place),
        ],
    ),
    (
        "piece",
        &[
            ("name", What::Code),
            ("order_key", What::Place),
            ("length_mm", What::Number),
        ],
    ),
    (
        "shot",
        &[
            ("code", What::CodeOnce),
            ("name", What::Words),
            ("order_key", What::Place),
            ("length_frames", What::Frames),
            ("scene", What::Names("scene", false)),
        ],
    ),
    (
        "sighting",
        &[
            ("shot", What::Names("shot", true)),
            ("piece", What::Names("piece", true)),
            ("face", What::Words),
        ],
    ),
    (
        "setup",
        &[
            ("code", What::CodeOnce),
            ("order_key", What::Place),
            ("f_number", What::Number),
            ("people", What::Set),
            ("notes", What::Log),
        ],
    ),
];

/// What may stand in a field.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum What {
    Code,
    CodeOnce,
    Words,
    Place,
    Frames,
    Number,
    Names(&'static str, bool),
    Set,
    Log,
}

/// The kinds that all plans share.
pub fn is_shared(kind: &str) -> bool {
    kind == "piece"
}

/// A field's kind.
pub fn what(kind: &str, field: &str) -> Option<What> {
    let (_, fields) = FIELDS.iter().find(|(k, _)| *k == kind)?;
    fields.iter().find(|(f, _)| *f == field).map(|(_, w)| *w)
}

#[derive(Clone, Debug)]
pub struct Thing {
    pub kind: String,
    pub removed: i64,
    /// Value and version of every field ever written; a set as an object from member to the number that added it.
    pub fields: BTreeMap<String, (Value, i64)>,
}

#[derive(Clone, Debug)]
pub struct Beside {
    pub seq: i64,
    pub entity: String,
    pub field: String,
    pub value: Value,
    outcome: &'static str,
}

/// What a change did, which is what an undo needs.
#[derive(Clone, Debug)]
enum Did {
    Nothing,
    Beside,
    Made,
    Removed,
    Restored,
    Wrote(Value),
    Added(bool),
    TookOut,
    Appended,
    Settled(Option<Beside>),
}

#[derive(Clone, Debug)]
struct Past {
    seq: i64,
    by: String,
    entity: String,
    field: String,
    value: Value,
    did: Did,
    /// The change it took back.
    takes_back: Option<i64>,
}

#[derive(Clone, Debug, Default)]
pub struct Model {
    pub newest: i64,
    pub things: BTreeMap<String, Thing>,
    pub besides: Vec<Beside>,
    past: Vec<Past>,
    undoing: Option<i64>,
    answered: BTreeMap<String, (Value, Reply, Option<i64>)>,
}

impl Model {
    /// Takes one op from a hand.
    pub fn take(&mut self, by: &str, op: &Value) -> Reply {
        let id = text(op, "op_id");
        if let Some((body, reply, _)) = self.answered.get(&id) {
            return if body == op { *reply } else { None };
        }
        let mut base = op["base"].as_i64().or(op["seen"].as_i64());
        if let Some((_, earlier, its_base)) = self.answered.get(&text(op, "after")) {
            base = match earlier {
                Some((seq, "applied" | "same value")) => Some(*seq),
                _ => *its_base,
            };
        }
        if base.is_some_and(|b| b < 0 || b > self.newest) {
            return None;
        }
        let reply = self.decide(by, op, base);
        if reply.is_some() {
            self.answered.insert(id, (op.clone(), reply, base));
        }
        reply
    }

    fn decide(&mut self, by: &str, op: &Value, base: Option<i64>) -> Reply {
        let entity = text(op, "entity");
        let kind = op["kind"].as_str()?;
        if kind == "insert" {
            return self.insert(by, op, &entity);
        }
        if kind == "undo" {
            self.undoing = op["of_seq"].as_i64();
            let reply = self.undo(by, self.undoing?);
            self.undoing = None;
            return reply;
        }
        let thing = self.things.get(&entity)?.clone();
        let field = match op["field"].as_str() {
            Some(field) => field.to_owned(),
            None if kind == "move" => "order_key".to_owned(),
            None => String::new(),
        };
        match kind {
            "remove" => {
                if thing.removed != 0 {
                    return self.note(by, &entity, "", &Value::Null, Did::Nothing, "same value");
                }
                let newest = thing.fields.values().map(|(_, v)| *v).max().unwrap_or(0);
                if newest > base.unwrap_or(self.newest) {
                    return self.beside(by, &entity, "", &Value::Null, "kept beside");
                }
                let detach = op["detach"] == true;
                if !detach && !self.referrers(&entity).is_empty() {
                    return None;
                }
                Some(self.strike(by, &entity))
            }
            "restore" if thing.removed == 0 => {
                self.note(by, &entity, "", &Value::Null, Did::Nothing, "same value")
            }
            "restore" => self.revive(by, &entity),
            "resolve" if field.is_empty() => {
                let settled = self.settle(op, &entity, "");
                let outcome = if settled { "applied" } else { "same value" };
                let did = if settled {
                    Did::Settled(None)
                } else {
                    Did::Nothing
                };
                self.note(by, &entity, "", &Value::Null, did, outcome)
            }
            "set" | "move" | "resolve" => {
                let is_place = what(&thing.kind, &field)? == What::Place;
                if kind == "move" && !is_place {
                    return None;
                }
                let reply = self.write(by, &entity, &field, &op["value"], base?)?;
                if kind == "resolve" && reply.1 == "applied" {
                    self.settle(op, &entity, &field);
                }
                Some(reply)
            }
            "add" | "take_out" => {
                let base = base.unwrap_or(self.newest);
                self.member(by, &entity, &field, &op["value"], base, kind == "add")
            }
            "append" => self.append(by, &entity, &field, &op["value"]),
            _ => None,
        }
    }

    /// Gives out the next number and writes history.
    #[expect(clippy::unnecessary_wraps, reason = "callers return it as their reply")]
    fn note(
        &mut self,
        by: &str,
        entity: &str,
        field: &str,
        value: &Value,
        did: Did,
        outcome: &'static str,
    ) -> Reply {
        self.newest += 1;
        self.past.push(Past {
            seq: self.newest,
            by: by.into(),
            entity: entity.into(),
            field: field.into(),
            value: value.clone(),
            did,
            takes_back: self.undoing,
        });
        Some((self.newest, outcome))
    }

    fn beside(
        &mut self,
        by: &str,
        entity: &str,
        field: &str,
        value: &Value,
        outcome: &'static str,
    ) -> Reply {
        let reply = self.note(by, entity, field, value, Did::Beside, outcome);
        self.besides.push(Beside {
            seq: self.newest,
            entity: entity.into(),
            field: field.into(),
            value: value.clone(),
            outcome,
        });
        reply
    }

    fn settle(&mut self, op: &Value, entity: &str, field: &str) -> bool {
        let seen = op["settles"].as_array();
        let before = self.besides.len();
        self.besides.retain(|b| {
            let named = seen.is_none_or(|s| s.contains(&json!(b.seq)));
            !(b.entity == entity && b.field == field && named)
        });
        self.besides.len() < before
    }

    fn insert(&mut self, by: &str, op: &Value, entity: &str) -> Reply {
        let kind = text(op, "entity_type");
        if self.things.contains_key(entity) {
            return None;
        }
        let mut fields = BTreeMap::new();
        for (field, value) in op["value"].as_object()? {
            if !self.good(&kind, field, value, entity) {
                return None;
            }
            // Nothing given is nothing written.
            if value.is_null() {
                continue;
            }
            let value = if value.is_array() {
                tagged(value, self.newest + 1)
            } else {
                value.clone()
            };
            fields.insert(field.clone(), (value, self.newest + 1));
        }
        let (_, all) = FIELDS.iter().find(|(k, _)| *k == kind)?;
        if all
            .iter()
            .any(|(f, w)| needed(*w) && !fields.contains_key(*f))
        {
            return None;
        }
        let thing = Thing {
            kind,
            removed: 0,
            fields,
        };
        self.things.insert(entity.into(), thing);
        self.note(by, entity, "", &Value::Null, Did::Made, "applied")
    }

    /// Whether a value may stand in a field at all.
    fn good(&self, kind: &str, field: &str, value: &Value, own: &str) -> bool {
        let Some(what) = what(kind, field) else {
            return false;
        };
        if value.is_null() {
            return !needed(what);
        }
        match what {
            What::Frames => value.as_i64().is_some_and(|n| n >= 1),
            What::Number => value.as_f64().is_some_and(|n| (1.0..=200.0).contains(&n)),
            What::Names(to, _) => {
                let named = value.as_str().and_then(|id| self.things.get(id));
                named.is_some_and(|t| t.kind == to)
            }
            What::CodeOnce => value.is_string() && self.is_free(kind, field, value, own),
            What::Set => value.is_array(),
            What::Log => false,
            What::Place => value.as_str().is_some_and(|p| !p.contains(' ')),
            What::Code | What::Words => value.is_string(),
        }
    }

    fn is_free(&self, kind: &str, field: &str, value: &Value, own: &str) -> bool {
        !self.things.iter().any(|(id, t)| {
            id != own
                && t.kind == kind
                && t.removed == 0
                && t.fields.get(field).is_some_and(|(v, _)| v == value)
        })
    }

    fn write(&mut self, by: &str, entity: &str, field: &str, value: &Value, base: i64) -> Reply {
        let value = &sorted(value);
        let thing = self.things.get(entity)?.clone();
        let nothing = if what(&thing.kind, field)? == What::Set {
            json!({})
        } else {
            Value::Null
        };
        let (head, version) = thing.fields.get(field).cloned().unwrap_or((nothing, 0));
        let once = what(&thing.kind, field)? == What::CodeOnce;
        let applies = thing.removed == 0 && version <= base;
        // A code that is taken is refused only where it would become the value.
        let fine = if once && !applies {
            value.is_string()
        } else {
            self.good(&thing.kind, field, value, entity)
        };
        if !fine {
            return None;
        }
        if thing.removed != 0 {
            return self.beside(by, entity, field, value, "kept beside the removal");
        }
        if !applies {
            return if shown(&head) == *value {
                self.note(by, entity, field, value, Did::Nothing, "same value")
            } else {
                self.beside(by, entity, field, value, "kept beside")
            };
        }
        let stored = if value.is_array() {
            tagged(value, self.newest + 1)
        } else {
            value.clone()
        };
        let now = (stored, self.newest + 1);
        self.things
            .get_mut(entity)?
            .fields
            .insert(field.into(), now);
        self.note(
            by,
            entity,
            field,
            value,
            Did::Wrote(shown(&head)),
            "applied",
        )
    }

    fn member(
        &mut self,
        by: &str,
        entity: &str,
        field: &str,
        value: &Value,
        base: i64,
        adds: bool,
    ) -> Reply {
        let thing = self.things.get(entity)?.clone();
        if what(&thing.kind, field)? != What::Set {
            return None;
        }
        let member = value.as_str()?;
        let (head, _) = thing.fields.get(field).cloned().unwrap_or((json!({}), 0));
        let mut members = head.as_object().cloned().unwrap_or_default();
        let added = members.get(member).and_then(Value::as_i64);
        if thing.removed != 0 {
            return self.beside(by, entity, field, value, "kept beside the removal");
        }
        let did = match (adds, added) {
            (true, Some(at)) if at <= base => Did::Nothing,
            (false, None) => Did::Nothing,
            (false, Some(at)) if at > base => {
                return self.beside(by, entity, field, value, "kept beside");
            }
            (true, added) => Did::Added(added.is_some()),
            (false, _) => Did::TookOut,
        };
        if matches!(did, Did::Nothing) {
            return self.note(by, entity, field, value, did, "same value");
        }
        if adds {
            members.insert(member.into(), json!(self.newest + 1));
        } else {
            members.remove(member);
        }
        let now = (Value::Object(members), self.newest + 1);
        self.things
            .get_mut(entity)?
            .fields
            .insert(field.into(), now);
        self.note(by, entity, field, value, did, "applied")
    }

    /// Whether a living thing's set has a member.
    fn has(&self, entity: &str, field: &str, member: &Value) -> bool {
        let thing = &self.things[entity];
        let set = thing.fields.get(field).map(|(v, _)| shown(v));
        let inside = set.is_some_and(|s| s.as_array().is_some_and(|s| s.contains(member)));
        thing.removed == 0 && inside
    }

    fn append(&mut self, by: &str, entity: &str, field: &str, value: &Value) -> Reply {
        let thing = self.things.get(entity)?;
        if what(&thing.kind, field)? != What::Log || value.as_str().is_none_or(str::is_empty) {
            return None;
        }
        if thing.removed != 0 {
            return self.beside(by, entity, field, value, "kept beside the removal");
        }
        let next = self.newest + 1;
        let log = self.things.get_mut(entity)?.fields.entry(field.into());
        let (lines, version) = log.or_insert((json!([]), 0));
        let line = json!({"seq": next, "actor": by, "text": value});
        lines.as_array_mut()?.push(line);
        *version = next;
        self.note(by, entity, field, value, Did::Appended, "applied")
    }

    /// Living things that name this one, with the field and whether they cannot be without.
    fn referrers(&self, entity: &str) -> Vec<(String, String, bool)> {
        let mut found = Vec::new();
        // In the order of declaration and then of ids, the plan's own before the studio's, so that numbers can be compared.
        for (kind, fields) in FIELDS.iter().filter(|(k, _)| !is_shared(k)) {
            for (field, what) in *fields {
                let What::Names(_, needed) = what else {
                    continue;
                };
                for (id, t) in self.things.iter().filter(|(_, t)| t.kind == *kind) {
                    let names = t.fields.get(*field).is_some_and(|(v, _)| v == entity);
                    if t.removed == 0 && names {
                        found.push((id.clone(), (*field).to_owned(), *needed));
                    }
                }
            }
        }
        found
    }

    fn strike(&mut self, by: &str, entity: &str) -> (i64, &'static str) {
        for (other, field, needed) in self.referrers(entity) {
            if self.things[&other].removed != 0 {
                continue;
            }
            if needed {
                self.strike(by, &other);
            } else if let Some(thing) = self.things.get_mut(&other) {
                let head = thing.fields[&field].0.clone();
                let now = (Value::Null, self.newest + 1);
                thing.fields.insert(field.clone(), now);
                self.note(
                    by,
                    &other,
                    &field,
                    &Value::Null,
                    Did::Wrote(head),
                    "applied",
                );
            }
        }
        self.set_removed(by, entity, true)
    }

    fn set_removed(&mut self, by: &str, entity: &str, removed: bool) -> (i64, &'static str) {
        let did = if removed { Did::Removed } else { Did::Restored };
        self.besides
            .retain(|b| !(b.entity == entity && b.field.is_empty()));
        self.note(by, entity, "", &Value::Null, did, "applied");
        if let Some(thing) = self.things.get_mut(entity) {
            thing.removed = if removed { self.newest } else { 0 };
        }
        (self.newest, "applied")
    }

    /// Puts a struck-out thing back, unless its code has gone to another.
    fn revive(&mut self, by: &str, entity: &str) -> Reply {
        let thing = &self.things[entity];
        let free = thing.fields.iter().all(|(f, (v, _))| {
            what(&thing.kind, f) != Some(What::CodeOnce) || self.is_free(&thing.kind, f, v, entity)
        });
        free.then(|| self.set_removed(by, entity, false))
    }

    /// Numbers of a hand's newest changes, which it may want to take back.
    pub fn newest_of(&self, by: &str) -> Vec<i64> {
        let own = self.past.iter().rev().filter(|p| p.by == by);
        own.take(4).map(|p| p.seq).collect()
    }

    fn is_quiet_since(&self, entity: &str, field: &str, seq: i64) -> bool {
        let mut taken_back = Vec::new();
        for p in self.past.iter().rev().take_while(|p| p.seq > seq) {
            let applied = !matches!(p.did, Did::Nothing | Did::Beside);
            if p.entity != entity || !applied || taken_back.contains(&p.seq) {
                continue;
            }
            match p.takes_back {
                Some(of) if of > seq => taken_back.push(of),
                _ if field.is_empty() || p.field.is_empty() || p.field == field => return false,
                _ => {}
            }
        }
        true
    }

    fn undo(&mut self, by: &str, of_seq: i64) -> Reply {
        let past = self.past.iter().find(|p| p.seq == of_seq)?.clone();
        if past.by != by {
            return None;
        }
        let (entity, field, seq) = (past.entity.as_str(), past.field.as_str(), past.seq);
        // What was written later and taken back again is nothing.
        let knows = if self.is_quiet_since(entity, field, seq) {
            i64::MAX
        } else {
            seq
        };
        let thing = self.things.get(entity)?.clone();
        match past.did {
            Did::Nothing | Did::Appended | Did::Settled(None) | Did::Added(true) => None,
            Did::Beside => {
                let place = self.besides.iter().position(|b| b.seq == seq)?;
                let beside = self.besides.remove(place);
                self.note(
                    by,
                    entity,
                    field,
                    &Value::Null,
                    Did::Settled(Some(beside)),
                    "applied",
                )
            }
            Did::Settled(Some(b)) => self.beside(by, entity, field, &b.value, b.outcome),
            Did::Added(false) => self.member(by, entity, field, &past.value, knows, false),
            // Somebody put it back already.
            Did::TookOut if self.has(entity, field, &past.value) => {
                self.note(by, entity, field, &past.value, Did::Nothing, "same value")
            }
            Did::TookOut => self.member(by, entity, field, &past.value, knows, true),
            Did::Wrote(before) => self.write(by, entity, field, &before, knows),
            Did::Made | Did::Restored => {
                let value = json!({"removed": true});
                if thing.removed != 0 {
                    self.note(by, entity, "", &value, Did::Nothing, "same value")
                } else if thing.fields.values().any(|(_, v)| *v > knows) {
                    self.beside(by, entity, "", &value, "kept beside")
                } else if !self.referrers(entity).is_empty() {
                    None
                } else {
                    Some(self.set_removed(by, entity, true))
                }
            }
            Did::Removed => {
                let value = json!({"removed": false});
                if thing.removed == 0 {
                    self.note(by, entity, "", &value, Did::Nothing, "same value")
                } else if thing.removed > knows {
                    self.beside(by, entity, "", &value, "kept beside")
                } else {
                    self.revive(by, entity)
                }
            }
        }
    }
}

fn needed(what: What) -> bool {
    matches!(what, What::Code | What::CodeOnce | What::Names(_, true))
}

fn text(op: &Value, member: &str) -> String {
    op[member].as_str().unwrap_or_default().to_owned()
}

/// A set is a set: its members in one order.
fn sorted(value: &Value) -> Value {
    let mut value = value.clone();
    if let Some(members) = value.as_array_mut() {
        members.sort_by_key(ToString::to_string);
    }
    value
}

fn tagged(list: &Value, seq: i64) -> Value {
    let members = list.as_array().into_iter().flatten();
    members
        .filter_map(|m| Some((m.as_str()?.to_owned(), json!(seq))))
        .collect::<serde_json::Map<_, _>>()
        .into()
}

/// A value as everybody sees it: a set as the sorted list of its members.
pub fn shown(value: &Value) -> Value {
    match value {
        Value::Object(members) => members.keys().cloned().map(Value::from).collect(),
        other => other.clone(),
    }
}
