//! The published limits, each with how well it is known.

use super::WORKING_DAY_H;
use crate::calculation::calculation;
use crate::fault::{Fault, FaultKind, Warnings};
use crate::figure::{found, given};
use std::sync::LazyLock;

/// One limit as it was published.
#[derive(Clone, Debug, PartialEq)]
pub struct LimitRow {
    /// What is in the air.
    pub agent: String,
    /// Over what time: `8h_TWA`, `peak`, `STEL_15min` and the like.
    pub basis: String,
    /// The limit; none where the authority sets no number.
    pub value: Option<f64>,
    /// Its unit.
    pub unit: String,
    /// Who set it.
    pub authority: String,
    /// Where it holds.
    pub jurisdiction: String,
    /// How well it is known, in the words that stay with it.
    pub mark: &'static str,
    /// What else to know.
    pub note: String,
}

/// Every limit in the table.
pub fn rows() -> &'static [LimitRow] {
    static ROWS: LazyLock<Vec<LimitRow>> = LazyLock::new(|| {
        let rows = crate::table::rows(include_str!("../data/exposure_limits.csv"));
        rows.iter()
            .map(|row| {
                let cell = |name: &str| row.get(name).cloned().unwrap_or_default();
                LimitRow {
                    agent: cell("agent"),
                    basis: cell("basis"),
                    value: cell("value").parse().ok(),
                    unit: cell("unit"),
                    authority: cell("authority"),
                    jurisdiction: cell("jurisdiction"),
                    mark: match cell("confirmed").as_str() {
                        "yes" => "confirmed",
                        "secondary" => "secondary source",
                        _ => "from memory",
                    },
                    note: cell("note"),
                }
            })
            .collect()
    });
    &ROWS
}

/// A limit by agent, basis and authority; without an authority the strictest there is.
///
/// # Errors
/// `not_one_of` on the first name that is in no row, with those that are.
pub fn look_up(
    agent: &str,
    basis: &str,
    authority: Option<&str>,
) -> Result<&'static LimitRow, Fault> {
    let of_agent = narrowed(&rows().iter().collect::<Vec<_>>(), "agent", agent, |row| {
        &row.agent
    })?;
    let of_basis = narrowed(&of_agent, "basis", basis, |row| &row.basis)?;
    let of_authority = match authority {
        Some(authority) => narrowed(&of_basis, "authority", authority, |row| &row.authority)?,
        None => of_basis,
    };
    let strictest = of_authority
        .into_iter()
        .min_by(|a, b| a.value.unwrap_or(0.0).total_cmp(&b.value.unwrap_or(0.0)));
    strictest.ok_or_else(|| Fault::new("agent", FaultKind::NotOneOf, "No limit is known for this."))
}

/// The rows with this word in a column, or a fault that names the words there are.
fn narrowed(
    rows: &[&'static LimitRow],
    field: &str,
    word: &str,
    column: fn(&LimitRow) -> &String,
) -> Result<Vec<&'static LimitRow>, Fault> {
    let mut known: Vec<&str> = rows.iter().map(|row| column(row).as_str()).collect();
    let there: Vec<_> = rows
        .iter()
        .copied()
        .filter(|row| column(row) == word)
        .collect();
    if there.is_empty() {
        known.dedup();
        let label = crate::input::label(field);
        let problem = format!("{label} must be one of {}.", known.join(" · "));
        return Err(Fault::new(field, FaultKind::NotOneOf, problem));
    }
    Ok(there)
}

calculation! { "air-limits";
    /// A published limit of what is in the air, with who set it and how well it is known.
    ///
    /// Values as facts, not legal advice: check the current edition and local law. Without an authority the strictest
    /// row is given.
    limit(Limit {
        /// What is in the air.
        agent: String = Any; usual "glycols_theatrical_fog".to_owned(),
        /// Over what time: `8h_TWA`, `peak`, `STEL_15min` and the like.
        basis: String = Any; usual "peak".to_owned(),
        /// Who set it; the strictest when none is named.
        authority: Option<String> = Any,
    }) -> LimitFound {
        /// The limit; none where the authority sets no number.
        value: Option<f64>,
        /// Its unit.
        unit: String,
        /// Who set it.
        authority: String,
        /// Where it holds.
        jurisdiction: String,
        /// How well it is known.
        mark: &'static str,
        /// What else to know.
        note: String,
    }
    because limit_because
    source "exposure limits as published, each row with its authority and mark", Confirmed
}

fn limit(i: &Limit, _: &mut Warnings) -> Result<LimitFound, Fault> {
    let row = look_up(&i.agent, &i.basis, i.authority.as_deref())?;
    Ok(LimitFound {
        value: row.value,
        unit: row.unit.clone(),
        authority: row.authority.clone(),
        jurisdiction: row.jurisdiction.clone(),
        mark: row.mark,
        note: row.note.clone(),
    })
}

fn limit_because(i: &Limit, a: &LimitFound) -> String {
    in_words(&i.basis, a.value, &a.unit, &a.authority, a.mark)
}

/// A limit as the expression that a day is planned by, with who set it.
pub(crate) fn in_words(
    basis: &str,
    value: Option<f64>,
    unit: &str,
    authority: &str,
    mark: &str,
) -> String {
    let origin = format!("{authority} ({mark})");
    let unit = unit.replace("mg/m3", "mg/m³");
    match value {
        None => format!(
            "8 × 0 = 0 to plan for, since no number is set: keep it as low as can be done. {origin}."
        ),
        Some(value) if basis == "8h_TWA" => {
            let (value, day) = (given(value), found(WORKING_DAY_H * value));
            format!("8 × {value} = {day} {unit} × hours in a working day. {origin}.")
        }
        Some(value) => {
            let value = given(value);
            format!(
                "1 × {value} = {value} {unit}, {}. {origin}.",
                basis.replace('_', " ")
            )
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Calculate, because};

    fn ask(agent: &str, basis: &str, authority: Option<&str>) -> Limit {
        Limit {
            agent: agent.to_owned(),
            basis: basis.to_owned(),
            authority: authority.map(str::to_owned),
        }
    }

    #[test]
    fn every_row_is_found_and_says_why() {
        assert!(rows().len() > 40);
        for row in rows() {
            let limit = ask(&row.agent, &row.basis, Some(&row.authority))
                .work()
                .expect("a row");
            assert_eq!(limit.unit, row.unit);
            assert!(
                because::evaluate(&limit.because)
                    .expect("an expression")
                    .units_apart()
                    <= 1.0,
                "{}",
                limit.because
            );
        }
    }

    #[test]
    fn without_an_authority_the_strictest_holds() {
        let silica = ask("respirable_crystalline_silica", "8h_TWA", None)
            .work()
            .expect("a row");
        assert_eq!(silica.value, Some(0.025));
    }

    #[test]
    fn what_has_no_number_has_none() {
        let oil = rows()
            .iter()
            .find(|row| row.value.is_none())
            .expect("a row without a number");
        assert_eq!(
            ask(&oil.agent, &oil.basis, None)
                .work()
                .expect("a row")
                .value,
            None
        );
    }

    #[test]
    fn words_that_are_in_no_row_are_named() {
        for (asked, field) in [
            (ask("treacle", "peak", None), "agent"),
            (ask("glycols_theatrical_fog", "weekly", None), "basis"),
            (
                ask("glycols_theatrical_fog", "peak", Some("nobody")),
                "authority",
            ),
        ] {
            let faults = asked.work().expect_err("refused");
            assert_eq!(
                (faults[0].field.as_str(), faults[0].kind),
                (field, FaultKind::NotOneOf)
            );
        }
    }
}
