//! Detours that would save minutes: a changeover table in which they occur is worth a second look.

/// A pair of setups that a visit to a third would make cheaper.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Detour {
    /// Row the way starts from.
    pub from: usize,
    /// Row visited on the way.
    pub via: usize,
    /// Row the way ends at.
    pub to: usize,
    /// Minutes straight there.
    pub direct_minutes: u32,
    /// Minutes by way of `via`.
    pub detour_minutes: u32,
}

/// Every triple that breaks the triangle inequality `c(a, c) ≤ c(a, b) + c(b, c)`.
///
/// A plan over such a matrix would "visit" a setup to save time, so the table is worth a second look. `minutes` is a
/// square matrix, row to column; a missing entry is passed over.
pub fn detours(minutes: &[Vec<u32>]) -> Vec<Detour> {
    let at = |from: usize, to: usize| minutes[from].get(to).copied();
    let n = minutes.len();
    let mut found = Vec::new();
    for from in 0..n {
        for to in (0..n).filter(|to| *to != from) {
            for via in (0..n).filter(|via| *via != from && *via != to) {
                let (Some(direct), Some(there), Some(on)) =
                    (at(from, to), at(from, via), at(via, to))
                else {
                    continue;
                };
                let detour = there.saturating_add(on);
                if direct > detour {
                    found.push(Detour {
                        from,
                        via,
                        to,
                        direct_minutes: direct,
                        detour_minutes: detour,
                    });
                }
            }
        }
    }
    found
}
