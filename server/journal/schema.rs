//! The columns that the migrations made, so that a declared field without its column does not compile.

include!(concat!(env!("OUT_DIR"), "/columns.rs"));

const fn same(a: &str, b: &str) -> bool {
    let (a, b) = (a.as_bytes(), b.as_bytes());
    if a.len() != b.len() {
        return false;
    }
    let mut i = 0;
    while i < a.len() {
        if a[i] != b[i] {
            return false;
        }
        i += 1;
    }
    true
}

/// Whether a table has a column of this SQL type, and needs it exactly when the declaration does.
pub const fn has_column(table: &str, column: &str, kind: &str, needed: bool) -> bool {
    let mut i = 0;
    while i < COLUMNS.len() {
        let (t, c, k, n) = COLUMNS[i];
        if same(t, table) && same(c, column) {
            return same(k, kind) && n == needed;
        }
        i += 1;
    }
    false
}

/// How many columns a table has.
pub const fn column_count(table: &str) -> usize {
    let (mut i, mut found) = (0, 0);
    while i < COLUMNS.len() {
        if same(COLUMNS[i].0, table) {
            found += 1;
        }
        i += 1;
    }
    found
}
