//! Whether a thing stands: striking it out, putting it back, and settling a removal that another hand's edit overtook.

use super::{
    change::{Op, OpKind, Outcome},
    decide::{Draft, Refused, Sight, draft, invalid, open_besides, thing},
    record::AnyEntry,
    refer::{check_all_used_once, referrers, still_referenced},
};
use crate::plan::Plan;
use serde_json::{Value as Json, json};

/// Strikes a thing out, unless somebody changed it after this hand last looked.
pub(super) fn remove(plan: &Plan, op: &Op, sight: &Sight<'_>) -> Result<Vec<Draft>, Refused> {
    let (entry, shared) = thing(plan, op)?;
    if entry.kind().entity_type == "plan" {
        return Err(invalid(
            "entity",
            "out_of_range",
            "A production is not struck out from inside.",
        ));
    }
    let plain = |outcome| Ok(vec![draft(entry, shared, op, None, Json::Null, outcome)]);
    if entry.removed_seq() != 0 {
        return plain(Outcome::SameValue);
    }
    if entry.newest_version() > op.base.unwrap_or(sight.newest) {
        return plain(Outcome::KeptBeside);
    }
    let mut drafts = Vec::new();
    strike(plan, entry, shared, op, sight, &mut drafts)?;
    Ok(drafts)
}

/// Strikes a thing out; with `detach`, what can be without it lets go of it, and what cannot goes with it.
fn strike(
    plan: &Plan,
    entry: &dyn AnyEntry,
    shared: bool,
    op: &Op,
    sight: &Sight<'_>,
    drafts: &mut Vec<Draft>,
) -> Result<(), Refused> {
    let refer = referrers(plan, entry.kind().entity_type, entry.id());
    let elsewhere = elsewhere(sight, entry);
    if op.detach {
        // Another plan's hands let go of it themselves.
        still_referenced(&[], elsewhere)?;
    } else {
        still_referenced(&refer, elsewhere)?;
    }
    for other in refer {
        let gone = |d: &Draft| d.entity == *other.entry.id() && d.field.is_none();
        if drafts.iter().any(gone) {
            continue;
        }
        let field = &other.entry.kind().fields[other.index];
        if field.blank.needed {
            strike(plan, other.entry, other.shared, op, sight, drafts)?;
        } else {
            drafts.push(Draft {
                kind: OpKind::Set,
                ..draft(
                    other.entry,
                    other.shared,
                    op,
                    Some(field.name),
                    Json::Null,
                    Outcome::Applied,
                )
            });
        }
    }
    drafts.push(draft(entry, shared, op, None, Json::Null, Outcome::Applied));
    Ok(())
}

/// Who in other plans refers to it.
fn elsewhere<'a>(sight: &Sight<'a>, entry: &dyn AnyEntry) -> &'a [String] {
    sight
        .others
        .referrers
        .get(entry.id())
        .map_or(&[], Vec::as_slice)
}

/// Puts a struck-out thing back.
pub(super) fn restore(plan: &Plan, op: &Op) -> Result<Draft, Refused> {
    let (entry, shared) = thing(plan, op)?;
    let outcome = if entry.removed_seq() == 0 {
        Outcome::SameValue
    } else {
        check_all_used_once(plan, entry)?;
        Outcome::Applied
    };
    Ok(draft(entry, shared, op, None, Json::Null, outcome))
}

/// Settles a removal kept beside: the thing stays.
pub(super) fn settle(plan: &Plan, op: &Op) -> Result<Draft, Refused> {
    let (entry, shared) = thing(plan, op)?;
    let settles = open_besides(plan, op, entry.id(), "");
    let outcome = if settles.is_empty() {
        Outcome::SameValue
    } else {
        Outcome::Applied
    };
    let value = json!({"settles": settles});
    Ok(draft(entry, shared, op, None, value, outcome))
}

/// The undo of a making (`remove`), of a removal or of a restoring. `known` says which numbers the undo knows of: its own
/// change's and, for a batch, those of the batch.
pub(super) fn alive(
    plan: &Plan,
    op: &Op,
    remove: bool,
    sight: &Sight<'_>,
    known: &dyn Fn(i64) -> bool,
) -> Result<Draft, Refused> {
    let (entry, shared) = thing(plan, op)?;
    let lives = entry.removed_seq() == 0;
    let outcome = if remove != lives {
        Outcome::SameValue
    } else if remove {
        let overtaken = (0..entry.kind().fields.len()).any(|i| !known(entry.version(i)));
        if overtaken {
            Outcome::KeptBeside
        } else {
            let refer = referrers(plan, entry.kind().entity_type, entry.id());
            still_referenced(&refer, elsewhere(sight, entry))?;
            Outcome::Applied
        }
    } else if known(entry.removed_seq()) {
        check_all_used_once(plan, entry)?;
        Outcome::Applied
    } else {
        Outcome::KeptBeside
    };
    let value = json!({"removed": remove});
    Ok(draft(entry, shared, op, None, value, outcome))
}
