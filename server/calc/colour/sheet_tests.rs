//! Sheets as pairs, records and tables.

use super::*;
use proptest::prelude::*;

fn read(text: &str) -> Result<Sheet, FaultKind> {
    let value: Value = serde_json::from_str(text).expect("JSON");
    Sheet::read(Some(&value)).map_err(|(kind, _)| kind)
}

#[test]
fn pairs_and_records_are_read_and_written_back() {
    for text in [
        r#"["minus_green", 0.3]"#,
        r#"{"model": "ideal_shift", "shift_mired": 131, "peak_transmittance": 0.9, "name": "half", "sheets": 2}"#,
        r#"{"wavelengths_nm": [400, 450, 500, 600, 700], "transmittances": [0.1, 0.2, 0.5, 0.9, 0.9]}"#,
    ] {
        let sheet = read(text).expect(text);
        assert_eq!(Sheet::read(Some(&sheet.write())), Ok(sheet));
    }
    assert_eq!(
        read(r#"{"model": "plus_green", "density": 0.3}"#)
            .expect("a sheet")
            .write(),
        json!(["plus_green", 0.3])
    );
}

#[test]
fn sheets_that_cannot_be_are_refused() {
    for (text, kind) in [
        (r#"["minus_green", -0.3]"#, FaultKind::Negative),
        (r#"["purple", 0.3]"#, FaultKind::NotOneOf),
        (r#"["minus_green"]"#, FaultKind::WrongType),
        (r#"{"model": "ideal_shift"}"#, FaultKind::Missing),
        (
            r#"{"model": "plus_green", "shift_mired": 3}"#,
            FaultKind::Missing,
        ),
        (r"{}", FaultKind::Missing),
        (
            r#"{"wavelengths_nm": [400, 450, 500, 600], "transmittances": [0.1, 0.2, 0.5, 0.9]}"#,
            FaultKind::OutOfRange,
        ),
        (
            r#"{"wavelengths_nm": [400, 450, 500, 600, 700], "transmittances": [0.1, 0.2, 0.5, 0.9, 1.03]}"#,
            FaultKind::OutOfRange,
        ),
    ] {
        assert_eq!(read(text), Err(kind), "{text}");
    }
}

#[test]
fn a_measured_table_goes_on_as_it_ends_and_noise_is_clamped() {
    let table = read(
        r#"{"wavelengths_nm": [420, 450, 500, 600, 660], "transmittances": [0.1, 0.2, 0.5, 0.9, 1.01]}"#,
    );
    let mut warnings = Warnings::default();
    let through = table.expect("a sheet").filter.transmittance(&mut warnings);
    assert_eq!(
        warnings.into_kinds(),
        ["transmittance_clamped", "spectrum_short"]
    );
    assert!((through[0], through[80]) == (0.1, 1.0));
}

proptest! {
    #[test]
    fn no_model_lets_more_through_than_comes(amount in 0.0..3.0_f64, shift in -1e6..1e6_f64) {
        let mut warnings = Warnings::default();
        for filter in [
            Filter::ideal_shift(shift),
            Filter::MinusGreen { density: amount },
            Filter::PlusGreen { density: amount },
        ] {
            let through = filter.transmittance(&mut warnings);
            prop_assert!(through.iter().all(|share| (0.0..=1.0).contains(share)));
            prop_assert!(through.iter().any(|share| *share > 0.0));
        }
    }
}
