//! What crews write in cells.

use super::super::length::{BaseRate, Reading, Remark, Unit, frames};
use super::super::numbers::{DecimalMark, decimal_mark_shown, number, split_unit, whole};
use super::super::problems::{Limit, Problem};
use super::super::values::{
    choice, codes, in_lines, look, one_line, quantity, scale_denominator, within, yes_no,
};
use super::{faults, lines, look as looked_at, number as field};
use crate::plan::cut::shot::{LOOK, TRAVEL};

const POINT: DecimalMark = DecimalMark::Point;
const COMMA: DecimalMark = DecimalMark::Comma;

fn at(
    numerator: i64,
    denominator: i64,
    unit: Unit,
    text: &str,
) -> Result<(i64, Option<Remark>), Problem> {
    frames(
        text,
        Reading {
            unit,
            rate: BaseRate {
                numerator,
                denominator,
            },
            mark: POINT,
        },
    )
}

#[test]
fn numbers_with_any_marks() {
    for (text, mark, value) in [
        ("0,35", POINT, 0.35),
        ("6.48", COMMA, 6.48),
        ("1,000", POINT, 1000.0),
        ("1,000", COMMA, 1.0),
        ("1.000", COMMA, 1000.0),
        ("1.234,5", POINT, 1234.5),
        ("1,234.5", COMMA, 1234.5),
        ("1'234.5", POINT, 1234.5),
        ("1\u{a0}234,5", POINT, 1234.5),
        ("1.234.567", POINT, 1_234_567.0),
        (".5", POINT, 0.5),
        ("\u{2212}5", POINT, -5.0),
        ("1e9", POINT, 1e9),
    ] {
        let read = number(text, mark).expect(text);
        assert!((read - value).abs() < 1e-9, "{text}: {read}");
    }
    for text in [
        "",
        "ninety",
        "1,2,3.4.5",
        "12,34.5",
        "1 23",
        "1e",
        "--5",
        "5-",
        "\u{221e}",
        "nan",
        "inf",
        "1e999",
    ] {
        assert_eq!(number(text, POINT), Err(Problem::NotANumber), "{text}");
    }
}

#[test]
fn whole_numbers_take_a_mark_before_three_digits_for_thousands() {
    assert_eq!(whole("1,000", COMMA), Ok(1000));
    assert_eq!(whole("1,000", POINT), Ok(1000));
    assert_eq!(whole("90.0", POINT), Ok(90));
    assert_eq!(
        whole("1.125", POINT),
        Err(Problem::NotAWholeNumber),
        "a sheet's own fraction is no thousand"
    );
    assert_eq!(whole("1e9", POINT), Ok(1_000_000_000));
    assert_eq!(whole("6.5", POINT), Err(Problem::NotAWholeNumber));
}

#[test]
fn marks_that_can_be_read_one_way_only_tell_the_file_s_habit() {
    assert_eq!(decimal_mark_shown("6,48 s"), Some(COMMA));
    assert_eq!(decimal_mark_shown("0,350"), Some(COMMA));
    assert_eq!(decimal_mark_shown("1.234,500"), Some(COMMA));
    assert_eq!(decimal_mark_shown("0.35"), Some(POINT));
    assert_eq!(decimal_mark_shown("1,000"), None);
    assert_eq!(decimal_mark_shown("162"), None);
    let with_comma = looked_at("code;speed\nP1;0,35\nP2;1,200\n");
    assert_eq!(field(&lines(&with_comma)[1], "story_speed_mps"), Some(1.2));
    let with_point = looked_at("code,reach\nP1,0.35\nP2,\"1,200\"\n");
    assert_eq!(field(&lines(&with_point)[1], "reach_m"), Some(1200.0));
}

#[test]
fn units_are_split_off() {
    assert_eq!(split_unit(" 0,35 m/s "), ("0,35", "m/s"));
    assert_eq!(split_unit("1e9"), ("1e9", ""));
    assert_eq!(split_unit("ninety"), ("ninety", ""));
}

#[test]
fn lengths_in_every_form_are_the_same_frames() {
    for (unit, text) in [
        (Unit::Frames, "162"),
        (Unit::Frames, "162 fr"),
        (Unit::Frames, "6.48 s"),
        (Unit::Seconds, "6.48"),
        (Unit::Seconds, "6,48"),
        (Unit::Seconds, "162 frames"),
        (Unit::Unsaid, "6:12"),
        (Unit::Frames, "0:06:12"),
        (Unit::Seconds, "00:00:06:12"),
    ] {
        assert_eq!(at(25, 1, unit, text), Ok((162, None)), "{text}");
    }
    assert_eq!(
        at(25, 1, Unit::Unsaid, "162"),
        Ok((162, Some(Remark::TakenAsFrames)))
    );
}

#[test]
fn seconds_round_half_up_in_whole_numbers() {
    assert_eq!(
        at(25, 1, Unit::Seconds, "0.58"),
        Ok((15, Some(Remark::Rounded))),
        "14.5 exactly"
    );
    assert_eq!(at(24, 1, Unit::Seconds, "2"), Ok((48, None)));
    assert_eq!(at(24_000, 1001, Unit::Seconds, "1.001"), Ok((24, None)));
    assert_eq!(
        at(30_000, 1001, Unit::Seconds, "1"),
        Ok((30, Some(Remark::Rounded)))
    );
}

#[test]
fn labels_that_do_not_exist_are_refused() {
    assert_eq!(at(25, 1, Unit::Unsaid, "6:25"), Err(Problem::NoSuchLabel));
    assert_eq!(
        at(24, 1, Unit::Unsaid, "00:00:60:00"),
        Err(Problem::NoSuchLabel)
    );
    assert_eq!(
        at(24, 1, Unit::Unsaid, "00:00:06;12"),
        Err(Problem::NoSuchLabel),
        "no drop-frame at 24"
    );
    assert_eq!(at(24_000, 1001, Unit::Unsaid, "6:23"), Ok((167, None)));
    for text in ["6:", ":12", "1:2:3:4:5", "a:12", "6:1.5", "6;1;2", "6:-1"] {
        assert_eq!(
            at(25, 1, Unit::Unsaid, text),
            Err(Problem::NotALength),
            "{text}"
        );
    }
}

/// One minute and ten minutes of drop-frame label last 1798 and 17,982 frames (planning reference, C3.2).
#[test]
fn drop_frame_labels_skip_two_in_most_minutes() {
    assert_eq!(
        at(30_000, 1001, Unit::Unsaid, "00:00:59;29"),
        Ok((1799, None))
    );
    assert_eq!(
        at(30_000, 1001, Unit::Unsaid, "00:01:00;02"),
        Ok((1800, None))
    );
    assert_eq!(
        at(30_000, 1001, Unit::Unsaid, "00:10:00;00"),
        Ok((17_982, None))
    );
    assert_eq!(
        at(60_000, 1001, Unit::Unsaid, "00:10:00;00"),
        Ok((35_964, None))
    );
    assert_eq!(
        at(30_000, 1001, Unit::Unsaid, "00:01:00;01"),
        Err(Problem::NoSuchLabel)
    );
    assert_eq!(
        at(30_000, 1001, Unit::Unsaid, "00:01:00:00"),
        Ok((1800, Some(Remark::TakenAsNonDrop)))
    );
}

#[test]
fn lengths_beyond_a_day_of_screen_or_not_above_zero_are_refused() {
    assert_eq!(at(25, 1, Unit::Seconds, "86400"), Ok((2_160_000, None)));
    for (unit, text) in [
        (Unit::Frames, "2160001"),
        (Unit::Frames, "1e9"),
        (Unit::Frames, "1e300"),
        (Unit::Seconds, "86401"),
        (Unit::Unsaid, "99:00:00:00"),
    ] {
        assert!(
            matches!(at(25, 1, unit, text), Err(Problem::TooLong(_))),
            "{text}"
        );
    }
    for (unit, text) in [
        (Unit::Frames, "0"),
        (Unit::Frames, "-70"),
        (Unit::Seconds, "-2,5"),
        (Unit::Seconds, "0.00"),
        (Unit::Unsaid, "0:00"),
    ] {
        assert_eq!(at(25, 1, unit, text), Err(Problem::NotAboveZero), "{text}");
    }
}

#[test]
fn a_fraction_under_a_heading_without_unit_is_not_guessed() {
    let look = looked_at("code,length\nP1,162\nP2,6.5\n");
    assert_eq!(
        faults(&look),
        ["3 length: not a whole number of frames [6.5]"]
    );
    assert!(look.errors[0].sentence().contains("say so in the heading"));
    assert!(
        look.notes
            .iter()
            .any(|note| note.contains("taken as frames")),
        "{:?}",
        look.notes
    );
}

#[test]
fn scales() {
    for text in ["1:20", "1/20", "1 : 20", "20", "1:20.0"] {
        assert_eq!(scale_denominator(text, POINT), Ok(20.0), "{text}");
    }
    assert_eq!(scale_denominator("1:4,5", POINT), Ok(4.5));
    assert_eq!(scale_denominator("1:0", POINT), Err(Problem::NotAboveZero));
    assert_eq!(scale_denominator("1:1e9", POINT), Err(Problem::NotAScale));
    assert_eq!(
        scale_denominator("2:27", POINT),
        Err(Problem::NotAScale),
        "what a spreadsheet makes of 1:87"
    );
    assert_eq!(scale_denominator("small", POINT), Err(Problem::NotAScale));
}

#[test]
fn quantities_in_the_unit_they_name() {
    let speed = |text| quantity(text, POINT, "m/s", (0.0, 400.0));
    for (text, mps) in [
        ("0,35", 0.35),
        ("35 cm/s", 0.35),
        ("1.26 km/h", 0.35),
        ("0", 0.0),
    ] {
        assert!((speed(text).expect(text) - mps).abs() < 1e-12, "{text}");
    }
    assert_eq!(speed("-1"), Err(Problem::BelowZero));
    assert_eq!(speed("5 knots"), Err(Problem::NotANumber));
    assert_eq!(speed("401"), Err(Problem::NotBetween(0.0, 400.0)));
    assert_eq!(quantity("-2 stops", POINT, "stops", (-12.0, 6.0)), Ok(-2.0));
    assert_eq!(
        within(0.0, (0.05, 9.0)),
        Err(Problem::NotBetween(0.05, 9.0))
    );
}

#[test]
fn ways_of_travelling() {
    for (text, code) in [
        ("L to R", "l_to_r"),
        ("left-to-right", "l_to_r"),
        ("L\u{2192}R", "l_to_r"),
        ("l_to_r", "l_to_r"),
        ("R > L", "r_to_l"),
        ("Toward", "toward"),
        ("towards camera", "toward"),
        ("AWAY", "away"),
        ("up", "up"),
        ("down", "down"),
        ("none", "still"),
    ] {
        assert_eq!(choice(text, "travel", TRAVEL), Ok(code), "{text}");
    }
    let problem = choice("sideways", "travel", TRAVEL).expect_err("no such way");
    assert_eq!(
        problem.to_string(),
        "not one of L to R, R to L, toward, away, up, down, still"
    );
}

#[test]
fn looks_with_and_without_reach() {
    for (text, name, reach_m) in [
        ("reservoir, 30 m", "reservoir", Some(30.0)),
        ("reservoir,30m", "reservoir", Some(30.0)),
        ("reservoir (30 m)", "reservoir", Some(30.0)),
        ("reservoir 30,5 metres", "reservoir", Some(30.5)),
        ("silt, thick; 12 m", "silt, thick", Some(12.0)),
        ("night air", "night air", None),
        ("steam", "steam", None),
        ("W3m", "W3m", None),
        ("30 m", "30 m", None),
        ("m", "m", None),
    ] {
        assert_eq!(look(text, POINT), (name.to_owned(), reach_m), "{text}");
    }
}

#[test]
fn a_reach_of_its_own_column_may_not_differ_from_the_look_s() {
    let list = looked_at(
        "code,reach,look\nP1,30,\"reservoir, 30 m\"\nP2,40,reservoir\nP3,,\"reservoir, 55 m\"\nP4,30,\"reservoir, 55 m\"\n",
    );
    assert_eq!(faults(&list), ["5 reach: said otherwise under look [30]"]);
    let reaches: Vec<Option<f64>> = lines(&list)
        .iter()
        .map(|shot| field(shot, "reach_m"))
        .collect();
    assert_eq!(reaches, [Some(30.0), Some(40.0), Some(55.0)]);
}

#[test]
fn looks_are_declared_ones() {
    for (text, code) in [
        ("night air", "night"),
        ("Night", "night"),
        ("open ocean", "ocean"),
        ("fog", "mist"),
    ] {
        assert_eq!(choice(text, "look", LOOK), Ok(code), "{text}");
    }
    let list =
        looked_at("code,look,reach\nP1,\"custard, 30 m\",\nP2,\"mist, 0 m\",\nP3,mist,1e6\n");
    assert_eq!(
        faults(&list),
        [
            "2 look: not one of clear air, night air, mist, smoke, reservoir, coastal water, open ocean [custard, 30 m]",
            "3 look: not between 0.05 and 100000 [mist, 0 m]",
            "4 reach: not between 0.05 and 100000 [1e6]",
        ]
    );
}

#[test]
fn text_is_kept_as_its_field_can_hold_it() {
    assert_eq!(
        one_line(" West door,\r\nshut \u{7}", 20),
        Ok("West door, shut".to_owned())
    );
    assert_eq!(in_lines("a\r\nb\rc\u{1}d", 20), Ok("a\nb\nc d".to_owned()));
    assert_eq!(
        one_line("\u{e9}\u{e9}", 2),
        Ok("\u{e9}\u{e9}".to_owned()),
        "characters, not bytes"
    );
    assert_eq!(
        one_line("abc", 2),
        Err(Problem::TooLong(Limit::Characters(2)))
    );
    let list = looked_at("code,name\nP1,\"two\nlines\"\n");
    assert!(
        list.notes
            .iter()
            .any(|note| note.contains("line 2 were joined")),
        "{:?}",
        list.notes
    );
}

#[test]
fn lists_of_codes_and_answers() {
    let three = vec!["S1".to_owned(), "S2".to_owned(), "S3".to_owned()];
    assert_eq!(codes("S1; S2, S1 + S3", 20), Ok(three));
    assert_eq!(
        codes(&"x".repeat(21), 20),
        Err(Problem::TooLong(Limit::Characters(20)))
    );
    assert_eq!(
        (yes_no("Yes"), yes_no("n"), yes_no("\u{2713}")),
        (Ok(true), Ok(false), Ok(true))
    );
    assert_eq!(yes_no("maybe"), Err(Problem::NotOneOf(vec!["yes", "no"])));
}
