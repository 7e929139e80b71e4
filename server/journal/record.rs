//! A kind of record declared once: from one line a field come its Rust type, its column, its blank, its check and its
//! name in every format. Adding a field is one line here and one migration; forgetting either does not compile.

pub use super::forms::{check_new, entry_json, is_text, versions_json};
use super::{
    field::Field,
    value::{Column, Id, Value},
};
use std::sync::Arc;

/// A kind of record, without its Rust type.
#[derive(Debug)]
pub struct RecordKind {
    /// Name in the journal and the machine interface.
    pub entity_type: &'static str,
    /// Name of the list of them.
    pub list: &'static str,
    /// What a person calls one.
    pub word: &'static str,
    /// Its fields.
    pub fields: &'static [Field],
    /// SQL that reads all of a plan's (or, for the studio, all).
    pub select: &'static str,
    /// SQL that writes a journal row, then one field and the versions.
    pub updates: &'static [&'static str],
    /// SQL that writes a journal row, then marks the record as removed or not.
    pub remove: &'static str,
}

impl RecordKind {
    /// Place of a field by its name.
    pub fn index(&self, field: &str) -> Option<usize> {
        // A bench asks this some thousand times over ninety fields: length and last letter tell nearly all of them apart.
        let last = field.as_bytes().last();
        self.fields.iter().position(|f| {
            f.name.len() == field.len() && f.name.as_bytes().last() == last && f.name == field
        })
    }
}

/// The Rust type of a record.
pub trait Record: Clone + PartialEq + Send + Sync + 'static {
    /// Its description.
    const KIND: &'static RecordKind;
    /// Nothing written.
    fn blank() -> Self;
    /// A field in its common form.
    fn get(&self, index: usize) -> Value;
    /// Puts a checked value into a field.
    fn put(&mut self, index: usize, value: &Value);
    /// Puts a table cell into a field.
    fn read(&mut self, index: usize, column: &Column);
}

/// A record with its id and the journal numbers that made it what it is. Reads as the record itself.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry<R> {
    /// Its name for ever.
    pub id: Id,
    /// Journal number of its making.
    pub created_seq: i64,
    /// Journal number of its removal; 0 while it lives.
    pub removed_seq: i64,
    /// Journal number that set each field; 0 never.
    pub versions: Box<[i64]>,
    /// What it says.
    pub record: R,
}

impl<R> std::ops::Deref for Entry<R> {
    type Target = R;
    fn deref(&self) -> &R {
        &self.record
    }
}

/// An entry whose Rust type is not known to the reader: pages of history, exports, the journal itself.
pub trait AnyEntry: Send + Sync {
    /// Its kind.
    fn kind(&self) -> &'static RecordKind;
    /// Its id.
    fn id(&self) -> &Id;
    /// Journal number of its making.
    fn created_seq(&self) -> i64;
    /// Journal number of its removal; 0 while it lives.
    fn removed_seq(&self) -> i64;
    /// A field.
    fn get(&self, index: usize) -> Value;
    /// Journal number that set a field.
    fn version(&self, index: usize) -> i64;
    /// The highest of them.
    fn newest_version(&self) -> i64;
}

impl<R: Record> AnyEntry for Entry<R> {
    fn kind(&self) -> &'static RecordKind {
        R::KIND
    }
    fn id(&self) -> &Id {
        &self.id
    }
    fn created_seq(&self) -> i64 {
        self.created_seq
    }
    fn removed_seq(&self) -> i64 {
        self.removed_seq
    }
    fn get(&self, index: usize) -> Value {
        self.record.get(index)
    }
    fn version(&self, index: usize) -> i64 {
        self.versions[index]
    }
    fn newest_version(&self) -> i64 {
        self.versions
            .iter()
            .copied()
            .max()
            .unwrap_or(0)
            .max(self.created_seq)
    }
}

/// All records of one kind, sorted by id; copying a list copies one pointer.
#[derive(Clone, Debug, PartialEq)]
pub struct List<R>(Arc<Vec<Arc<Entry<R>>>>);

impl<R> Default for List<R> {
    fn default() -> Self {
        Self(Arc::default())
    }
}

impl<R: Record> List<R> {
    /// Those that live, by id.
    pub fn iter(&self) -> impl DoubleEndedIterator<Item = &Entry<R>> {
        self.0.iter().map(|e| &**e).filter(|e| e.removed_seq == 0)
    }
    /// Those that live and those struck out.
    pub fn with_removed(&self) -> impl Iterator<Item = &Entry<R>> {
        self.0.iter().map(|e| &**e)
    }
    /// A living one by its id.
    pub fn get(&self, id: &Id) -> Option<&Entry<R>> {
        self.any(id.as_str()).filter(|e| e.removed_seq == 0)
    }
    /// Living or struck out.
    pub fn any(&self, id: &str) -> Option<&Entry<R>> {
        self.place(id).ok().map(|i| &*self.0[i])
    }
    /// How many live.
    pub fn len(&self) -> usize {
        self.iter().count()
    }
    /// Whether none lives.
    pub fn is_empty(&self) -> bool {
        self.iter().next().is_none()
    }
    fn place(&self, id: &str) -> Result<usize, usize> {
        self.0.binary_search_by(|e| e.id.as_str().cmp(id))
    }
}

/// A list whose Rust type is not known to the reader.
pub trait AnyList: Send + Sync {
    /// What stands in it.
    fn kind(&self) -> &'static RecordKind;
    /// One entry, living or struck out.
    fn find(&self, id: &str) -> Option<&dyn AnyEntry>;
    /// All, living and struck out, by id.
    fn entries(&self) -> Box<dyn Iterator<Item = &dyn AnyEntry> + '_>;
    /// Sets a field and its version.
    fn put(&mut self, id: &str, index: usize, value: &Value, seq: i64);
    /// Adds an entry; fields not named stay blank with version 0.
    fn insert(&mut self, id: Id, values: &[(usize, Value)], seq: i64);
    /// Marks an entry as removed (0: lives).
    fn set_removed(&mut self, id: &str, seq: i64);
    /// Adds an entry as its table row says.
    fn load(&mut self, row: Row);
    /// Sorts after loading.
    fn settle(&mut self);
}

/// A table row on its way into a list.
#[derive(Debug)]
pub struct Row {
    /// Its id.
    pub id: Id,
    /// Journal number of its making.
    pub created_seq: i64,
    /// Journal number of its removal; 0 while it lives.
    pub removed_seq: i64,
    /// Versions by field name.
    pub versions: serde_json::Map<String, serde_json::Value>,
    /// Cells in declared order.
    pub cells: Vec<Column>,
}

impl<R: Record> AnyList for List<R> {
    fn kind(&self) -> &'static RecordKind {
        R::KIND
    }
    fn find(&self, id: &str) -> Option<&dyn AnyEntry> {
        self.any(id).map(|e| e as &dyn AnyEntry)
    }
    fn entries(&self) -> Box<dyn Iterator<Item = &dyn AnyEntry> + '_> {
        Box::new(self.0.iter().map(|e| &**e as &dyn AnyEntry))
    }
    fn put(&mut self, id: &str, index: usize, value: &Value, seq: i64) {
        if let Ok(place) = self.place(id) {
            let entry = Arc::make_mut(&mut Arc::make_mut(&mut self.0)[place]);
            entry.record.put(index, value);
            entry.versions[index] = seq;
        }
    }
    fn insert(&mut self, id: Id, values: &[(usize, Value)], seq: i64) {
        let mut record = R::blank();
        let mut versions = vec![0; R::KIND.fields.len()].into_boxed_slice();
        for (index, value) in values {
            record.put(*index, value);
            versions[*index] = seq;
        }
        if let Err(place) = self.place(id.as_str()) {
            let entry = Entry {
                id,
                created_seq: seq,
                removed_seq: 0,
                versions,
                record,
            };
            Arc::make_mut(&mut self.0).insert(place, Arc::new(entry));
        }
    }
    fn set_removed(&mut self, id: &str, seq: i64) {
        if let Ok(place) = self.place(id) {
            Arc::make_mut(&mut Arc::make_mut(&mut self.0)[place]).removed_seq = seq;
        }
    }
    fn load(&mut self, row: Row) {
        let mut record = R::blank();
        for (index, cell) in row.cells.iter().enumerate() {
            record.read(index, cell);
        }
        let version = |f: &Field| {
            row.versions
                .get(f.name)
                .and_then(serde_json::Value::as_i64)
                .unwrap_or(0)
        };
        let versions = R::KIND.fields.iter().map(version).collect();
        let entry = Entry {
            id: row.id,
            created_seq: row.created_seq,
            removed_seq: row.removed_seq,
            versions,
            record,
        };
        Arc::make_mut(&mut self.0).push(Arc::new(entry));
    }
    fn settle(&mut self) {
        Arc::make_mut(&mut self.0).sort_by(|a, b| a.id.cmp(&b.id));
    }
}

/// SQL of one journal row, 18 parameters; a literal, so that it can stand in front of a record's own statement.
#[macro_export]
macro_rules! insert_change {
    () => {
        "insert into change (seq, plan, op_id, batch, client, actor, at_server_ms, at_client_ms, kind, entity, entity_type, field, base, value, before, outcome, of_seq, body_hash) values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"
    };
}

/// SQL that settles the removals kept beside, once it is decided whether their thing stands.
#[macro_export]
macro_rules! settle_removal {
    () => {
        "update beside set settled_seq = ? where settled_seq is null and plan is ? and entity = ? and field = ''"
    };
}

/// Declares a kind of record. One line a field: `name: Type = blank, "Label", also ["other heading"];`
#[macro_export]
macro_rules! record {
    (
        $(#[doc = $doc:literal])+
        $name:ident, $word:literal in $table:literal list $list:literal {
            $( $(#[doc = $help:literal])+ $field:ident : $ty:ty = $blank:expr, $label:literal $(, also [$($also:literal),*])? ; )+
        }
    ) => {
        $(#[doc = $doc])+
        #[derive(Clone, Debug, PartialEq)]
        pub struct $name { $( $(#[doc = $help])+ pub $field: $ty, )+ }

        impl $crate::journal::record::Record for $name {
            const KIND: &'static $crate::journal::record::RecordKind = &$crate::journal::record::RecordKind {
                entity_type: $table,
                list: $list,
                word: $word,
                fields: {
                    #[allow(unused_imports, reason = "a short record does not use every kind of blank")]
                    use $crate::journal::field::{choice, clock, date, frames, log, long_text, members, number, order_key, rate, reference, scale, strokes, text, whole};
                    const FIELDS: &[$crate::journal::field::Field] = &[ $( $crate::journal::field::Field {
                        name: stringify!($field),
                        label: $label,
                        also: &[$($($also),*)?],
                        help: concat!($($help),+),
                        blank: $blank,
                    } ),+ ];
                    FIELDS
                },
                select: concat!("select id, created_seq, removed_seq, versions", $(", ", stringify!($field),)+ " from ", $table),
                updates: &[ $( concat!($crate::insert_change!(), "; update ", $table, " set ", stringify!($field), " = ?, versions = ? where id = ?") ),+ ],
                remove: concat!($crate::insert_change!(), "; update ", $table, " set removed_seq = ? where id = ?; ", $crate::settle_removal!()),
            };
            fn blank() -> Self {
                Self { $( $field: <$ty as $crate::journal::value::Cell>::blank(), )+ }
            }
            fn get(&self, index: usize) -> $crate::journal::value::Value {
                let mut at = 0;
                $( if index == at { return $crate::journal::value::Cell::get(&self.$field); } at += 1; )+
                let _ = at;
                $crate::journal::value::Value::Absent
            }
            fn put(&mut self, index: usize, value: &$crate::journal::value::Value) {
                let mut at = 0;
                $( if index == at { self.$field = $crate::journal::value::Cell::put(value); return; } at += 1; )+
                let _ = at;
            }
            fn read(&mut self, index: usize, column: &$crate::journal::value::Column) {
                let mut at = 0;
                $( if index == at { self.$field = $crate::journal::value::Cell::read(column); return; } at += 1; )+
                let _ = at;
            }
        }

        $( const _: () = assert!(
            $crate::journal::schema::has_column($table, stringify!($field), <$ty as $crate::journal::value::Cell>::SQL, <$ty as $crate::journal::value::Cell>::NEEDED),
            concat!($table, " has no column `", stringify!($field), "` of the declared type: add a migration")
        ); )+
        const _: () = assert!(
            $crate::journal::schema::column_count($table) == 5 + [$(stringify!($field)),+].len(),
            concat!($table, ": a column is not declared")
        );
    };
}

/// A number of a record, or the usual one of its declaration while nobody has written it; 0 for a field that has neither.
pub fn number_or_usual<R: Record>(entry: Option<&Entry<R>>, name: &str) -> f64 {
    let Some(index) = R::KIND.index(name) else {
        return 0.0;
    };
    let written = entry.and_then(|e| e.record.get(index).as_number());
    written.or(R::KIND.fields[index].blank.start).unwrap_or(0.0)
}

/// Whether somebody wrote a number of a record.
pub fn is_written<R: Record>(entry: Option<&Entry<R>>, name: &str) -> bool {
    let index = R::KIND.index(name);
    index.is_some_and(|i| entry.is_some_and(|e| e.record.get(i).as_number().is_some()))
}
