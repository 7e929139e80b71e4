//! Reads the change of a salt that binds water, and weighs both sides.

/// Abridged standard atomic weights, g/mol (IUPAC).
const WEIGHTS_GPMOL: &[(&str, f64)] = &[
    ("H", 1.008),
    ("C", 12.011),
    ("N", 14.007),
    ("O", 15.999),
    ("Na", 22.990),
    ("Mg", 24.305),
    ("Al", 26.982),
    ("Si", 28.085),
    ("P", 30.974),
    ("S", 32.06),
    ("Cl", 35.45),
    ("K", 39.098),
    ("Ca", 40.078),
    ("Fe", 55.845),
];
/// A mole of water, g.
pub(crate) const WATER_GPMOL: f64 = 2.0 * 1.008 + 15.999;

/// A salt with the water it holds.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Hydrate {
    /// The salt as written, without its water.
    pub(crate) salt: String,
    /// Mass of a mole of the salt without its water.
    pub(crate) salt_gpmol: f64,
    /// Moles of water held by one of salt.
    pub(crate) water: f64,
}

/// What a salt turns into as it sets: `CaSO4.0.5H2O -> CaSO4.2H2O`.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Setting {
    /// Before.
    pub(crate) from: Hydrate,
    /// After.
    pub(crate) to: Hydrate,
}

impl Setting {
    /// Reads it, or says what cannot be read.
    pub(crate) fn read(text: &str) -> Result<Self, String> {
        let text = text.replace('→', "->");
        let Some((from, to)) = text.split_once("->") else {
            return Err(
                "must be written as two salts with an arrow between: CaSO4.0.5H2O -> CaSO4.2H2O"
                    .to_owned(),
            );
        };
        let (from, to) = (hydrate(from)?, hydrate(to)?);
        if from.salt != to.salt {
            return Err(format!(
                "must keep its salt: {} is not {}",
                to.salt, from.salt
            ));
        }
        if from.water >= to.water {
            return Err("must take up water: the second salt holds no more than the first".into());
        }
        Ok(Self { from, to })
    }

    /// Mass of a mole before, with the water it holds.
    pub(crate) fn mole_before_g(&self) -> f64 {
        self.from.salt_gpmol + self.from.water * WATER_GPMOL
    }

    /// Moles of water that a mole takes up.
    pub(crate) fn taken_up(&self) -> f64 {
        self.to.water - self.from.water
    }
}

/// Splits `CaSO4.0.5H2O` into the salt and its half mole of water.
fn hydrate(text: &str) -> Result<Hydrate, String> {
    let text = text.trim().replace(['·', '*'], ".");
    let (salt, water) = match text.split_once('.') {
        None => (text.as_str(), 0.0),
        Some((salt, water)) => {
            let count = water
                .strip_suffix("H2O")
                .ok_or_else(|| format!("must end in H2O where it holds water, not in {water}"))?;
            let count = count.replace("1/2", "0.5").replace('½', "0.5");
            let count = if count.is_empty() { "1" } else { &count };
            let moles: f64 = count
                .parse()
                .map_err(|_| format!("has {count} moles of water, which is no number"))?;
            (salt, moles)
        }
    };
    if !(0.0..=100.0).contains(&water) {
        return Err(format!("has {water} moles of water, which no salt holds"));
    }
    Ok(Hydrate {
        salt: salt.to_owned(),
        salt_gpmol: weight_gpmol(salt)?,
        water,
    })
}

/// Mass of a mole of a formula without brackets.
fn weight_gpmol(formula: &str) -> Result<f64, String> {
    let mut rest = formula;
    let mut weight = 0.0;
    while let Some(first) = rest.chars().next() {
        let symbol_end = rest
            .char_indices()
            .skip(1)
            .find(|(_, letter)| !letter.is_ascii_lowercase())
            .map_or(rest.len(), |(at, _)| at);
        let (symbol, after) = rest.split_at(symbol_end);
        let known = WEIGHTS_GPMOL.iter().find(|(name, _)| *name == symbol);
        let Some((_, atom_gpmol)) = known.filter(|_| first.is_ascii_uppercase()) else {
            return Err(format!("has {symbol}, which is not known here"));
        };
        let count_end = after
            .find(|letter: char| !letter.is_ascii_digit())
            .unwrap_or(after.len());
        let (count, after) = after.split_at(count_end);
        let count: u16 = match count {
            "" => 1,
            digits => digits
                .parse()
                .map_err(|_| format!("has {digits} atoms of {symbol}, which is too many"))?,
        };
        weight += f64::from(count) * atom_gpmol;
        rest = after;
    }
    if weight > 0.0 {
        Ok(weight)
    } else {
        Err("has no salt in it".to_owned())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn salts_are_weighed() {
        let plaster = Setting::read("CaSO4.0.5H2O -> CaSO4.2H2O").expect("plaster");
        assert!((plaster.mole_before_g() - 145.14).abs() < 0.01);
        assert!((plaster.taken_up() - 1.5).abs() < 1e-12);
        let epsom = Setting::read("MgSO4.H2O → MgSO4·7H2O").expect("a salt");
        assert!((epsom.mole_before_g() - 138.38).abs() < 0.01);
        assert!(
            (Setting::read("CaSO4 -> CaSO4.2H2O")
                .expect("anhydrite")
                .mole_before_g()
                - 136.13)
                .abs()
                < 0.01
        );
    }

    #[test]
    fn what_binds_no_water_is_refused_in_words() {
        for (text, words) in [
            ("CaSO4", "arrow"),
            ("CaSO4.2H2O -> CaSO4.2H2O", "take up water"),
            ("CaSO4 -> MgSO4.7H2O", "keep its salt"),
            ("XxSO4 -> XxSO4.2H2O", "not known"),
            ("CaSO4.zH2O -> CaSO4.2H2O", "no number"),
            ("CaSO4.2HO -> CaSO4.2H2O", "H2O"),
            (" -> .2H2O", "no salt"),
            ("CaSO4 -> CaSO4.infH2O", "no salt holds"),
        ] {
            let problem = Setting::read(text).expect_err(text);
            assert!(problem.contains(words), "{text}: {problem}");
        }
    }

    proptest! {
        #[test]
        fn nothing_typed_panics(text in ".{0,40}") {
            let _ = Setting::read(&text);
            let _ = Setting::read(&format!("CaSO4.{text}H2O -> CaSO4.2H2O"));
        }
    }
}
