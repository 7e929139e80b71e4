//! Number rings: a small search for places where no two meet and no two leaders cross.

use std::cell::Cell;
use std::f64::consts::TAU;

use super::Class;
use super::geometry::{clip_line, cross, distance_squared};
use super::room::Room;
use super::shape::{Anchor, Point, Rect, Ring, Shape, at, text};

/// A ring to place: its number and the places its dot may stand, the best first.
#[derive(Clone, Debug)]
pub(crate) struct Request {
    pub(crate) number: u32,
    pub(crate) dots: Vec<Point>,
}

/// Least distance between the centres of two rings.
const APART: f64 = 2.0 * Ring::RADIUS + 3.0;
/// Distances tried from dot to centre.
const REACHES: [f64; 7] = [24.0, 30.0, 38.0, 48.0, 62.0, 80.0, 104.0];
/// Directions tried.
const DIRECTIONS: u32 = 16;

/// Weights of the search: larger is worse, in units of leader length.
const CROSSING: f64 = 2000.0;
const OVER_WORDS: f64 = 400.0;
const THROUGH_RING: f64 = 900.0;
const THROUGH_WORDS: f64 = 60.0;
const ON_STROKE: f64 = 14.0;
/// So many rings are a crowd.
const CROWD: usize = 16;
/// A leader nearer to a ring than this reads as running through it.
const TOO_NEAR: f64 = Ring::RADIUS + 2.0;
const SECOND_DOT: f64 = 6.0;

/// A place a ring may take: its dot and centre, what its leader costs by itself, and, once it was asked for, what it
/// costs over words and strokes. Only other rings change between one asking and the next.
struct Choice {
    leader: f64,
    dot: Point,
    centre: Point,
    ground: Cell<Option<f64>>,
}

/// Places as many rings as fit; those left out keep their number in the ledger.
pub(crate) fn place(requests: &[Request], room: &Room) -> Vec<Ring> {
    let mut rings: Vec<Ring> = Vec::new();
    let mut placed: Vec<(u32, Vec<Choice>)> = Vec::new();
    let ways: Vec<(f64, f64)> = (0..DIRECTIONS)
        .map(|step| (TAU * (f64::from(step) + 0.5) / f64::from(DIRECTIONS)).sin_cos())
        .collect();
    // In a crowd each ring has fewer places to choose from: the search grows with the square of them all.
    let dots = if requests.len() > CROWD {
        2
    } else {
        usize::MAX
    };
    for request in requests {
        let mut choices = near(request, room, &ways, dots);
        let mut ring = best(request.number, &choices, &rings, room);
        if ring.is_none() {
            choices = anywhere(request, room);
            ring = best(request.number, &choices, &rings, room);
        }
        if let Some(ring) = ring {
            rings.push(ring);
            placed.push((request.number, choices));
        }
    }
    // A ring placed early did not know the later ones: let each choose again. A crowd gains little by a second round.
    let rounds = if rings.len() > CROWD { 1 } else { 2 };
    for _ in 0..rounds {
        for (index, (number, choices)) in placed.iter().enumerate() {
            let own = rings.remove(index);
            rings.insert(index, best(*number, choices, &rings, room).unwrap_or(own));
        }
    }
    uncross(&mut rings);
    rings
}

/// Places about the dots, the shortest leaders first.
fn near(request: &Request, room: &Room, ways: &[(f64, f64)], dots: usize) -> Vec<Choice> {
    let mut about: Vec<(f64, f64, Point)> = Vec::new();
    for (rank, &dot) in request.dots.iter().take(dots).enumerate() {
        #[expect(clippy::cast_precision_loss, reason = "a ring has a handful of dots")]
        let less_good = SECOND_DOT * rank as f64;
        about.extend(REACHES.map(|reach| (reach + less_good, reach, dot)));
    }
    // Sorted before the directions are spread out: a sixteenth of the work of sorting them all.
    about.sort_by(|a, b| a.0.total_cmp(&b.0));
    let places = about.into_iter().flat_map(|(leader, reach, dot)| {
        ways.iter()
            .map(move |(sin, cos)| (leader, dot, at(dot.x + reach * cos, dot.y + reach * sin)))
    });
    choices(places, room)
}

/// Places all over the window, for when the neighbourhood is full.
fn anywhere(request: &Request, room: &Room) -> Vec<Choice> {
    let Some(&dot) = request.dots.first() else {
        return Vec::new();
    };
    let places = lattice(&room.window).map(|centre| (gap(dot, centre), dot, centre));
    let mut all = choices(places, room);
    all.sort_by(|a, b| a.leader.total_cmp(&b.leader));
    all
}

fn choices(places: impl Iterator<Item = (f64, Point, Point)>, room: &Room) -> Vec<Choice> {
    places
        .filter(|(_, _, centre)| room.window.holds(&area(*centre)))
        .map(|(leader, dot, centre)| Choice {
            leader,
            dot,
            centre,
            ground: Cell::new(None),
        })
        .collect()
}

/// The cheapest place beside the rings there are. Costs only add up, so once a leader alone is no better than the best so
/// far, nothing after it is.
fn best(number: u32, choices: &[Choice], others: &[Ring], room: &Room) -> Option<Ring> {
    let mut found: Option<(f64, Ring)> = None;
    for choice in choices {
        let least = found.as_ref().map_or(f64::INFINITY, |(least, _)| *least);
        if choice.leader >= least {
            break;
        }
        let ring = Ring {
            number,
            centre: choice.centre,
            dot: choice.dot,
        };
        let apart = others
            .iter()
            .all(|other| squared(ring.centre, other.centre) >= APART * APART);
        if !apart {
            continue;
        }
        let Some(worth) = beside(&ring, others, choice.leader, least) else {
            continue;
        };
        let ground = choice.ground.get().unwrap_or_else(|| ground(&ring, room));
        choice.ground.set(Some(ground));
        if worth + ground < least {
            found = Some((worth + ground, ring));
        }
    }
    found.map(|(_, ring)| ring)
}

/// What a place costs beside other rings, begun at `start`; none as soon as that is no less than `least`.
fn beside(ring: &Ring, others: &[Ring], start: f64, least: f64) -> Option<f64> {
    let leader = (ring.dot, ring.centre);
    let mut cost = start;
    for other in others {
        if cross(leader, (other.dot, other.centre)) {
            cost += CROSSING;
        }
        if distance_squared(other.centre, leader) < TOO_NEAR * TOO_NEAR
            || distance_squared(ring.centre, (other.dot, other.centre)) < TOO_NEAR * TOO_NEAR
        {
            cost += THROUGH_RING;
        }
        if cost >= least {
            return None;
        }
    }
    Some(cost)
}

/// What a place costs over words, symbols and heavy strokes.
fn ground(ring: &Ring, room: &Room) -> f64 {
    let leader = (ring.dot, ring.centre);
    let covered = area(ring.centre).grown(1.0);
    let mut cost = 0.0;
    for taken in &room.taken {
        if taken.overlaps(&covered) {
            cost += OVER_WORDS;
        } else if !taken.holds(&point(ring.dot)) && clip_line(leader.0, leader.1, taken).is_some() {
            // A leader may leave the symbol it names; it may not run over another's.
            cost += THROUGH_WORDS;
        }
    }
    for stroke in &room.strokes {
        let near = Ring::RADIUS + 1.0;
        if distance_squared(ring.centre, *stroke) < near * near {
            cost += ON_STROKE;
        }
    }
    cost
}

/// Every place of a coarse lattice, for when the neighbourhood is full.
fn lattice(window: &Rect) -> impl Iterator<Item = Point> {
    let Rect {
        x,
        y,
        width,
        height,
    } = *window;
    let count = |length: f64| {
        (1..120u32)
            .map(|step| f64::from(step) * APART / 2.0)
            .take_while(move |d| *d < length)
    };
    count(height).flat_map(move |down| count(width).map(move |across| at(x + across, y + down)))
}

/// Swaps the places of two rings while their leaders cross. Every swap shortens the two leaders together, so it ends.
fn uncross(rings: &mut [Ring]) {
    let mut swapped = true;
    while swapped {
        swapped = false;
        for first in 0..rings.len() {
            for second in first + 1..rings.len() {
                let (a, b) = (&rings[first], &rings[second]);
                if cross((a.dot, a.centre), (b.dot, b.centre)) {
                    let centre = a.centre;
                    rings[first].centre = b.centre;
                    rings[second].centre = centre;
                    swapped = true;
                }
            }
        }
    }
}

fn squared(a: Point, b: Point) -> f64 {
    let (dx, dy) = (a.x - b.x, a.y - b.y);
    dx * dx + dy * dy
}

fn gap(a: Point, b: Point) -> f64 {
    (a.x - b.x).hypot(a.y - b.y)
}

fn point(place: Point) -> Rect {
    Rect::about(place, 0.0)
}

fn area(centre: Point) -> Rect {
    Rect::about(centre, Ring::RADIUS)
}

/// The ring as primitive shapes.
pub(crate) fn drawn(ring: &Ring) -> Shape {
    let Ring {
        number,
        centre,
        dot,
    } = *ring;
    let reach = gap(centre, dot).max(Ring::RADIUS);
    let share = Ring::RADIUS / reach;
    let rim = at(
        centre.x + (dot.x - centre.x) * share,
        centre.y + (dot.y - centre.y) * share,
    );
    Shape::Group(
        Class::Ring,
        None,
        vec![
            Shape::Line(Class::RingLeader, rim, dot),
            Shape::Circle(Class::RingDot, dot, 1.8),
            Shape::Circle(Class::RingCircle, centre, Ring::RADIUS),
            text(
                Class::RingNumber,
                at(centre.x, centre.y + 3.7),
                Anchor::Middle,
                number.to_string(),
            ),
        ],
    )
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn request(number: u32, x: f64, y: f64) -> Request {
        Request {
            number,
            dots: vec![at(x, y)],
        }
    }

    #[test]
    fn a_ring_stands_beside_its_thing_and_off_the_words() {
        let mut room = Room::new(Rect {
            x: 0.0,
            y: 0.0,
            width: 200.0,
            height: 200.0,
        });
        room.taken.push(Rect {
            x: 100.0,
            y: 0.0,
            width: 100.0,
            height: 200.0,
        });
        let rings = place(&[request(3, 98.0, 100.0)], &room);
        assert!(rings[0].centre.x + Ring::RADIUS <= 100.0);
        assert!(gap(rings[0].centre, rings[0].dot) >= 24.0 - 1e-9);
    }

    #[test]
    fn crossed_leaders_change_places() {
        let mut rings = [
            Ring {
                number: 1,
                centre: at(100.0, 100.0),
                dot: at(0.0, 0.0),
            },
            Ring {
                number: 2,
                centre: at(0.0, 100.0),
                dot: at(100.0, 0.0),
            },
        ];
        uncross(&mut rings);
        assert_eq!(
            (rings[0].centre, rings[1].centre),
            (at(0.0, 100.0), at(100.0, 100.0))
        );
    }

    #[test]
    fn a_full_window_leaves_rings_out_rather_than_stack_them() {
        let room = Room::new(Rect {
            x: 0.0,
            y: 0.0,
            width: 60.0,
            height: 40.0,
        });
        let requests: Vec<_> = (1..30).map(|number| request(number, 30.0, 20.0)).collect();
        let rings = place(&requests, &room);
        assert!(!rings.is_empty() && rings.len() < 6);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(200))]
        #[test]
        fn rings_never_meet_and_leaders_never_cross(
            dots in prop::collection::vec((20.0..620.0, 20.0..420.0), 1..24),
        ) {
            let room = Room::new(Rect { x: 0.0, y: 0.0, width: 640.0, height: 440.0 });
            let requests: Vec<_> =
                (1..).zip(&dots).map(|(number, &(x, y))| request(number, x, y)).collect();
            let rings = place(&requests, &room);
            prop_assert_eq!(rings.len(), dots.len());
            for (index, a) in rings.iter().enumerate() {
                for b in &rings[index + 1..] {
                    prop_assert!(gap(a.centre, b.centre) >= APART - 1e-9);
                    prop_assert!(!cross((a.dot, a.centre), (b.dot, b.centre)));
                }
            }
        }
    }
}
