//! Light as a stepped line, water as stipple, travel as arrows.

use super::super::Class;
use super::super::figure;
use super::super::glyph;
use super::super::room::Room;
use super::super::shape::{Anchor, Hatch, Rect, Shape, at, strokes, text, text_over};
use super::{LEFT, RIGHT, Shot, Timed, Travel, WIDTH, heading, kept};

/// Level lines of a track with their figures.
fn guides(shapes: &mut Vec<Shape>, lines: impl Iterator<Item = (f64, String)>) {
    for (y, words) in lines {
        shapes.push(Shape::Line(Class::Guide, at(LEFT, y), at(RIGHT, y)));
        shapes.push(text(
            Class::Tick,
            at(LEFT - 5.0, y + 3.8),
            Anchor::End,
            words,
        ));
    }
}

/// Key in stops; gives the foot of the track.
pub(super) fn light(timed: &Timed, top: f64, shapes: &mut Vec<Shape>) -> f64 {
    let stops = |shot: &Shot| {
        shot.light
            .iter()
            .flat_map(|light| [Some(light.stops), light.end_stops])
            .flatten()
            .collect::<Vec<_>>()
    };
    let all: Vec<f64> = timed
        .shots()
        .flat_map(|(_, shot)| stops(shot))
        .map(|stop| kept(stop, 40.0))
        .collect();
    if all.is_empty() {
        return top - 16.0;
    }
    let high = all.iter().copied().fold(0.0, f64::max).ceil();
    let low = all.iter().copied().fold(high - 2.0, f64::min).floor();
    let step = figure::nice_step(1.0, (high - low) / 6.0);
    let per_stop = (60.0 / (high - low)).min(15.0);
    let y = |stop: f64| top + 8.0 + (high - kept(stop, 40.0)) * per_stop;
    heading(shapes, top + 16.0, "Light", "key, stops");
    let count = ((high - low) / step).floor();
    let lines = (0..=40_u32)
        .map(f64::from)
        .take_while(|line| *line <= count)
        .map(|line| high - line * step);
    guides(
        shapes,
        lines.map(|stop| (y(stop), figure::grouped(stop, 0))),
    );

    let mut room = Room::new(Rect {
        x: LEFT,
        y: top - 6.0,
        width: RIGHT - LEFT,
        height: y(low) - top + 14.0,
    });
    let mut line = Vec::new();
    for (index, shot) in timed.shots() {
        let (from, to) = timed.span(index);
        let Some(light) = &shot.light else {
            flush(shapes, &mut room, &mut line);
            continue;
        };
        line.push(at(from, y(light.stops)));
        match light.end_stops {
            // A change within the shot is drawn a little past its middle; when it comes is the shot's own matter.
            Some(end) => {
                line.push(at(from + (to - from) * 0.55, y(light.stops)));
                line.push(at(from + (to - from) * 0.62, y(end)));
                line.push(at(to, y(end)));
            }
            None => line.push(at(to, y(light.stops))),
        }
    }
    flush(shapes, &mut room, &mut line);
    states(timed, &y, &mut room, shapes);
    y(low)
}

fn flush(shapes: &mut Vec<Shape>, room: &mut Room, line: &mut Vec<super::super::Point>) {
    if line.len() > 1 {
        room.strokes
            .extend(line.windows(2).map(|pair| (pair[0], pair[1])));
        shapes.push(Shape::Polyline(Class::Step, std::mem::take(line)));
    }
    line.clear();
}

/// Each state of light is named once, where it begins, clear of the line.
fn states(timed: &Timed, y: &dyn Fn(f64) -> f64, room: &mut Room, shapes: &mut Vec<Shape>) {
    let mut last = "";
    for (index, shot) in timed.shots() {
        let Some(light) = &shot.light else {
            last = "";
            continue;
        };
        let same = light.state == last;
        last = &light.state;
        if same || light.state.is_empty() {
            continue;
        }
        let until = (index..timed.cut.shots.len())
            .take_while(|next| {
                timed.cut.shots[*next]
                    .light
                    .as_ref()
                    .is_some_and(|next| next.state == light.state)
            })
            .last()
            .unwrap_or(index);
        let (from, to) = (timed.span(index).0, timed.span(until).1);
        let (level, long) = (y(light.stops), figure::width(&light.state, Class::Label));
        if long > to - from + 14.0 {
            continue;
        }
        let places = [
            (at(from + 4.0, level - 4.0), Anchor::Start),
            (at(from + 4.0, level + 14.0), Anchor::Start),
            (at(to - 4.0, level - 4.0), Anchor::End),
            (at(to - 4.0, level + 14.0), Anchor::End),
        ];
        shapes.extend(room.write(Class::Label, &light.state, &places));
    }
}

/// Beyond this the eye sees no end: what is typed by mistake must not break the ruler.
const FARTHEST_REACH_M: f64 = 1.0e6;

/// Water as stipple as high as the reach, closer as it thickens; gives the foot of the track.
pub(super) fn water(timed: &Timed, top: f64, shapes: &mut Vec<Shape>) -> f64 {
    const HIGH: f64 = 46.0;
    let reach = |shot: &Shot| {
        shot.reach_m
            .filter(|reach| reach.is_finite() && *reach > 0.0)
            .map(|reach| reach.min(FARTHEST_REACH_M))
    };
    let most = timed
        .shots()
        .filter_map(|(_, shot)| reach(shot))
        .fold(0.0, f64::max);
    if most <= 0.0 {
        return top - 16.0;
    }
    let step = figure::nice_step(10.0_f64.powf(most.log10().floor() - 1.0), most / 3.5);
    let full = (most / step).ceil() * step;
    let foot = top + 4.0 + HIGH;
    let y = |metres: f64| foot - metres / full * HIGH;
    heading(shapes, top + 20.0, "Water", "reach, m");
    let decimals = usize::from(step < 1.0);
    guides(
        shapes,
        (0..=4_u32)
            .map(|line| f64::from(line) * step)
            .take_while(|metres| *metres <= full * 1.001)
            .map(|metres| (y(metres), figure::grouped(metres, decimals))),
    );
    let mut index = 0;
    while index < timed.cut.shots.len() {
        let own = reach(&timed.cut.shots[index]);
        let until = (index..timed.cut.shots.len())
            .take_while(|next| reach(&timed.cut.shots[*next]) == own)
            .last()
            .unwrap_or(index);
        let (from, to) = (timed.span(index).0, timed.span(until).1);
        match own {
            Some(metres) => {
                let area = Rect::of(at(from, y(metres)), at(to, foot));
                shapes.push(Shape::Hatched(
                    Class::Murk,
                    area,
                    Hatch::Murk(stipple(metres / most)),
                ));
                shapes.push(Shape::Line(
                    Class::Step,
                    at(from, y(metres)),
                    at(to, y(metres)),
                ));
            }
            None if figure::width("in air", Class::Label) < to - from - 8.0 => {
                shapes.push(text_over(
                    Class::Label,
                    at(from + 5.0, foot - 5.0),
                    Anchor::Start,
                    "in air",
                ));
            }
            None => {}
        }
        index = until + 1;
    }
    foot
}

/// Steps of the stipple, 1 closest: dots close up faster than the reach falls, as murk does to the eye.
fn stipple(share: f64) -> u8 {
    let open = share.powf(1.4);
    (1..=8_u8)
        .find(|step| open <= f64::from(*step) / 8.0 + 1e-9)
        .unwrap_or(8)
}

/// Shots narrower than this have no room for an arrow.
const NARROWEST: f64 = 8.0;

/// Travel on screen; gives the foot of the track.
pub(super) fn travel(timed: &Timed, top: f64, shapes: &mut Vec<Shape>) -> f64 {
    let y = top + 24.0;
    heading(shapes, top + 18.0, "Travel", "on screen");
    let scale = arrow_scale(timed);
    let narrow = timed
        .shots()
        .all(|(index, _)| timed.span(index).1 - timed.span(index).0 < NARROWEST);
    if narrow {
        let words = "shots stand too close for arrows here: the table has each";
        shapes.push(text_over(
            Class::Label,
            at(LEFT + 5.0, y + 4.0),
            Anchor::Start,
            words,
        ));
    }
    for (index, shot) in timed.shots() {
        let (from, to) = timed.span(index);
        let (x, room) = (f64::midpoint(from, to), to - from);
        let ring = |inner: Shape| vec![Shape::Circle(Class::TravelRing, at(x, y), 6.5), inner];
        match shot.travel {
            _ if room < NARROWEST => {}
            Travel::Unknown => {}
            Travel::Still => {
                shapes.push(Shape::Line(Class::Travel, at(x - 5.0, y), at(x + 5.0, y)));
            }
            Travel::Away => {
                let d = 4.6;
                let cross = [
                    (at(x - d, y - d), at(x + d, y + d)),
                    (at(x + d, y - d), at(x - d, y + d)),
                ];
                shapes.extend(ring(strokes(Class::Travel, cross)));
            }
            Travel::Toward => shapes.extend(ring(Shape::Circle(Class::TravelHead, at(x, y), 2.0))),
            Travel::Across {
                right_per_s,
                down_per_s,
            } => {
                let (right, down) = (kept(right_per_s, 50.0), kept(down_per_s, 50.0));
                let angle_rad = down.atan2(right);
                let half = (right.hypot(down) * scale / 2.0).clamp(5.0, 30.0);
                // Steep arrows are kept within the track.
                let half = half.min(19.0 / angle_rad.sin().abs().max(0.3));
                let (dx, dy) = (half * angle_rad.cos(), half * angle_rad.sin());
                let shaft = (half - 5.0) / half;
                shapes.push(Shape::Line(
                    Class::Travel,
                    at(x - dx, y - dy),
                    at(x + dx * shaft, y + dy * shaft),
                ));
                shapes.push(glyph::arrowhead(
                    Class::TravelHead,
                    at(x + dx, y + dy),
                    angle_rad,
                ));
            }
        }
    }
    let mut written = f64::MIN;
    for turn in timed
        .cut
        .turns
        .iter()
        .filter(|turn| turn.first + 1 < timed.cut.shots.len())
    {
        let x = timed.span(turn.first).1;
        let peak = [
            at(x - 10.0, top + 4.0),
            at(x, top - 1.0),
            at(x + 10.0, top + 4.0),
        ];
        shapes.push(Shape::Polyline(Class::Clash, peak.to_vec()));
        let long = figure::width(&turn.words, Class::ClashNote);
        if x + 14.0 > written && x + 14.0 + long < WIDTH {
            shapes.push(text_over(
                Class::ClashNote,
                at(x + 14.0, top + 4.0),
                Anchor::Start,
                turn.words.clone(),
            ));
            written = x + 20.0 + long;
        }
    }
    top + 46.0
}

/// Units of arrow to one frame width a second: 190, or less where the fastest would run over its neighbours.
fn arrow_scale(timed: &Timed) -> f64 {
    let fastest = timed.shots().filter_map(|(index, shot)| match shot.travel {
        Travel::Across {
            right_per_s,
            down_per_s,
        } => {
            let (from, to) = timed.span(index);
            let speed = kept(right_per_s, 50.0).hypot(kept(down_per_s, 50.0));
            (speed > 0.0).then(|| 1.7 * (to - from).max(16.0) / speed)
        }
        _ => None,
    });
    fastest.fold(190.0, f64::min).max(40.0)
}
