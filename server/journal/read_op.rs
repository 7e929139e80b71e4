//! Reads an op of the machine interface, naming every fault in it.

use super::{
    change::{Op, OpKind},
    field::Refusal,
    value::Id,
};
use serde_json::{Map, Value as Json};
use std::sync::Arc;

/// What an op may have. `seen` is what a removal calls its base.
const MEMBERS: &[&str] = &[
    "op_id",
    "kind",
    "entity_type",
    "entity",
    "field",
    "base",
    "value",
    "of_seq",
    "batch",
    "detach",
    "after",
    "settles",
    "seen",
    "at_client_ms",
];

impl Op {
    /// Reads one op of the machine interface.
    ///
    /// # Errors
    /// All faults, each with its member.
    pub fn from_json(json: &Json) -> Result<Self, Vec<Refusal>> {
        let Json::Object(object) = json else {
            return Err(vec![fault("", "wrong_type", "An op is an object.")]);
        };
        let mut reader = Reader {
            object,
            faults: Vec::new(),
        };
        for name in object.keys().filter(|n| !MEMBERS.contains(&n.as_str())) {
            reader.fault(name, "unknown_field", "An op has no such member.");
        }
        let kind = reader.kind();
        let op_id = reader.needed(
            "op_id",
            100,
            "An op needs an id of its own, so that a retry is harmless.",
        );
        let seen = reader.whole("seen");
        let op = Self {
            op_id: op_id.unwrap_or_default(),
            kind: kind.unwrap_or(OpKind::Set),
            entity_type: reader.text("entity_type", 40),
            entity: reader.entity(),
            field: reader.text("field", 60),
            base: reader.whole("base").or(seen),
            value: object.get("value").cloned().unwrap_or(Json::Null),
            of_seq: reader.whole("of_seq"),
            whole_batch: reader.flag("batch"),
            detach: reader.flag("detach"),
            after: reader.text("after", 100),
            settles: reader.numbers("settles"),
            at_client_ms: reader.whole("at_client_ms"),
        };
        if reader.faults.is_empty() {
            Ok(op)
        } else {
            Err(reader.faults)
        }
    }
}

fn fault(field: &str, kind: &'static str, problem: &str) -> Refusal {
    Refusal {
        field: field.into(),
        kind,
        problem: problem.into(),
    }
}

/// Takes members one by one and notes what is wrong with each.
struct Reader<'a> {
    object: &'a Map<String, Json>,
    faults: Vec<Refusal>,
}

impl<'a> Reader<'a> {
    fn fault(&mut self, field: &str, kind: &'static str, problem: &str) {
        self.faults.push(fault(field, kind, problem));
    }

    /// A member that is there and not null.
    fn get(&self, name: &str) -> Option<&'a Json> {
        self.object.get(name).filter(|json| !json.is_null())
    }

    /// A member read by `read`, or a note that it is none.
    fn read<T>(
        &mut self,
        name: &str,
        read: impl FnOnce(&'a Json) -> Option<T>,
        is: &str,
    ) -> Option<T> {
        let value = read(self.get(name)?);
        if value.is_none() {
            self.fault(name, "wrong_type", &format!("{name} is {is}."));
        }
        value
    }

    fn text(&mut self, name: &str, most: usize) -> Option<Arc<str>> {
        let fits = |json: &'a Json| {
            json.as_str()
                .filter(|s| !s.is_empty() && s.len() <= most)
                .map(Arc::from)
        };
        self.read(name, fits, &format!("text of 1 to {most} characters"))
    }

    fn needed(&mut self, name: &str, most: usize, why: &str) -> Option<Arc<str>> {
        if self.get(name).is_none() {
            self.fault(name, "missing", why);
        }
        self.text(name, most)
    }

    fn whole(&mut self, name: &str) -> Option<i64> {
        self.read(name, Json::as_i64, "a whole number")
    }

    fn flag(&mut self, name: &str) -> bool {
        self.read(name, Json::as_bool, "true or false")
            .unwrap_or(false)
    }

    fn numbers(&mut self, name: &str) -> Option<Vec<i64>> {
        let all = |json: &'a Json| json.as_array()?.iter().map(Json::as_i64).collect();
        self.read(name, all, "a list of journal numbers")
    }

    fn kind(&mut self) -> Option<OpKind> {
        let word = self.needed("kind", 20, "An op says what kind it is.")?;
        let kind = OpKind::from_word(&word);
        if kind.is_none() {
            self.fault("kind", "not_one_of", "kind is one of: set, insert, remove, restore, move, add, take_out, append, resolve, undo.");
        }
        kind
    }

    fn entity(&mut self) -> Option<Id> {
        let id = self.get("entity")?.as_str().and_then(Id::parse);
        if id.is_none() {
            self.fault(
                "entity",
                "wrong_type",
                "An id has 1 to 64 of A–Z a–z 0–9 - _.",
            );
        }
        id
    }
}
