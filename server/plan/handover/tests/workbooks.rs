//! Workbooks: awkward ones that crews send, and hostile ones.

use std::fmt::Write as _;
use std::io::{Cursor, Write as _};

use zip::write::SimpleFileOptions;

use super::super::{Refused, read};
use super::{at_25, faults, frames, lines, number, text};

const RELATIONS: &str = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";
const MAIN: &str = "http://schemas.openxmlformats.org/spreadsheetml/2006/main";

/// Packs parts as a workbook is packed.
fn packed(parts: &[(String, String)]) -> Vec<u8> {
    let mut archive = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for (name, text) in parts {
        archive
            .start_file(name.as_str(), SimpleFileOptions::default())
            .expect("a part begins");
        archive
            .write_all(text.as_bytes())
            .expect("a part is written");
    }
    archive.finish().expect("packed").into_inner()
}

/// A workbook of sheets given as name and inner XML of the worksheet; style 1 is a date, style 2 a time of day.
fn workbook(sheets: &[(&str, String)], more: &[(&str, String)]) -> Vec<u8> {
    let mut list = String::new();
    let mut relations = String::new();
    let mut parts = Vec::new();
    for (at, (name, inner)) in sheets.iter().enumerate() {
        write!(
            list,
            r#"<sheet name="{name}" sheetId="{0}" r:id="r{0}"/>"#,
            at + 1
        )
        .expect("text");
        write!(relations, r#"<Relationship Id="r{0}" Type="{RELATIONS}/worksheet" Target="worksheets/sheet{0}.xml"/>"#, at + 1).expect("text");
        parts.push((
            format!("xl/worksheets/sheet{}.xml", at + 1),
            format!(r#"<worksheet xmlns="{MAIN}">{inner}</worksheet>"#),
        ));
    }
    let package = "http://schemas.openxmlformats.org/package/2006/relationships";
    parts.push(("_rels/.rels".into(), format!(r#"<Relationships xmlns="{package}"><Relationship Id="r1" Type="{RELATIONS}/officeDocument" Target="xl/workbook.xml"/></Relationships>"#)));
    parts.push((
        "xl/workbook.xml".into(),
        format!(
            r#"<workbook xmlns="{MAIN}" xmlns:r="{RELATIONS}"><sheets>{list}</sheets></workbook>"#
        ),
    ));
    parts.push((
        "xl/_rels/workbook.xml.rels".into(),
        format!(r#"<Relationships xmlns="{package}">{relations}</Relationships>"#),
    ));
    parts.push(("xl/styles.xml".into(), format!(r#"<styleSheet xmlns="{MAIN}"><cellXfs count="3"><xf numFmtId="0"/><xf numFmtId="14"/><xf numFmtId="20"/></cellXfs></styleSheet>"#)));
    parts.extend(
        more.iter()
            .map(|(name, text)| ((*name).to_owned(), text.clone())),
    );
    packed(&parts)
}

/// Rows as sheet data; a cell is text, or XML when it begins with `<`.
fn data(rows: &[(u32, &[&str])]) -> String {
    let mut xml = String::from("<sheetData>");
    for (row, cells) in rows {
        write!(xml, r#"<row r="{row}">"#).expect("text");
        for (column, cell) in ('A'..).zip(*cells) {
            match cell.strip_prefix('<') {
                Some(inner) => write!(xml, r#"<c r="{column}{row}" {inner}</c>"#).expect("text"),
                None if cell.is_empty() => {}
                None => write!(
                    xml,
                    r#"<c r="{column}{row}" t="inlineStr"><is><t>{cell}</t></is></c>"#
                )
                .expect("text"),
            }
        }
        xml.push_str("</row>");
    }
    xml + "</sheetData>"
}

#[test]
fn the_sheet_called_shots_is_taken_wherever_it_stands() {
    let stores = data(&[(1, &["Name", "Scale", "Code"]), (2, &["tin", "1:20", "T1"])]);
    let shots = data(&[(1, &["Shot", "Frames"]), (2, &["P1", "<><v>162</v>"])]);
    let look = read(
        &workbook(&[("Stores", stores.clone()), ("shots ", shots)], &[]),
        "list.xlsx",
        &at_25(),
    )
    .expect("a list");
    assert_eq!(frames(&lines(&look)[0]), Some(162));
    let look = read(
        &workbook(
            &[("Front", data(&[(1, &["hello"])])), ("Other", stores)],
            &[],
        ),
        "list.xlsx",
        &at_25(),
    );
    assert_eq!(
        lines(&look.expect("a list"))[0].code,
        "T1",
        "else the first sheet with headings"
    );
}

#[test]
fn a_workbook_without_headings_is_refused_by_name_of_its_sheets() {
    let refused = read(
        &workbook(&[("Front", data(&[(1, &["hello"])]))], &[]),
        "list.xlsx",
        &at_25(),
    )
    .expect_err("no list");
    assert_eq!(
        refused,
        Refused::NoHeadings {
            looked_in: "looked in the sheets Front".into()
        }
    );
}

#[test]
fn headings_nobody_knows_can_be_corrected() {
    let sheet = data(&[(2, &["Bild", "Sekunden"]), (3, &["P1", "6,48"])]);
    let look = read(&workbook(&[("Liste", sheet)], &[]), "list.xlsx", &at_25())
        .expect("a list all the same");
    assert_eq!(faults(&look), ["2 Shot: missing"]);
    let headings: Vec<&str> = look
        .not_taken
        .iter()
        .map(|left| left.heading.as_str())
        .collect();
    assert_eq!(headings, ["Bild", "Sekunden"]);
}

/// Typed `1:48` and `6:12` become times of day in a spreadsheet; a scale and a length all the same.
#[test]
fn what_a_spreadsheet_took_for_times_and_dates_is_given_back_as_typed() {
    let sheet = data(&[
        (1, &["Shot", "Scale", "Length", "Action"]),
        (
            2,
            &[
                "<><v>12</v>",
                r#"<s="2"><v>0.075</v>"#,
                r#"<s="2"><v>0.258333333333333</v>"#,
                r#"<s="1"><v>46458</v>"#,
            ],
        ),
    ]);
    let look = read(&workbook(&[("Shots", sheet)], &[]), "list.xlsx", &at_25()).expect("a list");
    assert_eq!(faults(&look), Vec::<String>::new());
    let shot = &lines(&look)[0];
    assert_eq!(
        (
            shot.code.as_str(),
            number(shot, "scale_denominator"),
            frames(shot)
        ),
        ("12", Some(48.0), Some(162))
    );
    assert_eq!(text(shot, "action"), "2027-03-12");
}

#[test]
fn a_cell_merged_down_the_list_holds_for_each_row() {
    let rows = data(&[
        (1, &["Shot", "Setup"]),
        (2, &["P1", "S1"]),
        (3, &["P2", ""]),
        (4, &["P3", ""]),
    ]);
    let sheet = rows + r#"<mergeCells count="1"><mergeCell ref="B2:B3"/></mergeCells>"#;
    let look = read(&workbook(&[("Shots", sheet)], &[]), "list.xlsx", &at_25()).expect("a list");
    let setups: Vec<Option<Vec<String>>> = look.rows.iter().map(|row| row.setups.clone()).collect();
    assert_eq!(
        setups,
        [
            Some(vec!["S1".to_owned()]),
            Some(vec!["S1".to_owned()]),
            Some(vec![])
        ]
    );
    assert!(
        look.notes.iter().any(|note| note.contains("merged")),
        "{:?}",
        look.notes
    );
}

#[test]
fn a_merged_range_as_large_as_a_sheet_is_harmless() {
    let rows = data(&[
        (1, &["Shot", "Setup"]),
        (2, &["P1", "S1"]),
        (9, &["P2", ""]),
    ]);
    let sheet = rows + r#"<mergeCells count="1"><mergeCell ref="B2:XFD1048576"/></mergeCells>"#;
    let look = read(&workbook(&[("Shots", sheet)], &[]), "list.xlsx", &at_25()).expect("a list");
    assert_eq!(look.rows[1].setups, Some(vec!["S1".to_owned()]));
}

#[test]
fn two_cells_in_far_corners_do_not_make_a_grid() {
    let rows = data(&[
        (1, &["Shot", "Frames"]),
        (1_048_576, &["P1", "<><v>162</v>"]),
    ]);
    let look = read(&workbook(&[("Shots", rows)], &[]), "list.xlsx", &at_25())
        .expect("two rows, however far apart");
    assert_eq!(look.rows[0].line, 1_048_576);
    let far = r#"<sheetData><row r="1"><c r="XFD1"><v>1</v></c></row></sheetData>"#.to_owned();
    let refused =
        read(&workbook(&[("Shots", far)], &[]), "list.xlsx", &at_25()).expect_err("too wide");
    assert_eq!(refused, Refused::TooManyColumns { line: 1 });
}

#[test]
fn a_workbook_that_unpacks_to_very_much_is_not_opened() {
    let bomb = workbook(
        &[("Shots", data(&[]))],
        &[("xl/media/padding.bin", " ".repeat(40 * 1024 * 1024))],
    );
    assert!(bomb.len() < 200_000, "small as a file: {}", bomb.len());
    let refused = read(&bomb, "list.xlsx", &at_25()).expect_err("a bomb");
    assert_eq!(
        refused,
        Refused::Unpacks {
            limit: 32 * 1024 * 1024
        }
    );
}

#[test]
fn a_false_count_of_texts_reserves_no_memory() {
    let strings = format!(
        r#"<sst xmlns="{MAIN}" count="1" uniqueCount="90000000000"><si><t>Shot</t></si></sst>"#
    );
    let refused = read(
        &workbook(
            &[("Shots", data(&[]))],
            &[("xl/sharedStrings.xml", strings)],
        ),
        "list.xlsx",
        &at_25(),
    );
    assert!(
        matches!(refused, Err(Refused::DamagedWorkbook { .. })),
        "{refused:?}"
    );
}

#[test]
fn one_long_text_shared_by_many_cells_is_counted_each_time() {
    let long = "x".repeat(100_000);
    let strings =
        format!(r#"<sst xmlns="{MAIN}" count="1" uniqueCount="1"><si><t>{long}</t></si></sst>"#);
    let cell = r#"<t="s"><v>0</v>"#;
    let rows: Vec<(u32, [&str; 2])> = (1..=200).map(|row| (row, [cell, "x"])).collect();
    let rows: Vec<(u32, &[&str])> = rows.iter().map(|(row, cells)| (*row, &cells[..])).collect();
    let refused = read(
        &workbook(
            &[("Shots", data(&rows))],
            &[("xl/sharedStrings.xml", strings)],
        ),
        "list.xlsx",
        &at_25(),
    );
    assert_eq!(
        refused.expect_err("twenty million bytes of text"),
        Refused::TooManyCells
    );
}

#[test]
fn a_zip_of_something_else_is_a_damaged_workbook() {
    let refused = read(
        &packed(&[("readme.txt".into(), "hello".into())]),
        "list.xlsx",
        &at_25(),
    )
    .expect_err("no workbook");
    assert!(
        matches!(refused, Refused::DamagedWorkbook { .. }),
        "{refused:?}"
    );
    assert!(matches!(
        read(b"PK\x03\x04", "list.xlsx", &at_25()),
        Err(Refused::DamagedWorkbook { .. })
    ));
}
