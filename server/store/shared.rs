//! What the writer and the readers both see: plans in memory, the newest changes, the newest number.

use crate::{
    journal::{change::Change, load, value::Id},
    plan::{Plan, Studio},
};
use sqlx::SqliteConnection;
use std::{
    collections::{HashMap, VecDeque},
    sync::{Arc, Mutex, MutexGuard, PoisonError},
    time::{Duration, Instant},
};
use tokio::sync::watch;

/// How many of the newest changes stay in memory for whoever follows along.
const RECENT: usize = 4096;

/// What the writer and the readers both see.
pub struct Shared {
    /// Random word made with the store, or when it is restored.
    pub epoch: Arc<str>,
    held: Mutex<Held>,
    newest: watch::Sender<i64>,
}

/// Under one lock, so that nobody sees a plan after a commit and the studio before it.
struct Held {
    studio: Arc<Studio>,
    plans: HashMap<Id, HeldPlan>,
    watched: HashMap<Id, usize>,
    recent: VecDeque<Arc<Change>>,
}

struct HeldPlan {
    plan: Arc<Plan>,
    asked: Instant,
}

impl Shared {
    /// What stands after opening.
    pub fn new(epoch: Arc<str>, studio: Studio, newest: i64) -> Self {
        Self {
            epoch,
            held: Mutex::new(Held {
                studio: Arc::new(studio),
                plans: HashMap::new(),
                watched: HashMap::new(),
                recent: VecDeque::new(),
            }),
            newest: watch::Sender::new(newest),
        }
    }

    fn held(&self) -> MutexGuard<'_, Held> {
        self.held.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// What the plans share.
    pub fn studio(&self) -> Arc<Studio> {
        self.held().studio.clone()
    }

    /// Newest journal number, and a wake-up at each commit.
    pub fn newest(&self) -> watch::Receiver<i64> {
        self.newest.subscribe()
    }

    /// A plan, if it is in memory.
    pub fn loaded(&self, id: &Id) -> Option<Arc<Plan>> {
        let mut held = self.held();
        let studio = held.studio.clone();
        let found = held.plans.get_mut(id)?;
        found.asked = Instant::now();
        if !Arc::ptr_eq(&found.plan.studio, &studio) {
            Arc::make_mut(&mut found.plan).studio = studio;
        }
        Some(found.plan.clone())
    }

    /// A plan, loaded if need be; none if there is no such production. For the writer only: readers must not put an older
    /// plan over a newer one.
    ///
    /// # Errors
    /// The database's.
    pub async fn load(
        &self,
        db: &mut SqliteConnection,
        id: &Id,
    ) -> Result<Option<Arc<Plan>>, sqlx::Error> {
        if let Some(plan) = self.loaded(id) {
            return Ok(Some(plan));
        }
        let found = load::plan(db, id, self.epoch.clone(), self.studio()).await?;
        Ok(found.map(|plan| {
            let plan = Arc::new(plan);
            self.held().hold(&plan);
            plan
        }))
    }

    /// Makes a committed group visible at once, and then wakes whoever follows.
    pub fn publish(
        &self,
        studio: Arc<Studio>,
        plans: HashMap<Id, Plan>,
        changes: Vec<Arc<Change>>,
        newest: i64,
    ) {
        let mut held = self.held();
        held.studio = studio;
        for plan in plans.into_values().filter(|p| p.seq > 0) {
            held.hold(&Arc::new(plan));
        }
        held.recent.extend(changes);
        let surplus = held.recent.len().saturating_sub(RECENT);
        held.recent.drain(..surplus);
        drop(held);
        self.newest.send_if_modified(|known| {
            let newer = newest > *known;
            *known = newest;
            newer
        });
    }

    /// The newest changes that are still in memory, oldest first, after `seq`; none if older ones would be needed.
    pub fn recent_after(&self, seq: i64) -> Option<Vec<Arc<Change>>> {
        let held = self.held();
        let known_from = held
            .recent
            .front()
            .map_or(*self.newest.borrow(), |c| c.seq - 1);
        if seq < known_from {
            return None;
        }
        let start = held.recent.partition_point(|c| c.seq <= seq);
        Some(held.recent.range(start..).cloned().collect())
    }

    /// Lets go of plans that nobody asked for in `idle` and nobody follows.
    pub fn forget_idle(&self, idle: Duration) {
        let mut held = self.held();
        let Held { plans, watched, .. } = &mut *held;
        plans.retain(|id, held| watched.contains_key(id) || held.asked.elapsed() < idle);
    }
}

impl Held {
    fn hold(&mut self, plan: &Arc<Plan>) {
        let held = HeldPlan {
            plan: plan.clone(),
            asked: Instant::now(),
        };
        self.plans.insert(plan.id.clone(), held);
    }
}

/// Somebody follows a plan; it stays in memory until the last one leaves.
pub struct Watch {
    shared: Arc<Shared>,
    id: Id,
}

impl Watch {
    pub(super) fn new(shared: Arc<Shared>, id: Id) -> Self {
        *shared.held().watched.entry(id.clone()).or_default() += 1;
        Self { shared, id }
    }
}

impl Drop for Watch {
    fn drop(&mut self) {
        let mut held = self.shared.held();
        if let Some(count) = held.watched.get_mut(&self.id) {
            *count -= 1;
            if *count == 0 {
                held.watched.remove(&self.id);
            }
        }
    }
}
