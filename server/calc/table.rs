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

/// Two columns of numbers as pairs, lines with a blank in either left out.
pub fn column(text: &'static str, by: &str, name: &str) -> Vec<(f64, f64)> {
    rows(text)
        .iter()
        .filter_map(|row| {
            Some((
                row.get(by)?.trim().parse().ok()?,
                row.get(name)?.trim().parse().ok()?,
            ))
        })
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
    fn blanks_are_no_numbers() {
        let text = "# where it is from\nnm,a,b\n400,1,\n410,,2\n420,3,4\n";
        assert_eq!(column(text, "nm", "a"), [(400.0, 1.0), (420.0, 3.0)]);
        assert_eq!(column(text, "nm", "b"), [(410.0, 2.0), (420.0, 4.0)]);
        assert!(column(text, "nm", "c").is_empty());
    }

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
