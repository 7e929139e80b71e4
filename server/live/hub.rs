//! Who is at the table now, and the words that end every stream: the program stops, or somebody was signed out.

use crate::journal::value::Id;
use std::{
    collections::HashMap,
    sync::{Arc, Mutex, MutexGuard, PoisonError},
    time::{Duration, Instant},
};
use tokio::sync::watch;

/// A hand that was not heard of for so long has gone.
pub const FORGOTTEN_AFTER: Duration = Duration::from_secs(30);
/// Most windows remembered of a plan; a crew has a dozen.
const MOST_AT_A_TABLE: usize = 200;

/// One window at the table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Present {
    /// Random word of the window, so that it knows itself.
    pub window: Arc<str>,
    /// Person id.
    pub person: Id,
    /// What the sheet calls the hand.
    pub who: Arc<str>,
    /// The thing whose blank the caret is in; empty for none.
    pub entity: Arc<str>,
    /// That blank's field.
    pub field: Arc<str>,
}

/// Everybody at one table, in the order they came.
pub type Table = Arc<Vec<Present>>;

struct Seat {
    present: Present,
    heard: Instant,
}

/// The windows at each plan's table, and whom to tell.
type Tables = HashMap<Id, (Vec<Seat>, watch::Sender<Table>)>;

/// The tables of all plans that somebody is at.
pub struct Hub {
    tables: Mutex<Tables>,
    closing: watch::Sender<bool>,
    signed_out: watch::Sender<u64>,
}

impl Default for Hub {
    fn default() -> Self {
        Self {
            tables: Mutex::default(),
            closing: watch::Sender::new(false),
            signed_out: watch::Sender::new(0),
        }
    }
}

impl Hub {
    fn tables(&self) -> MutexGuard<'_, Tables> {
        self.tables.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Everybody at a plan's table, and a wake-up when that changes.
    pub fn table(&self, plan: &Id) -> watch::Receiver<Table> {
        let mut tables = self.tables();
        let (_, told) = tables
            .entry(plan.clone())
            .or_insert_with(|| (Vec::new(), watch::Sender::new(Table::default())));
        told.subscribe()
    }

    /// Notes where a hand is; `None` for the blank means that the window is gone.
    pub fn note(&self, plan: &Id, present: Present, is_gone: bool, now: Instant) {
        let mut tables = self.tables();
        let (seats, told) = tables
            .entry(plan.clone())
            .or_insert_with(|| (Vec::new(), watch::Sender::new(Table::default())));
        let place = seats
            .iter()
            .position(|s| s.present.window == present.window);
        match place {
            Some(at) if is_gone => drop(seats.remove(at)),
            Some(at) => {
                seats[at] = Seat {
                    present,
                    heard: now,
                }
            }
            None if is_gone || seats.len() >= MOST_AT_A_TABLE => {}
            None => seats.push(Seat {
                present,
                heard: now,
            }),
        }
        tell(seats, told, now);
    }

    /// A window has gone.
    pub fn leave(&self, plan: &Id, window: &str, now: Instant) {
        let mut tables = self.tables();
        if let Some((seats, told)) = tables.get_mut(plan) {
            seats.retain(|s| &*s.present.window != window);
            tell(seats, told, now);
        }
    }

    /// Lets go of whoever was not heard of for long, and of tables that nobody is at or looks at.
    pub fn sweep(&self, plan: &Id, now: Instant) {
        let mut tables = self.tables();
        if let Some((seats, told)) = tables.get_mut(plan) {
            tell(seats, told, now);
            if seats.is_empty() && told.receiver_count() == 0 {
                tables.remove(plan);
            }
        }
    }

    /// Ends every stream: the program stops.
    pub fn close(&self) {
        self.closing.send_replace(true);
    }

    /// Becomes true when the program stops.
    pub fn closing(&self) -> watch::Receiver<bool> {
        self.closing.subscribe()
    }

    /// Lets every stream look again whether its hand is still let in.
    pub fn look_again(&self) {
        self.signed_out.send_modify(|n| *n += 1);
    }

    /// Changes when somebody was signed out, or may do something else.
    pub fn signed_out(&self) -> watch::Receiver<u64> {
        self.signed_out.subscribe()
    }
}

fn tell(seats: &mut Vec<Seat>, told: &watch::Sender<Table>, now: Instant) {
    seats.retain(|s| now.duration_since(s.heard) < FORGOTTEN_AFTER);
    told.send_if_modified(|table| {
        let same =
            table.len() == seats.len() && table.iter().zip(&*seats).all(|(a, b)| *a == b.present);
        if !same {
            *table = Arc::new(seats.iter().map(|s| s.present.clone()).collect());
        }
        !same
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    fn present(window: &str, field: &str) -> Present {
        Present {
            window: window.into(),
            person: Id::new(),
            who: "camera".into(),
            entity: "setup".into(),
            field: field.into(),
        }
    }

    #[test]
    fn a_hand_is_at_the_table_until_it_leaves_or_falls_silent() {
        let (hub, plan, start) = (Hub::default(), Id::new(), Instant::now());
        let told = hub.table(&plan);
        let fields =
            || -> Vec<String> { told.borrow().iter().map(|p| p.field.to_string()).collect() };
        hub.note(&plan, present("a", "f_number"), false, start);
        hub.note(&plan, present("b", "reach_m"), false, start);
        assert_eq!(fields(), ["f_number", "reach_m"]);
        let later = start + Duration::from_secs(20);
        hub.note(&plan, present("a", ""), false, later);
        assert_eq!(fields(), ["", "reach_m"]);
        // b was last heard of thirty seconds ago.
        hub.sweep(&plan, start + FORGOTTEN_AFTER);
        assert_eq!(fields(), [""]);
        hub.note(&plan, present("a", ""), true, later);
        assert!(fields().is_empty());
    }

    #[test]
    fn a_table_holds_no_more_than_it_can() {
        let (hub, plan, now) = (Hub::default(), Id::new(), Instant::now());
        for n in 0..MOST_AT_A_TABLE + 5 {
            hub.note(&plan, present(&n.to_string(), ""), false, now);
        }
        assert_eq!(hub.table(&plan).borrow().len(), MOST_AT_A_TABLE);
    }
}
