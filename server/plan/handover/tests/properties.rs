//! What holds for any text and any bytes.

use proptest::prelude::*;

use super::super::csv::{Audience, Separator, parse, write};
use super::super::mapping::{Column, Kind};
use super::super::shots::columns;
use super::super::{ShotLine, Value, read, values, write_shots};
use super::{at_25, faults, lines};

/// Text of every sort, with the characters that trip readers far more often than chance would have them.
fn any_text() -> impl Strategy<Value = String> {
    let tricky = prop_oneof![
        Just("\"".to_owned()),
        Just("\r\n".to_owned()),
        Just("\n".to_owned()),
        Just("\r".to_owned()),
        Just(",".to_owned()),
        Just(";".to_owned()),
        Just("\t".to_owned()),
        Just("'".to_owned()),
        Just("=".to_owned()),
        Just("-5".to_owned()),
        Just("@".to_owned()),
        Just("\u{1f30a}".to_owned()),
        "[^\\x00]{0,6}",
    ];
    prop::collection::vec(tricky, 0..5).prop_map(|pieces| pieces.concat())
}

fn any_audience() -> impl Strategy<Value = Audience> {
    prop_oneof![Just(Audience::Programs), Just(Audience::Spreadsheets)]
}

/// A value that the column can hold, or blank.
fn any_value(column: &Column) -> BoxedStrategy<Value> {
    let trimmed = |text: Result<String, _>| {
        text.map_or(Value::Blank, |text| {
            if text.is_empty() {
                Value::Blank
            } else {
                Value::Text(text)
            }
        })
    };
    let filled = match column.kind {
        Kind::Text { most, lines: true } => any_text()
            .prop_map(move |text| trimmed(values::in_lines(&text, most)))
            .boxed(),
        Kind::Text { most, .. } => any_text()
            .prop_map(move |text| trimmed(values::one_line(&text, most)))
            .boxed(),
        Kind::Length(_) => (1..2_160_000_i64).prop_map(Value::Whole).boxed(),
        Kind::Scale => (1e-3..1e4_f64).prop_map(Value::Number).boxed(),
        Kind::Number { least, most, .. } => (least..most).prop_map(Value::Number).boxed(),
        Kind::Whole { least, most } => (least..=most).prop_map(Value::Whole).boxed(),
        Kind::Choice(choices) | Kind::Look(choices) => prop::sample::select(choices)
            .prop_map(|(code, _)| Value::Text(code.to_owned()))
            .boxed(),
        Kind::Code { .. } | Kind::Codes { .. } | Kind::YesNo => Just(Value::Blank).boxed(),
    };
    prop_oneof![1 => Just(Value::Blank), 3 => filled].boxed()
}

/// A shot with something or nothing in every field that a list can hold.
fn any_shot() -> impl Strategy<Value = ShotLine> {
    let own = |column: &&Column| {
        column.field == column.stores && !matches!(column.field, "code" | "setups")
    };
    let fields: Vec<&Column> = columns().iter().filter(own).collect();
    let names: Vec<&'static str> = fields.iter().map(|column| column.stores).collect();
    let values: Vec<BoxedStrategy<Value>> = fields.iter().map(|column| any_value(column)).collect();
    let setups = prop::collection::btree_set("[A-Z][0-9]{1,3}", 0..4);
    (values, setups).prop_map(move |(values, setups)| ShotLine {
        code: String::new(),
        setups: setups.into_iter().collect(),
        fields: names.iter().copied().zip(values).collect(),
    })
}

/// A workbook with some of its bytes changed.
fn damaged_workbook() -> impl Strategy<Value = Vec<u8>> {
    let sound = include_bytes!("../../../../tests/samples/drowned-parish.xlsx");
    let changes = prop::collection::vec((0..sound.len(), any::<u8>()), 1..12);
    (changes, 0..sound.len()).prop_map(move |(changes, cut)| {
        let mut bytes = sound.to_vec();
        for (at, byte) in changes {
            bytes[at] = byte;
        }
        if cut % 3 == 0 {
            bytes.truncate(cut);
        }
        bytes
    })
}

/// Bytes that look like a list, with anything in between.
fn listlike_bytes() -> impl Strategy<Value = Vec<u8>> {
    let piece = prop_oneof![
        Just(b"code,frames,scale,look\r\n".to_vec()),
        Just(b"\"".to_vec()),
        Just(b",".to_vec()),
        Just(b"1:20".to_vec()),
        Just(b"00:00:06;12".to_vec()),
        Just(b"1e99".to_vec()),
        Just(b"reservoir, 3 m".to_vec()),
        Just(vec![0xFF, 0xFE]),
        prop::collection::vec(any::<u8>(), 0..12),
        "[0-9.,:/eE+' -]{0,9}".prop_map(String::into_bytes),
    ];
    prop::collection::vec(piece, 0..40).prop_map(|pieces| pieces.concat())
}

/// A table, or a sentence: nothing else, whatever the bytes.
fn answers(bytes: &[u8]) -> Result<(), TestCaseError> {
    match read(bytes, "list.csv", &at_25()) {
        Ok(look) => {
            prop_assert!(look.errors.len() <= look.error_count);
            for error in &look.errors {
                prop_assert!(
                    error.line >= 1 && !error.column.is_empty() && error.sentence().ends_with('.')
                );
            }
        }
        Err(refused) => {
            let sentence = refused.to_string();
            prop_assert!(sentence.len() > 10, "{}", sentence);
        }
    }
    Ok(())
}

proptest! {
    #[test]
    fn any_rows_come_back_as_they_were(rows in prop::collection::vec(prop::collection::vec(any_text(), 3), 0..8)) {
        let text = write(&rows, Audience::Programs);
        let read: Vec<Vec<String>> = parse(&text, Separator::Comma).expect("our own writing").into_iter().map(|record| record.cells).collect();
        let guards: Vec<Vec<String>> = read.iter().map(|row| row.iter().map(|cell| super::super::csv::unguarded(cell).to_owned()).collect()).collect();
        prop_assert_eq!(guards, rows);
    }

    #[test]
    fn any_shots_come_back_as_they_were(mut shots in prop::collection::vec(any_shot(), 1..12), audience in any_audience()) {
        for (at, shot) in shots.iter_mut().enumerate() {
            shot.code = format!("P{at}");
        }
        let text = write_shots(&shots, audience);
        let look = read(text.as_bytes(), "list.csv", &at_25()).expect("our own writing");
        prop_assert_eq!(faults(&look), Vec::<String>::new());
        prop_assert_eq!(lines(&look), shots);
    }

    #[test]
    fn any_bytes_get_an_answer(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        answers(&bytes)?;
    }

    #[test]
    fn bytes_like_a_list_get_an_answer(bytes in listlike_bytes()) {
        answers(&bytes)?;
    }

    #[test]
    fn damaged_workbooks_get_an_answer(bytes in damaged_workbook()) {
        answers(&bytes)?;
    }
}
