//! Keys that hold the order of a shared list.
//!
//! A key is a text over `0-9A-Za-z`, compared byte by byte; rows with the same key go by their id. A move gives one row a
//! new key and touches no other, so two people moving different rows never meet. Keys never end in `0`, so there is
//! always room before one. Own definition: base 62 in ASCII order.

use std::fmt;

const DIGITS: &[u8; 62] = b"0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz";
const BASE: usize = DIGITS.len();

/// A list is given fresh keys in one batch when a key is longer than this.
pub const MAX_KEY_LENGTH: usize = 24;

/// Whether a key has grown so long that its list should be given fresh keys ([`spread`]).
pub fn needs_fresh_keys(key: &str) -> bool {
    key.len() > MAX_KEY_LENGTH
}

/// Why there is no key between two others.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum KeyFault {
    /// Not a key: empty, another character than `0-9A-Za-z`, or a `0` at the end.
    NotAKey {
        /// What was given.
        given: String,
    },
    /// The first does not come before the second. Rows that share a key have to be parted first: [`insert_at`].
    NotInOrder,
}

impl fmt::Display for KeyFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotAKey { given } => write!(
                f,
                "“{given}” is no order key: digits and letters only, and no 0 at the end"
            ),
            Self::NotInOrder => f.write_str(
                "there is no place between these two rows: the first has to come before the second",
            ),
        }
    }
}

impl std::error::Error for KeyFault {}

/// A key after one and before another; `None` is the start or the end of the list.
///
/// Goes digit by digit, a missing digit of the first counting 0 and of the second 62: equal digits are copied, a distance
/// above 1 is halved and ends the key, a distance of 1 copies the first and leaves the second open.
///
/// # Errors
/// [`KeyFault`] when one is no key or they are not in order.
pub fn between(after: Option<&str>, before: Option<&str>) -> Result<String, KeyFault> {
    let low = digits(after)?;
    let high = digits(before)?;
    if let (Some(after), Some(before)) = (after, before)
        && after >= before
    {
        return Err(KeyFault::NotInOrder);
    }
    let mut key = String::new();
    let mut is_open = before.is_none();
    for place in 0.. {
        let from = low.get(place).copied().unwrap_or(0);
        let to = match high.get(place) {
            Some(digit) if !is_open => *digit,
            _ => BASE,
        };
        if to - from > 1 {
            key.push(char::from(DIGITS[usize::midpoint(from, to)]));
            break;
        }
        key.push(char::from(DIGITS[from]));
        is_open |= to != from;
    }
    Ok(key)
}

fn digits(key: Option<&str>) -> Result<Vec<usize>, KeyFault> {
    let Some(key) = key else {
        return Ok(Vec::new());
    };
    let digits: Option<Vec<usize>> = key
        .bytes()
        .map(|byte| DIGITS.iter().position(|digit| *digit == byte))
        .collect();
    digits
        .filter(|digits| digits.last().is_some_and(|last| *last != 0))
        .ok_or_else(|| KeyFault::NotAKey { given: key.into() })
}

/// Keys for a fresh list of `count` rows, or for an old one that needs fresh keys: evenly spread, as short as leaves room
/// for several rows in every gap. A single row gets `V`.
pub fn spread(count: usize) -> Vec<String> {
    /// Places left in a gap before a key has to grow.
    const ROOM: u128 = 8;
    let gaps = count as u128 + 1;
    let mut width = 1;
    let mut places = BASE as u128;
    while count > 1 && places < gaps * ROOM {
        width += 1;
        places *= BASE as u128;
    }
    (1..gaps)
        .map(|index| written(index * places / gaps, width))
        .collect()
}

/// A number as a fixed count of digits, without the zeros at its end (which do not change its place).
fn written(mut value: u128, width: usize) -> String {
    let base = BASE as u128;
    let mut key = vec![DIGITS[0]; width];
    for place in key.iter_mut().rev() {
        let digit = (value % base) as usize;
        *place = DIGITS[digit];
        value /= base;
    }
    while key.last() == Some(&DIGITS[0]) {
        key.pop();
    }
    key.into_iter().map(char::from).collect()
}

/// What an insertion writes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Insertion {
    /// Key of the new or moved row.
    pub key: String,
    /// Rows that shared a key and had to be parted, with their new keys; empty as a rule.
    pub parted: Vec<(usize, String)>,
}

/// The key for a row put in front of row `index` of a list (its length: at the end). `keys` are the keys of the rows in
/// list order, without the row that moves.
///
/// Two rows dropped in the same gap at the same time may share a key, the id breaking the tie. An insertion between such
/// rows gives the ones after it new keys.
///
/// # Errors
/// [`KeyFault`] when a key beside the gap is no key or the list is out of order.
pub fn insert_at(keys: &[&str], index: usize) -> Result<Insertion, KeyFault> {
    let index = index.min(keys.len());
    let after = index.checked_sub(1).map(|last| keys[last]);
    let tied = match after {
        None => 0,
        Some(after) => keys[index..]
            .iter()
            .take_while(|key| **key == after)
            .count(),
    };
    let before = keys.get(index + tied).copied();
    let key = between(after, before)?;
    let mut parted: Vec<(usize, String)> = Vec::with_capacity(tied);
    for row in index..index + tied {
        let last = parted.last().map_or(&key, |(_, key)| key);
        let next = between(Some(last), before)?;
        parted.push((row, next));
    }
    Ok(Insertion { key, parted })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn assert_between(after: Option<&str>, before: Option<&str>) -> String {
        let key = between(after, before).expect("two keys in order");
        assert!(
            after.is_none_or(|after| after < key.as_str()),
            "{after:?} {key}"
        );
        assert!(
            before.is_none_or(|before| key.as_str() < before),
            "{key} {before:?}"
        );
        assert!(!key.ends_with('0'), "{key}");
        key
    }

    #[test]
    fn ten_thousand_random_insertions_stay_strictly_ordered() {
        let mut keys: Vec<String> = Vec::new();
        let mut seed: u64 = 20_260_729;
        for _ in 0..10_000 {
            // A linear congruential step is random enough to choose a gap.
            seed = seed
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            let gap = usize::try_from(seed >> 33).expect("31 bits") % (keys.len() + 1);
            let after = gap.checked_sub(1).map(|last| keys[last].clone());
            let key = assert_between(after.as_deref(), keys.get(gap).map(String::as_str));
            keys.insert(gap, key);
        }
        assert!(keys.windows(2).all(|pair| pair[0] < pair[1]));
    }

    #[test]
    fn a_thousand_insertions_in_one_gap_stay_ordered_from_either_side() {
        for toward_end in [false, true] {
            let (mut low, mut high) = ("A".to_string(), "B".to_string());
            for _ in 0..1000 {
                let key = assert_between(Some(&low), Some(&high));
                if toward_end { low = key } else { high = key }
            }
        }
    }

    #[test]
    fn what_is_no_key_or_out_of_order_is_refused() {
        for bad in ["", "a0", "0", "a-b", "é"] {
            let given = bad.to_string();
            assert_eq!(
                between(Some(bad), None),
                Err(KeyFault::NotAKey {
                    given: given.clone()
                })
            );
            assert_eq!(between(None, Some(bad)), Err(KeyFault::NotAKey { given }));
        }
        assert_eq!(between(Some("V"), Some("V")), Err(KeyFault::NotInOrder));
        assert_eq!(between(Some("b"), Some("a")), Err(KeyFault::NotInOrder));
    }

    #[test]
    fn fresh_keys_are_ordered_short_and_leave_room() {
        assert_eq!(spread(0), Vec::<String>::new());
        assert_eq!(spread(1), ["V"]);
        for count in [2, 7, 8, 61, 62, 500, 4000] {
            let keys = spread(count);
            assert_eq!(keys.len(), count);
            assert!(keys.windows(2).all(|pair| pair[0] < pair[1]), "{keys:?}");
            assert!(
                keys.iter().all(|key| key.len() <= 3 && !key.ends_with('0')),
                "{keys:?}"
            );
            let longest = keys
                .windows(2)
                .map(|pair| assert_between(Some(&pair[0]), Some(&pair[1])).len())
                .max();
            // Across the border of a digit the halving copies one more.
            assert!(longest <= Some(4), "{longest:?}");
        }
        assert!(needs_fresh_keys(&"z".repeat(25)) && !needs_fresh_keys(&"z".repeat(24)));
    }

    #[test]
    fn rows_that_share_a_key_are_parted_by_the_next_insertion() {
        let keys = ["G", "V", "V", "V", "k"];
        let inserted = insert_at(&keys, 2).expect("a list");
        assert_eq!(
            inserted
                .parted
                .iter()
                .map(|(row, _)| *row)
                .collect::<Vec<_>>(),
            [2, 3]
        );
        let order = [
            "V",
            &inserted.key,
            &inserted.parted[0].1,
            &inserted.parted[1].1,
            "k",
        ];
        assert!(order.windows(2).all(|pair| pair[0] < pair[1]), "{order:?}");
        // After the last of them nothing has to be parted.
        assert_eq!(insert_at(&keys, 4).expect("a list").parted, []);
        assert_eq!(insert_at(&[], 9).expect("an empty list").key, "V");
    }

    proptest! {
        #[test]
        fn there_is_a_key_between_any_two(a in "[0-9A-Za-z]{0,6}[1-9A-Za-z]", b in "[0-9A-Za-z]{0,6}[1-9A-Za-z]") {
            prop_assume!(a != b);
            let (low, high) = if a < b { (a, b) } else { (b, a) };
            assert_between(Some(&low), Some(&high));
            assert_between(None, Some(&low));
            assert_between(Some(&high), None);
        }
    }
}
