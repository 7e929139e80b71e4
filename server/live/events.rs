//! How the stream is written: server-sent events (WHATWG HTML, "Server-sent events"). A change says what was written
//! where, never what a page should look like.

use super::hub::Table;
use crate::{app::App, journal::change::Change};
use serde_json::{Value, json};
use std::fmt::Write as _;

/// Longest value that travels with its change, in bytes of JSON; a reader who needs a longer one asks for the plan.
const LONGEST_VALUE: usize = 2000;

/// How long a reader waits before it comes back, once for a connection.
pub const RETRY: &str = "retry: 2000\n\n";
/// Keeps a line open that would be thought dead.
pub const STILL_HERE: &str = ": still here\n\n";

/// One committed change, under its number.
pub fn change(text: &mut String, epoch: &str, change: &Change) {
    let _ = write!(
        text,
        "id: {epoch}:{}\nevent: change\ndata: {}\n\n",
        change.seq,
        data(change)
    );
}

fn data(change: &Change) -> Value {
    let mut data = json!({
        "seq": change.seq,
        "kind": change.kind.word(),
        "entity_type": &*change.entity_type,
        "entity": change.entity.as_str(),
        "field": change.field.as_deref(),
        "outcome": change.outcome.word(),
        "actor": &*change.actor,
    });
    if change.value.to_string().len() <= LONGEST_VALUE {
        data["value"] = change.value.clone();
    }
    data
}

/// The reader must ask for the plan again; from there on it follows from `at`.
pub fn reload(text: &mut String, epoch: &str, at: i64, ahead: bool) {
    let data = json!({"seq": at, "epoch": epoch, "ahead": ahead});
    let _ = write!(text, "id: {epoch}:{at}\nevent: reload\ndata: {data}\n\n");
}

/// Who is at the table. It has no id, so that it does not move the number a reader comes back with.
pub fn presence(text: &mut String, table: &Table) {
    let hands: Vec<_> = table
        .iter()
        .map(|p| {
            json!({
                "window": &*p.window,
                "who": &*p.who,
                "line": App::line_of(&p.who),
                "entity": &*p.entity,
                "field": &*p.field,
            })
        })
        .collect();
    let _ = write!(text, "event: presence\ndata: {}\n\n", json!(hands));
}
