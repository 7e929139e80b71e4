//! What does not cut together: pieces, light, direction, lamps, damage, match to live action, speed.
//!
//! Each rule compares two shots and says how bad the pair is. Every limit is common practice, no source, and a setting of
//! the plan; the constants here are where plans start. Out-of-order shooting changes nothing: pairs are compared in the
//! cut or in story order as each rule says, never in shooting order.

pub mod lamps;
pub mod live_action;
pub mod movement;
pub mod piece;
pub mod story;

/// How bad a finding is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Worth knowing.
    Note,
    /// Look at both frames before shooting.
    Look,
    /// Do not shoot before someone decides.
    Clash,
}

impl Severity {
    /// The word for it: `note`, `look`, `clash`.
    pub fn word(self) -> &'static str {
        ["note", "look", "clash"][self as usize]
    }
}

/// The word for a severity, `none` when there is no finding.
pub fn severity_word(severity: Option<Severity>) -> &'static str {
    severity.map_or("none", Severity::word)
}

/// Screen time within which two shots of different scenes count as near, seconds (own rule).
pub const NEAR_WINDOW_S: f64 = 20.0;

/// Two shots of the cut.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ShotPair {
    /// Whether they are in the same scene.
    pub same_scene: bool,
    /// Screen time from the end of one to the start of the other, seconds.
    pub gap_s: f64,
}

/// Whether two shots are near: in the same scene, or at most `window_s` of screen time apart.
pub fn near(pair: ShotPair, window_s: f64) -> bool {
    pair.same_scene || pair.gap_s <= window_s
}

/// Differences of decimals carry rounding; a value this near a limit is on it, not over it.
const LIMIT_SLACK: f64 = 1e-9;

/// Whether a difference is over its limit.
fn over(difference: f64, limit: f64) -> bool {
    difference > limit + LIMIT_SLACK
}

/// Whether a difference reaches a limit.
fn reaches(difference: f64, limit: f64) -> bool {
    difference >= limit - LIMIT_SLACK
}

/// The smaller angle between two directions, degrees from 0 to 180.
fn turn_between_deg(a_deg: f64, b_deg: f64) -> f64 {
    let turn = (a_deg - b_deg).rem_euclid(360.0);
    turn.min(360.0 - turn)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nearness_is_scene_or_window() {
        let pair = |same_scene, gap_s| near(ShotPair { same_scene, gap_s }, NEAR_WINDOW_S);
        assert!(pair(true, 300.0) && pair(false, 20.0) && !pair(false, 20.5));
    }

    #[test]
    fn angles_turn_the_short_way() {
        assert!((turn_between_deg(350.0, 20.0) - 30.0).abs() < 1e-12);
        assert!((turn_between_deg(-170.0, 170.0) - 20.0).abs() < 1e-12);
    }
}
