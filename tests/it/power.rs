//! Stage power: what hangs on a circuit, against what it may carry for hours.

use crate::harness::{Book, op};
use axum::http::StatusCode;
use serde_json::{Value, json};
use stillair::journal::value::Id;

/// By hand: 2000 ÷ 230 + 1200 ÷ (230 × 0.9) = 8.696 + 5.797 = 14.49 A on a breaker of 16 A, which may carry 12.8 for
/// hours; 650 ÷ 230 = 2.83 A on the other phase, so the neutral carries √(14.49² + 2.83² − 14.49 × 2.83) = 13.3 A.
#[tokio::test]
async fn a_circuit_over_its_working_limit_is_said() {
    let book = Book::new().await;
    let plan = book.plan().await;
    let [one, two, big, bad, small, setup] = [(); 6].map(|()| Id::new().to_string());
    let insert = |kind: &str, id: &str, value: Value| {
        op(
            "insert",
            json!({"entity_type": kind, "entity": id, "value": value}),
        )
    };
    let hang = |name: &str, lamp: &str, circuit: Option<&str>| {
        let fields =
            json!({"setup": setup, "kind": "lamp", "name": name, "lamp": lamp, "circuit": circuit});
        insert("placement", &Id::new().to_string(), fields)
    };
    let ops = json!([
        insert(
            "stage",
            &Id::new().to_string(),
            json!({"name": "Stage 1", "volume_m3": 420})
        ),
        insert(
            "circuit",
            &one,
            json!({"name": "A1", "breaker_a": 16, "phase": "L1", "cable_length_m": 25, "cable_area_mm2": 2.5})
        ),
        insert("circuit", &two, json!({"name": "B1", "phase": "L2"})),
        insert("lamp", &big, json!({"name": "2 kW", "power_w": 2000})),
        insert(
            "lamp",
            &bad,
            json!({"name": "discharge", "power_w": 1200, "power_factor": 0.9})
        ),
        insert("lamp", &small, json!({"name": "650", "power_w": 650})),
        insert("setup", &setup, json!({"code": "S3", "name": "Nave"})),
        hang("key", &big, Some(&one)),
        hang("window", &bad, Some(&one)),
        hang("fill", &small, Some(&two)),
        hang("spare", &small, None),
    ]);
    let answer = book
        .post_json(&format!("/api/plans/{plan}/changes"), &ops)
        .await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text);
    let page = book.get(&format!("/plans/{plan}/power")).await.text;
    let page = page.replace('\u{202f}', "");
    for words in [
        "14.5",
        "12.8",
        "Over its working limit.",
        "key, window",
        "14.5 / 2.83 / 0",
        "13.3",
        "spare",
        "4500",
        "licensed electrician",
        "NFPA 70, 210.20(A)",
        "from memory",
    ] {
        assert!(page.contains(words), "{words}: {page}");
    }
    assert_eq!(page.matches("Over its working limit.").count(), 1);
    // The drop along 25 m of 2.5 mm² at 14.5 A, by IEC 60364-5-52 Annex G: 2 × 0.0225 × 25 ÷ 2.5 × 14.49 ÷ 230.
    assert!(page.contains("2.8 %"), "{page}");
    let mut sums = 0;
    for part in page.split("<span class=\"ex\">").skip(1) {
        let sum = part.split("</span>").next().expect("its end");
        let check = stillair_calc::because::evaluate(sum).unwrap_or_else(|e| panic!("{sum}: {e}"));
        assert!(check.units_apart() <= 1.0, "{sum}: {check:?}");
        sums += 1;
    }
    // Room and plume; the draw of two circuits, what one loses on its cable, the neutral.
    assert_eq!(sums, 6);
}

#[tokio::test]
async fn without_circuits_it_says_what_to_do() {
    let book = Book::new().await;
    let plan = book.plan().await;
    let page = book.get(&format!("/plans/{plan}/power")).await.text;
    assert!(page.contains("No circuit yet.") && page.contains("No lamp stands in any setup yet."));
}
