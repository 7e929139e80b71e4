//! A plan as it stood at an earlier number: its journal read from the beginning up to there.

use super::{Store, StoreError};
use crate::{
    journal::{apply, load, value::Id},
    plan::Plan,
};
use std::{
    collections::VecDeque,
    sync::{Arc, Mutex, PoisonError},
};

/// Whoever looks at a moment turns several of its sheets; so many are kept worked out.
const KEPT: usize = 4;

/// Moments that were looked at lately, the newest last. What stood at a number never changes.
#[derive(Default)]
pub struct Moments(Mutex<VecDeque<Arc<Plan>>>);

impl Moments {
    fn find(&self, id: &Id, seq: i64) -> Option<Arc<Plan>> {
        let kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let found = kept.iter().find(|p| p.id == *id && p.moment == Some(seq));
        found.cloned()
    }

    fn keep(&self, plan: &Arc<Plan>) {
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if kept.len() == KEPT {
            kept.pop_front();
        }
        kept.push_back(plan.clone());
    }
}

impl Store {
    /// A plan as it stood after a change; none if it had not been begun, or that change has not been made.
    ///
    /// # Errors
    /// The database's.
    pub async fn plan_at(&self, id: &Id, seq: i64) -> Result<Option<Arc<Plan>>, StoreError> {
        if seq > *self.newest().borrow() {
            return Ok(None);
        }
        if let Some(plan) = self.moments.find(id, seq) {
            return Ok(Some(plan));
        }
        let mut db = self.readers().acquire().await?;
        let changes = load::changes_of_plan(&mut db, id, seq).await?;
        drop(db);
        let (studio, mut plans) = apply::fold(self.epoch(), &changes);
        let Some(mut plan) = plans.remove(id).filter(|p| p.production().is_some()) else {
            return Ok(None);
        };
        plan.studio = studio;
        plan.moment = Some(seq);
        let plan = Arc::new(plan);
        self.moments.keep(&plan);
        Ok(Some(plan))
    }
}
