//! The clock of a stage day: times as people say them, and how late a day may wrap before the next call.

/// Minutes in a day.
pub const DAY: u32 = 1440;

/// A time of day as people say it, from minutes after midnight; past midnight it says so: `18:12`, `00:40 next day`.
pub fn time_of_day(minutes_after_midnight: u32) -> String {
    let (days, minutes) = (minutes_after_midnight / DAY, minutes_after_midnight % DAY);
    let time = format!("{:02}:{:02}", minutes / 60, minutes % 60);
    match days {
        0 => time,
        1 => format!("{time} next day"),
        _ => format!("{time}, {days} days on"),
    }
}

/// Two stage days that follow each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Turnaround {
    /// Latest wrap of the first day by its own rules, minutes after that day's midnight.
    pub latest_wrap_min: u32,
    /// Call of the next day, minutes after the next midnight.
    pub call_tomorrow_min: u32,
    /// Least rest between wrap and call, minutes. Law and the agreement in force decide the figure.
    pub turnaround_min: u32,
}

/// How late the first of two days may wrap.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WrapLimit {
    /// Latest wrap, minutes after midnight of the first day; negative when the rest would have to begin the day before.
    pub wrap_limit_min: i64,
    /// Which of the two rules set it.
    pub bound_by: WrapBound,
}

/// The rule that sets a wrap limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WrapBound {
    /// The day's own latest wrap.
    LatestWrap,
    /// The rest before tomorrow's call.
    Turnaround,
}

/// The latest wrap that keeps both the day's own limit and the rest before the next call:
/// `min(latest wrap, 1440 + next call − turnaround)`.
pub fn wrap_limit(days: Turnaround) -> WrapLimit {
    let latest_wrap = i64::from(days.latest_wrap_min);
    let rested =
        i64::from(DAY) + i64::from(days.call_tomorrow_min) - i64::from(days.turnaround_min);
    if rested < latest_wrap {
        WrapLimit {
            wrap_limit_min: rested,
            bound_by: WrapBound::Turnaround,
        }
    } else {
        WrapLimit {
            wrap_limit_min: latest_wrap,
            bound_by: WrapBound::LatestWrap,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_time_past_midnight_says_so() {
        assert_eq!(time_of_day(18 * 60 + 12), "18:12");
        assert_eq!(time_of_day(DAY + 40), "00:40 next day");
        assert_eq!(time_of_day(3 * DAY + 5), "00:05, 3 days on");
    }

    #[test]
    fn a_long_rest_pulls_the_wrap_before_the_days_own_limit() {
        let days = |turnaround_min| Turnaround {
            latest_wrap_min: 1260,
            call_tomorrow_min: 420,
            turnaround_min,
        };
        assert_eq!(wrap_limit(days(600)).bound_by, WrapBound::LatestWrap);
        assert_eq!(
            wrap_limit(days(720)),
            WrapLimit {
                wrap_limit_min: 1140,
                bound_by: WrapBound::Turnaround
            }
        );
        assert_eq!(wrap_limit(days(2000)).wrap_limit_min, -140);
    }
}
