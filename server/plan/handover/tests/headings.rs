//! Headings: which is which, and what a person corrects.

use super::super::mapping::{Overrides, matched_form};
use super::super::{Options, read};
use super::{at_25, faults, frames, lines, look, text};

fn corrected(text: &str, pairs: &[(&str, Option<&str>)]) -> super::Look {
    let overrides: Overrides = pairs
        .iter()
        .map(|(heading, field)| ((*heading).to_owned(), field.map(str::to_owned)))
        .collect();
    read(
        text.as_bytes(),
        "list.csv",
        &Options {
            overrides,
            ..at_25()
        },
    )
    .expect("it can be cut into rows")
}

fn not_taken(look: &super::Look) -> Vec<(&str, &str)> {
    look.not_taken
        .iter()
        .map(|left| (left.heading.as_str(), left.why.as_str()))
        .collect()
}

#[test]
fn headings_are_matched_without_case_punctuation_or_stray_spaces() {
    assert_eq!(matched_form("  Speed, m/s "), "speed ms");
    assert_eq!(matched_form("Set-Up"), "set up");
    assert_eq!(matched_form("story_speed_mps"), "story speed mps");
    assert_eq!(matched_form("(?)"), "");
}

#[test]
fn a_field_s_own_name_outranks_another_word_for_it() {
    let look = look("Title,Name,Shot\nfirst,second,P1\n");
    assert_eq!(text(&lines(&look)[0], "name"), "second");
    assert_eq!(not_taken(&look), [("Title", "Name already says this")]);
}

#[test]
fn two_lengths_fill_one_field() {
    let look = look("code,frames,duration (s)\nP1,162,6.48\n");
    assert_eq!(frames(&lines(&look)[0]), Some(162));
    assert_eq!(
        not_taken(&look),
        [("duration (s)", "frames already says this")]
    );
}

#[test]
fn a_person_can_say_what_a_heading_means() {
    let list = "Nr.,Bild,Sekunden,Title\nP1,Kirche,6.48,unused\n";
    let look = corrected(
        list,
        &[
            ("bild", Some("name")),
            ("Sekunden", Some("length_s")),
            ("title", None),
            ("elsewhere", Some("action")),
        ],
    );
    assert_eq!(faults(&look), Vec::<String>::new());
    let shot = &lines(&look)[0];
    assert_eq!(
        (shot.code.as_str(), text(shot, "name"), frames(shot)),
        ("P1", "Kirche", Some(162))
    );
    assert_eq!(not_taken(&look), [("Title", "left out by hand")]);
    assert!(
        look.mapping
            .iter()
            .find(|taken| taken.heading == "Bild")
            .is_some_and(|taken| taken.by_hand)
    );
}

#[test]
fn a_choice_that_names_no_field_is_a_fault() {
    let look = corrected("code,Bild\nP1,x\n", &[("Bild", Some("picture"))]);
    assert_eq!(faults(&look), ["1 Bild: unknown column [picture]"]);
}

#[test]
fn a_list_without_codes_can_still_be_corrected() {
    let look = look("Bild,Title\n1,Spire\n");
    assert_eq!(faults(&look), ["1 Shot: missing"]);
    assert!(!look.is_storable());
    let again = corrected("Bild,Title\n1,Spire\n", &[("Bild", Some("code"))]);
    assert_eq!(lines(&again)[0].code, "1");
}

#[test]
fn a_cell_beyond_the_headings_is_a_fault_not_a_loss() {
    let look = look("code,speed\nP1,0,35\nP2,1,\n");
    assert_eq!(faults(&look), ["2 column 3: unknown column [35]"]);
}

#[test]
fn titles_above_the_headings_are_passed_over() {
    let look = look("The Drowned Parish: shots,,\n,,\nShot,Frames,\nP1,162,\n");
    assert_eq!(frames(&lines(&look)[0]), Some(162));
    assert_eq!(look.rows[0].line, 4);
    assert!(
        look.notes.iter().any(|note| note.contains("line 3")),
        "{:?}",
        look.notes
    );
    assert!(
        look.not_taken.is_empty(),
        "an empty column without heading is nothing to speak of"
    );
}

#[test]
fn a_list_of_headings_only_is_not_storable() {
    let look = look("code,name\n");
    assert_eq!(look.error_count, 0);
    assert!(!look.is_storable());
    assert!(
        look.notes.iter().any(|note| note.contains("nothing below")),
        "{:?}",
        look.notes
    );
}
