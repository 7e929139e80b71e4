//! Stage days: put setups on, move them, and see the clock.

use crate::{bench::Nave, harness::Answer};
use axum::http::{StatusCode, header};
use serde_json::json;
use std::sync::Arc;
use stillair::{
    journal::{change::Op, value::Id},
    plan::{Plan, days::walk::walk},
};

/// Two setups with round minutes on a plan of the usual changeovers.
struct Job {
    nave: Nave,
    day: String,
}

impl Job {
    async fn new() -> Self {
        let nave = Nave::new().await;
        let full = |code: &str, dressing: &str, rig: &str, haze: &str| {
            json!({"code": code, "dressing": dressing, "rig": rig, "light_plot": "L1", "gel_set": "g1", "camera_position": "c1", "focal_length_mm": 24,
                "haze_class": haze, "prepare_min": 20, "trim_min": 10, "settle_min": 5, "takes": 5, "take_cycle_min": 5})
        };
        let ops = vec![
            Op::insert(
                "setup",
                Id::parse("a1").expect("an id"),
                full("A1", "D1.a", "R1", "light"),
            ),
            Op::insert(
                "setup",
                Id::parse("a2").expect("an id"),
                full("A2", "D1.b", "R1", "light"),
            ),
        ];
        nave.write(ops).await;
        let made = nave
            .book
            .post_form(
                &format!("/plans/{}/days", nave.plan),
                &[
                    ("name", "First"),
                    ("date", "2027-03-26"),
                    ("call_clock_min", "08:00"),
                    ("wrap_clock_min", "1900"),
                ],
            )
            .await;
        assert_eq!(made.status, StatusCode::SEE_OTHER, "{}", made.text);
        let to = made.headers[header::LOCATION].to_str().expect("an address");
        let day = to.rsplit('/').next().expect("a day").to_owned();
        let job = Self { nave, day };
        for setup in ["a1", "a2"] {
            let put = job.post("/setups", &[("setup", setup)]).await;
            assert_eq!(put.status, StatusCode::SEE_OTHER, "{}", put.text);
        }
        job
    }

    fn page(&self) -> String {
        format!("/plans/{}/days/{}", self.nave.plan, self.day)
    }

    async fn post(&self, rest: &str, fields: &[(&str, &str)]) -> Answer {
        self.nave
            .book
            .post_form(&format!("{}{rest}", self.page()), fields)
            .await
    }

    async fn plan(&self) -> Arc<Plan> {
        self.nave
            .book
            .app
            .store
            .plan(&self.nave.plan)
            .await
            .expect("a store")
            .expect("a plan")
    }

    async fn codes(&self) -> Vec<String> {
        let plan = self.plan().await;
        let day = Id::parse(&self.day).expect("an id");
        plan.setups_of_day(&day)
            .iter()
            .map(|(_, s)| s.code.to_string())
            .collect()
    }
}

#[tokio::test]
async fn a_day_is_walked_as_worked_by_hand() {
    let job = Job::new().await;
    let plan = job.plan().await;
    let walked = walk(&plan, &Id::parse(&job.day).expect("an id")).expect("the day");
    // From an empty stage: build 60, rig 35, relight 45, camera 12, lens 10, fill to light 8 = 170; open 45 before it.
    // Own block 20 + 10 + 5 + 5 × 5 = 60. A1 runs 08:00 + 45 + 170 = 11:35 to 12:35.
    // The meal, 60 minutes, may begin from 11:00 (180 after call) to 14:00: it is taken before the change to A2, 12:35 to 13:35.
    // A2 is the same family in another variant: 20. It runs 13:55 to 14:55; closing 30: 15:25.
    let at = |minutes: u32| walked.clock(minutes);
    let rows: Vec<_> = walked
        .walk
        .rows
        .iter()
        .map(|r| (at(r.start_min), at(r.end_min)))
        .collect();
    assert_eq!(
        rows,
        [
            ("11:35".into(), "12:35".into()),
            ("13:55".into(), "14:55".into())
        ]
    );
    assert_eq!(walked.meal(), Some(("12:35".into(), "13:35".into())));
    assert_eq!(walked.ends().as_deref(), Some("15:25"));
    let page = job.nave.book.get(&job.page()).await;
    assert!(
        page.text.contains("Plan ends 15:25")
            && page
                .text
                .contains("Same rig, light, gels, camera, lens and haze"),
        "{}",
        page.text
    );
}

#[tokio::test]
async fn a_move_changes_the_order_and_says_what_it_does() {
    let job = Job::new().await;
    let plan = job.plan().await;
    let day = Id::parse(&job.day).expect("an id");
    let second = plan.setups_of_day(&day)[1].0.id.to_string();
    let moved = job
        .post("/order", &[("place", &second), ("move", "up")])
        .await;
    assert_eq!(moved.status, StatusCode::SEE_OTHER, "{}", moved.text);
    assert_eq!(job.codes().await, ["A2", "A1"]);
    let to = moved.headers[header::LOCATION]
        .to_str()
        .expect("an address")
        .to_owned();
    let page = job.nave.book.get(&to).await;
    assert!(
        page.text.contains("A2 moved: the finish stays at 15:25."),
        "{}",
        page.text
    );
    let off = job
        .post("/order", &[("place", &second), ("move", "off")])
        .await;
    assert_eq!(off.status, StatusCode::SEE_OTHER);
    assert_eq!(job.codes().await, ["A1"]);
}

#[tokio::test]
async fn a_day_too_long_is_drawn_and_named() {
    let job = Job::new().await;
    let name = format!("{}.wrap_clock_min", job.day);
    let written = job
        .post("", &[("field", name.as_str()), ("value", "12:00")])
        .await;
    assert_eq!(written.status, StatusCode::SEE_OTHER, "{}", written.text);
    let page = job.nave.book.get(&job.page()).await.text;
    assert!(
        page.contains("class=\"notice trouble\"") && page.contains("12:00"),
        "the broken rule is named"
    );
}

#[tokio::test]
async fn a_call_is_added_and_struck_and_a_wrong_time_keeps_what_was_typed() {
    let job = Job::new().await;
    let added = job
        .post(
            "/calls",
            &[
                ("role", "rig/model"),
                ("call_clock_min", "7.30"),
                ("needed_for", "A1 arms"),
            ],
        )
        .await;
    assert_eq!(added.status, StatusCode::SEE_OTHER, "{}", added.text);
    let plan = job.plan().await;
    let day = Id::parse(&job.day).expect("an id");
    let calls = plan.calls_of_day(&day);
    assert_eq!((calls.len(), calls[0].call_clock_min), (1, Some(450)));
    let name = format!("{}.call_clock_min", job.day);
    let wrong = job
        .post("", &[("field", name.as_str()), ("value", "noon")])
        .await;
    assert_eq!(wrong.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        wrong.text.contains("value=\"noon\""),
        "what was typed stays"
    );
    job.post("/calls", &[("strike", calls[0].id.as_str())])
        .await;
    assert!(job.plan().await.calls_of_day(&day).is_empty());
}
