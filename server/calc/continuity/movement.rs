//! Direction on screen, the side of the line, and speed from shot to shot.

use super::{Severity, over};

/// Difference of apparent speed that is a look, a clash, as a part of the slower.
pub const APPARENT_SPEED_LIMITS: [f64; 2] = [0.15, 0.40];
/// Difference of scale speed that is a look, as a part of the slower.
pub const SCALE_SPEED_LIMIT: f64 = 0.10;

/// What a subject does on screen, or an event that lets its direction change.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Passage {
    /// Left to right.
    LeftToRight,
    /// Right to left.
    RightToLeft,
    /// Toward the camera.
    Toward,
    /// Away from the camera.
    Away,
    /// No direction; changes nothing.
    None,
    /// Event: the subject turns in sight.
    TurnsOnScreen,
    /// Event: the camera crosses the line in sight.
    CrossesTheLine,
}

impl Passage {
    const NAMES: [(&'static str, Self); 7] = [
        ("LR", Self::LeftToRight),
        ("RL", Self::RightToLeft),
        ("toward", Self::Toward),
        ("away", Self::Away),
        ("none", Self::None),
        ("turns on screen", Self::TurnsOnScreen),
        ("crosses the line", Self::CrossesTheLine),
    ];

    /// Reads `LR`, `RL`, `toward`, `away`, `none`, `turns on screen` or `crosses the line`; `None` for any other text.
    pub fn parse(text: &str) -> Option<Self> {
        let found = Self::NAMES.into_iter().find(|(name, _)| *name == text);
        found.map(|(_, passage)| passage)
    }

    /// The stored name.
    pub fn name(self) -> &'static str {
        Self::NAMES[self as usize].0
    }

    /// The direction in a mirrored print of the take.
    #[must_use]
    pub fn mirrored(self) -> Self {
        match self {
            Self::LeftToRight => Self::RightToLeft,
            Self::RightToLeft => Self::LeftToRight,
            other => other,
        }
    }
}

/// One step of a subject through the cut: a shot, or an event inside or between shots in its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Step {
    /// What it does.
    pub passage: Passage,
    /// Whether this and the step before are parts of one continuous move.
    pub continues_move: bool,
}

impl From<Passage> for Step {
    fn from(passage: Passage) -> Self {
        Self {
            passage,
            continues_move: false,
        }
    }
}

/// A direction that turns without a reason in sight. Places count from 0 in the sequence given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DirectionFinding {
    /// The shot with the earlier direction.
    pub since: usize,
    /// The shot with the other direction.
    pub at: usize,
    /// Look; clash when both are adjacent parts of one continuous move.
    pub severity: Severity,
}

/// Follows one subject through the cut: a shot that moves the other way than the last is found, unless it was seen head
/// on, from behind, turning, or across the line since then.
pub fn screen_direction(steps: &[Step]) -> Vec<DirectionFinding> {
    let mut last: Option<(usize, Passage)> = None;
    let mut found = Vec::new();
    for (at, step) in steps.iter().enumerate() {
        match step.passage {
            Passage::None => {}
            Passage::LeftToRight | Passage::RightToLeft => {
                if let Some((since, before)) = last
                    && before != step.passage
                {
                    let is_one_move = step.continues_move && since + 1 == at;
                    found.push(DirectionFinding {
                        since,
                        at,
                        severity: if is_one_move {
                            Severity::Clash
                        } else {
                            Severity::Look
                        },
                    });
                }
                last = Some((at, step.passage));
            }
            Passage::Toward | Passage::Away | Passage::TurnsOnScreen | Passage::CrossesTheLine => {
                last = None;
            }
        }
    }
    found
}

/// Where the camera stands to an axis.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CameraSide {
    /// On one side.
    One,
    /// On the other.
    Other,
    /// On the line itself.
    OnTheLine,
}

/// Two shots of one axis that meet in the cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LineCrossing {
    /// Whether both have the same axis.
    pub same_axis: bool,
    /// Camera side of each.
    pub sides: [CameraSide; 2],
    /// Whether a move across the line is seen, a shot on the line stands between, or a cutaway of something else does.
    pub bridged: bool,
}

/// How bad a cut across the line is: a look where nothing bridges it.
pub fn side_of_line(crossing: LineCrossing) -> Option<Severity> {
    use CameraSide::{One, Other};
    let crosses = matches!(crossing.sides, [One, Other] | [Other, One]);
    (crossing.same_axis && crosses && !crossing.bridged).then_some(Severity::Look)
}

/// How two speeds compare.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpeedDifference {
    /// Difference as a part of the slower; `None` when one of the two stands still.
    pub relative_difference: Option<f64>,
    /// How bad it is.
    pub severity: Option<Severity>,
}

/// Apparent speed of one moving subject in two adjacent shots, model lengths a screen second.
pub fn apparent_speed(lengths_per_second: [f64; 2]) -> SpeedDifference {
    compare(lengths_per_second, |difference| {
        let [look, clash] = APPARENT_SPEED_LIMITS.map(|limit| over(difference, limit));
        if clash {
            Some(Severity::Clash)
        } else {
            look.then_some(Severity::Look)
        }
    })
}

/// Scale speed of two adjacent shots: the frame rate against the one that gives the model its weight, a ratio for each.
pub fn scale_speed(ratios: [f64; 2]) -> SpeedDifference {
    compare(ratios, |difference| {
        over(difference, SCALE_SPEED_LIMIT).then_some(Severity::Look)
    })
}

/// The sign of a speed does not matter; from rest to motion any limit is passed.
fn compare(speeds: [f64; 2], grade: impl Fn(f64) -> Option<Severity>) -> SpeedDifference {
    let [a, b] = speeds.map(f64::abs);
    let (slower, faster) = (a.min(b), a.max(b));
    if slower > 0.0 || faster == 0.0 {
        let difference = if slower > 0.0 {
            (faster - slower) / slower
        } else {
            0.0
        };
        SpeedDifference {
            relative_difference: Some(difference),
            severity: grade(difference),
        }
    } else {
        SpeedDifference {
            relative_difference: None,
            severity: grade(f64::INFINITY),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use Passage::{CrossesTheLine, LeftToRight, None as Still, RightToLeft, Toward, TurnsOnScreen};

    fn found(passages: &[Passage]) -> Vec<usize> {
        let steps: Vec<Step> = passages.iter().copied().map(Step::from).collect();
        screen_direction(&steps)
            .iter()
            .map(|finding| finding.at)
            .collect()
    }

    #[test]
    fn a_reason_in_sight_clears_and_a_still_shot_does_not() {
        assert_eq!(found(&[LeftToRight, Still, RightToLeft]), [2]);
        for reason in [Toward, Passage::Away, TurnsOnScreen, CrossesTheLine] {
            let cut = [LeftToRight, reason, RightToLeft];
            assert_eq!(found(&cut), Vec::<usize>::new(), "{}", reason.name());
        }
    }

    #[test]
    fn mirroring_every_shot_changes_nothing() {
        let passages = [
            LeftToRight,
            RightToLeft,
            Toward,
            LeftToRight,
            Still,
            RightToLeft,
        ];
        assert_eq!(found(&passages), found(&passages.map(Passage::mirrored)));
    }

    #[test]
    fn inside_one_move_it_clashes() {
        let steps = [
            Step::from(LeftToRight),
            Step {
                passage: RightToLeft,
                continues_move: true,
            },
        ];
        let clash = DirectionFinding {
            since: 0,
            at: 1,
            severity: Severity::Clash,
        };
        assert_eq!(screen_direction(&steps), [clash]);
    }

    #[test]
    fn every_name_reads_back() {
        for (name, passage) in Passage::NAMES {
            assert_eq!(
                (Passage::parse(name), passage.name()),
                (Some(passage), name)
            );
        }
    }

    #[test]
    fn the_line_is_crossed_only_from_side_to_side() {
        let cut = |sides, bridged| {
            side_of_line(LineCrossing {
                same_axis: true,
                sides,
                bridged,
            })
        };
        assert_eq!(
            cut([CameraSide::One, CameraSide::Other], false),
            Some(Severity::Look)
        );
        assert_eq!(cut([CameraSide::One, CameraSide::Other], true), None);
        assert_eq!(cut([CameraSide::One, CameraSide::OnTheLine], false), None);
    }

    #[test]
    fn speeds_compare_the_same_both_ways_and_a_start_clashes() {
        assert_eq!(apparent_speed([0.5, 0.9]), apparent_speed([0.9, 0.5]));
        assert_eq!(apparent_speed([0.0, 0.0]).severity, None);
        let start = apparent_speed([0.0, 0.1]);
        assert_eq!(
            start,
            SpeedDifference {
                relative_difference: None,
                severity: Some(Severity::Clash)
            }
        );
        assert_eq!(apparent_speed([1.0, 1.15]).severity, None);
        assert_eq!(scale_speed([1.0, 1.12]).severity, Some(Severity::Look));
        assert_eq!(scale_speed([1.0, 1.1]).severity, None);
    }
}
