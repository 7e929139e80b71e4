//! What a stream sends first: the changes a reader missed, or the word that it must load the plan again.

/// What is sent to a reader who comes back.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Replay {
    /// Every change after this number, in order.
    Tail {
        /// The newest number the reader has.
        after: i64,
    },
    /// The plan as it stands has to be loaded again.
    Snapshot {
        /// The newest number here.
        at: i64,
        /// The reader has numbers this store never gave out: work that was acknowledged is missing here.
        ahead: bool,
    },
}

/// Decides from the id a reader names last (`epoch:seq`), the store's own epoch, its newest number and its `floor`, the
/// oldest number it can still send. A reader that names none has nothing yet.
pub fn replay_after(last_event_id: Option<&str>, epoch: &str, floor: i64, newest: i64) -> Replay {
    let known = last_event_id
        .and_then(|id| id.trim().rsplit_once(':'))
        .filter(|(known_epoch, _)| *known_epoch == epoch)
        .and_then(|(_, seq)| seq.parse::<i64>().ok());
    match known {
        Some(seq) if seq <= newest && seq >= floor - 1 => Replay::Tail { after: seq },
        Some(seq) => Replay::Snapshot {
            at: newest,
            ahead: seq > newest,
        },
        None => Replay::Snapshot {
            at: newest,
            ahead: false,
        },
    }
}
