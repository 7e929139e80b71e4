//! A list against what a plan holds.

use super::super::csv::Audience;
use super::super::records::{Fields, Value};
use super::super::{Change, SetupLine, ShotLine, State, compare, write_setups, write_shots};
use super::{lines, look};

fn plan() -> Vec<(String, Fields)> {
    let shots = [
        ShotLine {
            code: "P1".into(),
            name: "Spire".into(),
            length_frames: Some(162),
            setups: vec!["S1".into(), "S2".into()],
            ..ShotLine::default()
        },
        ShotLine {
            code: "P2".into(),
            name: "West door".into(),
            action: "Opens".into(),
            ..ShotLine::default()
        },
        ShotLine {
            code: "P9".into(),
            ..ShotLine::default()
        },
    ];
    shots
        .iter()
        .map(|shot| (shot.code.clone(), shot.fields()))
        .collect()
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
    assert_eq!(
        found
            .rows
            .iter()
            .map(|row| row.state.word())
            .collect::<Vec<_>>(),
        ["same", "changed", "new"]
    );
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
    let shot = ShotLine {
        code: "P1".into(),
        look: "reservoir".into(),
        reach_m: Some(30.0),
        ..ShotLine::default()
    };
    let plan = [(shot.code.clone(), shot.fields())];
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
    let text = include_str!("../../../../tests/samples/drowned-parish.csv");
    let shots = lines(&look(text));
    let existing: Vec<(String, Fields)> = shots
        .iter()
        .map(|shot| (shot.code.clone(), shot.fields()))
        .collect();
    for audience in [Audience::Programs, Audience::Spreadsheets] {
        let again = look(&write_shots(&shots, audience));
        let found = compare(&again, &existing);
        assert!(
            found.rows.len() == 14 && found.rows.iter().all(|row| row.state == State::Same),
            "{found:?}"
        );
        assert!(again.not_taken.is_empty());
    }
}

#[test]
fn lists_are_written_with_points_and_crew_s_words() {
    let shot = ShotLine {
        code: "P1".into(),
        length_frames: Some(162),
        scale_denominator: Some(48.0),
        story_speed_mps: Some(0.35),
        travel: "l_to_r".into(),
        setups: vec!["S1".into(), "S2".into()],
        ..ShotLine::default()
    };
    assert_eq!(
        write_shots(&[shot], Audience::Programs),
        "code,name,frames,scale,story speed m/s,travel,action,setups,look,reach m,story order\r\n\
         P1,,162,1:48,0.35,L to R,,S1; S2,,,\r\n"
    );
    let setup = SetupLine {
        code: "S1".into(),
        shots: vec!["P1".into()],
        shoot_fps: Some(173.2),
        note: "a, b".into(),
        ..SetupLine::default()
    };
    assert_eq!(
        write_setups(&[setup], Audience::Programs),
        "code,name,shots,camera,lens,focal length mm,shoot fps,shutter deg,stop,EI,focus distance m,haze,own minutes,note\r\n\
         S1,,P1,,,,173.2,,,,,,,\"a, b\"\r\n"
    );
}
