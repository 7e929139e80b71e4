//! The frame rates that carry timecode.

use std::fmt;

use super::{Counting, TimecodeFault};

/// A frame rate as an exact fraction of frames a second.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct FrameRate {
    numerator: u32,
    denominator: u32,
}

impl FrameRate {
    /// 24 frames a second.
    pub const FPS_24: Self = Self::whole(24);
    /// 25 frames a second.
    pub const FPS_25: Self = Self::whole(25);
    /// 30 frames a second.
    pub const FPS_30: Self = Self::whole(30);
    /// 48 frames a second.
    pub const FPS_48: Self = Self::whole(48);
    /// 50 frames a second.
    pub const FPS_50: Self = Self::whole(50);
    /// 60 frames a second.
    pub const FPS_60: Self = Self::whole(60);
    /// 24000/1001, written 23.976.
    pub const FPS_23_976: Self = Self::slowed(24_000);
    /// 30000/1001, written 29.97.
    pub const FPS_29_97: Self = Self::slowed(30_000);
    /// 60000/1001, written 59.94.
    pub const FPS_59_94: Self = Self::slowed(60_000);

    /// Every rate that carries timecode here.
    pub const ALL: [Self; 9] = [
        Self::FPS_23_976,
        Self::FPS_24,
        Self::FPS_25,
        Self::FPS_29_97,
        Self::FPS_30,
        Self::FPS_48,
        Self::FPS_50,
        Self::FPS_59_94,
        Self::FPS_60,
    ];

    const fn whole(fps: u32) -> Self {
        Self {
            numerator: fps,
            denominator: 1,
        }
    }

    const fn slowed(numerator: u32) -> Self {
        Self {
            numerator,
            denominator: 1001,
        }
    }

    /// Frames a second over this many seconds, as an exact fraction: (30000, 1001).
    pub fn fraction(self) -> (u32, u32) {
        (self.numerator, self.denominator)
    }

    /// Frames a second.
    pub fn fps(self) -> f64 {
        f64::from(self.numerator) / f64::from(self.denominator)
    }

    /// Labels in one second of timecode: 24, 25, 30, 48, 50 or 60.
    pub fn nominal(self) -> u32 {
        self.numerator.div_ceil(self.denominator)
    }

    /// Labels left out at the start of a minute in drop-frame counting: 2 at 29.97, 4 at 59.94; `None` where there is no
    /// drop-frame (23.976 has none: its label falls 3.6 s behind the clock an hour).
    pub fn dropped_labels(self) -> Option<u32> {
        match self {
            Self::FPS_29_97 => Some(2),
            Self::FPS_59_94 => Some(4),
            _ => None,
        }
    }

    /// Reads `24`, `30000/1001` or the usual short form `29.97`.
    ///
    /// # Errors
    /// [`TimecodeFault::UnknownRate`] when the text is none of the nine rates.
    pub fn parse(text: &str) -> Result<Self, TimecodeFault> {
        let text = text.trim();
        Self::ALL
            .into_iter()
            .find(|rate| {
                let (numerator, denominator) = rate.fraction();
                text == rate.to_string()
                    || text == rate.short()
                    || text == format!("{numerator}/{denominator}")
            })
            .ok_or(TimecodeFault::UnknownRate)
    }

    /// The usual short form: `23.976`, `24`, `29.97`.
    pub fn short(self) -> String {
        match self {
            Self::FPS_23_976 => "23.976".into(),
            Self::FPS_29_97 => "29.97".into(),
            Self::FPS_59_94 => "59.94".into(),
            _ => self.to_string(),
        }
    }

    /// Frames in 24 hours of labels, where counting wraps.
    pub(super) fn frames_in_label_day(self, counting: Counting) -> i64 {
        let all = 86_400 * i64::from(self.nominal());
        match counting {
            Counting::NonDrop => all,
            Counting::Drop => all - i64::from(self.dropped_labels().unwrap_or(0)) * 1296,
        }
    }
}

impl fmt::Display for FrameRate {
    /// The exact form: `24`, `30000/1001`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.denominator {
            1 => write!(f, "{}", self.numerator),
            denominator => write!(f, "{}/{denominator}", self.numerator),
        }
    }
}
