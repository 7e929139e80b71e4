//! Pure calculations for effects in miniature.
