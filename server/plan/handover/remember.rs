//! Corrected headings, kept for a plan's next list.

use super::mapping::{Overrides, matched_form};
use super::shots::Look;
use crate::app::App;
use crate::error::PageError;
use crate::journal::value::Id;

/// What was said of headings when lists were stored in this plan before.
///
/// # Errors
/// The store's.
pub async fn headings(app: &App, plan: &Id) -> Result<Overrides, PageError> {
    let plan = plan.as_str();
    let rows = sqlx::query!(
        "select heading, field from remembered_heading where plan = ?",
        plan
    )
    .fetch_all(app.store.readers())
    .await?;
    let known = super::shots::columns();
    // A column that this version no longer has is forgotten, not a fault in the next file.
    let rows = rows.into_iter().filter(|row| {
        let field = row.field.as_deref();
        field.is_none_or(|field| known.iter().any(|column| column.field == field))
    });
    Ok(rows.map(|row| (row.heading, row.field)).collect())
}

/// Keeps what was said of the headings of a list that is now stored.
///
/// # Errors
/// The store's.
pub async fn keep(app: &App, plan: &Id, look: &Look) -> Result<(), PageError> {
    let taken = look.mapping.iter().filter(|taken| taken.by_hand);
    let taken = taken.map(|taken| (matched_form(&taken.heading), Some(taken.field.to_owned())));
    let left = look.not_taken.iter().filter(|left| left.by_hand);
    let left = left.map(|left| (matched_form(&left.heading), None));
    let rows: Vec<_> = taken.chain(left).collect();
    if rows.is_empty() || headings(app, plan).await? == rows.iter().cloned().collect() {
        return Ok(());
    }
    let plan = plan.to_string();
    app.store
        .aside(Box::new(move |db| {
            Box::pin(async move {
                for (heading, field) in rows {
                    sqlx::query!(
                        "insert into remembered_heading (plan, heading, field) values (?1, ?2, ?3)
                         on conflict (plan, heading) do update set field = excluded.field",
                        plan,
                        heading,
                        field
                    )
                    .execute(&mut *db)
                    .await?;
                }
                Ok(())
            })
        }))
        .await?;
    Ok(())
}
