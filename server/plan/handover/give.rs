//! Lists out of a plan.

use super::csv::Audience;
use super::export::{SetupLine, ShotLine, fields_of, write_setups, write_shots};
use super::records::Value;
use super::store::{fields_of_shot, setup_codes};
use crate::journal::field::Kind;
use crate::journal::record::AnyEntry;
use crate::plan::Plan;
use crate::web::fields::called;

/// The shots in the order of the cut. Reading them back into the plan finds every one the same.
pub fn shots(plan: &Plan, audience: Audience) -> String {
    let lines = plan.shots_in_order().into_iter().map(|shot| ShotLine {
        code: shot.code.to_string(),
        setups: setup_codes(plan, &shot.id),
        fields: fields_of_shot(plan, shot),
    });
    write_shots(&lines.collect::<Vec<_>>(), audience)
}

/// The setups in their order, with what they refer to by its name.
pub fn setups(plan: &Plan, audience: Audience) -> String {
    let shots = plan.shots_in_order();
    let lines = plan.setups_in_order().into_iter().map(|setup| {
        let passes = plan.passes_of_setup(&setup.id);
        let serves = shots.iter().filter(|shot| {
            passes
                .iter()
                .any(|pass| pass.shot.as_ref() == Some(&shot.id))
        });
        let mut fields = fields_of(setup);
        for (at, field) in setup.kind().fields.iter().enumerate() {
            if let (Kind::Reference(_), Some(id)) = (field.blank.kind, setup.get(at).as_text())
                && let Some(to) = plan.anything(id)
            {
                fields.insert(field.name, Value::Text(called(plan, to)));
            }
        }
        SetupLine {
            code: setup.code.to_string(),
            shots: serves.map(|shot| shot.code.to_string()).collect(),
            fields,
        }
    });
    write_setups(&lines.collect::<Vec<_>>(), audience)
}

/// A name for the file that every system takes: the title in plain letters, then what it is.
pub fn file_name(plan: &Plan, kind: &str) -> String {
    let title = plan.production().map_or("", |p| &*p.title);
    let mut plain = String::new();
    for at in title.chars() {
        if at.is_ascii_alphanumeric() {
            plain.push(at.to_ascii_lowercase());
        } else if !plain.is_empty() && !plain.ends_with('-') {
            plain.push('-');
        }
    }
    let plain = plain.trim_end_matches('-');
    let plain = if plain.is_empty() { "plan" } else { plain };
    format!("{plain}-{kind}")
}
