//! A write as asked ([`Op`]) and as it stands in the journal ([`Change`]).

use super::value::Id;
use serde_json::Value as Json;
use sha2::{Digest as _, Sha256};
use std::{fmt::Write as _, sync::Arc};

macro_rules! words {
    ($(#[doc = $doc:literal])+ $name:ident { $($(#[doc = $own:literal])+ $variant:ident = $word:literal,)+ }) => {
        $(#[doc = $doc])+
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub enum $name { $($(#[doc = $own])+ $variant,)+ }
        impl $name {
            /// As the journal and the machine interface spell it.
            pub const fn word(self) -> &'static str { match self { $(Self::$variant => $word,)+ } }
            /// From that spelling.
            pub fn from_word(word: &str) -> Option<Self> { match word { $($word => Some(Self::$variant),)+ _ => None } }
        }
    };
}

words! {
    /// What a write does.
    OpKind {
        /// Puts a value into a field.
        Set = "set",
        /// Makes a thing.
        Insert = "insert",
        /// Strikes a thing out.
        Remove = "remove",
        /// Puts a struck-out thing back.
        Restore = "restore",
        /// Gives a row another place; a `set` of its order key.
        Move = "move",
        /// Puts a member into a set.
        Add = "add",
        /// Takes a member out of a set.
        TakeOut = "take_out",
        /// Adds a line to a log.
        Append = "append",
        /// Settles values kept beside.
        Resolve = "resolve",
        /// Takes an earlier change back.
        Undo = "undo",
    }
}

words! {
    /// What came of a write.
    Outcome {
        /// It is the value now.
        Applied = "applied",
        /// It already was.
        SameValue = "same value",
        /// Another hand was there first: kept next to the value, shown to everybody.
        KeptBeside = "kept beside",
        /// The thing had been struck out: kept with the removal.
        KeptBesideRemoval = "kept beside the removal",
    }
}

/// A write as asked.
#[derive(Clone, Debug)]
pub struct Op {
    /// The maker's own id for it.
    pub op_id: Arc<str>,
    /// What it does.
    pub kind: OpKind,
    /// Kind of thing; an insert needs it.
    pub entity_type: Option<Arc<str>>,
    /// The thing.
    pub entity: Option<Id>,
    /// The field.
    pub field: Option<Arc<str>>,
    /// Newest number the maker knew.
    pub base: Option<i64>,
    /// The value, or the fields of an insert.
    pub value: Json,
    /// Undo: the change to take back.
    pub of_seq: Option<i64>,
    /// Undo: take back the whole batch that change belongs to.
    pub whole_batch: bool,
    /// Remove: empty the references to it in the same write.
    pub detach: bool,
    /// Queued edits of one client chain: the base is the result of this op.
    pub after: Option<Arc<str>>,
    /// Resolve: the kept-beside values it saw; none means all.
    pub settles: Option<Vec<i64>>,
    /// The maker's clock; shown, never used for order.
    pub at_client_ms: Option<i64>,
}

impl Op {
    fn of(kind: OpKind, entity: Id) -> Self {
        Self {
            op_id: uuid::Uuid::now_v7().to_string().into(),
            kind,
            entity_type: None,
            entity: Some(entity),
            field: None,
            base: None,
            value: Json::Null,
            of_seq: None,
            whole_batch: false,
            detach: false,
            after: None,
            settles: None,
            at_client_ms: None,
        }
    }

    /// Makes a thing.
    pub fn insert(entity_type: &str, entity: Id, fields: Json) -> Self {
        Self {
            entity_type: Some(entity_type.into()),
            value: fields,
            ..Self::of(OpKind::Insert, entity)
        }
    }

    /// Puts a value into a field.
    pub fn set(entity: Id, field: &str, base: i64, value: Json) -> Self {
        Self {
            field: Some(field.into()),
            base: Some(base),
            value,
            ..Self::of(OpKind::Set, entity)
        }
    }

    /// Strikes a thing out, with everything that cannot be without it.
    pub fn remove(entity: Id, seen: i64) -> Self {
        Self {
            base: Some(seen),
            detach: true,
            ..Self::of(OpKind::Remove, entity)
        }
    }

    /// Puts a struck-out thing back.
    pub fn restore(entity: Id, base: i64) -> Self {
        Self {
            base: Some(base),
            ..Self::of(OpKind::Restore, entity)
        }
    }

    /// Takes a change back (with its batch, if it was made in one).
    pub fn undo(of_seq: i64) -> Self {
        Self {
            entity: None,
            of_seq: Some(of_seq),
            whole_batch: true,
            ..Self::of(OpKind::Undo, Id::new())
        }
    }

    /// Hash of what it asks, so that the same id with another body is noticed.
    pub fn body_hash(&self) -> Arc<str> {
        let body = serde_json::json!([
            self.kind.word(),
            self.entity_type,
            self.entity.as_ref().map(Id::as_str),
            self.field,
            self.base,
            self.value,
            self.of_seq,
            self.whole_batch,
            self.detach,
            self.after,
            self.settles
        ]);
        let mut hex = String::with_capacity(32);
        for byte in &Sha256::digest(body.to_string())[..16] {
            let _ = write!(hex, "{byte:02x}");
        }
        hex.into()
    }
}

/// A row of the journal.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// Its number.
    pub seq: i64,
    /// The plan; none for what the studio shares.
    pub plan: Option<Id>,
    /// The maker's id for the write.
    pub op_id: Arc<str>,
    /// Writes made together.
    pub batch: Option<Arc<str>>,
    /// Browser or program.
    pub client: Arc<str>,
    /// Person id, or the program's own word.
    pub actor: Arc<str>,
    /// When the server got it.
    pub at_server_ms: i64,
    /// The maker's clock.
    pub at_client_ms: Option<i64>,
    /// What it did.
    pub kind: OpKind,
    /// Kind of thing.
    pub entity_type: Arc<str>,
    /// The thing.
    pub entity: Id,
    /// The field.
    pub field: Option<Arc<str>>,
    /// Newest number the maker knew.
    pub base: Option<i64>,
    /// Value written. For a resolve `{"value", "settles"}`; for an undo of a making or a removal `{"removed": bool}`.
    pub value: Json,
    /// What stood there before.
    pub before: Json,
    /// What came of it.
    pub outcome: Outcome,
    /// Undo: the change taken back.
    pub of_seq: Option<i64>,
    /// Hash of the asked body.
    pub body_hash: Arc<str>,
}
