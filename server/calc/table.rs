//! Reads the small tables under `data/`: lines of `#` say source and terms, the first other line names the columns.

use std::collections::BTreeMap;

/// The rows of a table, each by column name.
pub fn rows(text: &'static str) -> Vec<BTreeMap<&'static str, String>> {
    let mut lines = text
        .lines()
        .filter(|line| !line.starts_with('#') && !line.trim().is_empty());
    let names: Vec<&'static str> = lines
        .next()
        .map(|line| line.split(',').collect())
        .unwrap_or_default();
    lines
        .map(|line| names.iter().copied().zip(cells(line)).collect())
        .collect()
}

/// The cells of a line; a cell in quotes may hold commas.
fn cells(line: &str) -> Vec<String> {
    let mut out = vec![String::new()];
    let mut quoted = false;
    for letter in line.chars() {
        match letter {
            '"' => quoted = !quoted,
            ',' if !quoted => out.push(String::new()),
            _ => {
                if let Some(cell) = out.last_mut() {
                    cell.push(letter);
                }
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quotes_hold_commas_together() {
        let rows = rows("# where it is from\na,b,c\n1,\"two, three\",\n\n");
        assert_eq!(rows.len(), 1);
        assert_eq!(
            (
                rows[0]["a"].as_str(),
                rows[0]["b"].as_str(),
                rows[0]["c"].as_str()
            ),
            ("1", "two, three", "")
        );
    }
}
