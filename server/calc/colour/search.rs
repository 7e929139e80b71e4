//! The search for the stack of gels that comes nearest to a colour.
//!
//! Exhaustive and exact: every stack of up to three sheets is weighed. What a pair lets through, times the lamp and the
//! observer's curves, is formed once and summed against every third sheet side by side, which keeps the inner loop three
//! multiplications and additions wide for each wavelength and sheet. Adding a sheet can only take light away, so a pair
//! already under the least light asked for needs no third; nothing else may be left out.

use super::observer::{
    Chromaticity, SAMPLES, STEP_NM, Spectrum, Xyz, curves, product, tristimulus,
};
use std::cmp::Ordering;

/// Sheets in the largest stack.
pub const MOST_SHEETS: u32 = 3;
/// Stacks kept.
pub const KEPT: usize = 10;
/// Differences closer than this are the same.
const SAME_DELTA: f64 = 1e-7;

/// A gel of the stock, as the search sees it.
#[derive(Clone, Debug, PartialEq)]
pub struct Stocked {
    /// What it is called, so that equal spectra keep an order.
    pub name: String,
    /// Share that comes through at each wavelength.
    pub through: Spectrum,
    /// How many sheets there are; enough when not given.
    pub sheets: Option<u32>,
}

/// What is looked for.
#[derive(Clone, Debug, PartialEq)]
pub struct Wanted {
    /// Power of the bare lamp.
    pub lamp: Spectrum,
    /// The colour to come near to.
    pub target: Chromaticity,
    /// Sheets in the largest stack, up to [`MOST_SHEETS`].
    pub max_gels: u32,
    /// Whether a gel may be doubled.
    pub repeats_allowed: bool,
    /// Least share of the light that must come through.
    pub min_luminous_transmittance: f64,
}

/// A stack, and how near it comes.
#[derive(Clone, Debug, PartialEq)]
pub struct Ranked {
    /// Places in the stock, rising; empty is the bare lamp.
    pub places: Vec<usize>,
    /// Its colour.
    pub colour: Chromaticity,
    /// Distance from the colour wanted, on the even diagram of 1976.
    pub delta_uprime_vprime: f64,
    /// Share of the light that comes through.
    pub luminous_transmittance: f64,
}

/// The nearest stacks there are, best first, at most [`KEPT`]; always the bare lamp if nothing else.
///
/// Of stacks that come equally near (to 10⁻⁷) the one with fewer sheets is better, then the brighter one.
pub fn best_stacks(stock: &[Stocked], wanted: &Wanted) -> Vec<Ranked> {
    let mut order: Vec<usize> = (0..stock.len()).collect();
    // in an order of their own, so that the order of the stock changes nothing, down to the last bit
    order.sort_by(|a, b| in_order(&stock[*a], &stock[*b]));
    let mut search = Weighing::new(stock, &order, wanted);
    search.run();
    let places = |stack: &Candidate| {
        let mut places: Vec<usize> = stack.sheets().iter().map(|sheet| order[*sheet]).collect();
        places.sort_unstable();
        places
    };
    search
        .best
        .iter()
        .filter_map(|stack| {
            Some(Ranked {
                places: places(stack),
                colour: stack.light.chromaticity()?,
                delta_uprime_vprime: stack.delta,
                luminous_transmittance: stack.light.y / search.bare.y,
            })
        })
        .collect()
}

fn in_order(a: &Stocked, b: &Stocked) -> Ordering {
    let both = a.through.iter().zip(&b.through);
    both.map(|(a, b)| a.total_cmp(b))
        .find(|order| order.is_ne())
        .unwrap_or(Ordering::Equal)
        .then_with(|| a.name.cmp(&b.name))
}

/// A stack that was weighed.
#[derive(Clone, Copy, Debug)]
struct Candidate {
    delta: f64,
    light: Xyz,
    stack: [usize; MOST_SHEETS as usize],
    count: usize,
}

impl Candidate {
    fn sheets(&self) -> &[usize] {
        &self.stack[..self.count]
    }

    /// Which of two is better; no two stacks are equal.
    fn rank(&self, other: &Self) -> Ordering {
        let rounded = |candidate: &Self| (candidate.delta / SAME_DELTA).round();
        rounded(self)
            .total_cmp(&rounded(other))
            .then_with(|| self.count.cmp(&other.count))
            .then_with(|| other.light.y.total_cmp(&self.light.y))
            .then_with(|| self.sheets().cmp(other.sheets()))
    }
}

/// A search under way.
struct Weighing<'a> {
    wanted: &'a Wanted,
    target: (f64, f64),
    bare: Xyz,
    /// Lamp times the observer's curves.
    weights: [Spectrum; 3],
    through: Vec<&'a Spectrum>,
    sheets: Vec<u32>,
    /// What each sheet lets through, wavelength by wavelength and then sheet by sheet.
    by_wavelength: Vec<f64>,
    best: Vec<Candidate>,
    /// Square distance that no better stack can exceed.
    worst_square: f64,
}

impl<'a> Weighing<'a> {
    fn new(stock: &'a [Stocked], order: &[usize], wanted: &'a Wanted) -> Self {
        let through: Vec<&Spectrum> = order.iter().map(|place| &stock[*place].through).collect();
        let enough = if wanted.repeats_allowed {
            MOST_SHEETS
        } else {
            1
        };
        Self {
            wanted,
            target: wanted.target.uv_prime(),
            bare: tristimulus(&wanted.lamp),
            weights: curves()
                .each_ref()
                .map(|curve| product(&wanted.lamp, curve)),
            by_wavelength: (0..SAMPLES)
                .flat_map(|at| through.iter().map(move |sheet| sheet[at]))
                .collect(),
            through,
            sheets: order
                .iter()
                .map(|place| {
                    stock[*place]
                        .sheets
                        .map_or(enough, |sheets| sheets.min(enough))
                })
                .collect(),
            best: Vec::with_capacity(KEPT + 1),
            worst_square: f64::INFINITY,
        }
    }

    fn run(&mut self) {
        self.weigh(self.bare, &[]);
        let largest = self.wanted.max_gels.min(MOST_SHEETS);
        let count = self.through.len();
        if largest == 0 || count == 0 {
            return;
        }
        let mut sums = Sums::of(count);
        sums.fill(&self.weights, &self.by_wavelength, 0);
        for sheet in 0..count {
            if self.sheets[sheet] > 0 && self.bright(sums.light(sheet)) {
                self.weigh(sums.light(sheet), &[sheet]);
                if largest > 1 {
                    self.with_first(sheet, largest);
                }
            }
        }
    }

    /// Weighs the stacks of two and three whose first sheet this is.
    fn with_first(&mut self, first: usize, largest: u32) {
        let count = self.through.len();
        let weights = self
            .weights
            .each_ref()
            .map(|curve| product(curve, self.through[first]));
        let (mut pairs, mut triples) = (Sums::of(count), Sums::of(count));
        pairs.fill(&weights, &self.by_wavelength, first);
        for second in first..count {
            let light = pairs.light(second);
            if !self.available(&[first, second]) || !self.bright(light) {
                continue;
            }
            self.weigh(light, &[first, second]);
            if largest < 3 {
                continue;
            }
            let weights = weights
                .each_ref()
                .map(|curve| product(curve, self.through[second]));
            triples.fill(&weights, &self.by_wavelength, second);
            for third in second..count {
                let light = triples.light(third);
                let stack = [first, second, third];
                if self.near(light) && self.available(&stack) && self.bright(light) {
                    self.weigh(light, &stack);
                }
            }
        }
    }

    /// Whether there are sheets enough for a stack.
    fn available(&self, stack: &[usize]) -> bool {
        stack.iter().all(|sheet| {
            let needed = stack.iter().filter(|other| *other == sheet).count();
            u32::try_from(needed).is_ok_and(|needed| needed <= self.sheets[*sheet])
        })
    }

    fn bright(&self, light: Xyz) -> bool {
        light.y >= self.wanted.min_luminous_transmittance * self.bare.y
    }

    fn square_distance(&self, light: Xyz) -> f64 {
        let below = light.x + 15.0 * light.y + 3.0 * light.z;
        let (u, v) = (4.0 * light.x / below, 9.0 * light.y / below);
        (u - self.target.0).powi(2) + (v - self.target.1).powi(2)
    }

    fn near(&self, light: Xyz) -> bool {
        self.square_distance(light) <= self.worst_square
    }

    /// Keeps a stack when it is among the best.
    fn weigh(&mut self, light: Xyz, sheets: &[usize]) {
        let square = self.square_distance(light);
        if !square.is_finite() {
            return;
        }
        let mut stack = [0; MOST_SHEETS as usize];
        stack[..sheets.len()].copy_from_slice(sheets);
        let candidate = Candidate {
            delta: square.sqrt(),
            light,
            stack,
            count: sheets.len(),
        };
        let place = self
            .best
            .partition_point(|other| other.rank(&candidate).is_lt());
        if place >= KEPT {
            return;
        }
        self.best.insert(place, candidate);
        self.best.truncate(KEPT);
        if self.best.len() == KEPT {
            // a little more than the worst kept, for those that round to the same
            let worst = self.best[KEPT - 1].delta + 2.0 * SAME_DELTA;
            self.worst_square = worst * worst;
        }
    }
}

/// X, Y and Z of a lamp behind each of the sheets.
struct Sums([Vec<f64>; 3]);

impl Sums {
    fn of(count: usize) -> Self {
        Self([vec![0.0; count], vec![0.0; count], vec![0.0; count]])
    }

    /// Sums the weights over what each sheet from `first` on lets through.
    fn fill(&mut self, weights: &[Spectrum; 3], by_wavelength: &[f64], first: usize) {
        let [xs, ys, zs] = &mut self.0;
        let count = xs.len();
        let (xs, ys, zs) = (&mut xs[first..], &mut ys[first..], &mut zs[first..]);
        for sums in [&mut *xs, &mut *ys, &mut *zs] {
            sums.fill(0.0);
        }
        for (at, sheets) in by_wavelength.chunks_exact(count).enumerate() {
            let [x, y, z] = weights.each_ref().map(|curve| curve[at] * STEP_NM);
            let sums = xs.iter_mut().zip(ys.iter_mut()).zip(zs.iter_mut());
            for (((sum_x, sum_y), sum_z), through) in sums.zip(&sheets[first..]) {
                *sum_x += x * through;
                *sum_y += y * through;
                *sum_z += z * through;
            }
        }
    }

    fn light(&self, sheet: usize) -> Xyz {
        let [xs, ys, zs] = &self.0;
        Xyz {
            x: xs[sheet],
            y: ys[sheet],
            z: zs[sheet],
        }
    }
}

#[cfg(test)]
#[path = "search_tests.rs"]
mod tests;
