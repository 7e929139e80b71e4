//! What the bill comes to.

use super::MOST_SPARE;
use crate::calculation::calculation;
use crate::fault::{Fault, FaultKind, Warnings};
use crate::figure::{carried, found, given};
use crate::input::part;

/// Keeps a whole number of packs whole when the spare leaves it a hair over.
const ROUNDING: f64 = 1e-9;

part! {
    /// One line of a bill.
    CostLine {
        /// How much is needed.
        qty: f64 = AtLeast(0.0),
        /// Cost of one.
        unit_cost: f64 = AtLeast(0.0),
        /// How much comes in a pack, when only whole packs are sold.
        pack: Option<f64> = Above(0.0),
    }
}

calculation! { "materials";
    /// What a list of materials costs, with its spare.
    ///
    /// Lines sold by the pack are rounded up to whole packs after the spare.
    cost(Cost {
        /// The lines of the bill.
        lines: Vec<CostLine> = Any; usual vec![
            CostLine { qty: 4.0, unit_cost: 12.5, pack: None },
            CostLine { qty: 2.2, unit_cost: 30.0, pack: None },
        ],
        /// Share to buy on top.
        spare_fraction: f64 = Between(0.0, MOST_SPARE); default 0.0; usual 0.1,
    }) -> CostFound {
        /// Cost of all lines, in the money of the lines.
        total: f64,
    }
    because cost_because
    source "sum of the lines", Confirmed
}

/// How much of a line is bought.
fn bought(line: &CostLine, spare_fraction: f64) -> f64 {
    let wanted = line.qty * (1.0 + spare_fraction);
    line.pack.map_or(wanted, |pack| {
        (wanted / pack - ROUNDING).ceil().max(0.0) * pack
    })
}

fn cost(i: &Cost, _: &mut Warnings) -> Result<CostFound, Fault> {
    if i.lines.is_empty() {
        let problem = "At least one line is needed.";
        return Err(Fault::new("lines", FaultKind::Missing, problem));
    }
    let lines = i.lines.iter();
    Ok(CostFound {
        total: lines
            .map(|line| bought(line, i.spare_fraction) * line.unit_cost)
            .sum(),
    })
}

fn cost_because(i: &Cost, a: &CostFound) -> String {
    let terms: Vec<String> = i
        .lines
        .iter()
        .map(|line| {
            format!(
                "{} × {}",
                carried(bought(line, i.spare_fraction)),
                given(line.unit_cost)
            )
        })
        .collect();
    format!(
        "{} = {}, spare and whole packs counted in",
        terms.join(" + "),
        found(a.total)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;

    fn bill(qty: f64, pack: Option<f64>, spare_fraction: f64) -> Cost {
        Cost {
            lines: vec![CostLine {
                qty,
                unit_cost: 3.0,
                pack,
            }],
            spare_fraction,
        }
    }

    #[test]
    fn packs_are_whole_and_exact_packs_are_not_rounded_up() {
        let total = |qty, pack, spare| bill(qty, pack, spare).work().expect("in range").total;
        assert!((total(10.0, Some(5.0), 0.1) - 45.0).abs() < 1e-9);
        assert!((total(10.0, Some(5.0), 0.0) - 30.0).abs() < 1e-9);
        assert!((total(10.0, Some(11.0), 0.1) - 33.0).abs() < 1e-9);
        assert!((total(10.0, None, 0.1) - 33.0).abs() < 1e-9);
    }

    #[test]
    fn an_empty_bill_is_refused() {
        let empty = Cost {
            lines: Vec::new(),
            spare_fraction: 0.0,
        };
        assert_eq!(
            empty.work().expect_err("refused")[0].kind,
            FaultKind::Missing
        );
    }
}
