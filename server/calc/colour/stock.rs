//! The crew's stock of gels, and which stack of it comes nearest to a colour.

use super::StandardDaylight;
use super::difference::difference_seen;
use super::lamp::Lamp;
use super::light::{seen, through};
use super::observer::{Chromaticity, Spectrum, product, tristimulus};
use super::search::{KEPT, MOST_SHEETS, Ranked, Stocked, Wanted, best_stacks};
use super::sheet::{Filter, Sheet};
use super::swatch::White;
use super::temperature::real_colour;
use crate::calculation::{Told, calculation};
use crate::fault::{Fault, FaultKind, Warnings};
use crate::figure::{carried, found};
use crate::input::{Input, Kind, Range, Typed, number};
use serde_json::{Value, json};

/// Least light that a stack must let through when nothing else is asked.
const LEAST_TRANSMITTANCE: f64 = 0.05;
/// More gels than this are no stock to search while somebody waits.
const MOST_GELS: usize = 300;

/// One stack of the answer.
#[derive(Clone, Debug, PartialEq)]
pub struct RankedStack {
    /// Its sheets; none is the bare lamp.
    pub stack: Vec<Sheet>,
    /// Distance from the colour wanted, on the even diagram.
    pub delta_uprime_vprime: f64,
    /// Share of the light that comes through.
    pub luminous_transmittance: f64,
}

impl RankedStack {
    const fn member(name: &'static str, kind: Kind, doc: &'static str) -> Input {
        Input {
            name,
            kind,
            range: Range::Any,
            default: None,
            usual: None,
            doc,
        }
    }
}

impl Told for RankedStack {
    const KIND: Kind = Kind::Record(&[
        Self::member(
            "stack",
            Kind::List(&<Sheet as Typed>::KIND),
            "Its sheets; none is the bare lamp.",
        ),
        Self::member(
            "delta_uprime_vprime",
            Kind::Number,
            "Distance from the colour wanted, on the even diagram.",
        ),
        Self::member(
            "luminous_transmittance",
            Kind::Number,
            "Share of the light that comes through.",
        ),
    ]);

    fn tell(&self) -> Value {
        json!({
            "stack": self.stack.tell(),
            "delta_uprime_vprime": number(self.delta_uprime_vprime),
            "luminous_transmittance": number(self.luminous_transmittance),
        })
    }

    fn shown(&self) -> String {
        format!(
            "{}: {}",
            stack_words(&self.stack),
            found(self.delta_uprime_vprime)
        )
    }
}

calculation! { "colour";
    /// How many stacks a search looks through, the bare lamp left out.
    search_count(SearchCount {
        /// Gels in stock.
        stock_n: u32 = Between(0.0, 2000.0); usual 40_u32,
        /// Sheets in the largest stack.
        max_gels: u32 = Between(1.0, 3.0); default MOST_SHEETS,
        /// Whether a gel may be doubled.
        repeats_allowed: bool = Any; default true,
    }) -> SearchCountFound {
        /// Stacks there are.
        stacks: u32,
    }
    because search_count_because
    source "combinations with and without repetition", Confirmed

    /// The stack of gels that brings a lamp nearest to a colour.
    ///
    /// Every stack of up to three sheets is weighed. Of stacks equally near the one with fewer sheets is better, then the
    /// brighter one. A match in x, y is not a match for the camera when spectra have spikes: shoot a card test. Told of
    /// models and tables as a stack is.
    search(Search {
        /// The lamp: a name, or a table of wavelengths and powers.
        lamp: Lamp = Any; usual Lamp::Planck(5600.0),
        /// x of the colour wanted.
        target_x: f64 = Between(0.0, 1.0); usual 0.31,
        /// y of the colour wanted.
        target_y: f64 = AboveUpTo(0.0, 1.0); usual 0.35,
        /// The gels there are: pairs of a model and its amount, or records of a model or a measured table.
        stock: Vec<Sheet> = Any; usual vec![
            Sheet::from(Filter::ideal_shift(67.0)),
            Sheet::from(Filter::ideal_shift(-36.0)),
            Sheet::from(Filter::ideal_shift(-15.0)),
            Sheet::from(Filter::PlusGreen { density: 0.15 }),
        ],
        /// Sheets in the largest stack.
        max_gels: u32 = Between(1.0, 3.0); default MOST_SHEETS,
        /// Whether a gel may be doubled.
        repeats_allowed: bool = Any; default true,
        /// Least share of the light that must come through.
        min_luminous_transmittance: f64 = Between(0.0, 1.0); default LEAST_TRANSMITTANCE,
        /// Whether the head is hot, so that gels which must not go on hot heads are left out.
        hot_head: bool = Any; default false,
        /// What the camera is balanced to, for the difference it sees.
        white_balance: White = Any; default White::Lamp(Lamp::Named(StandardDaylight::D65)),
    }) -> SearchFound {
        /// The nearest stack; empty is the bare lamp.
        best_stack: Vec<Sheet>,
        /// Its distance from the colour wanted, on the even diagram: below 0.004 is close.
        delta_uprime_vprime: f64,
        /// Share of the light that it lets through.
        luminous_transmittance: f64,
        /// Stops lost.
        stops: f64,
        /// x of the light behind it.
        x: f64,
        /// y of the light behind it.
        y: f64,
        /// Its difference from the colour wanted as the camera's white has it, CIEDE2000 at equal brightness.
        delta_e_2000: f64,
        /// Distance of the second best; none when there is no other stack.
        runner_up_delta: Option<f64>,
        /// The ten best, this one first.
        best_ten: Vec<RankedStack>,
    }
    because search_because
    source "exhaustive search over every stack; CIE 1976 uniform chromaticity scale, ISO/CIE 11664-5", Confirmed
}

fn search_count(i: &SearchCount, _: &mut Warnings) -> Result<SearchCountFound, Fault> {
    let n = u64::from(i.stock_n);
    let sizes: [u64; 3] = if i.repeats_allowed {
        [n, n * (n + 1) / 2, n * (n + 1) * (n + 2) / 6]
    } else {
        let (less_one, less_two) = (n.saturating_sub(1), n.saturating_sub(2));
        [n, n * less_one / 2, n * less_one * less_two / 6]
    };
    let largest = usize::try_from(i.max_gels).unwrap_or(sizes.len());
    let all: u64 = sizes.iter().take(largest).sum();
    u32::try_from(all)
        .map(|stacks| SearchCountFound { stacks })
        .map_err(|_| {
            Fault::new(
                "stock_n",
                FaultKind::OutOfRange,
                "Too many stacks to count.",
            )
        })
}

fn search_count_because(i: &SearchCount, a: &SearchCountFound) -> String {
    let n = i.stock_n;
    let terms: [String; 3] = if i.repeats_allowed {
        [
            n.to_string(),
            format!("{n} × {} ÷ 2", n + 1),
            format!("{n} × {} × {} ÷ 6", n + 1, n + 2),
        ]
    } else {
        let (less_one, less_two) = (n.saturating_sub(1), n.saturating_sub(2));
        [
            n.to_string(),
            format!("{n} × {less_one} ÷ 2"),
            format!("{n} × {less_one} × {less_two} ÷ 6"),
        ]
    };
    let largest = usize::try_from(i.max_gels).unwrap_or(terms.len());
    format!(
        "{} = {} stacks, besides the bare lamp",
        terms[..largest.min(terms.len())].join(" + "),
        found(f64::from(a.stacks))
    )
}

/// The gels that may be used, each once: the same gel listed twice is one with the sheets of both.
fn usable(i: &Search) -> Vec<Sheet> {
    let mut out: Vec<Sheet> = Vec::new();
    for gel in &i.stock {
        if i.hot_head && gel.not_on_hot_heads {
            continue;
        }
        let same = out
            .iter_mut()
            .find(|other| other.filter == gel.filter && other.name == gel.name);
        match same {
            Some(other) => {
                let both = other.sheets.zip(gel.sheets);
                other.sheets = both.map(|(a, b)| a.saturating_add(b));
            }
            None => out.push(gel.clone()),
        }
    }
    out
}

fn stocked(gel: &Sheet, warnings: &mut Warnings) -> Stocked {
    Stocked {
        name: gel.words(),
        through: gel.filter.transmittance(warnings),
        sheets: gel.sheets,
    }
}

/// The lamp, the target and the stacks found.
fn looked_for(
    i: &Search,
    warnings: &mut Warnings,
) -> Result<(Wanted, Vec<Sheet>, Vec<Ranked>), Fault> {
    let wanted = Wanted {
        lamp: lit(i, warnings)?,
        target: real_colour("target_y", i.target_x, i.target_y)?,
        max_gels: i.max_gels,
        repeats_allowed: i.repeats_allowed,
        min_luminous_transmittance: i.min_luminous_transmittance,
    };
    let gels = usable(i);
    if gels.len() > MOST_GELS {
        let problem = format!(
            "Stock has {} gels, and 300 can be searched: leave out those that are far from the colour.",
            gels.len()
        );
        return Err(Fault::new("stock", FaultKind::OutOfRange, problem));
    }
    let stock: Vec<Stocked> = gels.iter().map(|gel| stocked(gel, warnings)).collect();
    let best = best_stacks(&stock, &wanted);
    Ok((wanted, gels, best))
}

/// The bare lamp's power, unless nobody can see it.
fn lit(i: &Search, warnings: &mut Warnings) -> Result<Spectrum, Fault> {
    let lamp = i.lamp.spectrum("lamp", warnings)?;
    seen("lamp", tristimulus(&lamp))?;
    Ok(lamp)
}

fn search(i: &Search, warnings: &mut Warnings) -> Result<SearchFound, Fault> {
    let white = i.white_balance.light("white_balance", warnings)?;
    let (wanted, gels, best) = looked_for(i, warnings)?;
    let best_ten: Vec<RankedStack> = best
        .iter()
        .take(KEPT)
        .map(|ranked| RankedStack {
            stack: ranked
                .places
                .iter()
                .map(|place| gels[*place].clone())
                .collect(),
            delta_uprime_vprime: ranked.delta_uprime_vprime,
            luminous_transmittance: ranked.luminous_transmittance,
        })
        .collect();
    let (Some(first), Some(stack)) = (best.first(), best_ten.first()) else {
        let problem = "No stack can be made of this stock.";
        return Err(Fault::new("stock", FaultKind::OutOfRange, problem));
    };
    Ok(SearchFound {
        best_stack: stack.stack.clone(),
        delta_uprime_vprime: first.delta_uprime_vprime,
        luminous_transmittance: first.luminous_transmittance,
        stops: (1.0 / first.luminous_transmittance).log2(),
        x: first.colour.x,
        y: first.colour.y,
        delta_e_2000: difference_seen(first.colour, wanted.target, white),
        runner_up_delta: best.get(1).map(|second| second.delta_uprime_vprime),
        best_ten,
    })
}

fn stack_words(stack: &[Sheet]) -> String {
    if stack.is_empty() {
        return "the bare lamp".to_owned();
    }
    let words: Vec<String> = stack.iter().map(Sheet::words).collect();
    words.join(" + ")
}

fn search_because(i: &Search, a: &SearchFound) -> String {
    let lamp = lit(i, &mut Warnings::default()).unwrap_or([0.0; super::observer::SAMPLES]);
    let gelled = product(&lamp, &through(&a.best_stack, &mut Warnings::default()));
    let target = Chromaticity {
        x: i.target_x,
        y: i.target_y,
    };
    let here = tristimulus(&gelled)
        .chromaticity()
        .unwrap_or(target)
        .uv_prime();
    let there = target.uv_prime();
    format!(
        "√(({})² + ({})²) = {} on the even diagram, with {}: {} stops down",
        carried(here.0 - there.0),
        carried(here.1 - there.1),
        found(a.delta_uprime_vprime),
        stack_words(&a.best_stack),
        found(a.stops)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;

    fn asked(stock: Vec<Sheet>) -> Search {
        Search {
            lamp: Lamp::Planck(5600.0),
            target_x: 0.38,
            target_y: 0.377,
            stock,
            max_gels: 3,
            repeats_allowed: true,
            min_luminous_transmittance: 0.05,
            hot_head: false,
            white_balance: White::Lamp(Lamp::Planck(5600.0)),
        }
    }

    fn half_orange() -> Sheet {
        Sheet {
            name: Some("half orange".to_owned()),
            sheets: Some(1),
            not_on_hot_heads: true,
            ..Sheet::from(Filter::ideal_shift(65.0))
        }
    }

    #[test]
    fn a_gel_listed_twice_is_one_with_the_sheets_of_both() {
        let merged = usable(&asked(vec![half_orange(), half_orange()]));
        assert_eq!((merged.len(), merged[0].sheets), (1, Some(2)));
        let enough = Sheet {
            sheets: None,
            ..half_orange()
        };
        assert_eq!(usable(&asked(vec![half_orange(), enough]))[0].sheets, None);
    }

    #[test]
    fn gels_that_melt_stay_off_hot_heads() {
        let mut search = asked(vec![half_orange()]);
        assert_eq!(search.work().expect("in range").best_stack.len(), 1);
        search.hot_head = true;
        assert!(search.work().expect("in range").best_stack.is_empty());
    }

    #[test]
    fn a_close_stack_is_close_to_the_eye_too() {
        let found = asked(vec![half_orange()]).work().expect("in range");
        assert!(found.delta_uprime_vprime < 0.004 && found.delta_e_2000 < 3.0);
        assert_eq!(found.warnings, ["generic_model"]);
        assert!(
            found
                .runner_up_delta
                .is_some_and(|second| second > found.delta_uprime_vprime)
        );
    }

    #[test]
    fn a_target_that_is_no_colour_and_a_stock_too_large_are_refused() {
        let mut search = asked(vec![half_orange()]);
        search.target_x = 0.7;
        search.target_y = 0.5;
        assert_eq!(search.work().expect_err("refused")[0].field, "target_y");
        let many = (0..301)
            .map(|shift| Sheet::from(Filter::ideal_shift(f64::from(shift))))
            .collect();
        assert_eq!(asked(many).work().expect_err("refused")[0].field, "stock");
    }
}
