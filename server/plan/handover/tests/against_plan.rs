//! A list against what a plan holds.

use super::super::csv::Audience;
use super::super::records::{Fields, Value};
use super::super::{Change, SetupLine, ShotLine, State, compare, write_setups, write_shots};
use super::{lines, look, texts};

fn plan() -> Vec<(String, Fields)> {
    let mut spire = texts(&[("name", "Spire")]);
    spire.insert("length_frames", Value::Whole(162));
    spire.insert("setups", Value::Codes(vec!["S1".into(), "S2".into()]));
    let door = texts(&[("name", "West door"), ("action", "Opens")]);
    vec![
        ("P1".into(), spire),
        ("P2".into(), door),
        ("P9".into(), Fields::new()),
    ]
}

#[test]
fn rows_are_new_changed_or_same_and_absent_shots_are_only_named() {
    let list = look("code,name,frames,setup\nP1,Spire,162,S2; S1\nP2,East door,,\nP3,Nave,10,S1\n");
    let found = compare(&list, &plan());
    let change = Change {
        field: "name",
        from: Value::Text("West door".into()),
        to: Value::Text("East door".into()),
    };
    let states: Vec<&State> = found.rows.iter().map(|row| &row.state).collect();
    assert_eq!(
        states,
        [&State::Same, &State::Changed(vec![change]), &State::New]
    );
    let words: Vec<&str> = found.rows.iter().map(|row| row.state.word()).collect();
    assert_eq!(words, ["same", "changed", "new"]);
    assert_eq!(found.absent, ["P9"]);
}

#[test]
fn a_field_without_a_column_is_left_alone_and_an_empty_cell_is_a_change() {
    let found = compare(&look("code,name\nP1,Spire\nP2,\n"), &plan());
    assert_eq!(
        found.rows[0].state,
        State::Same,
        "length and setups have no column here"
    );
    let emptied = Change {
        field: "name",
        from: Value::Text("West door".into()),
        to: Value::Blank,
    };
    assert_eq!(found.rows[1].state, State::Changed(vec![emptied]));
}

#[test]
fn a_look_without_any_reach_says_nothing_about_reaches() {
    let mut shot = texts(&[("look", "reservoir")]);
    shot.insert("reach_m", Value::Number(30.0));
    let plan = [("P1".to_owned(), shot)];
    assert_eq!(
        compare(&look("code,look\nP1,reservoir\n"), &plan).rows[0].state,
        State::Same
    );
    let list = look("code,look\nP1,reservoir\nP2,\"mist, 80 m\"\n");
    assert_eq!(
        compare(&list, &plan).rows[0].state.word(),
        "changed",
        "beside reaches, none is an answer"
    );
}

#[test]
fn a_row_with_a_fault_is_not_absent() {
    let list = look("code,frames\nP9,ninety\nP1,162\n");
    assert_eq!(compare(&list, &plan()).absent, ["P2"]);
}

#[test]
fn an_exported_plan_comes_back_as_the_same() {
    let shots = lines(&look(include_str!(
        "../../../../tests/samples/drowned-parish.csv"
    )));
    let existing = |shot: &ShotLine| {
        let mut fields = shot.fields.clone();
        fields.insert("setups", Value::Codes(shot.setups.clone()));
        (shot.code.clone(), fields)
    };
    let existing: Vec<(String, Fields)> = shots.iter().map(existing).collect();
    for audience in [Audience::Programs, Audience::Spreadsheets] {
        let again = look(&write_shots(&shots, audience));
        let found = compare(&again, &existing);
        assert_eq!(found.rows.len(), 14);
        assert!(
            found.rows.iter().all(|row| row.state == State::Same),
            "{found:?}"
        );
        assert!(again.not_taken.is_empty(), "{:?}", again.not_taken);
    }
}

/// What reading gives, the journal's own declarations take.
#[test]
fn every_value_that_is_read_can_be_stored() {
    use crate::journal::record::Record as _;
    use crate::plan::cut::shot::Shot;
    let list = look(include_str!(
        "../../../../tests/samples/valley-400-shots.csv"
    ));
    for row in &list.rows {
        for (name, value) in &row.fields {
            let field = &Shot::KIND.fields[Shot::KIND.index(name).expect("a declared field")];
            let json = serde_json::to_value(value).expect("a value is JSON");
            let stored = field
                .check(&json)
                .expect("what was read can be stored")
                .to_json();
            assert!(
                stored == json || stored.as_f64() == json.as_f64(),
                "{name}: {stored} for {json}"
            );
        }
    }
}

/// The cells of a written list under their headings.
fn written(text: &str) -> Vec<(&str, &str)> {
    let mut lines = text.split("\r\n");
    let (headings, cells) = (
        lines.next().expect("headings"),
        lines.next().expect("a row"),
    );
    let pairs: Vec<(&str, &str)> = headings.split(',').zip(cells.split(',')).collect();
    pairs
        .into_iter()
        .filter(|(_, cell)| !cell.is_empty())
        .collect()
}

#[test]
fn lists_are_written_under_declared_names_with_points_and_words() {
    let mut fields = texts(&[("travel", "l_to_r"), ("look", "night")]);
    fields.insert("length_frames", Value::Whole(162));
    fields.insert("scale_denominator", Value::Number(48.0));
    fields.insert("story_speed_mps", Value::Number(0.35));
    let shot = ShotLine {
        code: "P1".into(),
        setups: vec!["S1".into(), "S2".into()],
        fields,
    };
    assert_eq!(
        written(&write_shots(&[shot], Audience::Programs)),
        [
            ("code", "P1"),
            ("length_frames", "162"),
            ("scale_denominator", "48"),
            ("story_speed_mps", "0.35"),
            ("travel", "L to R"),
            ("look", "night air"),
            ("setups", "S1; S2"),
        ]
    );
    let mut fields = texts(&[("lens", "Long lens"), ("bring", "lamps")]);
    fields.insert("shoot_fps", Value::Number(173.2));
    fields.insert("ready_clock_min", Value::Whole(485));
    fields.insert("people", Value::Codes(vec!["gaffer".into(), "grip".into()]));
    let setup = SetupLine {
        code: "S1".into(),
        shots: vec!["P1".into()],
        fields,
    };
    assert_eq!(
        written(&write_setups(&[setup], Audience::Programs)),
        [
            ("code", "S1"),
            ("lens", "Long lens"),
            ("shoot_fps", "173.2"),
            ("people", "gaffer; grip"),
            ("ready_clock_min", "08:05"),
            ("bring", "lamps"),
            ("shots", "P1"),
        ]
    );
}
