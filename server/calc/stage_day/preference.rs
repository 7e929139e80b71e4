//! What chooses between plans of equal length: cut order and idle people.

use std::collections::BTreeMap;

/// Pairs shot against cut order.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Inversions {
    /// Pairs shot the other way round than they are cut.
    pub inversions: u64,
    /// Pairs there are, n(n − 1)/2.
    pub of: u64,
}

/// Counts the pairs shot against cut order. The argument is each setup's place in the cut, in shooting order; equal places
/// are no inversion.
pub fn cut_order_inversions<T: Ord>(cut_order_in_shooting_order: &[T]) -> Inversions {
    let (mut inversions, mut of) = (0, 0);
    for (index, earlier) in cut_order_in_shooting_order.iter().enumerate() {
        for later in &cut_order_in_shooting_order[index + 1..] {
            of += 1;
            inversions += u64::from(earlier > later);
        }
    }
    Inversions { inversions, of }
}

/// A setup's own block on one day, with the people it needs. Minutes after call.
#[derive(Clone, Copy, Debug)]
pub struct PeopleBlock<'a> {
    /// Start of the own block.
    pub start_min: u32,
    /// End of the own block.
    pub end_min: u32,
    /// Who has to be there; a person named twice counts once.
    pub people: &'a [&'a str],
}

/// Minutes each person of one day waits between own blocks.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct IdleMinutes<'a> {
    /// By person, in order of name.
    pub by_person: BTreeMap<&'a str, u32>,
    /// Of all people together.
    pub total_min: u32,
}

/// Idle person-minutes of one day: last end − first start of the setups that need the person − their own minutes − the
/// meal if it lies between. `meal` is its start and end, minutes after call.
pub fn idle_minutes<'a>(blocks: &[PeopleBlock<'a>], meal: Option<(u32, u32)>) -> IdleMinutes<'a> {
    struct Span {
        first: u32,
        last: u32,
        own: u32,
    }
    let mut spans: BTreeMap<&str, Span> = BTreeMap::new();
    for block in blocks {
        for (index, person) in block.people.iter().enumerate() {
            if block.people[..index].contains(person) {
                continue;
            }
            let span = spans.entry(person).or_insert(Span {
                first: u32::MAX,
                last: 0,
                own: 0,
            });
            span.first = span.first.min(block.start_min);
            span.last = span.last.max(block.end_min);
            span.own += block.end_min.saturating_sub(block.start_min);
        }
    }
    let by_person: BTreeMap<_, _> = spans
        .into_iter()
        .map(|(person, span)| {
            let between = meal.filter(|(start, end)| *start >= span.first && *end <= span.last);
            let eaten = between.map_or(0, |(start, end)| end.saturating_sub(start));
            let there = span.last.saturating_sub(span.first);
            (person, there.saturating_sub(span.own + eaten))
        })
        .collect();
    IdleMinutes {
        total_min: by_person.values().sum(),
        by_person,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_meal_between_two_blocks_is_not_idle_time() {
        let blocks = [
            PeopleBlock {
                start_min: 100,
                end_min: 160,
                people: &["camera"],
            },
            PeopleBlock {
                start_min: 240,
                end_min: 300,
                people: &["camera", "rig", "rig"],
            },
        ];
        assert_eq!(idle_minutes(&blocks, None).total_min, 80);
        let fed = idle_minutes(&blocks, Some((170, 230)));
        assert_eq!(fed.by_person, BTreeMap::from([("camera", 20), ("rig", 0)]));
        assert_eq!(idle_minutes(&blocks, Some((310, 370))).total_min, 80);
    }

    #[test]
    fn equal_places_are_in_order_and_reversal_inverts_every_pair() {
        assert_eq!(cut_order_inversions(&[1, 1, 2]).inversions, 0);
        assert_eq!(
            cut_order_inversions(&[4, 3, 2, 1]),
            Inversions {
                inversions: 6,
                of: 6
            }
        );
    }
}
