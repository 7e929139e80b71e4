//! Looking and storing, as the page and the machine interface both do it.

use std::sync::Arc;

use axum::body::Bytes;

use super::compare::Comparison;
use super::mapping::Overrides;
use super::problems::Refused;
use super::shots::{self, Look, Options};
use super::store::{self, Counts};
use super::text::Encoding;
use crate::access::Hand;
use crate::app::App;
use crate::error::PageError;
use crate::journal::change::Outcome;
use crate::journal::value::Id;
use crate::journal::writer::Ask;
use crate::plan::Plan;

/// A list, and how it is to be read.
#[derive(Clone, Debug, Default)]
pub struct List {
    /// The file.
    pub bytes: Bytes,
    /// What the sender calls it.
    pub file_name: String,
    /// Corrected headings.
    pub overrides: Overrides,
    /// How the characters are written; none finds out.
    pub encoding: Option<Encoding>,
}

/// A list as it was read, against a plan.
#[derive(Clone, Debug)]
pub struct Looked {
    /// The list.
    pub look: Look,
    /// What it would change.
    pub comparison: Comparison,
}

/// What a batch came to.
#[derive(Clone, Copy, Debug)]
pub struct Stored {
    /// How many of each.
    pub counts: Counts,
    /// Values that another hand had written meanwhile: both are kept.
    pub beside: usize,
    /// First and last number of the batch; none when nothing was new.
    pub numbers: Option<(i64, i64)>,
}

/// Looks at a list. The reading is worked on a thread of its own: it may be megabytes.
///
/// # Errors
/// The file cannot be cut into rows.
pub async fn look(plan: &Arc<Plan>, list: &List) -> Result<Result<Looked, Refused>, PageError> {
    let (plan, list) = (plan.clone(), list.clone());
    let work = move || {
        let options = Options {
            base_fps: plan.base_rate(),
            overrides: list.overrides,
            encoding: list.encoding,
        };
        let look = shots::read(&list.bytes, &list.file_name, &options)?;
        let comparison = store::against(&plan, &look);
        Ok(Looked { look, comparison })
    };
    tokio::task::spawn_blocking(work)
        .await
        .map_err(|error| PageError::Internal(error.to_string()))
}

/// Stores a list that was looked at, in one batch on the plan it was looked at against: all of it or none.
///
/// # Errors
/// Refused, since the plan has moved on in a way that leaves no room for it; the store's.
pub async fn store(
    app: &App,
    hand: &Hand,
    plan: &Arc<Plan>,
    looked: &Looked,
) -> Result<Stored, PageError> {
    let ops = store::ops(plan, &looked.look, &looked.comparison);
    let mut stored = Stored {
        counts: store::count(plan, &looked.look, &looked.comparison),
        beside: 0,
        numbers: None,
    };
    if ops.is_empty() {
        return Ok(stored);
    }
    let ask = Ask {
        plan: plan.id.clone(),
        ops,
        atomic: true,
        batch: Some(Id::new().as_str().into()),
        actor: hand.id.as_str().into(),
        client: hand.client.clone(),
    };
    let mut why = None;
    for reply in app.store.write(ask).await? {
        match reply.result {
            Ok((seq, outcome)) => {
                let (first, _) = stored.numbers.unwrap_or((seq, seq));
                stored.numbers = Some((first, seq));
                let is_beside = matches!(outcome, Outcome::KeptBeside | Outcome::KeptBesideRemoval);
                stored.beside += usize::from(is_beside);
            }
            // The one that says why, not those refused beside it.
            Err(refused) => {
                let error = crate::api::refused_error(refused);
                let says = !error.refusals().is_empty();
                if says || why.is_none() {
                    why = Some(error);
                }
                if says {
                    break;
                }
            }
        }
    }
    why.map_or(Ok(stored), Err)
}
