//! One piece of the day, between two acts of the crew: every rate stands still, so it has a closed form.

use super::MGPH_PER_GPMIN;

/// What the crew does in a piece.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Act {
    /// Nothing stands in the air, or what does thins by itself.
    Rest,
    /// The machine runs until what is wanted stands.
    Fill,
    /// It is held: thinning to the lower edge of the band.
    Hold,
    /// The machine runs from the lower edge to the upper.
    TopUp,
    /// The tent is drawn out of doors.
    Purge,
}

/// Rates of a piece.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rates {
    /// What the machine keeps in the air, g a minute.
    pub airborne_gpmin: f64,
    /// Volume it goes into: the tent's, or the room's where there is none.
    pub into_m3: f64,
    /// Everything the tent loses, each hour.
    pub loss_per_h: f64,
    /// The part of it that the room gains, each hour.
    pub leak_per_h: f64,
    /// Volume of the room.
    pub room_m3: f64,
    /// Air changes of the room, with what settles and dries in it.
    pub room_loss_per_h: f64,
    /// The haze stands in the room itself: the first box is the room.
    pub in_room: bool,
}

/// Levels and dose at a moment.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct State {
    /// In the tent; in the room, when the haze stands there.
    pub tent_mgpm3: f64,
    /// Where people breathe.
    pub room_mgpm3: f64,
    /// Level times hours in the room, since the day began.
    pub dose_mg_h_pm3: f64,
}

/// A piece of the day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Piece {
    /// What is done.
    pub act: Act,
    /// The setup it belongs to or leads to.
    pub of: Option<usize>,
    /// From when, in minutes of the day.
    pub start_min: f64,
    /// Until when.
    pub end_min: f64,
    /// Its rates.
    pub rates: Rates,
    /// What stands at its start.
    pub start: State,
}

/// `(1 − e^(−k h)) ÷ k`, which is `h` where nothing is lost.
fn rise(k: f64, h: f64) -> f64 {
    if (k * h).abs() < 1e-9 {
        h
    } else {
        -(-k * h).exp_m1() / k
    }
}

/// `(e^(−l h) − e^(−m h)) ÷ (m − l)`, which is `h e^(−l h)` where both are the same.
fn between(l: f64, m: f64, h: f64) -> f64 {
    if ((m - l) * h).abs() < 1e-7 {
        h * (-l * h).exp()
    } else {
        ((-l * h).exp() - (-m * h).exp()) / (m - l)
    }
}

impl Rates {
    /// What the machine adds to the level, mg/m³ an hour.
    fn gain(&self) -> f64 {
        self.airborne_gpmin * MGPH_PER_GPMIN / self.into_m3
    }

    /// Levels and dose some hours after `from`.
    ///
    /// Tent: `C = C₀ e^(−Lh) + G r(L, h)` with `r(k, h) = (1 − e^(−kh)) ÷ k`. Room, fed by the leak `a = λ V ÷ Vr`:
    /// `R = R₀ e^(−Mh) + a C₀ b(L, M, h) + a G ∫ r(L, s) e^(−M(h − s)) ds`. Its dose is the integral of that.
    pub fn after(&self, from: State, h: f64) -> State {
        let (l, m, g) = (self.loss_per_h, self.room_loss_per_h, self.gain());
        let tent = from.tent_mgpm3 * (-l * h).exp() + g * rise(l, h);
        if self.in_room {
            // ∫ C = C₀ r(L, h) + G (h − r(L, h)) ÷ L
            let fed = if l * h < 1e-6 {
                g * h * h / 2.0
            } else {
                g * (h - rise(l, h)) / l
            };
            let dose = from.tent_mgpm3 * rise(l, h) + fed;
            return State {
                tent_mgpm3: tent,
                room_mgpm3: tent,
                dose_mg_h_pm3: from.dose_mg_h_pm3 + dose,
            };
        }
        let a = self.leak_per_h * self.into_m3 / self.room_m3;
        // What the tent has held so far, level times hours, weighed by what the room keeps of it.
        let kept = from.tent_mgpm3 * between(l, m, h) + g * self.fed(h);
        let room = from.room_mgpm3 * (-m * h).exp() + a * kept;
        // The room's own balance gives its dose: what came in is still there or has left.
        let tent_dose = if l * h < 1e-6 {
            from.tent_mgpm3 * h + g * h * h / 2.0
        } else {
            from.tent_mgpm3 * rise(l, h) + g * (h - rise(l, h)) / l
        };
        let dose = if m * h < 1e-6 {
            // Nothing leaves: the level is what was there and what has come in, summed once more.
            let come = if l * h < 1e-6 {
                from.tent_mgpm3 * h * h / 2.0 + g * h * h * h / 6.0
            } else {
                let still = h - rise(l, h);
                from.tent_mgpm3 * still / l + g / l * (h * h / 2.0 - still / l)
            };
            from.room_mgpm3 * h + a * come
        } else {
            (from.room_mgpm3 + a * tent_dose - room) / m
        };
        State {
            tent_mgpm3: tent,
            room_mgpm3: room,
            dose_mg_h_pm3: from.dose_mg_h_pm3 + dose,
        }
    }

    /// `∫₀ʰ r(L, s) e^(−M(h − s)) ds`: of what the machine adds, what the room keeps.
    fn fed(&self, h: f64) -> f64 {
        let (l, m) = (self.loss_per_h, self.room_loss_per_h);
        if l * h < 1e-6 {
            // r(L, s) = s
            return if m * h < 1e-6 {
                h * h / 2.0
            } else {
                (h - rise(m, h)) / m
            };
        }
        (rise(m, h) - between(l, m, h)) / l
    }

    /// Hours until the tent stands at a level, from another; none when it never does.
    pub fn hours_to(&self, from_mgpm3: f64, to_mgpm3: f64) -> Option<f64> {
        let (l, g) = (self.loss_per_h, self.gain());
        if (from_mgpm3 - to_mgpm3).abs() <= 1e-12 * to_mgpm3.abs() {
            return Some(0.0);
        }
        if l < 1e-9 {
            let hours = (to_mgpm3 - from_mgpm3) / g;
            return (g > 0.0 && hours >= 0.0).then_some(hours);
        }
        let steady = g / l;
        let ratio = (from_mgpm3 - steady) / (to_mgpm3 - steady);
        (ratio >= 1.0).then(|| ratio.ln() / l)
    }
}

impl Piece {
    /// Levels and dose at a minute of the day within it.
    pub fn at(&self, minute: f64) -> State {
        self.rates
            .after(self.start, (minute - self.start_min) / 60.0)
    }

    /// What stands at its end.
    pub fn end(&self) -> State {
        self.at(self.end_min)
    }
}
