//! The bench of a setup: figures from facts, what is missing, what is impossible, what gives it away.

use crate::harness::Book;
use axum::http::StatusCode;
use serde_json::{Value, json};
use stillair::{
    journal::{change::Op, value::Id, writer::Ask},
    plan::setups::figures::{Figures, figures},
};

/// The prototype's long nave: 24 mm on a 24 mm wide sensor at 1:20.
pub struct Nave {
    pub book: Book,
    pub plan: Id,
    pub setup: Id,
    pub pass: Id,
}

impl Nave {
    pub async fn new() -> Self {
        let book = Book::new().await;
        let plan = Id::parse(&book.plan().await).expect("an id");
        let ids: Vec<Id> = (0..6).map(|_| Id::new()).collect();
        let [camera, mode, lens, setup, shot, pass] = [0, 1, 2, 3, 4, 5].map(|i| ids[i].clone());
        let insert = |kind: &str, id: &Id, fields: Value| Op::insert(kind, id.clone(), fields);
        let ops = vec![
            insert("camera", &camera, json!({"name": "A"})),
            insert(
                "camera_mode",
                &mode,
                json!({"camera": camera.as_str(), "name": "crop", "sensor_width_mm": 24.0, "sensor_height_mm": 10.042, "photosites_across": 4096, "highest_fps": 120}),
            ),
            insert(
                "lens",
                &lens,
                json!({"name": "24", "focal_length_mm": 24, "pupil_magnification": 1.4, "principal_plane_separation_mm": 28}),
            ),
            insert(
                "setup",
                &setup,
                json!({"code": "S3", "name": "Nave, long", "scale_denominator": 20, "camera_mode": mode.as_str(), "lens": lens.as_str(), "f_number": 11,
                    "focus_from_mark_mm": 1260, "shoot_fps": 112, "exposure_index": 1600, "key_stops": -1.5, "reach_m": 55, "key_through_haze_mm": 800,
                    "key_distance_mm": 2200, "rig": "rail", "nearest_piece_mm": 759, "farthest_piece_mm": 2400, "air": "shut"}),
            ),
            insert(
                "shot",
                &shot,
                json!({"code": "P4", "name": "Nave, drift-in", "length_frames": 200, "story_speed_mps": 1.0, "travel": "l_to_r"}),
            ),
            insert(
                "pass",
                &pass,
                json!({"shot": shot.as_str(), "setup": setup.as_str(), "element": "main", "moves": "hangs"}),
            ),
        ];
        let nave = Self {
            book,
            plan,
            setup,
            pass,
        };
        nave.write(ops).await;
        nave
    }

    pub async fn write(&self, ops: Vec<Op>) {
        let ask = Ask {
            plan: self.plan.clone(),
            ops,
            atomic: true,
            batch: None,
            actor: "test".into(),
            client: "test".into(),
        };
        for reply in self.book.app.store.write(ask).await.expect("stored") {
            reply.result.expect("nothing refused");
        }
    }

    async fn figures(&self) -> Figures {
        let plan = self
            .book
            .app
            .store
            .plan(&self.plan)
            .await
            .expect("a store")
            .expect("a plan");
        let setup = plan.setups.get(&self.setup).expect("the setup");
        figures(&plan, setup, plan.passes.get(&self.pass))
    }

    fn page(&self) -> String {
        format!("/plans/{}/setups/S3", self.plan)
    }

    async fn type_into(&self, field: &str, text: &str) -> crate::harness::Answer {
        let name = format!("{}.{field}", self.setup);
        self.book
            .post_form(&self.page(), &[("field", name.as_str()), ("value", text)])
            .await
    }
}

#[tokio::test]
async fn the_long_nave_comes_out_as_worked_by_hand() {
    let nave = Nave::new().await;
    let worked = nave.figures().await;
    // Worked by hand for the design: √20 × 25; 1 m/s ÷ 20 × 4.48; (200 + 24) ÷ 112; entrance-pupil limits; ISO 2720 with a dome.
    let expected = [
        ("true-rate", "111.8"),
        ("stretch", "4.48"),
        ("rig-speed", "224"),
        ("run", "2.00"),
        ("blur-line", "23.4"),
        ("near", "844"),
        ("far", "2\u{202f}612"),
        ("softens", "10.7"),
        ("frame", "1\u{202f}184"),
        ("haze", "1.42"),
    ];
    for (id, value) in expected {
        assert_eq!(
            worked.get(id).map(|f| f.value.as_str()),
            Some(value),
            "{id}"
        );
    }
    // 330 × (11 ÷ √0.9 × 1.01448)² × 224 ÷ 1600 = 6 393 lx: the design's 6 211 lx without close focus.
    assert_eq!(
        worked.get("even").map(|f| f.value.as_str()),
        Some("6\u{202f}393")
    );
}

#[tokio::test]
async fn every_because_gives_the_number_it_shows() {
    let nave = Nave::new().await;
    let mut checked = 0;
    let variations = [
        ("f_number", json!(11)),
        ("f_number", json!(2.8)),
        ("scale_denominator", json!(13.7)),
        ("shoot_fps", json!(96.3)),
        ("focus_from_mark_mm", json!(733.3)),
        ("contrast_far_end", json!(0.3)),
        ("far_end_mm", json!(2100)),
    ];
    for (field, value) in variations {
        let number = nave
            .book
            .app
            .store
            .plan(&nave.plan)
            .await
            .expect("a store")
            .expect("a plan")
            .number();
        nave.write(vec![Op::set(nave.setup.clone(), field, number, value)])
            .await;
        for figure in nave
            .figures()
            .await
            .all()
            .filter(|f| !f.expression.is_empty())
        {
            let check = stillair_calc::because::evaluate(&figure.expression)
                .unwrap_or_else(|e| panic!("{}: {} — {e}", figure.id, figure.expression));
            assert!(
                check.units_apart() <= 1.0,
                "{}: {} is {}",
                figure.id,
                figure.expression,
                check.left
            );
            checked += 1;
        }
    }
    assert!(checked > 100, "only {checked} sums were checked");
}

#[tokio::test]
async fn what_is_not_known_links_to_its_blank() {
    let nave = Nave::new().await;
    nave.type_into("focus_from_mark_mm", "").await;
    let near = nave
        .figures()
        .await
        .get("near")
        .cloned()
        .expect("a near limit");
    assert_eq!(near.value, "");
    assert_eq!(
        near.missing.expect("a link").href,
        format!("#b-{}-focus_from_mark_mm", nave.setup)
    );
    let page = nave.book.get(&nave.page()).await;
    assert_eq!(page.status, StatusCode::OK);
    assert!(
        page.text
            .contains("Focus, from mark</a> is not written yet"),
        "the page says so"
    );
}

#[tokio::test]
async fn a_refused_value_keeps_what_was_typed_and_stores_nothing() {
    let nave = Nave::new().await;
    let answer = nave.type_into("f_number", "eleven").await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        answer.text.contains("value=\"eleven\"") && answer.text.contains("must be a number"),
        "{}",
        answer.text
    );
    assert_eq!(
        nave.figures()
            .await
            .get("near")
            .map(|f| f.value.clone())
            .as_deref(),
        Some("844")
    );
}

#[tokio::test]
async fn a_focus_the_lens_cannot_reach_says_so() {
    let nave = Nave::new().await;
    nave.type_into("focus_from_mark_mm", "60").await;
    let near = nave
        .figures()
        .await
        .get("near")
        .cloned()
        .expect("a near limit");
    assert!(
        near.value.is_empty() && near.because.contains("cannot focus that close"),
        "{}",
        near.because
    );
}

#[tokio::test]
async fn opening_the_stop_moves_the_limits_and_the_light() {
    let nave = Nave::new().await;
    assert_eq!(
        nave.type_into("f_number", "16").await.status,
        StatusCode::SEE_OTHER
    );
    let worked = nave.figures().await;
    assert_eq!(worked.get("near").map(|f| f.value.as_str()), Some("737"));
    assert!(
        !nave
            .book
            .get(&nave.page())
            .await
            .text
            .contains("The nearest piece is soft."),
        "f/16 brings the near arch in"
    );
}

#[tokio::test]
async fn a_whole_page_form_leaves_alone_what_another_hand_changed() {
    let nave = Nave::new().await;
    let plan = nave
        .book
        .app
        .store
        .plan(&nave.plan)
        .await
        .expect("a store")
        .expect("a plan");
    let base = plan.number().to_string();
    nave.type_into("f_number", "16").await;
    let (stop, fps) = (
        format!("{}.f_number", nave.setup),
        format!("{}.shoot_fps", nave.setup),
    );
    let answer = nave
        .book
        .post_form(
            &nave.page(),
            &[("base", &base), (&stop, "11"), (&fps, "100")],
        )
        .await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
    let plan = nave
        .book
        .app
        .store
        .plan(&nave.plan)
        .await
        .expect("a store")
        .expect("a plan");
    let setup = plan.setups.get(&nave.setup).expect("the setup");
    assert_eq!((setup.f_number, setup.shoot_fps), (Some(16.0), Some(100.0)));
    assert!(
        plan.besides.is_empty(),
        "an untouched blank is nobody's second hand"
    );
}

#[tokio::test]
async fn haze_above_the_limit_is_said_with_its_cautions() {
    let nave = Nave::new().await;
    let page = nave.book.get(&nave.page()).await.text;
    assert!(
        page.contains("ANSI E1.5") && page.contains("times the peak limit"),
        "the caution stands on the page"
    );
    nave.type_into("air", "people in the air").await;
    assert!(
        nave.book
            .get(&nave.page())
            .await
            .text
            .contains("Nobody may stand in this haze.")
    );
}

#[tokio::test]
async fn a_setup_with_nothing_written_still_has_its_page() {
    let nave = Nave::new().await;
    let made = nave
        .book
        .post_form(
            &format!("/plans/{}/setups", nave.plan),
            &[("code", "S9"), ("name", "")],
        )
        .await;
    assert_eq!(made.status, StatusCode::SEE_OTHER);
    let page = nave
        .book
        .get(&format!("/plans/{}/setups/S9", nave.plan))
        .await;
    assert_eq!(page.status, StatusCode::OK);
    assert!(page.text.contains("not enough known") && page.text.contains("usual, not yours"));
    let twice = nave
        .book
        .post_form(
            &format!("/plans/{}/setups", nave.plan),
            &[("code", "S9"), ("name", "again")],
        )
        .await;
    assert_eq!(twice.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(twice.text.contains("already called S9"), "{}", twice.text);
}

#[tokio::test]
async fn two_hands_on_a_blank_are_shown_and_settled() {
    let nave = Nave::new().await;
    let plan = nave
        .book
        .app
        .store
        .plan(&nave.plan)
        .await
        .expect("a store")
        .expect("a plan");
    let base = plan.number().to_string();
    let name = format!("{}.f_number", nave.setup);
    nave.type_into("f_number", "16").await;
    let late = [
        ("field", name.as_str()),
        ("value", "8"),
        ("base", base.as_str()),
    ];
    nave.book.post_form(&nave.page(), &late).await;
    let page = nave.book.get(&nave.page()).await.text;
    assert!(
        page.contains("Two hands on the stop")
            && page.contains("Keep f/16")
            && page.contains("Take f/8"),
        "{page}"
    );
    let plan = nave
        .book
        .app
        .store
        .plan(&nave.plan)
        .await
        .expect("a store")
        .expect("a plan");
    let (seq, number) = (plan.besides[0].seq.to_string(), plan.number().to_string());
    let take = [
        ("entity", nave.setup.as_str()),
        ("field", "f_number"),
        ("base", &number),
        ("choice", &seq),
        ("back", "/"),
    ];
    let settled = nave
        .book
        .post_form(&format!("/plans/{}/settle", nave.plan), &take)
        .await;
    assert_eq!(settled.status, StatusCode::SEE_OTHER, "{}", settled.text);
    let plan = nave
        .book
        .app
        .store
        .plan(&nave.plan)
        .await
        .expect("a store")
        .expect("a plan");
    assert_eq!(
        plan.setups.get(&nave.setup).and_then(|s| s.f_number),
        Some(8.0)
    );
    assert!(plan.besides.is_empty());
}

#[tokio::test]
async fn a_pass_may_differ_from_its_setup_and_be_struck() {
    let nave = Nave::new().await;
    let name = format!("{}.f_number", nave.pass);
    let page = format!("{}?pass={}", nave.page(), nave.pass);
    let form = [("field", name.as_str()), ("value", "16")];
    let written = nave.book.post_form(&page, &form).await;
    assert_eq!(written.status, StatusCode::SEE_OTHER, "{}", written.text);
    assert_eq!(
        nave.figures().await.get("near").map(|f| f.value.as_str()),
        Some("737")
    );
    let setup = nave.book.get(&page).await.text;
    assert!(
        setup.contains("This pass") && setup.contains("f/16"),
        "the pass says its own stop"
    );
    let passes = format!("{}/passes", nave.page());
    let struck = nave
        .book
        .post_form(&passes, &[("strike", nave.pass.as_str())])
        .await;
    assert_eq!(struck.status, StatusCode::SEE_OTHER);
    let plan = nave
        .book
        .app
        .store
        .plan(&nave.plan)
        .await
        .expect("a store")
        .expect("a plan");
    assert!(plan.passes_of_setup(&nave.setup).is_empty());
}
