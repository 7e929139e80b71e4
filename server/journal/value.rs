//! What a field can hold, and the few types fields are made of.

use std::{collections::BTreeMap, fmt, sync::Arc};

/// Text of a field; cheap to copy with its record.
pub type Text = Arc<str>;
/// Members of a set, each with the journal number that added it (so that an older take-out cannot undo a newer add).
pub type Members = Arc<BTreeMap<Arc<str>, i64>>;
/// Entries of a log, in journal order.
pub type Log = Arc<Vec<LogEntry>>;

/// One line of a log field.
#[derive(Clone, Debug, PartialEq)]
pub struct LogEntry {
    /// Journal number of the entry.
    pub seq: i64,
    /// Who wrote it.
    pub actor: Arc<str>,
    /// What it says.
    pub text: Arc<str>,
}

/// Name of a thing: made by whoever made the thing, 1 to 64 of `A–Z a–z 0–9 - _` (our own are UUID version 7).
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Id(Arc<str>);

impl Id {
    /// A new id that sorts after earlier ones.
    pub fn new() -> Self {
        Self(uuid::Uuid::now_v7().to_string().into())
    }

    /// Reads an id, refusing what could not stand in an address or an attribute.
    pub fn parse(text: &str) -> Option<Self> {
        let good = !text.is_empty()
            && text.len() <= 64
            && text
                .bytes()
                .all(|b| b.is_ascii_alphanumeric() || b == b'-' || b == b'_');
        good.then(|| Self(text.into()))
    }

    /// The id as text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl Default for Id {
    fn default() -> Self {
        Self::new()
    }
}

impl fmt::Display for Id {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::borrow::Borrow<str> for Id {
    fn borrow(&self) -> &str {
        &self.0
    }
}

/// What stands in one field.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// Nothing written.
    Absent,
    /// A number.
    Number(f64),
    /// A whole number: frames, minutes, counts.
    Whole(i64),
    /// Text, a choice's code, a reference's id.
    Text(Text),
    /// A set that merges member by member.
    Members(Members),
    /// A log that only grows.
    Log(Log),
}

impl Value {
    /// The value as the interface and the journal write it.
    pub fn to_json(&self) -> serde_json::Value {
        match self {
            Self::Absent => serde_json::Value::Null,
            Self::Number(n) => {
                serde_json::Number::from_f64(*n).map_or(serde_json::Value::Null, |number| {
                    // Whole numbers are written without a point, so that 24 stays 24.
                    if n.fract() == 0.0 && n.abs() < 9e15 {
                        #[expect(
                            clippy::cast_possible_truncation,
                            reason = "checked to be whole and small"
                        )]
                        return serde_json::Value::from(*n as i64);
                    }
                    serde_json::Value::Number(number)
                })
            }
            Self::Whole(n) => (*n).into(),
            Self::Text(text) => serde_json::Value::String(text.to_string()),
            Self::Members(members) => members
                .keys()
                .map(|m| serde_json::Value::from(&**m))
                .collect(),
            Self::Log(log) => log
                .iter()
                .map(|e| serde_json::json!({"seq": e.seq, "actor": &*e.actor, "text": &*e.text}))
                .collect(),
        }
    }

    /// The text inside, if it is text.
    pub fn as_text(&self) -> Option<&str> {
        match self {
            Self::Text(text) => Some(text),
            _ => None,
        }
    }

    /// The number inside, if it is one.
    pub fn as_number(&self) -> Option<f64> {
        match self {
            Self::Number(n) => Some(*n),
            #[expect(
                clippy::cast_precision_loss,
                reason = "fields hold whole numbers far below 2^53"
            )]
            Self::Whole(n) => Some(*n as f64),
            _ => None,
        }
    }

    /// How the record's own column holds it (text columns hold sets and logs as JSON).
    pub fn to_column(&self) -> Column {
        match self {
            Self::Absent => Column::Null,
            Self::Number(n) => Column::Real(*n),
            Self::Whole(n) => Column::Integer(*n),
            Self::Text(text) => Column::Text(text.clone()),
            Self::Members(members) => {
                let object: serde_json::Map<_, _> = members
                    .iter()
                    .map(|(m, seq)| (m.to_string(), (*seq).into()))
                    .collect();
                Column::Text(serde_json::Value::Object(object).to_string().into())
            }
            Self::Log(_) => Column::Text(self.to_json().to_string().into()),
        }
    }
}

/// One cell of a table.
#[derive(Clone, Debug, PartialEq)]
pub enum Column {
    /// Nothing.
    Null,
    /// A floating-point number.
    Real(f64),
    /// A whole number.
    Integer(i64),
    /// Text.
    Text(Text),
}

macro_rules! into_column {
    ($($from:ty => |$value:ident| $column:expr;)+) => {
        $( impl From<$from> for Column { fn from($value: $from) -> Self { $column } } )+
    };
}
into_column! {
    i64 => |n| Self::Integer(n);
    Text => |text| Self::Text(text);
    String => |text| Self::Text(text.into());
    &str => |text| Self::Text(text.into());
    &Id => |id| Self::Text(id.0.clone());
}

impl<T: Into<Column>> From<Option<T>> for Column {
    fn from(value: Option<T>) -> Self {
        value.map_or(Self::Null, Into::into)
    }
}

/// What a Rust field type needs to stand in a record and in a strict table.
pub trait Cell: Clone + PartialEq {
    /// Its SQL type.
    const SQL: &'static str;
    /// Whether the column is `not null`.
    const NEEDED: bool;
    /// What it is before anyone wrote anything.
    fn blank() -> Self;
    /// To the common form.
    fn get(&self) -> Value;
    /// From the common form; a value of another type leaves the blank value (the declaration has checked before).
    fn put(value: &Value) -> Self;
    /// From its column.
    fn read(column: &Column) -> Self;
}

impl Cell for Option<f64> {
    const SQL: &'static str = "REAL";
    const NEEDED: bool = false;
    fn blank() -> Self {
        None
    }
    fn get(&self) -> Value {
        self.map_or(Value::Absent, Value::Number)
    }
    fn put(value: &Value) -> Self {
        value.as_number()
    }
    fn read(column: &Column) -> Self {
        match column {
            Column::Real(n) => Some(*n),
            #[expect(
                clippy::cast_precision_loss,
                reason = "a whole number put there by another program"
            )]
            Column::Integer(n) => Some(*n as f64),
            _ => None,
        }
    }
}

impl Cell for Option<i64> {
    const SQL: &'static str = "INTEGER";
    const NEEDED: bool = false;
    fn blank() -> Self {
        None
    }
    fn get(&self) -> Value {
        self.map_or(Value::Absent, Value::Whole)
    }
    fn put(value: &Value) -> Self {
        match value {
            Value::Whole(n) => Some(*n),
            _ => None,
        }
    }
    fn read(column: &Column) -> Self {
        match column {
            Column::Integer(n) => Some(*n),
            _ => None,
        }
    }
}

impl Cell for Text {
    const SQL: &'static str = "TEXT";
    const NEEDED: bool = true;
    fn blank() -> Self {
        "".into()
    }
    fn get(&self) -> Value {
        if self.is_empty() {
            Value::Absent
        } else {
            Value::Text(self.clone())
        }
    }
    fn put(value: &Value) -> Self {
        match value {
            Value::Text(text) => text.clone(),
            _ => Self::blank(),
        }
    }
    fn read(column: &Column) -> Self {
        match column {
            Column::Text(text) => text.clone(),
            _ => Self::blank(),
        }
    }
}

impl Cell for Option<Id> {
    const SQL: &'static str = "TEXT";
    const NEEDED: bool = false;
    fn blank() -> Self {
        None
    }
    fn get(&self) -> Value {
        self.as_ref()
            .map_or(Value::Absent, |id| Value::Text(id.0.clone()))
    }
    fn put(value: &Value) -> Self {
        value.as_text().and_then(Id::parse)
    }
    fn read(column: &Column) -> Self {
        match column {
            Column::Text(text) => Id::parse(text),
            _ => None,
        }
    }
}

impl Cell for Members {
    const SQL: &'static str = "TEXT";
    const NEEDED: bool = true;
    fn blank() -> Self {
        Arc::default()
    }
    fn get(&self) -> Value {
        Value::Members(self.clone())
    }
    fn put(value: &Value) -> Self {
        match value {
            Value::Members(members) => members.clone(),
            _ => Self::blank(),
        }
    }
    fn read(column: &Column) -> Self {
        let Column::Text(text) = column else {
            return Self::blank();
        };
        let Ok(serde_json::Value::Object(object)) = serde_json::from_str(text) else {
            return Self::blank();
        };
        Arc::new(
            object
                .into_iter()
                .map(|(m, seq)| (m.into(), seq.as_i64().unwrap_or(0)))
                .collect(),
        )
    }
}

impl Cell for Log {
    const SQL: &'static str = "TEXT";
    const NEEDED: bool = true;
    fn blank() -> Self {
        Arc::default()
    }
    fn get(&self) -> Value {
        Value::Log(self.clone())
    }
    fn put(value: &Value) -> Self {
        match value {
            Value::Log(log) => log.clone(),
            _ => Self::blank(),
        }
    }
    fn read(column: &Column) -> Self {
        let Column::Text(text) = column else {
            return Self::blank();
        };
        let Ok(serde_json::Value::Array(list)) = serde_json::from_str::<serde_json::Value>(text)
        else {
            return Self::blank();
        };
        let entry = |e: &serde_json::Value| {
            Some(LogEntry {
                seq: e["seq"].as_i64()?,
                actor: e["actor"].as_str()?.into(),
                text: e["text"].as_str()?.into(),
            })
        };
        Arc::new(list.iter().filter_map(entry).collect())
    }
}
