//! The bench sums: open to anyone, every value in the address, nothing kept.

use crate::harness::{Answer, Book};
use axum::{
    body::Body,
    http::{Request, StatusCode},
};

/// Those that crews do daily.
const DAILY: [&str; 15] = [
    "run-speed",
    "sharp-from-the-mark",
    "best-stop",
    "light-needed",
    "flicker",
    "gel-stack",
    "haze",
    "fill-and-clear",
    "two-cards",
    "line-load",
    "settle",
    "flag-for-a-shadow",
    "tiles-seen",
    "plaster-mix",
    "piece-weight",
];

/// Reads a page as somebody who never signed in.
async fn open(book: &Book, path: &str) -> Answer {
    book.send_as("", Request::get(path), Body::empty()).await
}

/// The text of the figure with an id, as its cell shows it.
fn figure(page: &str, id: &str) -> String {
    let from = page
        .find(&format!("id=\"f-{id}\""))
        .unwrap_or_else(|| panic!("no figure {id} in {page}"));
    let value = page[from..]
        .split("class=\"value\">")
        .nth(1)
        .expect("a value");
    value
        .split('<')
        .next()
        .expect("its end")
        .replace('\u{202f}', "")
}

#[tokio::test]
async fn every_sum_opens_full_in_either_units() {
    let book = Book::new().await;
    let list = open(&book, "/sums").await;
    assert_eq!(list.status, StatusCode::OK);
    let plain = stillair_calc::catalogue()
        .iter()
        .map(|c| format!("/sums/{}/{}", c.family, c.name));
    let daily = DAILY.iter().map(|slug| format!("/sums/{slug}"));
    for path in daily.chain(plain).chain(["/sums/scales".to_owned()]) {
        assert!(
            list.text.contains(&format!("href=\"{path}\"")),
            "{path} is not on the list"
        );
        for units in ["mm", "in"] {
            let page = open(&book, &format!("{path}?units={units}")).await;
            assert_eq!(page.status, StatusCode::OK, "{path}: {}", page.text);
            assert!(!page.text.contains("not enough known"), "{path} has a gap");
            assert!(
                !page.text.contains("class=\"fault\""),
                "{path} opens with a fault"
            );
            assert!(!page.text.contains("NaN"), "{path} shows no number");
        }
    }
    for slug in DAILY {
        assert!(
            list.text.matches(&format!("/sums/{slug}\"")).count() == 1,
            "{slug}"
        );
    }
}

#[tokio::test]
async fn what_is_typed_is_worked_out_and_stands_in_the_address() {
    let book = Book::new().await;
    let page = open(&book, "/sums/run-speed?scale_denominator=25&base_fps=24&shoot_fps=&story_speed_mps=5&screen_duration_s=4&drum_diameter_m=50").await;
    // √25 × 24; 5 m/s ÷ 25 × 5; 4 s ÷ 5; 1 m/s off a drum of 50 mm
    assert_eq!(figure(&page.text, "true-rate"), "120.0");
    assert_eq!(figure(&page.text, "run-speed"), "1000");
    assert_eq!(figure(&page.text, "take"), "0.800");
    assert_eq!(figure(&page.text, "travel"), "800");
    assert_eq!(figure(&page.text, "drum"), "382");
    assert!(
        page.text.contains("√25") || page.text.contains("√(25"),
        "the sum is written out"
    );
    // the link to the other units holds every value
    assert!(
        page.text.contains("?units=in&amp;") || page.text.contains("?units=in&#38;"),
        "{}",
        page.text
    );
    assert!(
        page.text.contains("drum_diameter_m=1.9685"),
        "a drum of 50 mm in inches"
    );
}

#[tokio::test]
async fn feet_and_inches_say_the_same() {
    let book = Book::new().await;
    let metric = open(
        &book,
        "/sums/sharp-from-the-mark?focus_distance_from_sensor_mm=900",
    )
    .await;
    let typed = open(
        &book,
        "/sums/sharp-from-the-mark?units=in&focus_distance_from_sensor_mm=900 mm"
            .replace(' ', "%20")
            .as_str(),
    )
    .await;
    let near_mm: f64 = figure(&metric.text, "near").parse().expect("a number");
    let near_in: f64 = figure(&typed.text, "near").parse().expect("a number");
    assert!(
        (near_mm / 25.4 - near_in).abs() < 0.06,
        "{near_mm} mm, {near_in} in"
    );
    let lux = open(&book, "/sums/light-needed").await;
    let foot_candles = open(&book, "/sums/light-needed?units=in").await;
    let (lx, fc): (f64, f64) = (
        figure(&lux.text, "lux").parse().expect("a number"),
        figure(&foot_candles.text, "lux").parse().expect("a number"),
    );
    assert!((lx / 10.763_91 - fc).abs() < 0.6, "{lx} lx, {fc} fc");
    assert!(lux.text.contains(&format!("That is {fc} fc.")));
}

#[tokio::test]
async fn a_wrong_value_stays_as_typed_and_says_what_is_wrong() {
    let book = Book::new().await;
    for (path, typed, sentence) in [
        (
            "/sums/run-speed?story_speed_mps=fast%3Cb%3E",
            "value=\"fast&#60;b&#62;\"",
            "Full-size speed must be a number.",
        ),
        (
            "/sums/run-speed?scale_denominator=-4",
            "value=\"-4\"",
            "Scale, 1 to must be more than zero.",
        ),
        (
            "/sums/haze?scale_denominator=0.5",
            "value=\"0.5\"",
            "Scale, 1 to must be 1 or more.",
        ),
        (
            "/sums/run-speed?drum_diameter_m=3%20kg",
            "value=\"3 kg\"",
            "Winch drum is in mm; “kg” does not fit.",
        ),
        (
            "/sums/suspension/pendulum?length_m=-2",
            "value=\"-2\"",
            "Length must be more than zero.",
        ),
        (
            "/sums/suspension/pendulum?length_m=&amplitude_deg=5",
            "value=\"\"",
            "Length is needed.",
        ),
        (
            "/sums/scales?scale_1=many",
            "value=\"many\"",
            "Scales, 1 to must be a number.",
        ),
        (
            "/sums/colour/gel-stack?gels=%5B%5B",
            "[[",
            "Gels cannot be read, at line 1 and letter 2.",
        ),
        (
            "/sums/line-load?knot=granny",
            "granny",
            "Knot is one of the list.",
        ),
    ] {
        let page = open(&book, path).await;
        assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY, "{path}");
        assert!(
            page.text.contains(sentence),
            "{path} does not say “{sentence}”: {}",
            page.text
        );
        let kept = page.text.contains(typed) || typed == "granny";
        assert!(kept, "{path} does not keep what was typed");
    }
    for path in ["/sums/no-such", "/sums/focus/no-such"] {
        assert_eq!(
            open(&book, path).await.status,
            StatusCode::NOT_FOUND,
            "{path}"
        );
    }
    let long = format!("/sums/haze?scale_denominator={}", "9".repeat(21_000));
    assert_eq!(
        open(&book, &long).await.status,
        StatusCode::PAYLOAD_TOO_LARGE
    );
}

#[tokio::test]
async fn figures_that_wait_for_a_blank_say_which() {
    let book = Book::new().await;
    let page = open(&book, "/sums/settle?amplitude_end=").await;
    assert_eq!(figure(&page.text, "swing"), "2.23");
    assert!(
        page.text
            .contains("<a href=\"#b-amplitude_end\">and then</a> is not written yet.")
    );
    // what cannot stand together is a sentence
    let page = open(&book, "/sums/settle?amplitude_end=50").await;
    assert!(
        page.text.contains("not enough known"),
        "a swing that grows has no decrement"
    );
}

#[tokio::test]
async fn a_few_words_find_sums() {
    let book = Book::new().await;
    let page = open(&book, "/sums?find=breaking%20knot").await;
    assert!(page.text.contains("/sums/line-load"), "{}", page.text);
    assert!(!page.text.contains("/sums/plaster-mix"));
    let page = open(&book, "/sums?find=%3Cscript%3E").await;
    assert!(page.text.contains("No sum has all of these words"));
    assert!(!page.text.contains("<script>"));
}

#[tokio::test]
async fn limits_come_with_their_caution() {
    let book = Book::new().await;
    let page = open(
        &book,
        "/sums/haze?story_visibility_m=30&scale_denominator=48",
    )
    .await;
    // 3.912 × 48 ÷ 30 ÷ 5.562 m²/g
    assert_eq!(figure(&page.text, "fine"), "1125");
    assert!(
        page.text
            .contains("times the peak limit: shut tent only, nobody in it")
    );
    for path in [
        "haze",
        "fill-and-clear",
        "line-load",
        "plaster-mix",
        "power/drop-iec",
        "practicals/battery-runtime",
        "dust/limit",
        "drive/drum-torque",
    ] {
        let page = open(&book, &format!("/sums/{path}")).await;
        assert!(
            page.text.contains("class=\"caution\""),
            "{path} has no caution"
        );
    }
}

#[tokio::test]
async fn notices_name_every_table_and_carry_the_attribution() {
    let book = Book::new().await;
    let page = open(&book, "/notices").await;
    assert_eq!(page.status, StatusCode::OK);
    for table in stillair_calc::notices::TABLES {
        assert!(page.text.contains(table.file), "{}", table.file);
    }
    assert!(page.text.contains(
        "Contains public sector information licensed under the Open Government Licence v3.0"
    ));
    assert!(page.text.contains("© Crown copyright (2022) Dstl"));
    for calculation in stillair_calc::catalogue() {
        let words: String = calculation
            .source
            .chars()
            .take_while(|c| c.is_alphanumeric() || *c == ' ')
            .collect();
        assert!(page.text.contains(words.trim()), "{}", calculation.source);
    }
}
