//! Lists between the look and the store: kept in memory for half an hour under a random name, so that nobody chooses the
//! file twice, with or without scripts.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use super::work::List;
use crate::access::session::new_token;
use crate::journal::value::Id;
use crate::plan::Plan;

/// How long a list waits to be stored, counted from when it was last looked at.
const KEPT: Duration = Duration::from_mins(30);
/// Most lists that wait, and the bytes of all of them; the oldest gives way.
const MOST_LISTS: usize = 32;
const MOST_BYTES: usize = 80 * 1024 * 1024;

/// A list that waits.
#[derive(Clone, Debug)]
pub struct Waiting {
    /// Who brought it. Nobody else sees it.
    pub person: Id,
    /// The file, and how it is to be read.
    pub list: List,
    /// The plan as it was when the list was last looked at.
    pub seen: Arc<Plan>,
    /// When that was.
    at: Instant,
}

/// All lists that wait.
#[derive(Debug, Default)]
pub struct Held(Mutex<HashMap<String, Waiting>>);

impl Held {
    /// Keeps a list and returns its name.
    pub fn keep(&self, person: Id, list: List, seen: Arc<Plan>) -> String {
        self.keep_at(person, list, seen, Instant::now())
    }

    fn keep_at(&self, person: Id, list: List, seen: Arc<Plan>, now: Instant) -> String {
        let token = new_token();
        let mut lists = self.open(now);
        let waiting = Waiting {
            person,
            list,
            seen,
            at: now,
        };
        lists.insert(token.clone(), waiting);
        let bytes = |lists: &HashMap<String, Waiting>| -> usize {
            lists.values().map(|w| w.list.bytes.len()).sum()
        };
        while lists.len() > MOST_LISTS || bytes(&lists) > MOST_BYTES {
            let others = lists.iter().filter(|(name, _)| **name != token);
            let Some(oldest) = others
                .min_by_key(|(_, w)| w.at)
                .map(|(name, _)| name.clone())
            else {
                break;
            };
            lists.remove(&oldest);
        }
        token
    }

    /// A list by its name, for whoever brought it to this plan.
    pub fn find(&self, token: &str, person: &Id, plan: &Id) -> Option<Waiting> {
        let lists = self.open(Instant::now());
        let waiting = lists.get(token)?;
        (waiting.person == *person && waiting.seen.id == *plan).then(|| waiting.clone())
    }

    /// Notes how a list was last looked at.
    pub fn looked(&self, token: &str, list: List, seen: Arc<Plan>) {
        let now = Instant::now();
        if let Some(waiting) = self.open(now).get_mut(token) {
            (waiting.list, waiting.seen, waiting.at) = (list, seen, now);
        }
    }

    /// Lets a list go.
    pub fn forget(&self, token: &str) {
        self.open(Instant::now()).remove(token);
    }

    /// Lets go of what has waited too long.
    pub fn sweep(&self) {
        drop(self.open(Instant::now()));
    }

    fn open(&self, now: Instant) -> MutexGuard<'_, HashMap<String, Waiting>> {
        let mut lists = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        lists.retain(|_, waiting| now.duration_since(waiting.at) < KEPT);
        lists
    }
}

/// Sweeps once the list that was just kept may have waited too long, so that a file nobody comes back for is let go.
pub fn sweep_later(held: &Arc<Held>) {
    let held = Arc::downgrade(held);
    tokio::spawn(async move {
        tokio::time::sleep(KEPT).await;
        if let Some(held) = held.upgrade() {
            held.sweep();
        }
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::Studio;

    fn plan() -> Arc<Plan> {
        Arc::new(Plan::empty(
            Id::new(),
            "epoch".into(),
            Arc::new(Studio::empty()),
        ))
    }

    fn of(bytes: usize) -> List {
        List {
            bytes: vec![b'x'; bytes].into(),
            ..List::default()
        }
    }

    #[test]
    fn a_list_is_found_by_its_own_person_in_its_own_plan_until_it_is_let_go() {
        let (held, plan, person) = (Held::default(), plan(), Id::new());
        let token = held.keep(person.clone(), of(3), plan.clone());
        assert!(held.find(&token, &person, &plan.id).is_some());
        assert!(held.find(&token, &Id::new(), &plan.id).is_none());
        assert!(held.find(&token, &person, &Id::new()).is_none());
        assert!(held.find("other", &person, &plan.id).is_none());
        held.forget(&token);
        assert!(held.find(&token, &person, &plan.id).is_none());
    }

    #[test]
    fn a_list_that_waited_half_an_hour_is_gone() {
        let (held, plan, person) = (Held::default(), plan(), Id::new());
        let now = Instant::now();
        let token = held.keep_at(person.clone(), of(3), plan.clone(), now);
        assert!(held.open(now + KEPT / 2).contains_key(&token));
        assert!(!held.open(now + KEPT).contains_key(&token));
    }

    #[test]
    fn the_oldest_gives_way_when_there_are_too_many_or_they_are_too_large() {
        let (held, plan, person) = (Held::default(), plan(), Id::new());
        let start = Instant::now();
        let mut tokens = Vec::new();
        for second in 0..=MOST_LISTS as u64 {
            let at = start + Duration::from_secs(second);
            tokens.push(held.keep_at(person.clone(), of(1), plan.clone(), at));
        }
        assert!(!held.open(start).contains_key(&tokens[0]));
        assert!(held.open(start).contains_key(&tokens[1]));
        let last = start + Duration::from_secs(1000);
        let large = held.keep_at(person, of(MOST_BYTES), plan, last);
        assert_eq!(held.open(last).keys().collect::<Vec<_>>(), [&large]);
    }
}
