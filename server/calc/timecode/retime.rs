//! Record time and screen time.
//!
//! A retime as played frame for frame is `k = record rate / base rate`: screen seconds are k times record seconds. An
//! editorial scalar on top (2 is twice as fast) changes how many recorded frames the screen uses.

use std::fmt;

/// Frames left at each end of a take, at the base rate, when nobody says otherwise (common practice, no source).
pub const DEFAULT_HANDLE_FRAMES: u32 = 24;

/// Products of decimals such as 3.2 s × 25 fps carry rounding of about 1e-16; a count this near a whole or a half is one.
const COUNT_SLACK: f64 = 1e-9;

/// Frame counts beyond this are no shot (more than a month at 1000 frames a second) and no longer exact in every step.
const MOST_FRAMES: f64 = 4e9;

/// What has to be recorded for a length on screen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ScreenLength {
    /// Frames a second in camera; above 0.
    pub record_fps: f64,
    /// Frames a second on screen; above 0.
    pub base_fps: f64,
    /// Seconds on screen; 0 or more.
    pub screen_seconds: f64,
    /// Recorded frames before the part used.
    pub head_handle_frames: u32,
    /// Recorded frames after the part used.
    pub tail_handle_frames: u32,
    /// 1 as played frame for frame, 2 twice as fast; above 0.
    pub editorial_scalar: f64,
}

/// A recording that serves a length on screen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Recording {
    /// Frames on screen, rounded half away from zero.
    pub screen_frames: u64,
    /// Frames to record, handles included.
    pub record_frames: u64,
    /// Times slower than life as played frame for frame: record rate / base rate.
    pub k: f64,
    /// Seconds the camera runs at speed.
    pub record_seconds: f64,
    /// Seconds of action on the stage; a drive has to be at speed this long, after its run-up.
    pub action_seconds: f64,
}

/// Frames and seconds to record for a length on screen: `⌈screen frames × scalar⌉ + handles`.
///
/// # Errors
/// [`RetimeFault`] for a rate or scalar not above 0, a length below 0, or counts beyond any shot.
pub fn record_from_screen(screen: ScreenLength) -> Result<Recording, RetimeFault> {
    let ScreenLength {
        record_fps,
        base_fps,
        screen_seconds,
        editorial_scalar,
        ..
    } = screen;
    above_zero("record_fps", record_fps)?;
    above_zero("base_fps", base_fps)?;
    above_zero("editorial_scalar", editorial_scalar)?;
    if !(screen_seconds.is_finite() && screen_seconds >= 0.0) {
        return Err(RetimeFault::Negative {
            field: "screen_seconds",
        });
    }
    let screen_frames = round_half_up(screen_seconds * base_fps)?;
    let consumed = as_f64(screen_frames) * editorial_scalar;
    let record_frames = round_up(consumed)?
        + u64::from(screen.head_handle_frames)
        + u64::from(screen.tail_handle_frames);
    Ok(Recording {
        screen_frames,
        record_frames,
        k: record_fps / base_fps,
        record_seconds: as_f64(record_frames) / record_fps,
        action_seconds: consumed / record_fps,
    })
}

/// A recording of a known length.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RecordLength {
    /// Frames a second in camera; above 0.
    pub record_fps: f64,
    /// Frames a second on screen; above 0.
    pub base_fps: f64,
    /// Seconds recorded; 0 or more.
    pub record_seconds: f64,
}

/// What a recording gives on screen, played frame for frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Screen {
    /// Frames recorded, rounded half away from zero.
    pub record_frames: u64,
    /// Seconds on screen.
    pub screen_seconds: f64,
}

/// Frames recorded and the seconds they last on screen.
///
/// # Errors
/// [`RetimeFault`] for a rate not above 0, a length below 0, or counts beyond any shot.
pub fn screen_from_record(record: RecordLength) -> Result<Screen, RetimeFault> {
    above_zero("record_fps", record.record_fps)?;
    above_zero("base_fps", record.base_fps)?;
    if !(record.record_seconds.is_finite() && record.record_seconds >= 0.0) {
        return Err(RetimeFault::Negative {
            field: "record_seconds",
        });
    }
    let record_frames = round_half_up(record.record_seconds * record.record_fps)?;
    Ok(Screen {
        record_frames,
        screen_seconds: as_f64(record_frames) / record.base_fps,
    })
}

/// Why a retime cannot be worked out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RetimeFault {
    /// The field has to be above 0.
    NotAboveZero {
        /// Name of the field.
        field: &'static str,
    },
    /// The field has to be 0 or more.
    Negative {
        /// Name of the field.
        field: &'static str,
    },
    /// More frames than any shot has.
    TooManyFrames,
}

impl fmt::Display for RetimeFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotAboveZero { field } => write!(f, "{field} has to be a number above 0"),
            Self::Negative { field } => write!(f, "{field} has to be a number, 0 or more"),
            Self::TooManyFrames => f.write_str(
                "this comes to more frames than a shot can have: check seconds and rates",
            ),
        }
    }
}

impl std::error::Error for RetimeFault {}

fn above_zero(field: &'static str, value: f64) -> Result<(), RetimeFault> {
    if value.is_finite() && value > 0.0 {
        Ok(())
    } else {
        Err(RetimeFault::NotAboveZero { field })
    }
}

fn round_half_up(count: f64) -> Result<u64, RetimeFault> {
    whole((count + 0.5 + COUNT_SLACK).floor())
}

fn round_up(count: f64) -> Result<u64, RetimeFault> {
    whole((count - COUNT_SLACK).ceil())
}

fn whole(count: f64) -> Result<u64, RetimeFault> {
    if count > MOST_FRAMES {
        return Err(RetimeFault::TooManyFrames);
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a whole number checked against the range just above; below 0 it can only be −0"
    )]
    Ok(count as u64)
}

#[expect(
    clippy::cast_precision_loss,
    reason = "counts stay below 2^53, see MOST_FRAMES and the width of handles"
)]
fn as_f64(count: u64) -> f64 {
    count as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    const FOUR_SECONDS: ScreenLength = ScreenLength {
        record_fps: 96.0,
        base_fps: 24.0,
        screen_seconds: 4.0,
        head_handle_frames: DEFAULT_HANDLE_FRAMES,
        tail_handle_frames: DEFAULT_HANDLE_FRAMES,
        editorial_scalar: 1.0,
    };

    #[test]
    fn rounding_of_decimals_adds_no_frame() {
        let thirty = ScreenLength {
            screen_seconds: 30.0 / 24.0,
            editorial_scalar: 0.1,
            head_handle_frames: 0,
            tail_handle_frames: 0,
            ..FOUR_SECONDS
        };
        // 30 × 0.1 is a hair above 3 in binary.
        assert_eq!(record_from_screen(thirty).expect("a shot").record_frames, 3);
    }

    #[test]
    fn without_handles_the_recording_plays_back_to_the_screen_length() {
        let bare = ScreenLength {
            head_handle_frames: 0,
            tail_handle_frames: 0,
            ..FOUR_SECONDS
        };
        let recording = record_from_screen(bare).expect("a shot");
        let back = screen_from_record(RecordLength {
            record_fps: 96.0,
            base_fps: 24.0,
            record_seconds: recording.record_seconds,
        });
        assert_eq!(
            back.expect("a shot").screen_seconds.to_bits(),
            4.0_f64.to_bits()
        );
        assert_eq!(recording.action_seconds.to_bits(), 1.0_f64.to_bits());
    }

    #[test]
    fn each_bad_field_is_named() {
        let still = ScreenLength {
            record_fps: 0.0,
            ..FOUR_SECONDS
        };
        assert_eq!(
            record_from_screen(still),
            Err(RetimeFault::NotAboveZero {
                field: "record_fps"
            })
        );
        let backwards = ScreenLength {
            screen_seconds: -1.0,
            ..FOUR_SECONDS
        };
        assert_eq!(
            record_from_screen(backwards),
            Err(RetimeFault::Negative {
                field: "screen_seconds"
            })
        );
        let endless = ScreenLength {
            screen_seconds: 1e300,
            ..FOUR_SECONDS
        };
        assert_eq!(record_from_screen(endless), Err(RetimeFault::TooManyFrames));
    }
}
