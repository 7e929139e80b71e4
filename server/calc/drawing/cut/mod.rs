//! The cut to time: boards on leaders over a ribbon, then light, water, travel, pieces and setups beneath the same ruler.

mod pieces;
mod ribbon;
#[cfg(test)]
mod tests;
mod threads;
mod tracks;

use super::Class;
use super::figure;
use super::shape::{Anchor, Drawing, Shape, at, text};

/// A cut.
#[derive(Clone, Debug, PartialEq)]
pub struct Cut {
    /// Frames a second on screen.
    pub fps: f64,
    /// Width of a board over its height.
    pub board_aspect: f64,
    /// Shots in cut order.
    pub shots: Vec<Shot>,
    /// Pieces whose faces are followed, each on a row of its own.
    pub pieces: Vec<Piece>,
    /// Turns of travel that show on a cut.
    pub turns: Vec<Turn>,
    /// Setups in stage order.
    pub setups: Vec<Setup>,
}

/// A shot.
#[derive(Clone, Debug, PartialEq)]
pub struct Shot {
    /// Its code.
    pub code: String,
    /// Its name.
    pub name: String,
    /// Length in frames of the cut.
    pub frames: u32,
    /// Which of the cut's setups makes it.
    pub setup: Option<usize>,
    /// Light on the key.
    pub light: Option<Light>,
    /// How far the water reaches, full size in metres; absent in air.
    pub reach_m: Option<f64>,
    /// Travel on screen.
    pub travel: Travel,
    /// Its board.
    pub board: Board,
}

/// Key light of a shot.
#[derive(Clone, Debug, PartialEq)]
pub struct Light {
    /// Stops against even, at the start.
    pub stops: f64,
    /// Stops at the end, when it changes within the shot.
    pub end_stops: Option<f64>,
    /// The state of light in words.
    pub state: String,
}

/// Travel on screen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Travel {
    /// Not said.
    Unknown,
    /// Nothing travels.
    Still,
    /// Away from us.
    Away,
    /// Toward us.
    Toward,
    /// Across the frame, in frame widths a second: right and down are positive.
    Across {
        /// To the right.
        right_per_s: f64,
        /// Downward.
        down_per_s: f64,
    },
}

/// A shot's board.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Board {
    /// Address of its picture, if it has one.
    pub picture: Option<String>,
    /// Where a click leads.
    pub address: Option<String>,
}

/// A piece through the cut.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// What it is called.
    pub name: String,
    /// Where it is seen: shot, and the face it shows if it has faces.
    pub seen: Vec<(usize, String)>,
    /// Two shots that show the same face too near each other.
    pub clashes: Vec<Clash>,
}

/// Two shots of one piece that do not go together.
#[derive(Clone, Debug, PartialEq)]
pub struct Clash {
    /// The earlier shot.
    pub first: usize,
    /// The later shot.
    pub second: usize,
    /// What and how far apart, in a few words.
    pub words: String,
}

/// Travel that turns round between two shots.
#[derive(Clone, Debug, PartialEq)]
pub struct Turn {
    /// The shot before the cut.
    pub first: usize,
    /// In a few words.
    pub words: String,
}

/// A setup, in stage order.
#[derive(Clone, Debug, PartialEq)]
pub struct Setup {
    /// Its code.
    pub code: String,
    /// Its name.
    pub name: String,
    /// The day that makes it, as written under the bracket; empty when on no day yet.
    pub day: String,
    /// Where a click leads.
    pub address: Option<String>,
}

/// Width of the drawing.
const WIDTH: f64 = 1080.0;
/// Where time begins and ends.
const LEFT: f64 = 100.0;
const RIGHT: f64 = 1078.0;
/// Length of an empty ribbon.
const EMPTY_S: f64 = 60.0;

/// The cut with its times worked out.
struct Timed<'a> {
    cut: &'a Cut,
    fps: f64,
    /// Start frame of each shot, and the end of the last.
    starts: Vec<f64>,
    total_frames: f64,
}

impl Timed<'_> {
    fn of(cut: &Cut) -> Timed<'_> {
        let fps = if cut.fps.is_finite() {
            cut.fps.clamp(1.0, 1000.0)
        } else {
            25.0
        };
        let mut starts = vec![0.0];
        for shot in &cut.shots {
            starts.push(starts[starts.len() - 1] + f64::from(shot.frames));
        }
        let end = starts[starts.len() - 1];
        Timed {
            cut,
            fps,
            starts,
            total_frames: if end > 0.0 { end } else { EMPTY_S * fps },
        }
    }

    fn x(&self, frame: f64) -> f64 {
        LEFT + frame / self.total_frames * (RIGHT - LEFT)
    }

    /// Left and right edge of a shot.
    fn span(&self, shot: usize) -> (f64, f64) {
        let last = self.starts.len() - 1;
        (
            self.x(self.starts[shot.min(last)]),
            self.x(self.starts[(shot + 1).min(last)]),
        )
    }

    fn middle(&self, shot: usize) -> f64 {
        let (from, to) = self.span(shot);
        f64::midpoint(from, to)
    }

    /// Length as seconds and frames.
    fn length(&self, frames: f64) -> String {
        let whole = self.fps.round();
        format!(
            "{}:{:02.0}",
            figure::grouped((frames / whole).floor(), 0),
            frames.rem_euclid(whole)
        )
    }

    /// Shots and their numbers.
    fn shots(&self) -> impl Iterator<Item = (usize, &Shot)> {
        self.cut.shots.iter().enumerate()
    }
}

/// Draws the cut.
pub fn cut_sheet(cut: &Cut) -> Drawing {
    let timed = Timed::of(cut);
    let mut shapes = Vec::new();
    let mut y = ribbon::boards(&timed, &mut shapes);
    y = ribbon::ribbon(&timed, y, &mut shapes);
    if !cut.shots.is_empty() {
        y = tracks::light(&timed, y + 16.0, &mut shapes);
        y = tracks::water(&timed, y + 16.0, &mut shapes);
        y = tracks::travel(&timed, y + 14.0, &mut shapes);
        y = pieces::pieces(&timed, y + 10.0, &mut shapes);
        y = threads::threads(&timed, y + 8.0, &mut shapes);
    }
    Drawing {
        width: WIDTH,
        height: y + 6.0,
        shapes,
        label: label(&timed),
        facts: facts(&timed),
    }
}

/// Name and second line of a track.
fn heading(shapes: &mut Vec<Shape>, y: f64, name: &str, note: &str) {
    shapes.push(text(Class::RowName, at(0.0, y), Anchor::Start, name));
    if !note.is_empty() {
        shapes.push(text(Class::RowNote, at(0.0, y + 15.0), Anchor::Start, note));
    }
}

/// A length that can be drawn.
fn kept(value: f64, most: f64) -> f64 {
    if value.is_finite() {
        value.clamp(-most, most)
    } else {
        0.0
    }
}

fn label(timed: &Timed) -> String {
    let seconds = figure::grouped(timed.starts[timed.starts.len() - 1] / timed.fps, 1);
    match timed.cut.shots.len() {
        0 => "An empty ribbon of 60 seconds: no shot is written yet.".to_owned(),
        count => format!(
            "{count} {} to the time of the cut, {seconds} seconds, with light, water, travel, pieces and setups beneath. The table holds the same facts.",
            if count == 1 { "shot" } else { "shots" }
        ),
    }
}

fn facts(timed: &Timed) -> Vec<(String, String)> {
    timed
        .shots()
        .map(|(index, shot)| {
            let start = timed.length(timed.starts[index]);
            let mut words = format!(
                "in at {start}, length {}",
                timed.length(f64::from(shot.frames))
            );
            if let Some(setup) = shot.setup.and_then(|setup| timed.cut.setups.get(setup)) {
                words = format!("{words}, setup {}", setup.code);
            }
            (format!("{} {}", shot.code, shot.name), words)
        })
        .collect()
}
