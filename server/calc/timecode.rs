//! Frame rates, timecode labels, retime, media volume and slates.
//!
//! A position is a whole frame count and a rate; timecode is only a label for it, and a frame's identity is its media and
//! its index there. Counting follows SMPTE ST 12-1 (from memory; the counting rule agrees with two general-purpose
//! libraries over a whole day).

use std::fmt;

pub mod media;
pub mod rate;
pub mod retime;
pub mod slate;

pub use rate::FrameRate;

/// How labels are counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Counting {
    /// Every label is used.
    NonDrop,
    /// The first labels of each minute not a multiple of ten are left out; no frame is lost.
    Drop,
}

/// A timecode label. Made by [`frames_to_timecode`] and [`Timecode::parse`], so it names a frame that exists.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Timecode {
    hours: u32,
    minutes: u32,
    seconds: u32,
    frames: u32,
    rate: FrameRate,
    counting: Counting,
}

/// The label of a frame. Counting wraps after 24 hours of labels; frames before 0 count back from there.
///
/// # Errors
/// [`TimecodeFault::NoDropFrame`] when drop-frame is asked of a rate that has none.
pub fn frames_to_timecode(
    frame: i64,
    rate: FrameRate,
    counting: Counting,
) -> Result<Timecode, TimecodeFault> {
    let nominal = i64::from(rate.nominal());
    let frame = frame.rem_euclid(rate.frames_in_label_day(counting));
    let label = match counting {
        Counting::NonDrop => frame,
        Counting::Drop => {
            let dropped = i64::from(rate.dropped_labels().ok_or(TimecodeFault::NoDropFrame)?);
            let in_ten_minutes = 600 * nominal - 9 * dropped;
            let in_minute = 60 * nominal - dropped;
            let (tens, rest) = (frame / in_ten_minutes, frame % in_ten_minutes);
            let minutes_begun = (rest - dropped).max(0) / in_minute;
            frame + 9 * dropped * tens + dropped * minutes_begun
        }
    };
    let whole = |value: i64| u32::try_from(value).unwrap_or(0);
    Ok(Timecode {
        hours: whole(label / (3600 * nominal)),
        minutes: whole(label / (60 * nominal) % 60),
        seconds: whole(label / nominal % 60),
        frames: whole(label % nominal),
        rate,
        counting,
    })
}

/// The frame a written label names: [`Timecode::parse`] and [`Timecode::frame`] in one.
///
/// # Errors
/// As [`Timecode::parse`].
pub fn timecode_to_frames(
    label: &str,
    rate: FrameRate,
    counting: Option<Counting>,
) -> Result<i64, TimecodeFault> {
    Timecode::parse(label, rate, counting).map(Timecode::frame)
}

impl Timecode {
    /// Reads `HH:MM:SS:FF` or, for drop-frame, `HH:MM:SS;FF`.
    ///
    /// `counting` is what the person said, if asked. At 29.97 and 59.94 a label with only colons may be either, so without
    /// an answer it is refused.
    ///
    /// # Errors
    /// [`TimecodeFault`]: not a label, a label that does not exist (never rounded to one that does), drop-frame where
    /// there is none, or a question to put to the person.
    pub fn parse(
        text: &str,
        rate: FrameRate,
        counting: Option<Counting>,
    ) -> Result<Self, TimecodeFault> {
        let text = text.trim();
        let written_drop = text.contains(';');
        let counting = match (written_drop, counting, rate.dropped_labels()) {
            (true, _, None) | (false, Some(Counting::Drop), None) => {
                return Err(TimecodeFault::NoDropFrame);
            }
            (true, Some(Counting::NonDrop), Some(_)) => return Err(TimecodeFault::WrittenAsDrop),
            (false, None, Some(_)) => return Err(TimecodeFault::DropOrNot),
            (true, _, Some(_)) => Counting::Drop,
            (false, said, _) => said.unwrap_or(Counting::NonDrop),
        };
        let [hours, minutes, seconds, frames] = fields(text).ok_or(TimecodeFault::NotALabel)?;
        let dropped = match counting {
            Counting::Drop => rate.dropped_labels().unwrap_or(0),
            Counting::NonDrop => 0,
        };
        let left_out = seconds == 0 && frames < dropped && minutes % 10 != 0;
        if hours > 23 || minutes > 59 || seconds > 59 || frames >= rate.nominal() || left_out {
            return Err(TimecodeFault::NoSuchLabel);
        }
        Ok(Self {
            hours,
            minutes,
            seconds,
            frames,
            rate,
            counting,
        })
    }

    /// The frame count from `00:00:00:00`.
    pub fn frame(self) -> i64 {
        let minutes = 60 * i64::from(self.hours) + i64::from(self.minutes);
        let label = (60 * minutes + i64::from(self.seconds)) * i64::from(self.rate.nominal())
            + i64::from(self.frames);
        match self.counting {
            Counting::NonDrop => label,
            Counting::Drop => {
                let dropped = i64::from(self.rate.dropped_labels().unwrap_or(0));
                label - dropped * (minutes - minutes / 10)
            }
        }
    }

    /// The rate it counts at.
    pub fn rate(self) -> FrameRate {
        self.rate
    }

    /// How it counts.
    pub fn counting(self) -> Counting {
        self.counting
    }
}

impl fmt::Display for Timecode {
    /// `HH:MM:SS:FF`, with `;` before the frames for drop-frame (common practice).
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self {
            hours,
            minutes,
            seconds,
            frames,
            ..
        } = self;
        let mark = match self.counting {
            Counting::Drop => ';',
            Counting::NonDrop => ':',
        };
        write!(f, "{hours:02}:{minutes:02}:{seconds:02}{mark}{frames:02}")
    }
}

/// The four numbers of a label: one or two digits each, colons between, colon or semicolon before the frames.
fn fields(text: &str) -> Option<[u32; 4]> {
    let (rest, frames) = text.rsplit_once([':', ';'])?;
    let mut numbers = rest.split(':').chain([frames]).map(|field| {
        let digits = (1..=2).contains(&field.len()) && field.bytes().all(|b| b.is_ascii_digit());
        digits.then(|| field.parse::<u32>().ok()).flatten()
    });
    let mut next = || numbers.next().flatten();
    let fields = [next()?, next()?, next()?, next()?];
    numbers.next().is_none().then_some(fields)
}

/// Seconds that a count of frames lasts: `frames × denominator / numerator`, worked in whole numbers and divided once.
pub fn elapsed_seconds(frames: i64, rate: FrameRate) -> f64 {
    let (numerator, denominator) = rate.fraction();
    let (numerator, ticks) = (
        i128::from(numerator),
        i128::from(frames) * i128::from(denominator),
    );
    #[expect(
        clippy::cast_precision_loss,
        reason = "whole seconds and a remainder below one second are far below 2^53 for any real count of frames"
    )]
    let seconds = (ticks / numerator) as f64 + (ticks % numerator) as f64 / numerator as f64;
    seconds
}

/// What a camera's timecode follows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LabelRun {
    /// One label for each recorded frame, whatever the record rate.
    WithFrames,
    /// Time of day: at high rates labels jump or repeat.
    WithClock,
}

/// Frames from one label up to another of the same recording, over midnight if the second is smaller.
///
/// # Errors
/// [`TimecodeFault::RunsWithClock`] for time-of-day labels, whose difference is no length, and
/// [`TimecodeFault::TwoCounts`] when the labels count differently.
pub fn length_frames(from: Timecode, to: Timecode, run: LabelRun) -> Result<i64, TimecodeFault> {
    if run == LabelRun::WithClock {
        return Err(TimecodeFault::RunsWithClock);
    }
    if from.rate != to.rate || from.counting != to.counting {
        return Err(TimecodeFault::TwoCounts);
    }
    let day = from.rate.frames_in_label_day(from.counting);
    Ok((to.frame() - from.frame()).rem_euclid(day))
}

/// Why a label or a rate cannot be used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TimecodeFault {
    /// The text is not four numbers.
    NotALabel,
    /// No frame carries this label.
    NoSuchLabel,
    /// The rate has no drop-frame counting.
    NoDropFrame,
    /// Written with a semicolon, said to be non-drop.
    WrittenAsDrop,
    /// At this rate the label may be drop-frame or not.
    DropOrNot,
    /// Not one of the nine rates.
    UnknownRate,
    /// Labels that follow the clock give no length.
    RunsWithClock,
    /// Labels of unlike rate or counting.
    TwoCounts,
}

impl fmt::Display for TimecodeFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::NotALabel => "write timecode as hours:minutes:seconds:frames, like 01:00:10:12",
            Self::NoSuchLabel => "no such label: no frame carries this timecode at this rate",
            Self::NoDropFrame => "drop-frame counting exists only at 29.97 and 59.94 frames a second",
            Self::WrittenAsDrop => "this label is written with a semicolon, as drop-frame: write a colon for non-drop",
            Self::DropOrNot => "at 29.97 and 59.94 say whether this label is drop-frame, or write a semicolon before the frames",
            Self::UnknownRate => "give one of the rates 23.976, 24, 25, 29.97, 30, 48, 50, 59.94, 60",
            Self::RunsWithClock => "time-of-day timecode gives no length at this record rate: count frames instead",
            Self::TwoCounts => "these two labels count differently: bring them to one rate first",
        })
    }
}

impl std::error::Error for TimecodeFault {}

#[cfg(test)]
mod tests {
    use super::*;

    fn there_and_back(rate: FrameRate, counting: Counting, frame: i64) {
        let label = frames_to_timecode(frame, rate, counting).expect("the rate counts so");
        let read = timecode_to_frames(&label.to_string(), rate, Some(counting));
        assert_eq!(read, Ok(frame), "{label} at {rate}");
    }

    #[test]
    fn every_drop_frame_of_a_day_comes_back() {
        for rate in [FrameRate::FPS_29_97, FrameRate::FPS_59_94] {
            let day = rate.frames_in_label_day(Counting::Drop);
            assert!([2_589_408, 5_178_816].contains(&day));
            // Every frame of the first hour, then a stride prime to the counts of minute and second.
            (0..rate.frames_in_label_day(Counting::Drop) / 24)
                .for_each(|f| there_and_back(rate, Counting::Drop, f));
            (0..day)
                .step_by(997)
                .for_each(|f| there_and_back(rate, Counting::Drop, f));
        }
    }

    #[test]
    fn every_rate_comes_back_in_non_drop() {
        for rate in FrameRate::ALL {
            let day = rate.frames_in_label_day(Counting::NonDrop);
            (0..day)
                .step_by(997)
                .for_each(|f| there_and_back(rate, Counting::NonDrop, f));
            assert_eq!(FrameRate::parse(&rate.short()), Ok(rate));
            assert_eq!(FrameRate::parse(&rate.to_string()), Ok(rate));
        }
    }

    #[test]
    fn counting_wraps_at_a_day_both_ways() {
        let label = |frame| {
            frames_to_timecode(frame, FrameRate::FPS_29_97, Counting::Drop)
                .expect("drop")
                .to_string()
        };
        assert_eq!(label(2_589_408), "00:00:00;00");
        assert_eq!(label(-1), "23:59:59;29");
    }

    #[test]
    fn a_label_that_could_be_either_is_a_question() {
        let read = |text, counting| timecode_to_frames(text, FrameRate::FPS_29_97, counting);
        assert_eq!(read("01:00:00:00", None), Err(TimecodeFault::DropOrNot));
        assert_eq!(read("01:00:00:00", Some(Counting::NonDrop)), Ok(108_000));
        assert_eq!(read("01:00:00:00", Some(Counting::Drop)), Ok(107_892));
        assert_eq!(
            read("01:00:00;00", Some(Counting::NonDrop)),
            Err(TimecodeFault::WrittenAsDrop)
        );
    }

    #[test]
    fn what_is_no_label_is_refused() {
        let read = |text| timecode_to_frames(text, FrameRate::FPS_24, None);
        for text in [
            "",
            "1",
            "1:2:3",
            "1:2:3:4:5",
            "-1:00:00:00",
            "00:00:00:+1",
            "00;00:00:00",
            "000:00:00:00",
        ] {
            assert!(
                matches!(
                    read(text),
                    Err(TimecodeFault::NotALabel | TimecodeFault::NoDropFrame)
                ),
                "{text}"
            );
        }
        for text in ["24:00:00:00", "00:60:00:00", "00:00:60:00", "00:00:00:24"] {
            assert_eq!(read(text), Err(TimecodeFault::NoSuchLabel), "{text}");
        }
        assert_eq!(read("00:00:01;00"), Err(TimecodeFault::NoDropFrame));
    }

    #[test]
    fn a_length_is_never_taken_from_time_of_day() {
        let at = |frame| {
            frames_to_timecode(frame, FrameRate::FPS_24, Counting::NonDrop).expect("non-drop")
        };
        assert_eq!(length_frames(at(10), at(58), LabelRun::WithFrames), Ok(48));
        assert_eq!(
            length_frames(at(2_073_599), at(1), LabelRun::WithFrames),
            Ok(2)
        );
        assert_eq!(
            length_frames(at(10), at(58), LabelRun::WithClock),
            Err(TimecodeFault::RunsWithClock)
        );
    }
}
