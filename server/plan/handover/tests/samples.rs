//! Every file in tests/samples does what its README says.

use super::super::records::Value;
use super::super::{Encoding, Options, Refused, ShotLine, read};
use super::{at_25, faults, lines, number, refused, text, texts};

macro_rules! sample {
    ($name:literal) => {
        include_bytes!(concat!("../../../../tests/samples/", $name))
    };
}

const PLAIN: &[u8] = sample!("drowned-parish.csv");
const DECIMAL_COMMA: &[u8] = sample!("drowned-parish-decimal-comma.csv");
const UTF16_TAB: &[u8] = sample!("drowned-parish-utf16-tab.txt");
const WORKBOOK: &[u8] = sample!("drowned-parish.xlsx");
const VALLEY: &[u8] = sample!("valley-400-shots.csv");
const FAULTY: &[u8] = sample!("faulty.csv");
const UNCLOSED: &[u8] = sample!("faulty-unclosed-quote.csv");
const NOT_UTF8: &[u8] = sample!("faulty-not-utf8.csv");

fn clean(bytes: &[u8], name: &str) -> super::Look {
    let look = read(bytes, name, &at_25()).expect("a good file");
    assert_eq!(faults(&look), Vec::<String>::new());
    look
}

#[test]
fn plain_list_gives_fourteen_shots_in_eight_setups() {
    let look = clean(PLAIN, "drowned-parish.csv");
    assert!(look.is_storable());
    assert_eq!(look.rows.len(), 14);
    assert_eq!(
        look.setup_codes(),
        ["S1", "S2", "S3", "S4", "S5", "S6", "S7", "S8"]
    );
    assert!(look.not_taken.is_empty());
    let mut expected = texts(&[
        ("name", "Spire out of the murk"),
        ("travel", "l_to_r"),
        (
            "action",
            "The ROV drifts in from the left as the spire comes clear",
        ),
        ("look", "reservoir"),
    ]);
    expected.insert("length_frames", Value::Whole(162));
    expected.insert("scale_denominator", Value::Number(48.0));
    expected.insert("story_speed_mps", Value::Number(0.35));
    expected.insert("reach_m", Value::Number(30.0));
    let first = ShotLine {
        code: "P1".into(),
        setups: vec!["S1".into()],
        fields: expected,
    };
    assert_eq!(lines(&look)[0], first);
    let dam = &lines(&look)[10];
    assert_eq!(
        (dam.code.as_str(), text(dam, "look"), text(dam, "travel")),
        ("D3", "night", "still")
    );
    assert_eq!(
        (number(dam, "reach_m"), number(dam, "story_speed_mps")),
        (None, None)
    );
    assert_eq!(
        text(&lines(&look)[5], "action"),
        "Hold on the font, \"dry\" for a beat"
    );
    assert_eq!((look.rows[0].line, look.rows[13].line), (2, 15));
}

#[test]
fn decimal_comma_list_gives_the_same_shots() {
    let look = clean(DECIMAL_COMMA, "list.csv");
    let mut expected = lines(&clean(PLAIN, "list.csv"));
    // The one cell that differs on purpose: letters beyond ASCII.
    let action = format!(
        "{} \u{2013} na\u{ef}ve fa\u{e7}ade",
        text(&expected[0], "action")
    );
    expected[0].fields.insert("action", Value::Text(action));
    assert_eq!(lines(&look), expected);
    assert!(
        look.notes.iter().any(|note| note.contains("semicolons")),
        "{:?}",
        look.notes
    );
    assert!(
        look.notes.iter().any(|note| note.contains("1 blank row")),
        "{:?}",
        look.notes
    );
    let not_taken: Vec<&str> = look
        .not_taken
        .iter()
        .map(|left| left.heading.as_str())
        .collect();
    assert_eq!(not_taken, ["Remarks"]);
    let taken: Vec<(&str, &str)> = look
        .mapping
        .iter()
        .map(|taken| (taken.heading.as_str(), taken.field))
        .collect();
    assert_eq!(
        taken,
        [
            ("Shot", "code"),
            ("Title", "name"),
            ("Length (s)", "length_s"),
            ("Scale", "scale_denominator"),
            ("Speed, m/s", "story_speed_mps"),
            ("Direction", "travel"),
            ("Description", "action"),
            ("Setups", "setups"),
            ("Water", "look"),
        ]
    );
}

/// The plain list, reduced to the columns that another file holds.
fn plain_with_the_columns_of(look: &super::Look) -> Vec<ShotLine> {
    let held = &look.rows[0].fields;
    let mut shots = lines(&clean(PLAIN, "list.csv"));
    for shot in &mut shots {
        shot.fields.retain(|field, _| held.contains_key(field));
    }
    shots
}

#[test]
fn utf16_list_with_timecode_gives_the_same_lengths() {
    let look = clean(UTF16_TAB, "list.txt");
    assert_eq!(lines(&look), plain_with_the_columns_of(&look));
    assert_eq!(look.rows[0].fields.len(), 3);
    assert!(
        look.notes[0].contains("UTF-16LE") && look.notes[0].contains("tabs"),
        "{:?}",
        look.notes
    );
}

#[test]
fn workbook_gives_the_same_shots() {
    let look = clean(WORKBOOK, "list.xlsx");
    assert_eq!(lines(&look), plain_with_the_columns_of(&look));
    assert_eq!(look.rows[0].fields.len(), 5);
    assert_eq!(
        look.rows[0].line, 4,
        "a row keeps its number in the spreadsheet"
    );
    assert!(
        look.notes
            .iter()
            .any(|note| note == "Read the sheet Shots."),
        "{:?}",
        look.notes
    );
    assert!(
        look.notes.iter().any(|note| note.contains("line 3")),
        "{:?}",
        look.notes
    );
    let not_taken: Vec<&str> = look
        .not_taken
        .iter()
        .map(|left| left.heading.as_str())
        .collect();
    assert_eq!(not_taken, ["Shoot date"]);
}

#[test]
fn large_list_gives_four_hundred_shots_in_a_hundred_and_twenty_setups() {
    let look = clean(VALLEY, "valley.csv");
    assert_eq!(look.rows.len(), 400);
    assert_eq!(look.setup_codes().len(), 120);
    assert_eq!(look.rows[0].fields["story_order"], Value::Whole(188));
    assert_eq!(text(&lines(&look)[1], "look"), "mist");
    assert_eq!(number(&lines(&look)[1], "reach_m"), Some(80.0));
}

#[test]
fn faulty_list_names_every_fault_in_one_answer() {
    let look = read(FAULTY, "faulty.csv", &at_25()).expect("it can be cut into rows");
    assert!(!look.is_storable());
    assert_eq!(
        faults(&look),
        [
            "5 code: used twice [P2]",
            "6 code: missing",
            "7 frames: not a whole number [ninety]",
            "8 frames: not above zero [-70]",
            "9 scale: not above zero [1:0]",
            "13 frames: too long [1e9]",
        ]
    );
    assert_eq!(
        look.errors[0].first_line,
        Some(3),
        "a quoted line break moves the count on"
    );
    assert_eq!(
        look.errors[5].sentence(),
        "Line 13, frames: \u{201c}1e9\u{201d} is too long. It would last more than 24 hours of screen."
    );
    let codes: Vec<&str> = look.rows.iter().map(|row| row.code.as_str()).collect();
    assert_eq!(codes, ["P1", "P2", "P8", "P9", "P10"]);
    assert_eq!(
        look.rows[2].setups,
        Some(vec!["S99".to_owned()]),
        "a setup nobody has heard of is simply new"
    );
    assert_eq!(
        look.rows[1].fields["name"],
        Value::Text("West door, shut 100 frames".into())
    );
    assert_eq!(
        look.rows[4].fields["name"],
        Value::Text("=2+3".into()),
        "text, not a sum"
    );
    assert!(
        look.notes
            .iter()
            .any(|note| note.contains("formula on line 12")),
        "{:?}",
        look.notes
    );
}

#[test]
fn unclosed_quote_is_refused_by_the_line_it_opened_on() {
    assert_eq!(refused(UNCLOSED), Refused::UnclosedQuote { line: 2 });
    assert_eq!(
        refused(UNCLOSED).to_string(),
        "The quote that opens on line 2 is never closed."
    );
}

#[test]
fn windows_1252_is_offered_and_not_guessed() {
    let refusal = refused(NOT_UTF8);
    let expected = Refused::NotUtf8 {
        byte_offset: 23,
        line: 2,
        byte: 0xE7,
        as_windows_1252: "P1,Fa\u{e7}ade \u{2013} west,100".to_owned(),
    };
    assert_eq!(refusal, expected);
    assert_eq!(refusal.line(), Some(2));
    let options = Options {
        encoding: Some(Encoding::Windows1252),
        ..at_25()
    };
    let look = read(NOT_UTF8, "list.csv", &options).expect("readable once asked for");
    assert_eq!(text(&lines(&look)[0], "name"), "Fa\u{e7}ade \u{2013} west");
    assert!(look.notes[0].contains("WINDOWS-1252"), "{:?}", look.notes);
}
