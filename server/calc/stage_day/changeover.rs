//! The work between two setups, in parts and minutes.
//!
//! Haze rises in minutes and falls only by purging or waiting, so the cost from one setup to another is not the cost
//! back; over a night the air clears for nothing, so the overnight cost differs from the same-day cost.

use std::fmt;

use super::MAX_MINUTES;

/// How thick the air stands, as a class; the optical density belongs to the haze calculations.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Haze {
    /// No haze.
    #[default]
    Clear,
    /// A little: depth reads, lamps do not yet show their beams strongly.
    Light,
    /// Thick: beams stand in the air.
    Dense,
}

impl Haze {
    /// Every class, thinnest first.
    pub const ALL: [Self; 3] = [Self::Clear, Self::Light, Self::Dense];

    /// The word for the class: `clear`, `light`, `dense`.
    pub fn word(self) -> &'static str {
        ["clear", "light", "dense"][self as usize]
    }

    /// Reads the word for a class; `None` for any other text.
    pub fn parse(text: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|haze| haze.word() == text)
    }
}

/// A set dressing: the family it is built as and the variant it stands in, written `family.variant`.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Dressing {
    /// What is built; another family means striking and building.
    pub family: String,
    /// How it is arranged; another variant of the same family is a smaller change.
    pub variant: String,
}

impl Dressing {
    /// Reads `family.variant`, split at the first dot; without a dot the variant is empty.
    pub fn parse(text: &str) -> Self {
        let (family, variant) = text.split_once('.').unwrap_or((text, ""));
        Self {
            family: family.into(),
            variant: variant.into(),
        }
    }
}

/// What stands on the stage. The default is the empty stage in clear air, from which the first setup of a job starts.
///
/// For a setup every field but `rig` must have a value: one that does not care would make the cost depend on more than
/// the setup before. `rig: None` means the rig has to be off the stage, not that any rig will do.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub struct StageState {
    /// Dressing that stands; `None` on an empty stage.
    pub dressing: Option<Dressing>,
    /// Rig on the stage, by id; `None` when there is none.
    pub rig: Option<String>,
    /// Light plot, by id: where lamps stand and how they are flagged.
    pub light: Option<String>,
    /// Set of gels in the lamps of that plot, by id.
    pub gels: Option<String>,
    /// Camera position with height and tilt, by id.
    pub camera: Option<String>,
    /// Lens, by id.
    pub lens: Option<String>,
    /// Class of the air.
    pub haze: Haze,
}

/// A kind of changeover work.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Part {
    /// Striking, building or rearranging the set dressing.
    Dressing,
    /// Taking a rig off and putting another on.
    Rig,
    /// Moving to another light plot.
    Light,
    /// Changing gels while the lamps stay.
    Gels,
    /// Moving the camera.
    Camera,
    /// Changing the lens.
    Lens,
    /// Filling haze.
    HazeUp,
    /// Purging haze.
    HazeDown,
}

impl Part {
    /// Every part, in the order of tables.
    pub const ALL: [Self; 8] = [
        Self::Dressing,
        Self::Rig,
        Self::Light,
        Self::Gels,
        Self::Camera,
        Self::Lens,
        Self::HazeUp,
        Self::HazeDown,
    ];

    /// Every part in the order it is worked: the purge before people go in, the fill when they are out again.
    pub const WORKING_ORDER: [Self; 8] = [
        Self::HazeDown,
        Self::Dressing,
        Self::Rig,
        Self::Light,
        Self::Gels,
        Self::Camera,
        Self::Lens,
        Self::HazeUp,
    ];

    /// The name used in stored and exchanged data: `dressing`, … `haze_up`, `haze_down`.
    pub fn name(self) -> &'static str {
        [
            "dressing",
            "rig",
            "light",
            "gels",
            "camera",
            "lens",
            "haze_up",
            "haze_down",
        ][self as usize]
    }

    /// Reads the stored name; `None` for any other text.
    pub fn parse(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|part| part.name() == name)
    }

    /// The hands that do it.
    pub fn lane(self) -> Lane {
        match self {
            Self::Dressing | Self::Rig => Lane::Floor,
            Self::Camera | Self::Lens => Lane::Camera,
            Self::Light | Self::Gels => Lane::Lamps,
            Self::HazeUp | Self::HazeDown => Lane::Air,
        }
    }
}

/// People who can work at the same time as the others.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Lane {
    /// Dressing and rig.
    Floor,
    /// Camera and lens.
    Camera,
    /// Light and gels.
    Lamps,
    /// Haze up and down.
    Air,
}

impl Lane {
    /// Every lane.
    pub const ALL: [Self; 4] = [Self::Floor, Self::Camera, Self::Lamps, Self::Air];

    /// The lane's name: `floor`, `camera`, `lamps`, `air`.
    pub fn name(self) -> &'static str {
        ["floor", "camera", "lamps", "air"][self as usize]
    }
}

/// How the parts of one changeover share the clock.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Combine {
    /// Small crew, one thing at a time: the minutes add up.
    #[default]
    Sum,
    /// Lanes side by side, the air by itself (purge first, fill last): the longest of the other lanes plus the air.
    LanesAirApart,
    /// All four lanes side by side: the longest lane.
    ///
    /// Caution: this has people working in moving haze. Use it only where the exposure limits chosen for the stage allow
    /// it; local codes and a competent person decide.
    Lanes,
}

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
        let mut change = Changeover {
            minutes_by_part: [0; 8],
            combine: self.combine,
        };
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

/// One changeover, kept in parts because the explanation of an order is built from them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Changeover {
    /// Minutes of each part, indexed by [`Part`].
    pub minutes_by_part: [u32; 8],
    /// How the parts share the clock.
    pub combine: Combine,
}

impl Changeover {
    /// A changeover from its parts; parts not named take no time.
    pub fn from_parts(parts: &[(Part, u32)], combine: Combine) -> Self {
        let mut minutes_by_part = [0; 8];
        for (part, minutes) in parts {
            minutes_by_part[*part as usize] = *minutes;
        }
        Self {
            minutes_by_part,
            combine,
        }
    }

    /// Minutes of one part.
    pub fn part(&self, part: Part) -> u32 {
        self.minutes_by_part[part as usize]
    }

    /// The parts that take time, in the order they are worked.
    pub fn parts(&self) -> impl Iterator<Item = (Part, u32)> + '_ {
        Part::WORKING_ORDER
            .into_iter()
            .map(|part| (part, self.part(part)))
            .filter(|(_, minutes)| *minutes > 0)
    }

    /// Minutes of one lane: the sum of its parts.
    pub fn lane(&self, lane: Lane) -> u32 {
        Part::ALL
            .into_iter()
            .filter(|part| part.lane() == lane)
            .map(|part| self.part(part))
            .sum()
    }

    /// Minutes the whole changeover takes on the clock.
    pub fn minutes(&self) -> u32 {
        let hands = [Lane::Floor, Lane::Camera, Lane::Lamps].map(|lane| self.lane(lane));
        let longest = hands.into_iter().max().unwrap_or(0);
        match self.combine {
            Combine::Sum => self.minutes_by_part.iter().sum(),
            Combine::LanesAirApart => longest + self.lane(Lane::Air),
            Combine::Lanes => longest.max(self.lane(Lane::Air)),
        }
    }

    /// When each part is worked, in minutes after the start of the changeover. With lanes the spans overlap.
    pub fn schedule(&self) -> Vec<(Part, u32, u32)> {
        let before_hands = match self.combine {
            Combine::LanesAirApart => self.part(Part::HazeDown),
            Combine::Sum | Combine::Lanes => 0,
        };
        let fill = self.minutes() - self.part(Part::HazeUp);
        let mut lane_clock = [before_hands; 4];
        lane_clock[Lane::Air as usize] = 0;
        let mut one_clock = 0;
        self.parts()
            .map(|(part, minutes)| {
                let clock = match self.combine {
                    Combine::Sum => &mut one_clock,
                    _ => &mut lane_clock[part.lane() as usize],
                };
                let start = if part == Part::HazeUp { fill } else { *clock };
                *clock = start + minutes;
                (part, start, minutes)
            })
            .collect()
    }
}

/// A pair of setups that a visit to a third would make cheaper.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Detour {
    /// Row the way starts from.
    pub from: usize,
    /// Row visited on the way.
    pub via: usize,
    /// Row the way ends at.
    pub to: usize,
    /// Minutes straight there.
    pub direct_minutes: u32,
    /// Minutes by way of `via`.
    pub detour_minutes: u32,
}

/// Every triple that breaks the triangle inequality `c(a, c) ≤ c(a, b) + c(b, c)`.
///
/// A plan over such a matrix would "visit" a setup to save time, so the table is worth a second look. `minutes` is a
/// square matrix, row to column; a missing entry is passed over.
pub fn detours(minutes: &[Vec<u32>]) -> Vec<Detour> {
    let at = |from: usize, to: usize| minutes[from].get(to).copied();
    let n = minutes.len();
    let mut found = Vec::new();
    for from in 0..n {
        for to in (0..n).filter(|to| *to != from) {
            for via in (0..n).filter(|via| *via != from && *via != to) {
                let (Some(direct), Some(there), Some(on)) =
                    (at(from, to), at(from, via), at(via, to))
                else {
                    continue;
                };
                let detour = there.saturating_add(on);
                if direct > detour {
                    found.push(Detour {
                        from,
                        via,
                        to,
                        direct_minutes: direct,
                        detour_minutes: detour,
                    });
                }
            }
        }
    }
    found
}

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
    fn the_air_apart_is_never_shorter_than_the_lanes_side_by_side() {
        let parts = [
            (Part::HazeDown, 35),
            (Part::Dressing, 40),
            (Part::Light, 25),
            (Part::Camera, 12),
        ];
        let minutes = |combine| Changeover::from_parts(&parts, combine).minutes();
        assert_eq!(minutes(Combine::Sum), 112);
        assert_eq!(minutes(Combine::LanesAirApart), 75);
        assert_eq!(minutes(Combine::Lanes), 40);
    }

    #[test]
    fn the_schedule_fills_the_changeover_and_ends_with_the_fill() {
        let parts = [(Part::Dressing, 40), (Part::Camera, 12), (Part::HazeUp, 8)];
        let schedule = |combine| Changeover::from_parts(&parts, combine).schedule();
        assert_eq!(
            schedule(Combine::Sum),
            [
                (Part::Dressing, 0, 40),
                (Part::Camera, 40, 12),
                (Part::HazeUp, 52, 8)
            ]
        );
        assert_eq!(
            schedule(Combine::LanesAirApart),
            [
                (Part::Dressing, 0, 40),
                (Part::Camera, 0, 12),
                (Part::HazeUp, 40, 8)
            ]
        );
        let purge = [(Part::HazeDown, 20), (Part::Rig, 10)];
        assert_eq!(
            Changeover::from_parts(&purge, Combine::LanesAirApart).schedule(),
            [(Part::HazeDown, 0, 20), (Part::Rig, 20, 10)]
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
