//! Keeps every number of a scene within what can be drawn, so that no typed figure breaks a drawing.

use super::scene::{
    Camera, Frame, Lens, Limits, Line, ModelPath, Place, Rail, Scene, Size, Table, Tent, Thing,
    Throw, Turn,
};

/// Lengths beyond this, in millimetres, are drawn as this: a kilometre is no miniature stage.
const FARTHEST_MM: f64 = 1.0e6;
/// Steepest half angle of a frame that is drawn, in degrees.
const WIDEST_HALF_ANGLE_DEG: f64 = 85.0;
/// Steepest tilt that is drawn, in degrees; straight down has no plan.
const STEEPEST_TILT_DEG: f64 = 80.0;

/// A finite length kept within what is drawn; anything else is zero.
fn kept(mm: f64) -> f64 {
    if mm.is_finite() {
        mm.clamp(-FARTHEST_MM, FARTHEST_MM)
    } else {
        0.0
    }
}

/// A finite length that is not negative.
pub(crate) fn span(mm: f64) -> f64 {
    kept(mm).max(0.0)
}

/// An angle within `limit` either way.
fn angle(deg: f64, limit: f64) -> f64 {
    if deg.is_finite() {
        deg.clamp(-limit, limit)
    } else {
        0.0
    }
}

/// A heading, whole turns taken off.
fn heading(deg: f64) -> f64 {
    if deg.is_finite() { deg % 360.0 } else { 0.0 }
}

impl Place {
    fn bounded(self) -> Place {
        Place {
            x_mm: kept(self.x_mm),
            y_mm: kept(self.y_mm),
            z_mm: kept(self.z_mm),
        }
    }
}

impl Scene {
    /// The same scene with every number within what can be drawn, so that no typed figure breaks a drawing.
    #[must_use]
    pub fn bounded(&self) -> Scene {
        Scene {
            camera: self.camera.bounded(),
            focus_mm: self.focus_mm.map(span),
            limits: self.limits.map(|limits| Limits {
                near_mm: span(limits.near_mm),
                far_mm: limits
                    .far_mm
                    .filter(|far| far.is_finite())
                    .map(|far| span(far).max(span(limits.near_mm))),
            }),
            tent: self.tent.map(|tent| Tent {
                start_mm: kept(tent.start_mm.min(tent.end_mm)),
                end_mm: kept(tent.end_mm.max(tent.start_mm)),
                width_mm: span(tent.width_mm),
                height_mm: span(tent.height_mm),
            }),
            table: self.table.map(|table| Table {
                near_edge_mm: kept(table.near_edge_mm),
                length_mm: span(table.length_mm),
                width_mm: span(table.width_mm),
            }),
            water_end_mm: self.water_end_mm.filter(|end| end.is_finite()).map(span),
            path: self.path.map(|path| ModelPath {
                start: path.start.bounded(),
                heading_deg: heading(path.heading_deg),
                speed_mm_per_s: span(path.speed_mm_per_s),
                duration_s: span(path.duration_s),
                stage_s_per_cut_s: span(path.stage_s_per_cut_s),
                rail: path.rail.map(|rail| Rail {
                    height_mm: kept(rail.height_mm),
                    run_up_mm: span(rail.run_up_mm),
                    run_out_mm: span(rail.run_out_mm),
                }),
            }),
            things: self.things.iter().map(Thing::bounded).collect(),
            lines: self
                .lines
                .iter()
                .map(|line| Line {
                    top: line.top.bounded(),
                    foot: line.foot.bounded(),
                })
                .collect(),
            turn: self.turn.map(|turn| Turn {
                centre: turn.centre.bounded(),
                radius_mm: span(turn.radius_mm),
                from_deg: heading(turn.from_deg),
                sweep_deg: angle(turn.sweep_deg, 360.0),
            }),
            track_end: self.track_end.map(Place::bounded),
            extinction_per_m: if self.extinction_per_m.is_finite() {
                self.extinction_per_m.clamp(0.0, 1.0e6)
            } else {
                0.0
            },
            ..self.clone()
        }
    }
}

impl Camera {
    /// The same camera with every number within what can be drawn.
    #[must_use]
    pub(crate) fn bounded(&self) -> Camera {
        Camera {
            pupil_mm: kept(self.pupil_mm),
            height_mm: kept(self.height_mm),
            tilt_deg: angle(self.tilt_deg, STEEPEST_TILT_DEG),
            roll_deg: heading(self.roll_deg),
            frame: self.frame.map(|frame| Frame {
                half_width_deg: angle(frame.half_width_deg, WIDEST_HALF_ANGLE_DEG).abs(),
                half_height_deg: angle(frame.half_height_deg, WIDEST_HALF_ANGLE_DEG).abs(),
            }),
        }
    }
}

impl Lens {
    /// The same lens if it can draw a picture: every size finite and more than nothing.
    pub(crate) fn bounded(&self) -> Option<Lens> {
        let sizes = [
            self.sensor_width_mm,
            self.sensor_height_mm,
            self.squeeze,
            self.photosites_across,
            self.projection_mm,
        ];
        let drawn = |size: &f64| (1.0e-3..=1.0e6).contains(size);
        sizes.iter().all(drawn).then_some(*self)
    }
}

impl Thing {
    fn bounded(&self) -> Thing {
        Thing {
            place: self.place.bounded(),
            heading_deg: heading(self.heading_deg),
            pitch_deg: angle(self.pitch_deg, 90.0),
            size: Size {
                length_mm: span(self.size.length_mm),
                width_mm: span(self.size.width_mm),
                height_mm: span(self.size.height_mm),
            },
            throw: self.throw.map(|throw| Throw {
                distance_mm: span(throw.distance_mm),
                width_mm: span(throw.width_mm),
                height_mm: span(throw.height_mm),
            }),
            source_mm: span(self.source_mm),
            tile_mm: self
                .tile_mm
                .filter(|(along, across)| *along > 0.1 && *across > 0.1)
                .map(|(along, across)| (span(along), span(across))),
            ..self.clone()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn absurd_figures_are_kept_within_what_is_drawn() {
        let scene = Scene {
            focus_mm: Some(f64::MAX),
            limits: Some(Limits {
                near_mm: -5.0,
                far_mm: Some(f64::INFINITY),
            }),
            ..Scene::default()
        };
        let bounded = scene.bounded();
        assert_eq!(bounded.focus_mm, Some(1.0e6));
        assert_eq!(
            bounded.limits,
            Some(Limits {
                near_mm: 0.0,
                far_mm: None
            })
        );
    }
}
