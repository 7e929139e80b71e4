//! What the people in the room breathe over the day.

use super::course::Course;

/// Hours that an eight-hour average is divided by, however long the day is: 29 CFR 1910.1000(d)(1).
const WORKING_DAY_H: f64 = 8.0;
/// A short-term average is taken over a quarter of an hour.
const QUARTER_MIN: f64 = 15.0;
/// Between the ends of pieces the moving average is looked at this often.
const LOOK_MIN: f64 = 1.0;

/// What was breathed in the room.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Breathed {
    /// Average over eight hours.
    pub average_8h_mgpm3: f64,
    /// Highest level.
    pub peak_mgpm3: f64,
    /// When, in minutes of the day.
    pub peak_at_min: f64,
    /// Highest average over fifteen minutes.
    pub worst_quarter_mgpm3: f64,
    /// When those minutes end.
    pub worst_quarter_ends_min: f64,
    /// Level times hours.
    pub dose_mg_h_pm3: f64,
}

/// Sums a day up.
pub fn breathed(course: &Course) -> Breathed {
    let (Some(first), Some(last)) = (course.pieces.first(), course.pieces.last()) else {
        return Breathed::default();
    };
    let mut out = Breathed {
        dose_mg_h_pm3: last.end().dose_mg_h_pm3,
        ..Breathed::default()
    };
    out.average_8h_mgpm3 = out.dose_mg_h_pm3 / WORKING_DAY_H;
    let mut minute = first.start_min;
    let mut ends = course.pieces.iter().map(|p| p.end_min).peekable();
    while minute <= last.end_min {
        let now = course.at(minute);
        if now.room_mgpm3 > out.peak_mgpm3 {
            (out.peak_mgpm3, out.peak_at_min) = (now.room_mgpm3, minute);
        }
        let before = course.at((minute - QUARTER_MIN).max(first.start_min));
        let quarter = (now.dose_mg_h_pm3 - before.dose_mg_h_pm3) / (QUARTER_MIN / 60.0);
        if quarter > out.worst_quarter_mgpm3 {
            (out.worst_quarter_mgpm3, out.worst_quarter_ends_min) = (quarter, minute);
        }
        let next = minute + LOOK_MIN;
        while ends.next_if(|end| *end <= minute).is_some() {}
        minute = match ends.peek() {
            Some(end) if *end < next => *end,
            _ => next,
        };
    }
    out
}
