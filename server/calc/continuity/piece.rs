//! One piece seen at two places.

use super::Severity;

/// How a piece stands in the second shot against the first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Orientation {
    /// The same face to the camera.
    Same,
    /// Turned 60° or more, another face to the camera and the key falling on it alike.
    Turned,
    /// From a mirrored mould, or in a mirrored print.
    Mirrored,
}

/// How far apart two shots are in the cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CutDistance {
    /// Next to each other, or in one frame.
    Adjacent,
    /// Near, with other shots between.
    Near,
    /// Outside the window.
    Far,
}

/// A piece that two shots show.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PieceReuse {
    /// 0 plain tile … 3 known from every side. Casts from one mould count as one piece.
    pub distinctiveness: u8,
    /// 0 far or soft, 1 middle, 2 near and sharp; the lesser of the two shots.
    pub visibility: u8,
    /// How it stands.
    pub orientation: Orientation,
    /// How far apart the shots are.
    pub distance: CutDistance,
    /// Whether it stands for the same place in both: then it should be the same.
    pub same_place: bool,
}

/// What the reuse of a piece comes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PieceScore {
    /// Distinctiveness + visibility, less one if disguised, less one if not adjacent; 0 where the rule does not apply.
    pub score: i32,
    /// 4 and more clash, 3 look, 2 note.
    pub severity: Option<Severity>,
}

/// How much a piece gives itself away by standing at two places. A turn or a mirror disguises only a piece that is not
/// known from every side.
pub fn piece_reuse(piece: PieceReuse) -> PieceScore {
    if piece.same_place || piece.distance == CutDistance::Far {
        return PieceScore {
            score: 0,
            severity: None,
        };
    }
    let is_disguised = piece.orientation != Orientation::Same && piece.distinctiveness < 3;
    let score = i32::from(piece.distinctiveness) + i32::from(piece.visibility)
        - i32::from(is_disguised)
        - i32::from(piece.distance != CutDistance::Adjacent);
    let severity = match score {
        4.. => Some(Severity::Clash),
        3 => Some(Severity::Look),
        2 => Some(Severity::Note),
        _ => None,
    };
    PieceScore { score, severity }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_step_away_lowers_the_score() {
        let arch = PieceReuse {
            distinctiveness: 2,
            visibility: 2,
            orientation: Orientation::Same,
            distance: CutDistance::Adjacent,
            same_place: false,
        };
        let severity = |piece| piece_reuse(piece).severity;
        assert_eq!(severity(arch), Some(Severity::Clash));
        let near = PieceReuse {
            distance: CutDistance::Near,
            ..arch
        };
        assert_eq!(severity(near), Some(Severity::Look));
        let turned = PieceReuse {
            orientation: Orientation::Turned,
            ..near
        };
        assert_eq!(severity(turned), Some(Severity::Note));
        assert_eq!(
            severity(PieceReuse {
                visibility: 1,
                ..turned
            }),
            None
        );
    }
}
