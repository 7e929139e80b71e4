//! Small drawings of a single sum: a curve over its axes, the sharp stretch before a lens, the table from above, a colour's
//! way through gels.

pub mod chart;
pub mod colour_path;
pub mod scales;
pub mod seen;
pub mod sharp;

/// What a drawing shows and its figures, as one sentence to hear.
fn heard(about: &str, facts: &[(String, String)]) -> String {
    let told: Vec<_> = facts
        .iter()
        .map(|(name, value)| {
            if name.is_empty() || value.contains(name.as_str()) {
                value.clone()
            } else {
                format!("{name} {value}")
            }
        })
        .collect();
    if told.is_empty() {
        format!("{about}.")
    } else {
        format!("{about}: {}.", told.join("; "))
    }
}
