//! Cutting files into rows: separators, line ends, quotes, encodings, sizes.

use super::super::csv::{Audience, Separator, parse, unguarded, write};
use super::super::{
    Encoding, MAX_CELLS, MAX_COLUMNS, MAX_FILE_BYTES, MAX_ROWS, Options, Refused, read,
};
use super::{at_25, lines, look, refused, text};

fn cells(text: &str) -> Vec<Vec<String>> {
    parse(text, Separator::of(text))
        .expect("well formed")
        .into_iter()
        .map(|record| record.cells)
        .collect()
}

#[test]
fn separator_is_counted_outside_quotes_on_the_first_line_only() {
    assert_eq!(Separator::of("a,b,c\n1;2;3;4;5"), Separator::Comma);
    assert_eq!(Separator::of("\"a,b,c,d\";e;f\n"), Separator::Semicolon);
    assert_eq!(
        Separator::of("\"two\nlines, here, and, here\"\tb\n"),
        Separator::Tab
    );
    assert_eq!(Separator::of("code"), Separator::Comma);
}

#[test]
fn line_ends_of_every_kind_count_once() {
    for (end, name) in [("\r\n", "CR LF"), ("\n", "LF"), ("\r", "CR")] {
        let text = format!("a,b{end}\"x{end}y\",2{end}3,4");
        let records = parse(&text, Separator::Comma).expect("well formed");
        let starts: Vec<usize> = records.iter().map(|record| record.line).collect();
        assert_eq!(starts, [1, 2, 4], "{name}");
        assert_eq!(
            records[1].cells,
            [format!("x{end}y"), "2".to_owned()],
            "{name}"
        );
    }
}

#[test]
fn empty_fields_stay() {
    assert_eq!(cells("a,,\n,\n"), [vec!["a", "", ""], vec!["", ""]]);
    assert_eq!(cells("a,"), [vec!["a", ""]]);
}

#[test]
fn an_inch_mark_inside_a_field_is_a_character() {
    assert_eq!(cells("pipe 12\" wide,b\n"), [vec!["pipe 12\" wide", "b"]]);
}

#[test]
fn text_after_a_closing_quote_is_refused_but_spaces_are_not() {
    assert_eq!(cells("\"a\" ,b\n"), [vec!["a", "b"]]);
    let refusal = parse("a,b\n\"x\ny\"z,1\n", Separator::Comma).expect_err("text after the quote");
    assert_eq!(
        refusal,
        Refused::TextAfterQuote {
            line: 3,
            found: "z".to_owned()
        }
    );
}

#[test]
fn an_unclosed_quote_is_named_by_its_own_line_not_its_record_s() {
    let refusal = parse("a,b\n\"x\ny\",\"z\n", Separator::Comma).expect_err("never closed");
    assert_eq!(refusal, Refused::UnclosedQuote { line: 3 });
}

#[test]
fn written_files_are_plain_rfc_4180() {
    let rows = [
        vec!["a".to_owned(), "b,c".to_owned()],
        vec![" d ".to_owned()],
    ];
    assert_eq!(write(&rows, Audience::Programs), "a,\"b,c\"\r\n d ,\r\n");
}

#[test]
fn formulas_are_guarded_only_for_spreadsheets() {
    let rows = [["=2+3", "-5", "+x", "@y", "\tz", "plain"].map(str::to_owned)];
    assert_eq!(
        write(&rows, Audience::Programs),
        "=2+3,-5,+x,@y,\tz,plain\r\n"
    );
    assert_eq!(
        write(&rows, Audience::Spreadsheets),
        "'=2+3,-5,'+x,'@y,'\tz,plain\r\n"
    );
    assert_eq!(unguarded("'=2+3"), "=2+3");
    assert_eq!(unguarded("'twas night"), "'twas night");
    let look = look("code,name\nP1,'=2+3\nP2,'twas night\n");
    assert_eq!(
        lines(&look)
            .iter()
            .map(|shot| text(shot, "name").to_owned())
            .collect::<Vec<_>>(),
        ["=2+3", "'twas night"]
    );
}

#[test]
fn invalid_utf8_is_named_by_its_offset_in_the_file_mark_included() {
    let refusal = refused(b"\xEF\xBB\xBFcode\n\xE9");
    let expected = Refused::NotUtf8 {
        byte_offset: 8,
        line: 2,
        byte: 0xE9,
        as_windows_1252: "\u{e9}".to_owned(),
    };
    assert_eq!(refusal, expected);
}

#[test]
fn utf16_is_read_by_its_mark_and_refused_when_it_breaks_off() {
    let bytes: Vec<u8> = "\u{feff}code,name\nP1,na\u{ef}ve"
        .encode_utf16()
        .flat_map(u16::to_be_bytes)
        .collect();
    let look = read(&bytes, "list.csv", &at_25()).expect("big-endian with its mark");
    assert_eq!(text(&lines(&look)[0], "name"), "na\u{ef}ve");
    assert_eq!(
        refused(&bytes[..bytes.len() - 1]),
        Refused::BadUtf16 { line: 2 }
    );
    assert_eq!(refused(&bytes[2..]), Refused::ZeroByte { line: 1 });
    let options = Options {
        encoding: Some(Encoding::Utf16Be),
        ..at_25()
    };
    assert_eq!(
        read(&bytes[2..], "list.csv", &options).map(|look| look.rows.len()),
        Ok(1)
    );
}

#[test]
fn other_files_are_called_by_name() {
    assert_eq!(refused(b""), Refused::Empty);
    assert_eq!(refused(b"\n\n , \n"), Refused::Empty);
    for (bytes, word) in [
        (&b"%PDF-1.7"[..], "a PDF"),
        (b"\xD0\xCF\x11\xE0rest", "older workbook"),
        (b"\xFF\xD8\xFF\xE0", "picture"),
    ] {
        let sentence = refused(bytes).to_string();
        assert!(
            sentence.contains(word) && sentence.contains(".csv"),
            "{sentence}"
        );
    }
}

#[test]
fn sizes_are_bounded_with_a_sentence() {
    assert_eq!(
        refused(&vec![b'a'; MAX_FILE_BYTES + 1]),
        Refused::TooLarge {
            bytes: MAX_FILE_BYTES + 1
        }
    );
    assert_eq!(
        refused("code\n".repeat(MAX_ROWS + 1).as_bytes()),
        Refused::TooManyRows
    );
    assert_eq!(
        refused(",".repeat(MAX_COLUMNS).as_bytes()),
        Refused::TooManyColumns { line: 1 }
    );
    let wide = format!("{}\n", ",".repeat(MAX_COLUMNS - 1));
    assert_eq!(
        refused(wide.repeat(MAX_CELLS / MAX_COLUMNS + 1).as_bytes()),
        Refused::TooManyCells
    );
    assert_eq!(
        refused(format!("code\n{}", "x".repeat(200_000)).as_bytes()),
        Refused::CellTooLong { line: 2 }
    );
}

#[test]
fn only_two_hundred_faults_are_listed_and_all_are_counted() {
    let text = format!("code,frames\n{}", "P1,ninety\n".repeat(300));
    let look = look(&text);
    assert_eq!(
        (look.errors.len(), look.error_count),
        (200, 599),
        "300 lengths, and the code used 299 times over"
    );
    assert!(look.rows.is_empty());
}
