//! The ledgers of the bench: which blanks stand beside which results.

use super::{
    facts::Facts,
    figures::{
        Figures,
        further::{self, BlankOf, Further},
    },
};
use crate::{
    journal::record::AnyEntry,
    web::{
        fields::{self, Typed},
        parts::{Blank, Figure},
    },
};
use std::collections::BTreeSet;

/// Blanks and results that belong together.
pub struct Ledger {
    /// Id of the section.
    pub id: &'static str,
    /// Its heading.
    pub title: &'static str,
    /// What stands at the end of the heading.
    pub note: &'static str,
    /// Blanks at the left.
    pub blanks: Vec<Blank>,
    /// Figures at the right; none for blanks alone.
    pub results: Vec<Figure>,
    /// Folded to one line: the setup does not need it.
    pub folded: bool,
}

const TIME: &[&str] = &["scale_denominator", "shoot_fps"];
const LENS: &[&str] = &[
    "camera_mode",
    "lens",
    "focal_length_mm",
    "f_number",
    "focus_from_mark_mm",
    "shutter_deg",
    "pupil_magnification",
    "principal_plane_separation_mm",
    "squeeze",
    "nearest_piece_mm",
    "farthest_piece_mm",
];
const LIGHT: &[&str] = &[
    "exposure_index",
    "lens_transmission",
    "key_stops",
    "key_through_haze_mm",
    "key_distance_mm",
];
const WATER: &[&str] = &[
    "reach_m",
    "contrast_far_end",
    "far_end_mm",
    "haze_class",
    "haze_liquid",
    "droplet_um",
    "air",
    "air_drift_mm_per_s",
    "wisp_mm",
    "drop_mm",
];
const STAND: &[&str] = &[
    "code",
    "name",
    "place",
    "roll_deg",
    "table_near_mm",
    "table_length_mm",
    "table_width_mm",
    "tent_near_mm",
    "tent_length_mm",
    "tent_width_mm",
    "tent_height_mm",
    "path_start_mm",
    "path_side_mm",
    "path_height_mm",
    "path_heading_deg",
];
const DAY: &[&str] = &[
    "dressing",
    "rig",
    "camera_position",
    "light_plot",
    "gel_set",
    "prepare_min",
    "trim_min",
    "settle_min",
    "takes",
    "take_cycle_min",
    "people",
    "ready_clock_min",
    "ready_note",
    "bring",
];

/// What a pass may have otherwise than its setup and its shot.
const PASS: &[&str] = &[
    "element",
    "moves",
    "note",
    "shoot_fps",
    "f_number",
    "story_speed_mps",
    "length_frames",
    "handle_frames",
    "reach_m",
];

/// Makes the blanks of one pass.
struct Blanks<'a> {
    facts: &'a Facts<'a>,
    typed: &'a Typed,
}

impl Blanks<'_> {
    /// Blanks of the setup, each with what stands in for it.
    fn setup(&self, names: &[&str]) -> Vec<Blank> {
        let (plan, setup) = (self.facts.plan, self.facts.setup);
        let blank = |name: &&str| {
            let stands_in = self.facts.stand_in(setup, name);
            fields::blank_with(plan, setup, name, self.typed, stands_in)
        };
        names.iter().map(blank).collect()
    }

    /// Blanks of the pass, each with what stands in for it.
    fn pass(&self, names: &[&str]) -> Vec<Blank> {
        let Some(pass) = self.facts.pass else {
            return Vec::new();
        };
        let blank = |name: &&str| {
            let stands_in = self.facts.stand_in(pass, name);
            fields::blank_with(self.facts.plan, pass, name, self.typed, stands_in)
        };
        names.iter().map(blank).collect()
    }

    /// Blanks of another record, if there is one.
    fn of(&self, entry: Option<&dyn AnyEntry>, names: &[&str]) -> Vec<Blank> {
        let blank = |entry, name: &&str| fields::blank(self.facts.plan, entry, name, self.typed);
        let all = |entry| names.iter().map(|name| blank(entry, name)).collect();
        entry.map(all).unwrap_or_default()
    }
}

fn ledger(
    id: &'static str,
    title: &'static str,
    blanks: &[Vec<Blank>],
    results: &[Figure],
) -> Ledger {
    Ledger {
        id,
        title,
        note: "set · comes out",
        blanks: blanks.concat(),
        results: results.to_vec(),
        folded: false,
    }
}

/// The ledgers that a setup opens only when it needs them; the others are one line with the blanks that open them.
fn further_ledgers(make: &Blanks<'_>, worked: &Figures) -> Vec<Ledger> {
    let facts = make.facts;
    let one = |further: &Further| {
        let found = worked.further.iter().find(|(id, _)| *id == further.id);
        let Some((_, results)) = found else {
            return Ledger {
                note: further.closed,
                folded: true,
                ..ledger(
                    further.id,
                    further.title,
                    &[make.setup(further.openers)],
                    &[],
                )
            };
        };
        let blank = |(entry, name): &BlankOf<'_>| {
            let stands_in = facts.stand_in(*entry, name);
            fields::blank_with(facts.plan, *entry, name, make.typed, stands_in)
        };
        let blanks = (further.blanks)(facts).iter().map(blank).collect();
        ledger(further.id, further.title, &[blanks], results)
    };
    further::ALL.iter().map(one).collect()
}

/// Ledgers under the drawings, those at the right, and those that are open only where the setup needs them.
pub fn ledgers(
    facts: &Facts<'_>,
    worked: &Figures,
    typed: &Typed,
) -> (Vec<Ledger>, Vec<Ledger>, Vec<Ledger>) {
    let make = Blanks { facts, typed };
    let production = facts.plan.production().map(|p| p as &dyn AnyEntry);
    let shot = facts.shot.map(|s| s as &dyn AnyEntry);
    let time = vec![
        make.setup(TIME),
        make.of(shot, &["story_speed_mps", "length_frames"]),
        make.of(production, &["base_fps", "handle_frames"]),
    ];
    let lens = vec![
        make.setup(LENS),
        make.of(production, &["blur_line_px", "delivered_width_px"]),
    ];
    let light = vec![
        make.setup(LIGHT),
        make.of(production, &["incident_constant"]),
    ];
    let limits = make.of(production, &["air_peak_mgpm3", "air_average_mgpm3"]);
    let left = vec![
        ledger(
            "water",
            "Water",
            &[make.setup(WATER), limits],
            &worked.water,
        ),
        Ledger {
            note: "from the mark, as taped",
            ..ledger("stand", "Where it stands", &[make.setup(STAND)], &[])
        },
        Ledger {
            note: "for the order and the call sheet",
            ..ledger("day", "On the day", &[make.setup(DAY)], &[])
        },
    ];
    let this_pass = Ledger {
        note: "written only where it differs",
        ..ledger("pass", "This pass", &[make.pass(PASS)], &[])
    };
    let right = vec![
        this_pass,
        ledger("time", "Time and travel", &time, &worked.time),
        ledger("lens", "Lens and sharpness", &lens, &worked.lens),
        ledger("light", "Light", &light, &worked.light),
    ];
    let further = further_ledgers(&make, worked);
    (left, right, further)
}

/// Leaves every blank on the sheet once, where it first stands: an element's id may not repeat, and two boxes for one value
/// would be two hands. What is taken already stands elsewhere on the sheet.
pub fn once(ledgers: [&mut Vec<Ledger>; 3], taken: impl IntoIterator<Item = String>) {
    let mut seen: BTreeSet<String> = taken.into_iter().collect();
    for ledger in ledgers.into_iter().flatten() {
        ledger.blanks.retain(|blank| seen.insert(blank.id.clone()));
    }
}
