//! Short phrases that name setups, passes and their figures.

use super::{
    figures::Figures,
    setup::{ELEMENT, Pass, Setup},
};
use crate::{journal::record::Entry, plan::Plan};

/// "844 to 2 612 mm", or a long dash.
pub fn sharp(worked: &Figures) -> String {
    match (worked.get("near"), worked.get("far")) {
        (Some(near), Some(far)) if !near.value.is_empty() && far.value == "to infinity" => {
            format!("{} mm to infinity", near.value)
        }
        (Some(near), Some(far)) if !near.value.is_empty() && !far.value.is_empty() => {
            format!("{} to {} mm", near.value, far.value)
        }
        _ => "—".into(),
    }
}

/// Codes of the shots a setup serves, in cut order.
pub fn shots_of(plan: &Plan, setup: &Entry<Setup>) -> String {
    let codes = plan
        .shots_of_setup(&setup.id)
        .into_iter()
        .map(|s| s.code.to_string());
    codes.collect::<Vec<_>>().join(", ")
}

/// "P4, P8 and P9".
pub(super) fn in_words(list: &[String]) -> String {
    match list {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

/// "P4 main".
pub fn pass_name(plan: &Plan, pass: &Pass) -> String {
    let shot = pass
        .shot
        .as_ref()
        .and_then(|id| plan.shots.get(id))
        .map_or_else(|| "struck shot".to_owned(), |s| s.code.to_string());
    format!("{shot} {}", word(ELEMENT, &pass.element))
}

pub(super) fn word(list: &[(&'static str, &'static str)], code: &str) -> &'static str {
    list.iter().find(|(c, _)| *c == code).map_or("", |(_, w)| w)
}

pub(super) fn with_unit(value: Option<f64>, unit: &str) -> String {
    value.map_or_else(
        || "—".into(),
        |v| format!("{} {unit}", crate::journal::field::plain(v)),
    )
}
