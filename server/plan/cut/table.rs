//! The shots as a table that is also the form: the blanks most used in a row, the rest under it while it is open.

use super::{
    figures::{bench, opened},
    shot::Shot,
};
use crate::{
    journal::{
        field::write_rate,
        record::{AnyEntry, Entry},
        value::Id,
    },
    plan::{Plan, setups::setup::ELEMENT},
    web::{
        fields::{self, Typed},
        parts::{Blank, Kind},
        units,
    },
};
use stillair_calc::timecode::{Counting, FrameRate, frames_to_timecode};

/// Blanks of a row, in the order of its columns.
const ROW: [&str; 10] = [
    "code",
    "name",
    "length_frames",
    "scale_denominator",
    "story_speed_mps",
    "key_stops",
    "light_note",
    "reach_m",
    "travel",
    "travel_widths_per_s",
];
/// The rest, under an open row.
const MORE: [&str; 12] = [
    "look",
    "turn",
    "scene",
    "place",
    "story_order",
    "story_length_m",
    "key_end_stops",
    "depth_m",
    "axis",
    "camera_side",
    "board_picture",
    "action",
];
/// Written by choosing a file, not by typing.
const BY_FILE: &str = "board_picture";
/// What a sighting says besides its piece.
const SIGHTING: [&str; 4] = ["face", "visibility", "orientation", "place"];

/// A shot in the table.
pub struct Row {
    pub id: String,
    /// As the drawing names it.
    pub called: String,
    /// Where it begins.
    pub begins: String,
    pub board: Option<String>,
    pub code: Blank,
    pub name: Blank,
    pub length: Blank,
    pub made_in: Vec<MadeIn>,
    /// Asks for a setup while there is none.
    pub ask_setup: Option<Blank>,
    pub scale: Blank,
    pub speed: Blank,
    pub key: Blank,
    pub light: Blank,
    pub reach: Blank,
    pub travel: Blank,
    pub crosses: Blank,
    pub is_first: bool,
    pub is_last: bool,
    /// Address of the row with everything open, or closed again.
    pub more_href: String,
    pub more: Option<More>,
}

/// A setup that makes the shot.
pub struct MadeIn {
    pub pass: String,
    pub href: String,
    pub code: String,
    pub name: String,
    pub element: &'static str,
}

impl Row {
    /// Setups that make the shot, each once however many passes it has.
    pub fn setups(&self) -> Vec<&MadeIn> {
        let mut setups: Vec<&MadeIn> = Vec::new();
        for made in &self.made_in {
            if setups.iter().all(|s| s.code != made.code) {
                setups.push(made);
            }
        }
        setups
    }
}

/// What stands under an open row.
pub struct More {
    pub blanks: Vec<Blank>,
    pub sightings: Vec<Seen>,
    pub pieces: Vec<(String, String)>,
    pub setups: Vec<(String, String)>,
    pub after_href: String,
    pub picture_fault: String,
    pub setup_fault: String,
    pub piece_fault: String,
    pub typed_setup: String,
    pub typed_piece: String,
}

/// A piece seen in the shot.
pub struct Seen {
    pub id: String,
    pub piece: String,
    pub blanks: Vec<Blank>,
}

/// All rows, the open one with everything.
pub fn rows(plan: &Plan, open: Option<&Id>, typed: &Typed, writes: bool) -> Vec<Row> {
    let shots = plan.shots_in_order();
    let last = shots.len().saturating_sub(1);
    let mut frame = 0;
    let mut rows = Vec::with_capacity(shots.len());
    for (at, shot) in shots.into_iter().enumerate() {
        let is_open = open == Some(&shot.id);
        let mut row = row(plan, shot, typed, writes);
        row.begins = begins(plan, frame);
        (row.is_first, row.is_last) = (at == 0, at == last);
        if is_open {
            row.more = Some(more(plan, shot, typed, writes));
            row.more_href = format!("{}/cut#shot-{}", plan.path(), shot.id);
        }
        frame += shot.length_frames.unwrap_or(0);
        rows.push(row);
    }
    rows
}

/// A blank, or what stands in it for whoever may only read.
fn blank(plan: &Plan, entry: &dyn AnyEntry, name: &str, typed: &Typed, writes: bool) -> Blank {
    Blank {
        read_only: !writes,
        ..fields::blank(plan, entry, name, typed)
    }
}

fn row(plan: &Plan, shot: &Entry<Shot>, typed: &Typed, writes: bool) -> Row {
    let blank = |name| blank(plan, shot, name, typed, writes);
    let [
        code,
        name,
        length,
        scale,
        speed,
        key,
        light,
        reach,
        travel,
        crosses,
    ] = ROW.map(blank);
    let made_in = made_in(plan, shot);
    Row {
        id: shot.id.to_string(),
        called: format!("{} {}", shot.code, shot.name),
        begins: String::new(),
        board: super::sketch::board_href(plan, shot),
        ask_setup: (writes && made_in.is_empty()).then(|| ask_setup(plan, shot, typed)),
        code,
        name,
        length,
        made_in,
        scale,
        speed,
        key,
        light,
        reach,
        travel,
        crosses,
        is_first: false,
        is_last: false,
        more_href: opened(plan, &shot.id),
        more: None,
    }
}

fn made_in(plan: &Plan, shot: &Entry<Shot>) -> Vec<MadeIn> {
    let line = |pass: &Entry<crate::plan::setups::setup::Pass>| {
        let setup = plan.setups.get(pass.setup.as_ref()?)?;
        Some(MadeIn {
            pass: pass.id.to_string(),
            href: bench(plan, setup, Some(&pass.id)),
            code: setup.code.to_string(),
            name: setup.name.to_string(),
            element: ELEMENT
                .iter()
                .find(|(code, _)| *code == &*pass.element)
                .map_or("", |(_, word)| word),
        })
    };
    plan.passes_of_shot(&shot.id)
        .into_iter()
        .filter_map(line)
        .collect()
}

/// A blank that is no field: the code written there makes a pass in that setup, and the setup if need be.
fn ask_setup(plan: &Plan, shot: &Entry<Shot>, typed: &Typed) -> Blank {
    let key = format!("{}.made_in", shot.id);
    let (value, fault) = typed.get(&key).cloned().unwrap_or_default();
    Blank {
        id: format!("b-{}-made_in", shot.id),
        name: key,
        label: "Setup".into(),
        value,
        fault,
        kind: Kind::Text,
        entity: shot.id.to_string(),
        base: plan.number(),
        ..Blank::default()
    }
}

fn more(plan: &Plan, shot: &Entry<Shot>, typed: &Typed, writes: bool) -> More {
    let fault = |name: &str| {
        typed
            .get(&format!("{}.{name}", shot.id))
            .cloned()
            .unwrap_or_default()
    };
    let mut pieces: Vec<_> = plan.studio.pieces.iter().collect();
    pieces.sort_by(|a, b| (&a.order_key, &a.name).cmp(&(&b.order_key, &b.name)));
    let (typed_setup, setup_fault) = fault("tie");
    let (typed_piece, piece_fault) = fault("see");
    More {
        blanks: MORE
            .iter()
            .filter(|name| **name != BY_FILE)
            .map(|name| blank(plan, shot, name, typed, writes))
            .collect(),
        sightings: sightings(plan, shot, typed, writes),
        pieces: pieces
            .into_iter()
            .map(|p| (p.id.to_string(), p.name.to_string()))
            .collect(),
        setups: plan
            .setups_in_order()
            .into_iter()
            .map(|s| (s.id.to_string(), format!("{} {}", s.code, s.name)))
            .collect(),
        after_href: format!("{}/cut?after={}#add", plan.path(), shot.id),
        picture_fault: fault(BY_FILE).1,
        setup_fault,
        piece_fault,
        typed_setup,
        typed_piece,
    }
}

fn sightings(plan: &Plan, shot: &Entry<Shot>, typed: &Typed, writes: bool) -> Vec<Seen> {
    let own = plan
        .sightings
        .iter()
        .filter(|s| s.shot.as_ref() == Some(&shot.id));
    own.map(|sighting| Seen {
        id: sighting.id.to_string(),
        piece: sighting
            .piece
            .as_ref()
            .and_then(|id| plan.studio.pieces.any(id.as_str()))
            .map_or_else(|| "a piece struck out".into(), |p| p.name.to_string()),
        blanks: SIGHTING
            .iter()
            .map(|name| blank(plan, sighting, name, typed, writes))
            .collect(),
    })
    .collect()
}

/// Where a frame stands in the cut: a label counted from 00:00:00:00, drop-frame where the rate has it.
pub fn begins(plan: &Plan, frame: i64) -> String {
    let (num, den) = plan.base_rate();
    FrameRate::parse(&write_rate(num, den))
        .ok()
        .and_then(|rate| {
            let counting = match rate.dropped_labels() {
                Some(_) => Counting::Drop,
                None => Counting::NonDrop,
            };
            frames_to_timecode(frame, rate, counting).ok()
        })
        .map_or_else(
            || units::seconds_frames(frame, plan.base_fps()),
            |label| label.to_string(),
        )
}

/// A code for the next shot: the last one counted on, or 1.
pub fn next_code(plan: &Plan) -> String {
    let shots = plan.shots_in_order();
    let Some(last) = shots.last() else {
        return "1".into();
    };
    let head = last.code.trim_end_matches(|c: char| c.is_ascii_digit());
    let Ok(number) = last.code[head.len()..].parse::<u32>() else {
        return String::new();
    };
    (number.saturating_add(1)..=number.saturating_add(1000))
        .map(|n| format!("{head}{n}"))
        .find(|code| plan.shot_by_code(code).is_none())
        .unwrap_or_default()
}
