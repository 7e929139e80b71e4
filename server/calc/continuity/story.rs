//! Damage and dirt in story order, and the order of shooting that they force.

use super::Severity;

/// Pairs of shots in which the state of one model falls without a repair between: each a clash.
///
/// `states` are the state numbers in story order. `repaired_before` holds the places before which a repair happens, in the
/// same count from 0. Returns (earlier, later) places.
pub fn damage_in_story_order(states: &[u32], repaired_before: &[usize]) -> Vec<(usize, usize)> {
    let repaired = |from: usize, to: usize| {
        repaired_before
            .iter()
            .any(|at| (from + 1..=to).contains(at))
    };
    let mut found = Vec::new();
    for (earlier, state) in states.iter().enumerate() {
        for (later, after) in states.iter().enumerate().skip(earlier + 1) {
            if after < state && !repaired(earlier, later) {
                found.push((earlier, later));
            }
        }
    }
    found
}

/// What lets a model go back to a lower state.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Copies {
    /// One physical copy: no way back.
    One,
    /// Another copy stands by.
    More,
    /// It can be cleaned; the minutes become a part of the changeover.
    CleanedIn {
        /// Minutes of cleaning.
        minutes: u32,
    },
}

/// Setups that have to come before others because one copy only gets worse: each of a state before each of the next state
/// present. Returns (before, after) places in `states`, lower states first.
pub fn damage_precedence(states: &[u32], copies: Copies) -> Vec<(usize, usize)> {
    if copies != Copies::One {
        return Vec::new();
    }
    let mut levels: Vec<u32> = states.to_vec();
    levels.sort_unstable();
    levels.dedup();
    let of = |level: u32| {
        let places = states
            .iter()
            .enumerate()
            .filter(move |(_, state)| **state == level);
        places.map(|(place, _)| place)
    };
    levels
        .windows(2)
        .flat_map(|pair| {
            of(pair[0]).flat_map(move |before| of(pair[1]).map(move |after| (before, after)))
        })
        .collect()
}

/// Whether a setup in `wanted` state can still be shot when the model stands at `reached`: a clash when the one copy no
/// longer exists in that state.
pub fn reshoot(reached: u32, wanted: u32, copies: Copies) -> Option<Severity> {
    (copies == Copies::One && wanted < reached).then_some(Severity::Clash)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_repair_between_clears_only_the_pairs_around_it() {
        assert_eq!(damage_in_story_order(&[1, 2, 0, 0], &[2]), []);
        assert_eq!(damage_in_story_order(&[1, 0, 0], &[2]), [(0, 1)]);
        assert_eq!(damage_in_story_order(&[0, 1, 1, 0], &[]), [(1, 3), (2, 3)]);
    }

    #[test]
    fn a_second_copy_or_a_clean_lifts_the_order() {
        assert_eq!(damage_precedence(&[4, 0, 2], Copies::One), [(1, 2), (2, 0)]);
        assert_eq!(damage_precedence(&[4, 0, 2], Copies::More), []);
        assert_eq!(
            damage_precedence(&[4, 0, 2], Copies::CleanedIn { minutes: 30 }),
            []
        );
    }

    #[test]
    fn what_no_longer_exists_cannot_be_shot_again() {
        assert_eq!(reshoot(2, 1, Copies::One), Some(Severity::Clash));
        assert_eq!(reshoot(2, 2, Copies::One), None);
        assert_eq!(reshoot(2, 1, Copies::More), None);
    }
}
