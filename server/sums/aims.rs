//! What people come to the bench sums to do, and which calculations help with it.

/// What one is trying to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Aim {
    /// Scale, rate, rigs.
    Move,
    /// Lens and stop.
    Sharp,
    /// Light, flicker, gels.
    Light,
    /// Haze and air.
    Haze,
    /// Lines and swing.
    Hang,
    /// Flags and projectors.
    Throw,
    /// Table, tiles, backing.
    Cover,
    /// Plaster, rubber, foam, sheet, paint, dust.
    Build,
    /// Depth, colour and sight in water.
    Water,
    /// Cells, cables, heat.
    Power,
    /// What tells.
    Pass,
    /// Day, cut, timecode.
    Order,
}

impl Aim {
    /// Every aim, in the order of the page.
    pub const ALL: &'static [Self] = &[
        Self::Move,
        Self::Sharp,
        Self::Light,
        Self::Haze,
        Self::Hang,
        Self::Throw,
        Self::Cover,
        Self::Build,
        Self::Water,
        Self::Power,
        Self::Pass,
        Self::Order,
    ];

    /// As a heading says it.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Move => "Give it weight and speed",
            Self::Sharp => "Get it sharp",
            Self::Light => "Light it",
            Self::Haze => "Thicken the air",
            Self::Hang => "Hang it",
            Self::Throw => "Throw shadow and picture",
            Self::Cover => "Fill the frame",
            Self::Build => "Cast, carve and cover",
            Self::Water => "Be under water",
            Self::Power => "Feed it",
            Self::Pass => "Pass for full size",
            Self::Order => "Put the day in order",
        }
    }

    /// What a family of calculations is for.
    pub fn of_family(family: &str) -> Self {
        match family {
            "scale-time" | "drive" => Self::Move,
            "lens" | "focus" | "story-stop" => Self::Sharp,
            "exposure" | "flicker" | "gel" | "colour" | "lamp-light" => Self::Light,
            "haze-optics" | "haze-fill" | "air-limits" => Self::Haze,
            "suspension" => Self::Hang,
            "shadow" | "projection" => Self::Throw,
            "coverage" => Self::Cover,
            "materials" | "dust" => Self::Build,
            "water" => Self::Water,
            "power" | "practicals" => Self::Power,
            "giveaway" => Self::Pass,
            _ => Self::Order,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A family that is new falls to the day's order; these are the ones that belong there.
    const OF_THE_DAY: &[&str] = &[
        "stage-day",
        "timecode",
        "continuity",
        "order-key",
        "ready",
        "order",
    ];

    #[test]
    fn every_family_is_where_people_look_for_it() {
        for calculation in stillair_calc::catalogue() {
            let family = calculation.family;
            let of_the_day = OF_THE_DAY.contains(&family);
            assert_eq!(Aim::of_family(family) == Aim::Order, of_the_day, "{family}");
        }
    }
}
