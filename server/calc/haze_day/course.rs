//! The crew's acts over the day: fill before a setup, hold it in its band, draw it out where the next wants something else.

use super::{
    Air, Held,
    piece::{Act, Piece, Rates, State},
};

/// Between two setups that want the same in the same tent, the tent is left as it is for so long and then filled up.
const LEFT_MIN: f64 = 60.0;
/// Most top-ups of a setup: a tent that leaks faster cannot be held.
const MOST_TOP_UPS: usize = 400;

/// A top-up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TopUp {
    /// The setup.
    pub of: usize,
    /// When the machine is switched on, in minutes of the day.
    pub at_min: f64,
    /// How long it runs.
    pub run_s: f64,
    /// What it keeps in the air.
    pub airborne_g: f64,
}

/// A day's haze.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Course {
    /// The pieces in order, without a gap.
    pub pieces: Vec<Piece>,
    /// Top-ups in order, fills left out.
    pub top_ups: Vec<TopUp>,
    /// Everything the machine keeps in the air.
    pub airborne_g: f64,
    /// Setups whose level is never reached, or is reached too late: more output, or less leak.
    pub not_reached: Vec<usize>,
}

impl Course {
    /// Levels and dose at a minute of the day; what stands at an end before and after it.
    pub fn at(&self, minute: f64) -> State {
        let after = self.pieces.partition_point(|p| p.end_min < minute);
        match self.pieces.get(after) {
            Some(piece) if piece.start_min <= minute => piece.at(minute),
            Some(piece) => piece.start,
            None => self.pieces.last().map(Piece::end).unwrap_or_default(),
        }
    }
}

struct Walk<'a> {
    air: &'a Air,
    course: Course,
    now: f64,
    state: State,
}

impl Walk<'_> {
    fn rates(&self, held: &Held, act: Act, is_shooting: bool) -> Rates {
        let air = self.air;
        let runs = matches!(act, Act::Fill | Act::TopUp);
        let purge = if act == Act::Purge {
            air.purge_per_h
        } else {
            0.0
        };
        let room = if is_shooting {
            air.room_shooting_per_h
        } else {
            air.room_between_per_h
        };
        let in_room = held.tent_m3.is_none();
        Rates {
            airborne_gpmin: if runs { air.airborne_gpmin } else { 0.0 },
            into_m3: held.tent_m3.unwrap_or(air.room_m3),
            loss_per_h: if in_room {
                room + air.settling_per_h
            } else {
                air.leak_per_h + air.settling_per_h + purge
            },
            leak_per_h: if in_room { 0.0 } else { air.leak_per_h },
            room_m3: air.room_m3,
            room_loss_per_h: room + air.settling_per_h,
            in_room,
        }
    }

    /// A piece that lasts until a minute of the day.
    fn go(&mut self, act: Act, of: usize, rates: Rates, until: f64) {
        if until <= self.now {
            return;
        }
        let piece = Piece {
            act,
            of: Some(of),
            start_min: self.now,
            end_min: until,
            rates,
            start: self.state,
        };
        self.state = piece.end();
        self.now = until;
        self.course.airborne_g += rates.airborne_gpmin * (until - piece.start_min);
        self.course.pieces.push(piece);
    }

    /// Gets the tent ready for a setup, by its start if that can be.
    fn make_ready(&mut self, of: usize, held: &Held) {
        let rates = self.rates(held, Act::Fill, false);
        let high = held.wanted_mgpm3 * (1.0 + self.air.band);
        let rest = self.rates(held, Act::Rest, false);
        let left = |walk: &Self, until: f64| rest.after(walk.state, (until - walk.now) / 60.0);
        // The later it begins the less is there to begin with, so the start is found by going back from the setup's own.
        let mut start = held.start_min.max(self.now);
        for _ in 0..12 {
            let Some(hours) = rates.hours_to(left(self, start).tent_mgpm3, high) else {
                break;
            };
            start = (held.start_min - hours * 60.0).max(self.now);
        }
        self.go(Act::Rest, of, rest, start);
        match rates.hours_to(self.state.tent_mgpm3, high) {
            Some(hours) => {
                let until = self.now + hours * 60.0;
                if until > held.start_min + 0.5 {
                    self.course.not_reached.push(of);
                }
                self.go(Act::Fill, of, rates, until.min(held.end_min));
            }
            // Thicker than wanted already: it thins by itself. Or it never gets there, and the machine runs all along.
            None if self.state.tent_mgpm3 > high => self.go(Act::Rest, of, rest, held.start_min),
            None => {
                self.course.not_reached.push(of);
                self.go(
                    Act::Fill,
                    of,
                    self.rates(held, Act::Fill, true),
                    held.end_min,
                );
            }
        }
    }

    fn hold(&mut self, of: usize, held: &Held) {
        let (thin, fill) = (
            self.rates(held, Act::Hold, true),
            self.rates(held, Act::TopUp, true),
        );
        let (low, high) = (
            held.wanted_mgpm3 * (1.0 - self.air.band),
            held.wanted_mgpm3 * (1.0 + self.air.band),
        );
        for _ in 0..MOST_TOP_UPS {
            let hours = thin.hours_to(self.state.tent_mgpm3, low);
            let until = hours.map_or(held.end_min, |h| self.now + h * 60.0);
            if until >= held.end_min {
                break;
            }
            self.go(Act::Hold, of, thin, until);
            let Some(hours) = fill.hours_to(self.state.tent_mgpm3, high) else {
                break;
            };
            let until = (self.now + hours * 60.0).min(held.end_min);
            self.course.top_ups.push(TopUp {
                of,
                at_min: self.now,
                run_s: (until - self.now) * 60.0,
                airborne_g: fill.airborne_gpmin * (until - self.now),
            });
            self.go(Act::TopUp, of, fill, until);
        }
        self.go(Act::Hold, of, thin, held.end_min);
    }

    /// Draws the tent out after a setup, unless the next one wants what stands there.
    fn draw_out(&mut self, of: usize, held: &Held, next: Option<&Held>) {
        let stays = next.is_some_and(|next| {
            next.tent_m3 == held.tent_m3
                && next.start_min - held.end_min <= LEFT_MIN
                && next.wanted_mgpm3 >= held.wanted_mgpm3 * (1.0 - self.air.band)
        });
        if stays {
            return;
        }
        let rates = self.rates(held, Act::Purge, false);
        let hours = rates.hours_to(self.state.tent_mgpm3, self.air.clear_mgpm3);
        let until = self.now + hours.unwrap_or(0.0) * 60.0;
        let latest = next.map_or(f64::INFINITY, |next| next.start_min);
        self.go(Act::Purge, of, rates, until.min(latest));
        let is_another = next.is_none_or(|next| next.tent_m3 != held.tent_m3);
        if is_another && held.tent_m3.is_some() {
            // What is left of it is let out of doors with the tent.
            self.state.tent_mgpm3 = 0.0;
        }
    }
}

/// The haze of a day, from one minute of it to another.
pub fn course(air: &Air, held: &[Held], from_min: f64, to_min: f64) -> Course {
    let mut walk = Walk {
        air,
        course: Course::default(),
        now: from_min,
        state: State::default(),
    };
    for (of, one) in held.iter().enumerate() {
        if one.wanted_mgpm3 <= 0.0 || one.end_min <= one.start_min {
            continue;
        }
        walk.make_ready(of, one);
        walk.hold(of, one);
        walk.draw_out(of, one, held.get(of + 1));
    }
    if let Some((of, last)) = held.iter().enumerate().next_back() {
        let rest = walk.rates(last, Act::Rest, false);
        walk.go(Act::Rest, of, rest, to_min);
    }
    walk.course
}
