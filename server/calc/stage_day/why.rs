//! Why this order: what stays, what changes, and what one order costs against another.

use super::changeover::{Changeover, ChangeoverTable, Part, StageState};

/// Something that may stay from one setup to the next.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stays {
    /// The same dressing, variant and all.
    Dressing,
    /// The same rig on the stage.
    Rig,
    /// The same light plot.
    Light,
    /// The same gels.
    Gels,
    /// The same camera position.
    Camera,
    /// The same lens.
    Lens,
    /// The same class of air.
    Haze,
}

impl Stays {
    /// The word for it.
    pub fn word(self) -> &'static str {
        ["dressing", "rig", "light", "gels", "camera", "lens", "haze"][self as usize]
    }
}

/// One row of the explanation.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WhyRow {
    /// What stays from the setup before. A rig that neither has is not named.
    pub stays: Vec<Stays>,
    /// What changes and its minutes, in working order.
    pub changes: Vec<(Part, u32)>,
    /// Purge minutes that the night before saved; 0 on the same day.
    pub purge_saved_min: u32,
}

impl WhyRow {
    /// What stays, in words: `same dressing, rig and haze`; empty when nothing does.
    pub fn stays_in_words(&self) -> String {
        let words: Vec<&str> = self.stays.iter().map(|stays| stays.word()).collect();
        match words.split_last() {
            None => String::new(),
            Some((only, [])) => format!("same {only}"),
            Some((last, rest)) => format!("same {} and {last}", rest.join(", ")),
        }
    }
}

/// Whether two setups follow each other within a day or over a night.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Follows {
    /// Within the day.
    SameDay,
    /// First of a later day.
    OverNight,
}

/// What stays and what changes between two setups.
pub fn why_row(
    table: &ChangeoverTable,
    from: &StageState,
    to: &StageState,
    follows: Follows,
) -> WhyRow {
    let change = match follows {
        Follows::SameDay => table.between(from, to),
        Follows::OverNight => table.overnight(from, to),
    };
    let air = match follows {
        Follows::SameDay => from.haze,
        Follows::OverNight => table.overnight_haze,
    };
    let same = [
        (
            Stays::Dressing,
            from.dressing.is_some() && from.dressing == to.dressing,
        ),
        (Stays::Rig, from.rig.is_some() && from.rig == to.rig),
        (Stays::Light, from.light.is_some() && from.light == to.light),
        (Stays::Gels, from.gels.is_some() && from.gels == to.gels),
        (
            Stays::Camera,
            from.camera.is_some() && from.camera == to.camera,
        ),
        (Stays::Lens, from.lens.is_some() && from.lens == to.lens),
        (Stays::Haze, air == to.haze),
    ];
    WhyRow {
        stays: same
            .into_iter()
            .filter_map(|(stays, is_same)| is_same.then_some(stays))
            .collect(),
        changes: change.parts().collect(),
        purge_saved_min: match follows {
            Follows::SameDay => 0,
            Follows::OverNight => table.between(from, to).part(Part::HazeDown),
        },
    }
}

/// How often a part occurs in a plan and what it takes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct PartTotal {
    /// Changeovers in which it takes time.
    pub count: u32,
    /// Minutes altogether.
    pub minutes: u32,
}

/// One row of the table of parts, an order against another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PartsRow {
    /// The part.
    pub part: Part,
    /// In this order.
    pub here: PartTotal,
    /// In the other order.
    pub other: PartTotal,
}

/// Parts, counts and minutes of this order against another, every part in table order.
pub fn parts_table(here: &[Changeover], other: &[Changeover]) -> [PartsRow; 8] {
    Part::ALL.map(|part| PartsRow {
        part,
        here: part_total(here, part),
        other: part_total(other, part),
    })
}

fn part_total(changes: &[Changeover], part: Part) -> PartTotal {
    let taken = changes
        .iter()
        .map(|change| change.part(part))
        .filter(|minutes| *minutes > 0);
    taken.fold(PartTotal::default(), |total, minutes| PartTotal {
        count: total.count + 1,
        minutes: total.minutes.saturating_add(minutes),
    })
}

/// Cut order repaired to keep precedence: always the earliest in the cut whose forerunners are done.
///
/// `cut_order` is each setup's place in the cut; `precedence` holds (before, after) as rows of it. Returns the rows in
/// order, or `None` when the precedence runs in a ring or names a row there is not.
pub fn repaired_cut_order(cut_order: &[u32], precedence: &[(usize, usize)]) -> Option<Vec<usize>> {
    let n = cut_order.len();
    if precedence
        .iter()
        .any(|(before, after)| *before >= n || *after >= n)
    {
        return None;
    }
    let mut done = vec![false; n];
    let mut order = Vec::with_capacity(n);
    for _ in 0..n {
        let waits = |row: usize| {
            precedence
                .iter()
                .any(|(before, after)| *after == row && !done[*before])
        };
        let next = (0..n)
            .filter(|row| !done[*row] && !waits(*row))
            .min_by_key(|row| cut_order[*row])?;
        done[next] = true;
        order.push(next);
    }
    Some(order)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stage_day::changeover::{Dressing, Haze};

    fn state(camera: &str, haze: Haze) -> StageState {
        StageState {
            dressing: Some(Dressing::parse("D1.a")),
            camera: Some(camera.into()),
            haze,
            ..StageState::default()
        }
    }

    #[test]
    fn a_row_says_what_stays_and_what_changes() {
        let table = ChangeoverTable::default();
        let (one, two) = (state("C1", Haze::Dense), state("C2", Haze::Dense));
        let row = why_row(&table, &one, &two, Follows::SameDay);
        assert_eq!(row.stays_in_words(), "same dressing and haze");
        assert_eq!(row.changes, [(Part::Camera, 12)]);
    }

    #[test]
    fn a_night_shows_the_purge_it_saved_and_that_the_air_did_not_stay() {
        let table = ChangeoverTable::default();
        let (dense, light) = (state("C1", Haze::Dense), state("C1", Haze::Light));
        let row = why_row(&table, &dense, &light, Follows::OverNight);
        assert_eq!(row.purge_saved_min, 25);
        assert_eq!(row.stays_in_words(), "same dressing and camera");
        assert_eq!(row.changes, [(Part::HazeUp, 8)]);
    }

    #[test]
    fn cut_order_waits_for_forerunners_and_a_ring_has_no_order() {
        assert_eq!(
            repaired_cut_order(&[0, 1, 2], &[(2, 0)]),
            Some(vec![1, 2, 0])
        );
        assert_eq!(repaired_cut_order(&[0, 1], &[(0, 1), (1, 0)]), None);
        assert_eq!(repaired_cut_order(&[0], &[(0, 4)]), None);
    }
}
