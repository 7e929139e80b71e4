//! Forms as they open, and what is typed into them.

use super::*;
use serde_json::json;
use stillair_calc::{catalogue, find};

#[test]
fn every_form_as_it_opens_gives_the_usual_inputs() {
    for calculation in catalogue() {
        for units in [Units::Metric, Units::Feet] {
            let form = Form::read(calculation, Typed::new(), units);
            let name = format!("{}/{}", calculation.family, calculation.name);
            assert!(form.is_read(), "{name}: {:?}", form.faults);
            let answer = (calculation.run)(&form.given);
            assert!(
                answer.is_ok(),
                "{name} in {units:?}: {answer:?} for {:?}",
                form.given
            );
            // what the address holds is the same form again
            let again = Form::read(
                calculation,
                form.address(units).into_iter().collect(),
                units,
            );
            assert_eq!(again.given, form.given, "{name}");
            // and in the other units the same to six digits
            let other = Form::read(
                calculation,
                form.address(units.other()).into_iter().collect(),
                units.other(),
            );
            assert!(
                alike(&form.given.clone().into(), &other.given.clone().into()),
                "{name}: {:?} is not {:?}",
                form.given,
                other.given
            );
            assert!(
                (calculation.run)(&other.given).is_ok(),
                "{name} crossed over: {:?}",
                other.given
            );
        }
    }
}

/// Whether metric in and feet in are the same, to the six digits that a blank shows.
fn alike(one: &Value, other: &Value) -> bool {
    match (one, other) {
        (Value::Number(one), Value::Number(other)) => {
            let (one, other) = (
                one.as_f64().unwrap_or(f64::NAN),
                other.as_f64().unwrap_or(f64::NAN),
            );
            (one - other).abs() <= 1e-5 * one.abs()
        }
        (Value::Array(one), Value::Array(other)) => {
            one.len() == other.len() && one.iter().zip(other).all(|(one, other)| alike(one, other))
        }
        (Value::Object(one), Value::Object(other)) => {
            one.len() == other.len()
                && one
                    .iter()
                    .all(|(name, one)| other.get(name).is_some_and(|other| alike(one, other)))
        }
        _ => one == other,
    }
}

#[test]
fn lists_grow_by_a_row_and_lose_their_gaps() {
    let calculation = find("air-limits", "twa-steps").expect("it is there");
    let typed = |pairs: &[(&str, &str)]| {
        pairs
            .iter()
            .map(|(k, v)| ((*k).to_owned(), (*v).to_owned()))
            .collect::<Typed>()
    };
    let form = Form::read(
        calculation,
        typed(&[
            ("segments.0.hours", "2"),
            ("segments.0.concentration_mgpm3", "10"),
            ("segments.2.hours", "1"),
            ("segments.2.concentration_mgpm3", "4"),
        ]),
        Units::Metric,
    );
    assert_eq!(
        form.given["segments"],
        json!([{"hours": 2.0, "concentration_mgpm3": 10.0}, {"hours": 1.0, "concentration_mgpm3": 4.0}])
    );
    assert!(
        form.slots
            .iter()
            .any(|slot| slot.path == "segments.3.hours")
    );
}

#[test]
fn several_numbers_stand_in_one_blank() {
    assert_eq!(parted("6; 2,5;").collect::<Vec<_>>(), ["6", "2,5"]);
    assert_eq!(parted("6 2.5").collect::<Vec<_>>(), ["6", "2.5"]);
    assert_eq!(parted("6, 2.5").collect::<Vec<_>>(), ["6", "2.5"]);
}

#[test]
fn what_cannot_be_read_is_said_under_its_blank() {
    let calculation = find("suspension", "pendulum").expect("it is there");
    let typed: Typed = [("length_m".to_owned(), "long".to_owned())].into();
    let form = Form::read(calculation, typed, Units::Metric);
    let blank = form
        .blanks()
        .into_iter()
        .find(|b| b.name == "length_m")
        .expect("its blank");
    assert_eq!(
        (blank.value.as_str(), blank.fault.as_str()),
        ("long", "Length must be a number.")
    );
}
