//! The parts of a changeover, who does them, and how they share the clock.

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

#[cfg(test)]
mod tests {
    use super::*;

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
}
