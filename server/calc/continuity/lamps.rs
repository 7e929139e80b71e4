//! Light, gels and haze of neighbouring shots, and the lamps that are part of the picture.

use super::{Severity, over, reaches, turn_between_deg};
use crate::stage_day::changeover::Haze;

/// Mired difference of the key that is a note, a look, a clash.
pub const MIRED_LIMITS: [f64; 3] = [15.0, 40.0, 90.0];
/// Turn of the key in azimuth that is a look, a clash, degrees.
pub const AZIMUTH_LIMITS_DEG: [f64; 2] = [30.0, 90.0];
/// Difference of two lamp levels that is a look, points of per cent.
pub const LEVEL_LIMIT_POINTS: f64 = 25.0;

/// Two adjacent shots of one story time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NeighbourLight {
    /// Whether both show the same place; otherwise there is nothing to compare.
    pub same_place: bool,
    /// Whether the story changes the light between them (a lamp passes, a door opens), which clears it.
    pub planned_change: bool,
    /// Class of the air in each.
    pub haze: [Haze; 2],
    /// Difference of the key, mired; the sign does not matter.
    pub mired_difference: f64,
    /// Azimuth of the key in each, degrees, after allowing for the camera's turn; `None` when not known.
    pub key_azimuth_deg: Option<[f64; 2]>,
    /// Whether the sets of gels differ.
    pub gels_differ: bool,
}

/// What differs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LightPart {
    /// The class of air.
    Haze,
    /// The colour of the key.
    Mired,
    /// Where the key comes from.
    Azimuth,
    /// Other gels that come to the same mired: their green–magenta may differ.
    Gels,
}

/// What differs between two neighbours, each with its severity, in the order of [`LightPart`]. The worst counts
/// ([`worst`]).
pub fn neighbour_light(light: &NeighbourLight) -> Vec<(LightPart, Severity)> {
    if !light.same_place || light.planned_change {
        return Vec::new();
    }
    let steps = (light.haze[0] as u8).abs_diff(light.haze[1] as u8);
    let haze = match steps {
        0 => None,
        1 => Some(Severity::Look),
        _ => Some(Severity::Clash),
    };
    let difference = light.mired_difference.abs();
    let [note, look, clash] = MIRED_LIMITS.map(|limit| reaches(difference, limit));
    let mired = match (note, look, clash) {
        (_, _, true) => Some(Severity::Clash),
        (_, true, _) => Some(Severity::Look),
        (true, ..) => Some(Severity::Note),
        _ => None,
    };
    let azimuth = light.key_azimuth_deg.and_then(|[a, b]| {
        let turn = turn_between_deg(a, b);
        let [look, clash] = AZIMUTH_LIMITS_DEG.map(|limit| over(turn, limit));
        if clash {
            Some(Severity::Clash)
        } else {
            look.then_some(Severity::Look)
        }
    });
    let gels = (light.gels_differ && mired.is_none()).then_some(Severity::Note);
    [
        (LightPart::Haze, haze),
        (LightPart::Mired, mired),
        (LightPart::Azimuth, azimuth),
        (LightPart::Gels, gels),
    ]
    .into_iter()
    .filter_map(|(part, severity)| severity.map(|severity| (part, severity)))
    .collect()
}

/// The worst of several parts.
pub fn worst<T>(parts: &[(T, Severity)]) -> Option<Severity> {
    parts.iter().map(|(_, severity)| *severity).max()
}

/// One lamp of a model across a cut inside continuous story time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PracticalLevel {
    /// Level in each shot, per cent; 0 is off.
    pub levels_percent: [f64; 2],
    /// Whether the story changes it between the two (the power fails), which clears it.
    pub event_between: bool,
}

/// How bad a lamp's change across a cut is: on against off clashes, more than 25 points is a look.
pub fn practical_level(lamp: PracticalLevel) -> Option<Severity> {
    let [a, b] = lamp.levels_percent;
    if lamp.event_between {
        None
    } else if (a > 0.0) != (b > 0.0) {
        Some(Severity::Clash)
    } else {
        over((a - b).abs(), LEVEL_LIMIT_POINTS).then_some(Severity::Look)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ALIKE: NeighbourLight = NeighbourLight {
        same_place: true,
        planned_change: false,
        haze: [Haze::Light; 2],
        mired_difference: 0.0,
        key_azimuth_deg: None,
        gels_differ: false,
    };

    #[test]
    fn the_worst_part_counts_and_a_planned_change_clears_all() {
        let light = NeighbourLight {
            haze: [Haze::Light, Haze::Dense],
            mired_difference: -15.0,
            key_azimuth_deg: Some([350.0, 85.0]),
            ..ALIKE
        };
        let parts = neighbour_light(&light);
        assert_eq!(
            parts,
            [
                (LightPart::Haze, Severity::Look),
                (LightPart::Mired, Severity::Note),
                (LightPart::Azimuth, Severity::Clash)
            ]
        );
        assert_eq!(worst(&parts), Some(Severity::Clash));
        let planned = NeighbourLight {
            planned_change: true,
            ..light
        };
        assert_eq!(neighbour_light(&planned), []);
        assert_eq!(
            neighbour_light(&NeighbourLight {
                same_place: false,
                ..light
            }),
            []
        );
    }

    #[test]
    fn other_gels_of_the_same_mired_are_a_note() {
        let light = NeighbourLight {
            gels_differ: true,
            ..ALIKE
        };
        assert_eq!(neighbour_light(&light), [(LightPart::Gels, Severity::Note)]);
    }

    #[test]
    fn a_story_event_clears_a_lamp() {
        let lamp = |event_between| {
            practical_level(PracticalLevel {
                levels_percent: [100.0, 0.0],
                event_between,
            })
        };
        assert_eq!([lamp(false), lamp(true)], [Some(Severity::Clash), None]);
    }
}
