//! What stands on the stage.

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
