//! Shot lists brought in over HTTP: every sample file, all or nothing, and back again.

use crate::harness::{Answer, Book};
use axum::http::{Request, StatusCode, header};
use serde_json::{Value, json};

macro_rules! sample {
    ($name:literal) => {
        include_bytes!(concat!("../samples/", $name)).as_slice()
    };
}
pub const PLAIN: &[u8] = sample!("drowned-parish.csv");
const DECIMAL_COMMA: &[u8] = sample!("drowned-parish-decimal-comma.csv");
const UTF16_TAB: &[u8] = sample!("drowned-parish-utf16-tab.txt");
const WORKBOOK: &[u8] = sample!("drowned-parish.xlsx");
const VALLEY: &[u8] = sample!("valley-400-shots.csv");
const FAULTY: &[u8] = sample!("faulty.csv");
const UNCLOSED: &[u8] = sample!("faulty-unclosed-quote.csv");
const NOT_UTF8: &[u8] = sample!("faulty-not-utf8.csv");
const XLSX: &str = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet";

async fn send(book: &Book, plan: &str, query: &str, kind: &str, body: &[u8]) -> Answer {
    let request = Request::post(format!("/api/plans/{plan}/import{query}"))
        .header(header::CONTENT_TYPE, kind)
        .header(header::ORIGIN, "http://stillair.test");
    book.send(request, body.to_vec()).await
}

/// Stores a list and returns the answer's JSON.
pub async fn store(book: &Book, plan: &str, body: &[u8]) -> Value {
    let answer = send(book, plan, "", "text/csv", body).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text);
    answer.json()
}

async fn whole(book: &Book, plan: &str) -> Value {
    book.get(&format!("/api/plans/{plan}")).await.json()
}

/// The shots as the cut has them, each with its setups, without ids and versions.
async fn cut(book: &Book, plan: &str) -> Vec<Value> {
    let plan = whole(book, plan).await;
    let passes = plan["passes"].as_array().expect("passes");
    let setups = plan["setups"].as_array().expect("setups");
    let shots = plan["shots"].as_array().expect("shots").iter().map(|shot| {
        let mut bare = shot.clone();
        for own in ["id", "versions", "order_key"] {
            bare.as_object_mut().expect("a shot").remove(own);
        }
        let mut codes: Vec<_> = passes
            .iter()
            .filter(|pass| pass["shot"] == shot["id"])
            .filter_map(|pass| setups.iter().find(|setup| setup["id"] == pass["setup"]))
            .map(|setup| setup["code"].clone())
            .collect();
        codes.sort_by_key(ToString::to_string);
        bare["setups"] = codes.into();
        bare
    });
    shots.collect()
}

async fn changes(book: &Book) -> String {
    let words = book
        .app
        .store
        .check()
        .await
        .expect("tables and journal agree");
    words.split(' ').next().expect("a number").to_owned()
}

#[tokio::test]
async fn the_plain_list_gives_fourteen_shots_in_eight_setups_in_file_order() {
    let book = Book::new().await;
    let plan = book.plan().await;
    let answer = store(&book, &plan, PLAIN).await;
    assert_eq!(
        answer["stored"],
        json!({"new": 14, "changed": 0, "same": 0, "setups": 8, "beside": 0})
    );
    let shots = cut(&book, &plan).await;
    let codes: Vec<_> = shots
        .iter()
        .map(|s| s["code"].as_str().expect("a code"))
        .collect();
    let order = "P1 P2 P3 P4 P5 P6 P7 P8 D1 D2 D3 P9 P10 D4";
    assert_eq!(codes.join(" "), order);
    assert_eq!(
        (
            &shots[3]["length_frames"],
            &shots[3]["look"],
            &shots[3]["reach_m"],
            &shots[3]["setups"]
        ),
        (&json!(200), &json!("reservoir"), &json!(55), &json!(["S3"]))
    );
    let setups = whole(&book, &plan).await["setups"].clone();
    let setups: Vec<_> = setups
        .as_array()
        .expect("setups")
        .iter()
        .map(|s| s["code"].clone())
        .collect();
    assert_eq!(setups, ["S1", "S2", "S3", "S4", "S5", "S6", "S7", "S8"]);
}

#[tokio::test]
async fn looking_stores_nothing_and_says_what_would_come_of_every_row() {
    let book = Book::new().await;
    let plan = book.plan().await;
    let answer = send(&book, &plan, "?look=true", "text/csv; charset=utf-8", PLAIN).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text);
    let look = answer.json();
    let first = &look["rows"][0];
    assert_eq!(
        (&first["line"], &first["state"]),
        (&json!(2), &json!("new"))
    );
    assert_eq!(first["fields"]["length_frames"], 162);
    assert_eq!(first["fields"]["setups"], json!(["S1"]));
    assert_eq!(look["mapping"][2]["field"], "length_frames");
    assert_eq!(
        (&look["not_taken"], &look["errors"]),
        (&json!([]), &json!([]))
    );
    assert_eq!(cut(&book, &plan).await, Vec::<Value>::new());
    assert_eq!(changes(&book).await, "1");
}

#[tokio::test]
async fn every_good_sample_gives_the_same_shots_where_it_has_the_same_columns() {
    let expected = {
        let book = Book::new().await;
        let plan = book.plan().await;
        store(&book, &plan, PLAIN).await;
        cut(&book, &plan).await
    };
    let samples = [
        ("decimal comma", "text/csv", DECIMAL_COMMA, "Remarks"),
        ("utf-16", "text/tab-separated-values", UTF16_TAB, ""),
        ("workbook", XLSX, WORKBOOK, ""),
    ];
    for (name, kind, bytes, not_taken) in samples {
        let book = Book::new().await;
        let plan = book.plan().await;
        let answer = send(&book, &plan, "", kind, bytes).await;
        assert_eq!(answer.status, StatusCode::OK, "{name}: {}", answer.text);
        let answer = answer.json();
        assert!(
            answer["notes"][0]
                .as_str()
                .expect("a note")
                .starts_with("Read "),
            "{name}"
        );
        if !not_taken.is_empty() {
            assert_eq!(answer["not_taken"][0]["heading"], not_taken);
        }
        let columns: Vec<_> = answer["mapping"]
            .as_array()
            .expect("a mapping")
            .iter()
            .map(|taken| taken["field"].as_str().expect("a field"))
            .map(|field| {
                if field.starts_with("length") {
                    "length_frames"
                } else {
                    field
                }
            })
            .collect();
        assert!(columns.contains(&"length_frames"), "{name}: {columns:?}");
        for (found, expected) in cut(&book, &plan).await.iter().zip(&expected) {
            // That file's actions hold accents and a dash of their own.
            let is_own = |column: &str| name == "decimal comma" && column == "action";
            for column in columns.iter().filter(|column| !is_own(column)) {
                assert_eq!(
                    found[column], expected[column],
                    "{name}: {column} of {}",
                    expected["code"]
                );
            }
        }
    }
}

#[tokio::test]
async fn four_hundred_shots_come_in_with_their_setups() {
    let book = Book::new().await;
    let plan = book.plan().await;
    let answer = store(&book, &plan, VALLEY).await;
    assert_eq!(
        answer["stored"],
        json!({"new": 400, "changed": 0, "same": 0, "setups": 120, "beside": 0})
    );
    changes(&book).await;
}

#[tokio::test]
async fn every_fault_is_told_by_line_and_column_and_nothing_is_stored() {
    for query in ["", "?look=true"] {
        let book = Book::new().await;
        let plan = book.plan().await;
        let answer = send(&book, &plan, query, "text/csv", FAULTY).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
        assert_eq!(
            answer.headers[header::CONTENT_TYPE],
            "application/problem+json"
        );
        let problem = answer.json();
        let faults: Vec<_> = problem["errors"]
            .as_array()
            .expect("errors")
            .iter()
            .map(|e| {
                format!(
                    "{} {} {}",
                    e["line"],
                    e["column"].as_str().expect("a column"),
                    e["problem"].as_str().expect("a problem")
                )
            })
            .collect();
        assert_eq!(
            faults,
            [
                "5 code used twice",
                "6 code missing",
                "7 frames not a whole number",
                "8 frames not above zero",
                "9 scale not above zero",
                "13 frames too long",
            ]
        );
        assert_eq!(problem["errors"][0]["first_line"], 3);
        assert_eq!(changes(&book).await, "1", "only the plan itself");
    }
}

#[tokio::test]
async fn an_unclosed_quote_is_refused_with_the_line_it_opened_on() {
    let book = Book::new().await;
    let plan = book.plan().await;
    let answer = send(&book, &plan, "", "text/csv", UNCLOSED).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    let problem = answer.json();
    let line = &problem["errors"][0]["line"];
    assert_eq!(
        problem["detail"],
        format!("The quote that opens on line {line} is never closed.")
    );
    assert_eq!(changes(&book).await, "1");
}

#[tokio::test]
async fn bytes_that_are_not_utf8_are_offered_as_windows_1252_and_taken_when_asked() {
    let book = Book::new().await;
    let plan = book.plan().await;
    let answer = send(&book, &plan, "", "text/csv", NOT_UTF8).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    let problem = answer.json();
    assert_eq!(problem["offer"]["encoding"], "windows-1252");
    let offered = problem["offer"]["line"]
        .as_str()
        .expect("the line as it would be")
        .to_owned();
    assert_eq!(changes(&book).await, "1");

    let answer = send(&book, &plan, "?encoding=windows-1252", "text/csv", NOT_UTF8).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text);
    let name = cut(&book, &plan).await[0]["name"].clone();
    assert!(
        offered.contains(name.as_str().expect("a name")),
        "{offered} {name}"
    );
}

#[tokio::test]
async fn the_same_list_twice_changes_nothing() {
    let book = Book::new().await;
    let plan = book.plan().await;
    store(&book, &plan, PLAIN).await;
    let (before, count) = (whole(&book, &plan).await, changes(&book).await);
    let again = store(&book, &plan, PLAIN).await;
    assert_eq!(
        again["stored"],
        json!({"new": 0, "changed": 0, "same": 14, "setups": 0, "beside": 0})
    );
    assert_eq!(whole(&book, &plan).await, before);
    assert_eq!(changes(&book).await, count);
}

#[tokio::test]
async fn a_changed_list_changes_only_what_it_says_and_strikes_no_shot() {
    let book = Book::new().await;
    let plan = book.plan().await;
    store(&book, &plan, PLAIN).await;
    let list = "code,frames,setup\nP4,210,S4\nP99,50,S9\nP6,70,\"S4; S3\"\n";
    let answer = store(&book, &plan, list.as_bytes()).await;
    let states: Vec<_> = answer["rows"]
        .as_array()
        .expect("rows")
        .iter()
        .map(|r| r["state"].clone())
        .collect();
    assert_eq!(states, ["changed", "new", "changed"]);
    assert_eq!(
        answer["rows"][0]["changes"],
        json!([
            {"field": "length_frames", "from": 200, "to": 210},
            {"field": "setups", "from": ["S3"], "to": ["S4"]},
        ])
    );
    assert_eq!(answer["absent"].as_array().map(Vec::len), Some(12));
    let shots = cut(&book, &plan).await;
    assert_eq!(shots.len(), 15);
    assert_eq!(
        (
            &shots[3]["length_frames"],
            &shots[3]["name"],
            &shots[3]["setups"]
        ),
        (&json!(210), &json!("Nave, drift-in"), &json!(["S4"]))
    );
    assert_eq!(shots[5]["setups"], json!(["S3", "S4"]));
    assert_eq!(
        (&shots[14]["code"], &shots[14]["setups"]),
        (&json!("P99"), &json!(["S9"]))
    );
}

#[tokio::test]
async fn undoing_an_import_restores_the_plan_as_it_was() {
    let book = Book::new().await;
    let plan = book.plan().await;
    store(&book, &plan, PLAIN).await;
    let before = cut(&book, &plan).await;
    let list = "code,frames,scale,setup\nP4,210,1:24,S4\nP99,50,,S9\nP6,70,,S7\nP1,1,,\n";
    let answer = store(&book, &plan, list.as_bytes()).await;
    assert_ne!(cut(&book, &plan).await, before);
    let undo =
        json!({"op_id": "take-it-back", "kind": "undo", "of_seq": answer["seq"], "batch": true});
    let undone = book
        .post_json(&format!("/api/plans/{plan}/changes"), &undo)
        .await;
    assert_eq!(undone.status, StatusCode::OK, "{}", undone.text);
    assert_eq!(cut(&book, &plan).await, before);
    let setups = whole(&book, &plan).await["setups"].as_array().map(Vec::len);
    assert_eq!(setups, Some(8), "the new setup is gone again");
    changes(&book).await;
}

#[tokio::test]
async fn a_corrected_heading_is_taken_and_remembered_for_the_next_list() {
    let book = Book::new().await;
    let plan = book.plan().await;
    let list = "code,frames,What we see\nP1,100,A spire\n".as_bytes();
    let looked = send(&book, &plan, "?look=true", "text/csv", list)
        .await
        .json();
    assert_eq!(looked["not_taken"][0]["heading"], "What we see");
    let overrides = "%7B%22What%20we%20see%22:%22action%22%7D";
    let answer = send(
        &book,
        &plan,
        &format!("?overrides={overrides}"),
        "text/csv",
        list,
    )
    .await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text);
    assert_eq!(cut(&book, &plan).await[0]["action"], "A spire");
    let next = "code,what we SEE\nP2,A door\n".as_bytes();
    store(&book, &plan, next).await;
    assert_eq!(cut(&book, &plan).await[1]["action"], "A door");
}

#[tokio::test]
async fn a_form_brings_the_file_and_its_options() {
    let book = Book::new().await;
    let plan = book.plan().await;
    let mut body = b"--seam\r\nContent-Disposition: form-data; name=\"encoding\"\r\n\r\nwindows-1252\r\n--seam\r\n\
        Content-Disposition: form-data; name=\"file\"; filename=\"list.csv\"\r\nContent-Type: text/csv\r\n\r\n"
        .to_vec();
    body.extend(NOT_UTF8);
    body.extend(b"\r\n--seam--\r\n");
    let answer = send(
        &book,
        &plan,
        "",
        "multipart/form-data; boundary=seam",
        &body,
    )
    .await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text);
    assert!(!cut(&book, &plan).await.is_empty());
}

#[tokio::test]
async fn what_is_no_list_is_refused_with_a_sentence() {
    let book = Book::new().await;
    let plan = book.plan().await;
    let cases: [(&str, &str, &[u8], StatusCode, &str); 6] = [
        (
            "",
            "application/json",
            b"{}",
            StatusCode::UNSUPPORTED_MEDIA_TYPE,
            "Content-Type: text/csv",
        ),
        (
            "?look=perhaps",
            "text/csv",
            PLAIN,
            StatusCode::BAD_REQUEST,
            "look is true or false.",
        ),
        (
            "?encoding=ebcdic",
            "text/csv",
            PLAIN,
            StatusCode::BAD_REQUEST,
            "encoding is one of",
        ),
        (
            "?overrides=x",
            "text/csv",
            PLAIN,
            StatusCode::BAD_REQUEST,
            "overrides is a JSON object",
        ),
        (
            "",
            "text/csv",
            b"",
            StatusCode::UNPROCESSABLE_ENTITY,
            "The file is empty.",
        ),
        (
            "",
            "text/csv",
            b"code,frames\n",
            StatusCode::UNPROCESSABLE_ENTITY,
            "nothing below the headings",
        ),
    ];
    for (query, kind, body, status, words) in cases {
        let answer = send(&book, &plan, query, kind, body).await;
        assert_eq!(answer.status, status, "{words}: {}", answer.text);
        let detail = answer.json()["detail"]
            .as_str()
            .expect("a detail")
            .to_owned();
        assert!(detail.contains(words), "{detail}");
    }
    assert_eq!(changes(&book).await, "1");
}

#[tokio::test]
async fn a_file_over_the_limit_is_refused_with_the_limit() {
    let book = Book::new().await;
    let plan = book.plan().await;
    let body = vec![b'x'; 21 * 1024 * 1024];
    let answer = send(&book, &plan, "", "text/csv", &body).await;
    assert_eq!(answer.status, StatusCode::PAYLOAD_TOO_LARGE);
    assert!(answer.text.contains("larger than 20 MB"), "{}", answer.text);
}
