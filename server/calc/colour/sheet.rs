//! Gels as what they let through at each wavelength: measured tables, and models that stand in for them.

use super::lamp::{is_short, wavelengths_fault};
use super::observer::{Spectrum, between, spectrum};
use crate::calculation::Told;
use crate::fault::{FaultKind, Warnings};
use crate::figure;
use crate::input::{Kind, Range, Typed, choice, number, part};
use serde_json::{Value, json};
use std::{f64::consts::LN_10, sync::LazyLock};

/// Second radiation constant, nm K.
const C2_NM_K: f64 = 1.4388e7;
/// Middle and width of the green that green gels add or take, nm.
const GREEN_NM: f64 = 545.0;
const GREEN_WIDTH_NM: f64 = 40.0;
/// A measured share above one by this much is noise of the meter; above that it is a mistake.
const NOISE_SHARE: f64 = 1.02;

choice! {
    /// A generic gel, standing in for a measured one.
    FilterModel {
        /// Moves every glowing lamp by the same mired.
        IdealShift = "ideal_shift",
        /// Takes green out.
        MinusGreen = "minus_green",
        /// Takes all but green out.
        PlusGreen = "plus_green",
    }
}

part! {
    /// A gel as it was measured.
    TransmittanceTable {
        /// Wavelengths, rising.
        wavelengths_nm: Vec<f64> = Above(0.0),
        /// Share that comes through at each.
        transmittances: Vec<f64> = Between(0.0, NOISE_SHARE),
    }
}

part! {
    /// A sheet by named members: a model with its amount, or a table, and what the stock knows of it.
    SheetRecord {
        /// Generic model, when it is not measured.
        model: Option<FilterModel> = Any,
        /// Shift of an ideal gel.
        shift_mired: Option<f64> = Any,
        /// Peak density of a green gel.
        density: Option<f64> = AtLeast(0.0),
        /// Most that an ideal gel lets through anywhere.
        peak_transmittance: Option<f64> = AboveUpTo(0.0, 1.0),
        /// Wavelengths of the measurement, rising.
        wavelengths_nm: Option<Vec<f64>> = Above(0.0),
        /// Share that comes through at each.
        transmittances: Option<Vec<f64>> = Between(0.0, NOISE_SHARE),
        /// What it is called.
        name: Option<String> = Any,
        /// How many are in stock; enough when not given.
        sheets: Option<u32> = Any,
        /// Whether it must not go on hot heads.
        not_on_hot_heads: bool = Any; default false,
    }
}

/// What a gel lets through.
#[derive(Clone, Debug, PartialEq)]
pub enum Filter {
    /// Moves every glowing lamp by the same mired.
    IdealShift {
        /// Shift: warming positive, cooling negative.
        shift_mired: f64,
        /// Most that comes through anywhere.
        peak_transmittance: f64,
    },
    /// Takes green out, to a peak density.
    MinusGreen {
        /// Peak density.
        density: f64,
    },
    /// Takes all but green out, to a peak density.
    PlusGreen {
        /// Peak density.
        density: f64,
    },
    /// As it was measured.
    Table(TransmittanceTable),
}

/// A sheet of gel, and what the stock knows of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// What it lets through.
    pub filter: Filter,
    /// What it is called.
    pub name: Option<String>,
    /// How many are in stock; enough when not given.
    pub sheets: Option<u32>,
    /// Whether it must not go on hot heads.
    pub not_on_hot_heads: bool,
}

impl From<Filter> for Sheet {
    fn from(filter: Filter) -> Self {
        Self {
            filter,
            name: None,
            sheets: None,
            not_on_hot_heads: false,
        }
    }
}

/// How much of a green gel's density each wavelength gets.
fn green() -> &'static Spectrum {
    static GREEN: LazyLock<Spectrum> = LazyLock::new(|| {
        spectrum(|at_nm| (-0.5 * ((at_nm - GREEN_NM) / GREEN_WIDTH_NM).powi(2)).exp())
    });
    &GREEN
}

/// Share that a density lets through.
fn passed(density: f64) -> f64 {
    (-LN_10 * density).exp()
}

impl Filter {
    /// An ideal gel that lets all through at its best wavelength.
    pub const fn ideal_shift(shift_mired: f64) -> Self {
        Self::IdealShift {
            shift_mired,
            peak_transmittance: 1.0,
        }
    }

    /// The model and its amount, for all but measured gels.
    fn model(&self) -> Option<(FilterModel, f64)> {
        match self {
            Self::IdealShift { shift_mired, .. } => Some((FilterModel::IdealShift, *shift_mired)),
            Self::MinusGreen { density } => Some((FilterModel::MinusGreen, *density)),
            Self::PlusGreen { density } => Some((FilterModel::PlusGreen, *density)),
            Self::Table(_) => None,
        }
    }

    fn of_model(model: FilterModel, amount: f64) -> Self {
        match model {
            FilterModel::IdealShift => Self::ideal_shift(amount),
            FilterModel::MinusGreen => Self::MinusGreen { density: amount },
            FilterModel::PlusGreen => Self::PlusGreen { density: amount },
        }
    }

    /// Share that comes through at each wavelength of the grid; a model is told (`generic_model`), a measured table when it
    /// leaves out part of the light (`spectrum_short`) or lets more through than comes (`transmittance_clamped`).
    pub fn transmittance(&self, warnings: &mut Warnings) -> Spectrum {
        warnings.add_if(self.model().is_some(), "generic_model");
        match self {
            Self::IdealShift {
                shift_mired,
                peak_transmittance,
            } => {
                // the exponent is taken off its own maximum, so that no shift is too large for it
                let exponents = spectrum(|at_nm| -C2_NM_K / at_nm * shift_mired * 1e-6);
                let most = exponents.iter().copied().fold(f64::NEG_INFINITY, f64::max);
                exponents.map(|exponent| peak_transmittance * (exponent - most).exp())
            }
            Self::MinusGreen { density } => green().map(|green| passed(density * green)),
            Self::PlusGreen { density } => green().map(|green| passed(density * (1.0 - green))),
            Self::Table(table) => table.transmittance(warnings),
        }
    }

    fn fault(&self) -> Option<(FaultKind, String)> {
        match self {
            Self::IdealShift {
                shift_mired,
                peak_transmittance,
            } => shift_mired.breach(&Range::Any).or_else(|| {
                let (_, problem) = peak_transmittance.breach(&Range::AboveUpTo(0.0, 1.0))?;
                let problem = format!("peak transmittance {problem}");
                Some((FaultKind::OutOfRange, problem))
            }),
            Self::MinusGreen { density } | Self::PlusGreen { density } => {
                density.breach(&Range::AtLeast(0.0))
            }
            Self::Table(table) => table
                .breach(&Range::Any)
                .or_else(|| wavelengths_fault(&table.wavelengths_nm, table.transmittances.len())),
        }
    }
}

impl TransmittanceTable {
    fn transmittance(&self, warnings: &mut Warnings) -> Spectrum {
        let clamped = self.transmittances.iter().any(|share| *share > 1.0);
        warnings.add_if(clamped, "transmittance_clamped");
        let both = self.wavelengths_nm.iter().zip(&self.transmittances);
        let column: Vec<_> = both.map(|(nm, share)| (*nm, share.min(1.0))).collect();
        warnings.add_if(is_short(&column), "spectrum_short");
        let ends = column.first().zip(column.last());
        let (low, high) = ends.map_or((0.0, 0.0), |(first, last)| (first.0, last.0));
        // gels go on as they end
        spectrum(|at_nm| between(&column, at_nm.clamp(low, high)).unwrap_or(0.0))
    }
}

impl Sheet {
    /// Its name, or its model and amount.
    pub fn words(&self) -> String {
        match (&self.name, self.filter.model()) {
            (Some(name), _) => name.clone(),
            (None, Some((model, amount))) => {
                format!("{} {}", model.shown(), figure::given(amount))
            }
            (None, None) => "measured gel".to_owned(),
        }
    }

    /// A pair of model and amount, when that is all there is to it.
    fn pair(&self) -> Option<Value> {
        let plain = *self == Self::from(self.filter.clone());
        let full = !matches!(&self.filter, Filter::IdealShift { peak_transmittance, .. } if *peak_transmittance < 1.0);
        let (model, amount) = self.filter.model().filter(|_| plain && full)?;
        Some(json!([model.as_str(), number(amount)]))
    }
}

impl SheetRecord {
    fn sheet(self) -> Result<Sheet, (FaultKind, String)> {
        let missing = |what: &str| Err((FaultKind::Missing, format!("needs its {what}")));
        let filter = match (self.model, self.wavelengths_nm, self.transmittances) {
            (None, Some(wavelengths_nm), Some(transmittances)) => {
                Filter::Table(TransmittanceTable {
                    wavelengths_nm,
                    transmittances,
                })
            }
            (Some(FilterModel::IdealShift), None, None) => match self.shift_mired {
                Some(shift_mired) => Filter::IdealShift {
                    shift_mired,
                    peak_transmittance: self.peak_transmittance.unwrap_or(1.0),
                },
                None => return missing("shift_mired"),
            },
            (Some(model), None, None) => match self.density {
                Some(density) => Filter::of_model(model, density),
                None => return missing("density"),
            },
            _ => return missing("model, or wavelengths_nm and transmittances, not both"),
        };
        Ok(Sheet {
            filter,
            name: self.name,
            sheets: self.sheets,
            not_on_hot_heads: self.not_on_hot_heads,
        })
    }

    fn of(sheet: &Sheet) -> Self {
        let mut record = Self {
            model: sheet.filter.model().map(|(model, _)| model),
            shift_mired: None,
            density: None,
            peak_transmittance: None,
            wavelengths_nm: None,
            transmittances: None,
            name: sheet.name.clone(),
            sheets: sheet.sheets,
            not_on_hot_heads: sheet.not_on_hot_heads,
        };
        match &sheet.filter {
            Filter::IdealShift {
                shift_mired,
                peak_transmittance,
            } => {
                record.shift_mired = Some(*shift_mired);
                record.peak_transmittance = Some(*peak_transmittance);
            }
            Filter::MinusGreen { density } | Filter::PlusGreen { density } => {
                record.density = Some(*density);
            }
            Filter::Table(table) => {
                record.wavelengths_nm = Some(table.wavelengths_nm.clone());
                record.transmittances = Some(table.transmittances.clone());
            }
        }
        record
    }
}

/// A sheet written as a model and its amount.
fn of_pair(pair: &[Value]) -> Result<Sheet, (FaultKind, String)> {
    let [model, amount] = pair else {
        let words = "must be a pair of a model and its amount";
        return Err((FaultKind::WrongType, words.to_owned()));
    };
    let model = FilterModel::read(Some(model))?;
    Ok(Filter::of_model(model, f64::read(Some(amount))?).into())
}

impl Typed for Sheet {
    const KIND: Kind = Kind::OneOf(&[
        SheetRecord::KIND,
        Kind::Tuple(&Kind::OneOf(&[FilterModel::KIND, Kind::Number]), 2),
    ]);

    fn read(given: Option<&Value>) -> Result<Self, (FaultKind, String)> {
        let sheet = match given {
            Some(Value::Array(pair)) => of_pair(pair)?,
            _ => SheetRecord::read(given)?.sheet()?,
        };
        sheet.filter.fault().map_or(Ok(sheet), Err)
    }

    fn breach(&self, _: &Range) -> Option<(FaultKind, String)> {
        self.filter.fault()
    }

    fn write(&self) -> Value {
        self.pair().unwrap_or_else(|| SheetRecord::of(self).write())
    }

    fn shown(&self) -> String {
        self.words()
    }
}

impl Told for Sheet {
    const KIND: Kind = <Self as Typed>::KIND;

    fn tell(&self) -> Value {
        self.write()
    }

    fn shown(&self) -> String {
        self.words()
    }
}

#[cfg(test)]
#[path = "sheet_tests.rs"]
mod tests;
