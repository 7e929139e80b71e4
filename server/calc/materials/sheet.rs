//! Parts out of a sheet.

use super::{along, too_large};
use crate::calculation::calculation;
use crate::fault::{Fault, Warnings};
use crate::figure::found;

calculation! { "materials";
    /// Parts out of a sheet when all lie the same way.
    ///
    /// Better of the two ways; grain or print may forbid one.
    sheet_single_orientation(SheetSingleOrientation {
        /// Length of the sheet.
        sheet_w_m: f64 = Above(0.0); usual 2.44,
        /// Width of the sheet.
        sheet_h_m: f64 = Above(0.0); usual 1.22,
        /// Length of the part.
        part_w_m: f64 = Above(0.0); usual 0.5,
        /// Width of the part.
        part_h_m: f64 = Above(0.0); usual 0.4,
        /// Width of the cut.
        kerf_m: f64 = AtLeast(0.0); default 0.0; usual 0.003,
        /// Parts needed, when sheets are to be counted.
        parts_needed: Option<u32> = Any,
    }) -> SheetParts {
        /// Parts from one sheet.
        parts: u32,
        /// Share of the sheet that ends in parts.
        yield_fraction: f64,
        /// Sheets for the parts needed.
        sheets: Option<u32>,
    }
    because sheet_single_orientation_because
    source "count of whole parts along each side", Confirmed

    /// Parts out of a sheet cut straight through into two bands, the second turned.
    ///
    /// The best over every number of rows and both ways of sheet and part. An estimate: a saw hand may do better, and
    /// grain or print may forbid turning.
    sheet_two_band(SheetTwoBand {
        /// Length of the sheet.
        sheet_w_m: f64 = Above(0.0); usual 2.44,
        /// Width of the sheet.
        sheet_h_m: f64 = Above(0.0); usual 1.22,
        /// Length of the part.
        part_w_m: f64 = Above(0.0); usual 0.5,
        /// Width of the part.
        part_h_m: f64 = Above(0.0); usual 0.4,
        /// Width of the cut.
        kerf_m: f64 = AtLeast(0.0); default 0.0; usual 0.003,
        /// Parts needed, when sheets are to be counted.
        parts_needed: Option<u32> = Any,
    }) -> TwoBandParts {
        /// Parts from one sheet.
        parts: u32,
        /// Share of the sheet that ends in parts.
        yield_fraction: f64,
        /// Sheets for the parts needed.
        sheets: Option<u32>,
    }
    because sheet_two_band_because
    source "two-band guillotine cut, every number of rows tried", Confirmed
}

/// One way to cut: rows of so many, then a band of so many turned parts.
#[derive(Clone, Copy, Debug)]
struct Cut {
    rows: u32,
    in_a_row: u32,
    turned_columns: u32,
    turned_rows: u32,
}

impl Cut {
    const fn parts(self) -> u32 {
        self.rows * self.in_a_row + self.turned_columns * self.turned_rows
    }
}

type Side = (f64, f64);

/// The best count with every part lying the same way, as columns and rows.
fn one_way(sheet: Side, part: Side, kerf_m: f64) -> Result<(u32, u32), Fault> {
    let count = |part: Side| -> Result<(u32, u32), Fault> {
        Ok((
            along("part_w_m", sheet.0, part.0, kerf_m)?,
            along("part_h_m", sheet.1, part.1, kerf_m)?,
        ))
    };
    let (lying, turned) = (count(part)?, count((part.1, part.0))?);
    let best = if turned.0 * turned.1 > lying.0 * lying.1 {
        turned
    } else {
        lying
    };
    if best.0 * best.1 == 0 {
        return Err(too_large("part_w_m", "sheet"));
    }
    Ok(best)
}

/// The best cut into rows of `part` across `sheet.0`, and turned parts in what is left.
fn banded(sheet: Side, part: Side, kerf_m: f64) -> Result<Cut, Fault> {
    let in_a_row = along("part_w_m", sheet.0, part.0, kerf_m)?;
    let turned_columns = along("part_w_m", sheet.0, part.1, kerf_m)?;
    let most_rows = along("part_h_m", sheet.1, part.1, kerf_m)?;
    let mut best = Cut {
        rows: 0,
        in_a_row,
        turned_columns,
        turned_rows: along("part_h_m", sheet.1, part.0, kerf_m)?,
    };
    for rows in 1..=most_rows {
        let left_m = sheet.1 - f64::from(rows) * (part.1 + kerf_m);
        let turned_rows = if left_m > 0.0 {
            along("part_h_m", left_m, part.0, kerf_m)?
        } else {
            0
        };
        let cut = Cut {
            rows,
            turned_rows,
            ..best
        };
        if cut.parts() > best.parts() {
            best = cut;
        }
    }
    Ok(best)
}

/// The best of both ways of the sheet and both of the part.
fn two_band(sheet: Side, part: Side, kerf_m: f64) -> Result<Cut, Fault> {
    let turned = |side: Side| (side.1, side.0);
    let mut best: Option<Cut> = None;
    for sheet in [sheet, turned(sheet)] {
        for part in [part, turned(part)] {
            let cut = banded(sheet, part, kerf_m)?;
            if best.is_none_or(|best| cut.parts() > best.parts()) {
                best = Some(cut);
            }
        }
    }
    best.filter(|cut| cut.parts() > 0)
        .ok_or_else(|| too_large("part_w_m", "sheet"))
}

fn share(parts: u32, part: Side, sheet: Side) -> f64 {
    f64::from(parts) * part.0 * part.1 / (sheet.0 * sheet.1)
}

fn sheet_single_orientation(
    i: &SheetSingleOrientation,
    _: &mut Warnings,
) -> Result<SheetParts, Fault> {
    let (sheet, part) = ((i.sheet_w_m, i.sheet_h_m), (i.part_w_m, i.part_h_m));
    let (columns, rows) = one_way(sheet, part, i.kerf_m)?;
    let parts = columns * rows;
    Ok(SheetParts {
        parts,
        yield_fraction: share(parts, part, sheet),
        sheets: i.parts_needed.map(|needed| needed.div_ceil(parts)),
    })
}

fn sheet_single_orientation_because(i: &SheetSingleOrientation, a: &SheetParts) -> String {
    let (sheet, part) = ((i.sheet_w_m, i.sheet_h_m), (i.part_w_m, i.part_h_m));
    let (columns, rows) = one_way(sheet, part, i.kerf_m).unwrap_or((0, 0));
    format!(
        "{columns} × {rows} = {} parts, {} of the sheet{}",
        found(f64::from(a.parts)),
        found(a.yield_fraction),
        sheets_in_words(a.sheets)
    )
}

fn sheet_two_band(i: &SheetTwoBand, _: &mut Warnings) -> Result<TwoBandParts, Fault> {
    let (sheet, part) = ((i.sheet_w_m, i.sheet_h_m), (i.part_w_m, i.part_h_m));
    let parts = two_band(sheet, part, i.kerf_m)?.parts();
    Ok(TwoBandParts {
        parts,
        yield_fraction: share(parts, part, sheet),
        sheets: i.parts_needed.map(|needed| needed.div_ceil(parts)),
    })
}

fn sheet_two_band_because(i: &SheetTwoBand, a: &TwoBandParts) -> String {
    let (sheet, part) = ((i.sheet_w_m, i.sheet_h_m), (i.part_w_m, i.part_h_m));
    let sum = two_band(sheet, part, i.kerf_m).map_or_else(
        |_| "0".to_owned(),
        |cut| {
            format!(
                "{} × {} + {} × {}",
                cut.rows, cut.in_a_row, cut.turned_rows, cut.turned_columns
            )
        },
    );
    format!(
        "{sum} = {} parts, rows of parts and rows of turned ones, {} of the sheet{}",
        found(f64::from(a.parts)),
        found(a.yield_fraction),
        sheets_in_words(a.sheets)
    )
}

fn sheets_in_words(sheets: Option<u32>) -> String {
    match sheets {
        None => String::new(),
        Some(1) => ", 1 sheet".to_owned(),
        Some(sheets) => format!(", {sheets} sheets"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Calculate;
    use crate::fault::FaultKind;
    use proptest::prelude::*;

    fn single(part_w_m: f64, part_h_m: f64) -> SheetSingleOrientation {
        SheetSingleOrientation {
            sheet_w_m: 2.44,
            sheet_h_m: 1.22,
            part_w_m,
            part_h_m,
            kerf_m: 0.003,
            parts_needed: Some(30),
        }
    }

    #[test]
    fn sheets_are_counted_and_a_part_too_large_is_refused() {
        let cut = single(0.5, 0.4).work().expect("in range");
        assert_eq!((cut.parts, cut.sheets), (12, Some(3)));
        let faults = single(3.0, 0.1).work().expect_err("refused");
        assert_eq!(faults[0].kind, FaultKind::OutOfRange);
        let dust = SheetSingleOrientation {
            kerf_m: 0.0,
            ..single(1e-6, 0.1)
        };
        assert!(dust.work().is_err());
    }

    #[test]
    fn a_part_that_fits_exactly_fits() {
        let exact = SheetSingleOrientation {
            sheet_w_m: 0.9,
            sheet_h_m: 0.3,
            part_w_m: 0.3,
            part_h_m: 0.1,
            kerf_m: 0.0,
            parts_needed: None,
        };
        assert_eq!(exact.work().expect("in range").parts, 9);
    }

    proptest! {
        #[test]
        fn two_bands_are_never_worse_and_never_more_than_the_sheet(
            w in 0.05..1.2_f64, h in 0.05..1.2_f64, kerf in 0.0..0.01_f64,
        ) {
            let sheet = (2.44, 1.22);
            let (columns, rows) = one_way(sheet, (w, h), kerf).expect("in range");
            let cut = two_band(sheet, (w, h), kerf).expect("in range");
            prop_assert!(cut.parts() >= columns * rows);
            prop_assert!(share(cut.parts(), (w, h), sheet) <= 1.0 + 1e-9);
        }
    }
}
