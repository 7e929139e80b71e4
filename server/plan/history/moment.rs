//! Which plan an address means: as it stands, or as it stood at a number.

use crate::{app::App, error::PageError, journal::value::Id, plan::Plan};
use std::sync::Arc;

/// Reads `{plan}` of an address: an id, or an id with `@` and a number.
///
/// # Errors
/// No such plan, or not at that number; the store's.
pub async fn find(app: &App, named: &str) -> Result<Arc<Plan>, PageError> {
    let no_such = || PageError::no_such("plan");
    let Some((id, seq)) = named.split_once('@') else {
        let id = Id::parse(named).ok_or_else(no_such)?;
        return app.store.plan(&id).await?.ok_or_else(no_such);
    };
    let id = Id::parse(id).ok_or_else(no_such)?;
    let seq: i64 = seq.parse().map_err(|_| no_such())?;
    app.store.plan_at(&id, seq).await?.ok_or_else(|| {
        PageError::NotFound(format!(
            "At change {seq} this plan had not been begun, or that change has not been made yet."
        ))
    })
}

/// The id in `{plan}` of an address, whatever moment it means.
pub fn id_of(named: &str) -> &str {
    named.split('@').next().unwrap_or(named)
}

/// Refuses to write in the past.
///
/// # Errors
/// A sentence that says where to write.
pub fn may_write(plan: &Plan) -> Result<(), PageError> {
    match plan.moment {
        None => Ok(()),
        Some(seq) => Err(PageError::NotAllowed(format!(
            "This is the plan as it stood at change {seq}; nothing is written there. Go to the plan as it stands."
        ))),
    }
}
