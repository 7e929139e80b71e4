//! Coverage: the table that is seen, tiles to cast, backings, and how tall a piece may be.

mod backing;
mod tiles;

pub use backing::{Short, backing_short_mm};
pub use tiles::tiles_seen;

use super::{
    Told, figure,
    further::{BlankOf, Further, of_setup},
    lens, step,
};
use crate::{
    plan::setups::facts::{Facts, Gap},
    web::parts::Figure,
};
use stillair_calc::{
    Calculate as _, Worked,
    coverage::{GroundQuad, PieceHeight, TableSeen, ground::Ground},
    figure::{fixed, found, given, significant},
};

/// The ledger.
pub const LEDGER: Further = Further {
    id: "coverage",
    title: "Coverage",
    closed: "no tile field or backing stands here",
    needed: |facts| {
        facts
            .things
            .iter()
            .any(|t| t.is("tiles") || t.is("backing"))
    },
    openers: &["tile_spare_percent"],
    blanks: |facts| -> Vec<BlankOf<'_>> {
        if facts.things_of("tiles").next().is_none() {
            return Vec::new();
        }
        of_setup(facts, &["tile_spare_percent"])
    },
    figures: ledger,
};

/// What every coverage calculation takes of the camera.
struct Seen {
    /// Pupil over the floor that is looked at.
    height_mm: f64,
    /// Pupil ahead of the mark, along the floor.
    ahead_mm: f64,
    tilt_deg: f64,
    optics: lens::Optics,
    /// What the sensor sees across, the squeeze in it.
    sees_mm: f64,
    sensor_mm: (f64, f64),
    squeeze: f64,
}

impl Seen {
    fn of(facts: &Facts<'_>, floor_mm: f64) -> Result<Self, Gap> {
        let optics = lens::optics(facts)?;
        let tilt_deg = facts.get("tilt_deg")?;
        let (sin, cos) = tilt_deg.to_radians().sin_cos();
        let sensor_mm = (
            facts.get("sensor_width_mm")?,
            facts.get("sensor_height_mm")?,
        );
        let squeeze = facts.get("squeeze")?;
        Ok(Self {
            // Tilted down, the pupil stands lower than the mark, and less far ahead of it.
            height_mm: facts.get("camera_height_mm")? - optics.pupil_from_mark_mm * sin - floor_mm,
            ahead_mm: optics.pupil_from_mark_mm * cos,
            tilt_deg,
            optics,
            sees_mm: sensor_mm.0 * squeeze,
            sensor_mm,
            squeeze,
        })
    }

    /// Half the vertical angle of view.
    fn half_deg(&self) -> f64 {
        (self.sensor_mm.1 / 2.0 / self.optics.projection_distance_mm())
            .atan()
            .to_degrees()
    }

    /// How far the frame's top points above the horizon.
    fn top_deg(&self) -> f64 {
        self.half_deg() - self.tilt_deg
    }

    fn ground(&self) -> Result<Worked<Ground>, Gap> {
        Ok(GroundQuad {
            camera_height_m: self.height_mm / 1000.0,
            tilt_down_deg: self.tilt_deg,
            focal_length_mm: self.optics.focal_length_mm,
            focus_distance_from_entrance_pupil_mm: self.optics.focus_from_pupil_mm,
            sensor_width_mm: self.sensor_mm.0,
            sensor_height_mm: self.sensor_mm.1,
            pupil_magnification: self.optics.pupil_magnification,
            squeeze: self.squeeze,
        }
        .work()?)
    }
}

/// Where the table begins and ends, from the mark.
fn table_mm(facts: &Facts<'_>) -> Result<(f64, f64), Gap> {
    let near = facts.get("table_near_mm")?;
    Ok((near, near + facts.get("table_length_mm")?))
}

fn ledger(facts: &Facts<'_>) -> Vec<Figure> {
    let mut all = if looks_over(facts) {
        vec![over_it(facts)]
    } else {
        vec![seen_from(facts), seen_to(facts), seen_area(facts)]
    };
    all.push(horizon(facts));
    all.extend(
        facts
            .things_of("tiles")
            .flat_map(|field| tiles::of_field(facts, field)),
    );
    all.extend(
        facts
            .things_of("backing")
            .flat_map(|cloth| backing::of_cloth(facts, cloth)),
    );
    all.push(tallest(
        facts,
        "tall-near",
        "Tallest at the nearest piece",
        "nearest_piece_mm",
    ));
    all.push(tallest(
        facts,
        "tall-far",
        "Tallest at the farthest piece",
        "farthest_piece_mm",
    ));
    all
}

/// Whether the frame's lowest ray passes over the table's end.
fn looks_over(facts: &Facts<'_>) -> bool {
    let over = |f: &Facts<'_>| -> Result<bool, Gap> {
        let s = Seen::of(f, 0.0)?;
        let (_, ends) = table_mm(f)?;
        let lowest = (s.tilt_deg + s.half_deg()).to_radians().tan();
        Ok(lowest <= 0.0 || s.ahead_mm + s.height_mm / lowest >= ends)
    };
    over(facts).unwrap_or(false)
}

fn over_it(facts: &Facts<'_>) -> Figure {
    figure(facts, "table-seen", "5", "Table seen", "", |f| {
        let s = Seen::of(f, 0.0)?;
        let (_, ends) = table_mm(f)?;
        // Down to the table's end the frame's lowest ray has to point so far below the horizon.
        let from_pupil_mm = (ends - s.ahead_mm).max(1.0);
        let wanted_deg = (s.height_mm / from_pupil_mm).atan().to_degrees() - s.half_deg();
        Ok(Told::new(
            "none",
            "",
            format!(
                "The frame’s lowest ray passes over the table’s end at {} mm. Tilted down {}° it would begin to see it.",
                found(ends.round()),
                fixed(wanted_deg, 1)
            ),
            "central projection",
        ))
    })
}

fn seen_from(facts: &Facts<'_>) -> Figure {
    figure(facts, "table-seen", "5", "Table seen from", "mm", |f| {
        let s = Seen::of(f, 0.0)?;
        let worked = s.ground()?;
        let near_mm = s.ahead_mm + worked.near_edge_m * 1000.0;
        let shown = found(near_mm.round());
        let roll = match f.find("roll_deg") {
            Some(roll) if roll != 0.0 => {
                format!(" Worked level: the roll of {}° is not in it.", given(roll))
            }
            _ => String::new(),
        };
        let mut told = Told::new(
            shown.clone(),
            format!(
                "{} + {} ÷ tan({}°) = {shown}",
                step(s.ahead_mm),
                step(s.height_mm),
                step(s.tilt_deg + s.half_deg())
            ),
            format!(
                "From the mark, by the frame’s lowest ray; {} mm wide there.{roll}",
                found((worked.near_width_m * 1000.0).round())
            ),
            worked.source,
        );
        let (begins, _) = table_mm(f)?;
        if begins > near_mm + 0.5 {
            told.over = format!(
                "The table begins at {} mm, so its edge is in the picture. Begin it at {shown} mm.",
                found(begins)
            );
        }
        Ok(told)
    })
}

fn seen_to(facts: &Facts<'_>) -> Figure {
    figure(facts, "table-seen-to", "5", "Table seen to", "mm", |f| {
        let s = Seen::of(f, 0.0)?;
        let worked = s.ground()?;
        let (begins, ends) = table_mm(f)?;
        let far_mm = s.ahead_mm + worked.far_edge_m.0 * 1000.0;
        if far_mm < ends {
            let shown = found(far_mm.round());
            return Ok(Told::new(
                shown.clone(),
                format!(
                    "{} + {} ÷ tan({}°) = {shown}",
                    step(s.ahead_mm),
                    step(s.height_mm),
                    step(-s.top_deg())
                ),
                "From the mark, by the frame’s highest ray: the whole picture is table.",
                worked.source,
            ));
        }
        let shown = found(ends.round());
        let mut told = Told::new(
            shown.clone(),
            format!("{} + {} = {shown}", given(begins), given(ends - begins)),
            if worked.horizon_in_frame {
                "From the mark, to the table’s end. The horizon is in frame."
            } else {
                "From the mark, to the table’s end, which is in frame."
            },
            "",
        );
        if f.things_of("backing").next().is_none() {
            told.over = "Nothing stands behind the table: hang a backing.".into();
        }
        Ok(told)
    })
}

fn seen_area(facts: &Facts<'_>) -> Figure {
    figure(facts, "table-area", "5", "Table in frame", "m²", |f| {
        let s = Seen::of(f, 0.0)?;
        let (begins, ends) = table_mm(f)?;
        let width = f.get("table_width_mm")?;
        let worked = TableSeen {
            camera_height_m: s.height_mm / 1000.0,
            tilt_down_deg: s.tilt_deg,
            focal_length_mm: s.optics.focal_length_mm,
            focus_distance_from_entrance_pupil_mm: s.optics.focus_from_pupil_mm,
            sensor_width_mm: s.sensor_mm.0,
            sensor_height_mm: s.sensor_mm.1,
            table_end_m: (ends - s.ahead_mm) / 1000.0,
            table_half_width_m: width / 2000.0,
            pupil_magnification: s.optics.pupil_magnification,
            squeeze: s.squeeze,
            table_start_m: ((begins - s.ahead_mm) / 1000.0).max(0.0),
            table_middle_m: 0.0,
        }
        .work()?;
        let words = format!(
            "Depth and mean width of what is seen; the table has {} m².",
            significant(width * (ends - begins) / 1e6, 2)
        );
        Ok(Told::by(significant(worked.area_m2, 2), &worked, words))
    })
}

fn horizon(facts: &Facts<'_>) -> Figure {
    figure(facts, "horizon", "5", "Horizon stands at", "mm", |f| {
        let s = Seen::of(f, 0.0)?;
        let shown = found(s.height_mm.round());
        Ok(Told::new(
            shown.clone(),
            format!(
                "{} − {} × sin({}°) = {shown}",
                given(f.get("camera_height_mm")?),
                step(s.optics.pupil_from_mark_mm),
                given(s.tilt_deg)
            ),
            "As high over the table as the pupil, at any distance: a taller piece breaks it. Match it on the backing.",
            "central projection",
        ))
    })
}

fn tallest(facts: &Facts<'_>, id: &str, name: &str, field: &'static str) -> Figure {
    figure(facts, id, "", name, "mm", |f| {
        let s = Seen::of(f, 0.0)?;
        let from_pupil_mm = f.get(field)? - s.ahead_mm;
        let worked = PieceHeight {
            camera_height_m: s.height_mm / 1000.0,
            tilt_down_deg: s.tilt_deg,
            focal_length_mm: s.optics.focal_length_mm,
            focus_distance_from_entrance_pupil_mm: s.optics.focus_from_pupil_mm,
            sensor_height_mm: s.sensor_mm.1,
            piece_distance_m: from_pupil_mm / 1000.0,
            pupil_magnification: s.optics.pupil_magnification,
        }
        .work()?;
        let most_mm = worked.leaves_frame_above_m.0 * 1000.0;
        if !most_mm.is_finite() {
            return Ok(Told::new("any", "", "Its top never leaves this frame.", ""));
        }
        if most_mm <= 0.0 {
            return Ok(Told::new(
                "0",
                "",
                "The frame’s top passes under the table there: nothing of it is in frame.",
                "",
            ));
        }
        let shown = found(most_mm.round());
        Ok(Told::new(
            shown.clone(),
            format!(
                "{} + {} × tan({}°) = {shown}",
                step(s.height_mm),
                step(from_pupil_mm),
                step(s.top_deg())
            ),
            "Over the table; a taller one leaves the frame at the top.",
            worked.source,
        ))
    })
}
