//! The table of changeover minutes and the work it gives between two setups.
//!
//! Haze rises in minutes and falls only by purging or waiting, so the cost from one setup to another is not the cost
//! back; over a night the air clears for nothing, so the overnight cost differs from the same-day cost.

use std::fmt;

use super::MAX_MINUTES;
pub use super::detours::{Detour, detours};
pub use super::parts::{Changeover, Combine, Lane, Part};
pub use super::state::{Dressing, Haze, StageState};

/// Minutes of each kind of changeover work.
///
/// The default holds the starting values of the calculation (common practice, no source). A new plan starts from
/// [`ChangeoverTable::for_a_new_plan`].
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ChangeoverTable {
    /// Clearing one family of dressing, minutes.
    pub dressing_strike: u32,
    /// Building one family of dressing, minutes.
    pub dressing_build: u32,
    /// Going to another variant of the family that stands, minutes.
    pub dressing_variant: u32,
    /// Taking a rig off, minutes. The competent person's check of rigs and suspended loads is part of the two rig figures.
    pub unrig: u32,
    /// Putting a rig on, minutes.
    pub rig: u32,
    /// Moving to another light plot, minutes.
    pub relight: u32,
    /// Whether a relight puts the new gels in, so that gels cost nothing beside it.
    pub relight_includes_gels: bool,
    /// Changing the gels in lamps that stay, minutes.
    pub gel: u32,
    /// Moving the camera, minutes.
    pub camera: u32,
    /// Changing the lens, minutes.
    pub lens: u32,
    /// Minutes from one class of air (row) to another (column), in the order clear, light, dense.
    pub haze: [[u32; 3]; 3],
    /// How the air stands in the morning.
    pub overnight_haze: Haze,
    /// How the parts share the clock.
    pub combine: Combine,
}

impl Default for ChangeoverTable {
    fn default() -> Self {
        Self {
            dressing_strike: 15,
            dressing_build: 25,
            dressing_variant: 12,
            unrig: 10,
            rig: 20,
            relight: 25,
            relight_includes_gels: true,
            gel: 8,
            camera: 12,
            lens: 5,
            haze: [[0, 8, 15], [20, 0, 10], [35, 25, 0]],
            overnight_haze: Haze::Clear,
            combine: Combine::Sum,
        }
    }
}

impl ChangeoverTable {
    /// What a new plan starts from: slower than the default and nearer to a crew of four or five (common practice, no
    /// source). Purge minutes stay the default until they are worked out from tent and extract.
    pub fn for_a_new_plan() -> Self {
        Self {
            dressing_build: 60,
            dressing_variant: 20,
            rig: 35,
            relight: 45,
            lens: 10,
            ..Self::default()
        }
    }

    /// Refuses a table whose minutes are beyond a year, or that charges for air that stays as it is.
    ///
    /// # Errors
    /// [`TableFault`] names the first field that cannot be used.
    pub fn check(&self) -> Result<(), TableFault> {
        let fields = [
            ("dressing_strike", self.dressing_strike),
            ("dressing_build", self.dressing_build),
            ("dressing_variant", self.dressing_variant),
            ("unrig", self.unrig),
            ("rig", self.rig),
            ("relight", self.relight),
            ("gel", self.gel),
            ("camera", self.camera),
            ("lens", self.lens),
        ];
        let longest_haze = self.haze.iter().flatten().copied().max().unwrap_or(0);
        if let Some((field, _)) = fields
            .into_iter()
            .chain([("haze", longest_haze)])
            .find(|(_, minutes)| *minutes > MAX_MINUTES)
        {
            return Err(TableFault::TooLong { field });
        }
        match Haze::ALL
            .into_iter()
            .find(|haze| self.haze[*haze as usize][*haze as usize] != 0)
        {
            Some(haze) => Err(TableFault::SameAirCosts { haze }),
            None => Ok(()),
        }
    }

    /// The work from one state of the stage to another on the same day.
    pub fn between(&self, from: &StageState, to: &StageState) -> Changeover {
        self.with_air(from.haze, from, to)
    }

    /// The work over a night: the same parts, with the air as it stands in the morning, so a purge never appears
    /// (clear mornings) and a fill may.
    pub fn overnight(&self, from: &StageState, to: &StageState) -> Changeover {
        self.with_air(self.overnight_haze, from, to)
    }

    /// The work from an empty stage in clear air to the first setup of the job.
    pub fn initial(&self, to: &StageState) -> Changeover {
        self.between(&StageState::default(), to)
    }

    fn with_air(&self, air: Haze, from: &StageState, to: &StageState) -> Changeover {
        let mut change = Changeover::from_parts(&[], self.combine);
        let mut put = |part: Part, minutes: u32| change.minutes_by_part[part as usize] = minutes;
        put(
            Part::Dressing,
            self.dressing(from.dressing.as_ref(), to.dressing.as_ref()),
        );
        if from.rig != to.rig {
            let off = if from.rig.is_some() { self.unrig } else { 0 };
            let on = if to.rig.is_some() { self.rig } else { 0 };
            put(Part::Rig, off + on);
        }
        let relit = from.light != to.light;
        if relit {
            put(Part::Light, self.relight);
        }
        if from.gels != to.gels && !(relit && self.relight_includes_gels) {
            put(Part::Gels, self.gel);
        }
        if from.camera != to.camera {
            put(Part::Camera, self.camera);
        }
        if from.lens != to.lens {
            put(Part::Lens, self.lens);
        }
        let haze = self.haze[air as usize][to.haze as usize];
        if to.haze > air {
            put(Part::HazeUp, haze);
        } else {
            put(Part::HazeDown, haze);
        }
        change
    }

    fn dressing(&self, from: Option<&Dressing>, to: Option<&Dressing>) -> u32 {
        match (from, to) {
            (None, None) => 0,
            (None, Some(_)) => self.dressing_build,
            (Some(_), None) => self.dressing_strike,
            (Some(from), Some(to)) if from == to => 0,
            (Some(from), Some(to)) if from.family == to.family => self.dressing_variant,
            (Some(_), Some(_)) => self.dressing_strike + self.dressing_build,
        }
    }

    /// Same-day minutes from every setup (row) to every setup (column).
    pub fn matrix(&self, setups: &[StageState]) -> Vec<Vec<u32>> {
        let row = |from| {
            setups
                .iter()
                .map(|to| self.between(from, to).minutes())
                .collect()
        };
        setups.iter().map(row).collect()
    }

    /// Overnight minutes from every setup (row) to every setup (column).
    pub fn overnight_matrix(&self, setups: &[StageState]) -> Vec<Vec<u32>> {
        let row = |from| {
            setups
                .iter()
                .map(|to| self.overnight(from, to).minutes())
                .collect()
        };
        setups.iter().map(row).collect()
    }

    /// Minutes from the empty stage to every setup.
    pub fn initial_row(&self, setups: &[StageState]) -> Vec<u32> {
        setups.iter().map(|to| self.initial(to).minutes()).collect()
    }

    /// Detours between classes of air that would save minutes, from the haze rows alone: shown while the table is edited.
    pub fn haze_detours(&self) -> Vec<(Haze, Haze, Haze)> {
        let rows: Vec<Vec<u32>> = self.haze.iter().map(|row| row.to_vec()).collect();
        detours(&rows)
            .into_iter()
            .map(|d| (Haze::ALL[d.from], Haze::ALL[d.via], Haze::ALL[d.to]))
            .collect()
    }
}

/// Why a changeover table cannot be used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TableFault {
    /// A figure is beyond a year.
    TooLong {
        /// Name of the field.
        field: &'static str,
    },
    /// Air that stays as it is must cost nothing.
    SameAirCosts {
        /// The class charged to itself.
        haze: Haze,
    },
}

impl fmt::Display for TableFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooLong { field } => {
                write!(f, "{field} may be at most {MAX_MINUTES} minutes, a year")
            }
            Self::SameAirCosts { haze } => write!(
                f,
                "from {0} to {0} air is no change: give it 0 minutes",
                haze.word()
            ),
        }
    }
}

impl std::error::Error for TableFault {}

#[cfg(test)]
mod tests {
    use super::*;

    fn state(dressing: &str, haze: Haze) -> StageState {
        StageState {
            dressing: Some(Dressing::parse(dressing)),
            haze,
            ..StageState::default()
        }
    }

    #[test]
    fn a_variant_costs_less_than_another_family() {
        let table = ChangeoverTable::default();
        let change = |to| {
            table
                .between(&state("D1.a", Haze::Clear), &state(to, Haze::Clear))
                .part(Part::Dressing)
        };
        assert_eq!(
            [change("D1.a"), change("D1.b"), change("D2.a")],
            [0, 12, 40]
        );
    }

    #[test]
    fn a_night_does_the_purge() {
        let table = ChangeoverTable::default();
        let (dense, clear) = (state("D1.a", Haze::Dense), state("D1.a", Haze::Clear));
        assert_eq!(table.between(&dense, &clear).part(Part::HazeDown), 35);
        assert_eq!(table.overnight(&dense, &clear).minutes(), 0);
        assert_eq!(table.overnight(&dense, &dense).part(Part::HazeUp), 15);
    }

    #[test]
    fn gels_cost_beside_a_relight_only_when_the_table_says_so() {
        let lit = |light: &str, gels: &str| StageState {
            light: Some(light.into()),
            gels: Some(gels.into()),
            ..StageState::default()
        };
        let mut table = ChangeoverTable::default();
        assert_eq!(
            table.between(&lit("L1", "g1"), &lit("L2", "g2")).minutes(),
            25
        );
        table.relight_includes_gels = false;
        assert_eq!(
            table.between(&lit("L1", "g1"), &lit("L2", "g2")).minutes(),
            33
        );
    }

    #[test]
    fn a_detour_is_named_by_its_three() {
        let mut table = ChangeoverTable::default();
        assert_eq!(table.haze_detours(), []);
        table.haze[Haze::Dense as usize][Haze::Clear as usize] = 60;
        assert_eq!(
            table.haze_detours(),
            [(Haze::Dense, Haze::Light, Haze::Clear)]
        );
    }

    #[test]
    fn a_table_that_cannot_be_used_is_refused_with_its_field() {
        let mut table = ChangeoverTable::for_a_new_plan();
        assert_eq!(table.check(), Ok(()));
        table.haze[1][1] = 3;
        assert_eq!(
            table.check(),
            Err(TableFault::SameAirCosts { haze: Haze::Light })
        );
        table.rig = MAX_MINUTES + 1;
        assert_eq!(table.check(), Err(TableFault::TooLong { field: "rig" }));
    }
}
