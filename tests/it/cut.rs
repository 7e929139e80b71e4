//! The sheet of the cut: shots added, edited, moved, struck and put back; setups and pieces; what does not cut together;
//! rubbing out.

use crate::harness::{Answer, Book};
use axum::http::{StatusCode, header};
use std::sync::Arc;
use stillair::{
    journal::value::Id,
    plan::{Plan, cut::shot::Shot, findings},
    web::parts::Severity,
};

/// A plan whose cut is worked through its page.
pub struct Cut {
    pub book: Book,
    pub plan: Id,
}

impl Cut {
    pub async fn new() -> Self {
        let book = Book::new().await;
        let plan = Id::parse(&book.plan().await).expect("an id");
        Self { book, plan }
    }

    /// With shots P1, P2 … of those lengths in frames.
    pub async fn of(lengths: &[i64]) -> Self {
        let cut = Self::new().await;
        for (at, length) in lengths.iter().enumerate() {
            cut.add(&format!("P{}", at + 1), &length.to_string(), "")
                .await;
        }
        cut
    }

    pub fn path(&self) -> String {
        format!("/plans/{}/cut", self.plan)
    }

    pub async fn page(&self) -> String {
        self.book.get(&self.path()).await.text
    }

    pub async fn opened(&self, code: &str) -> String {
        let shot = self.id(code).await;
        let page = self.book.get(&format!("{}?open={shot}", self.path())).await;
        assert_eq!(page.status, StatusCode::OK);
        page.text
    }

    pub async fn value(&self) -> Arc<Plan> {
        let plan = self.book.app.store.plan(&self.plan).await;
        plan.expect("a store").expect("a plan")
    }

    pub async fn codes(&self) -> Vec<String> {
        let plan = self.value().await;
        let shots = plan.shots_in_order();
        shots.iter().map(|s| s.code.to_string()).collect()
    }

    pub async fn id(&self, code: &str) -> Id {
        let plan = self.value().await;
        plan.shot_by_code(code).expect("a living shot").id.clone()
    }

    pub async fn shot(&self, code: &str) -> Shot {
        let plan = self.value().await;
        plan.shot_by_code(code)
            .expect("a living shot")
            .record
            .clone()
    }

    pub async fn post(&self, fields: &[(&str, &str)]) -> Answer {
        self.book.post_form(&self.path(), fields).await
    }

    pub async fn add(&self, code: &str, length: &str, after: &str) -> Answer {
        self.post(&[
            ("do", "add"),
            ("new-code", code),
            ("new-name", ""),
            ("new-length", length),
            ("new-after", after),
        ])
        .await
    }

    /// Presses a button of a shot.
    pub async fn press(&self, verb: &str, code: &str) -> Answer {
        let button = format!("{verb}:{}", self.id(code).await);
        self.post(&[("do", &button)]).await
    }

    /// Leaves a blank, as the script does.
    pub async fn write(&self, code: &str, field: &str, value: &str) -> Answer {
        let shot = self.id(code).await.to_string();
        self.post(&[("entity", &shot), ("field", field), ("value", value)])
            .await
    }

    pub async fn rub_out(&self) -> Answer {
        let path = format!("/plans/{}/undo", self.plan);
        self.book.post_form(&path, &[("back", &self.path())]).await
    }

    async fn agrees(&self) {
        let said = self.book.app.store.check().await;
        assert!(said.is_ok(), "{said:?}");
    }
}

fn goes_to(answer: &Answer) -> &str {
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
    answer.headers[header::LOCATION].to_str().expect("a path")
}

#[tokio::test]
async fn an_empty_cut_asks_for_its_first_shot() {
    let cut = Cut::new().await;
    let page = cut.page().await;
    assert!(page.contains("Write the first shot: name and length."));
    assert!(page.contains("An empty ribbon of 60 seconds"));
    let answer = cut
        .post(&[
            ("do", "add"),
            ("new-code", "P1"),
            ("new-name", "Spire out of the murk"),
            ("new-length", "6:12"),
        ])
        .await;
    assert!(goes_to(&answer).ends_with("/cut#add"));
    let shot = cut.shot("P1").await;
    assert_eq!(
        (&*shot.name, shot.length_frames),
        ("Spire out of the murk", Some(162))
    );
    let page = cut.page().await;
    assert!(page.contains("1 shot, 6.5 s at 25 fps, starts 00:00:00:00."));
    assert!(page.contains("value=\"P2\""), "the next code is proposed");
}

#[tokio::test]
async fn a_refused_first_shot_keeps_what_was_typed() {
    let cut = Cut::of(&[100]).await;
    for (code, length, said) in [
        ("P1", "4:00", "already called P1"),
        ("", "4:00", "Shot is needed."),
        ("P2", "ninety", "Write the length as frames"),
        ("P2", "-3", "must be more than zero"),
    ] {
        let answer = cut.add(code, length, "").await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{said}");
        assert!(answer.text.contains(said), "{said}");
        let typed = format!("name=\"new-length\" value=\"{length}\"");
        assert!(answer.text.contains(&typed), "{length} is kept");
    }
    assert_eq!(cut.codes().await, ["P1"]);
}

#[tokio::test]
async fn shots_are_put_after_one_another_and_moved() {
    let cut = Cut::of(&[100, 100, 100]).await;
    let first = cut.id("P1").await.to_string();
    cut.add("P1a", "50", &first).await;
    assert_eq!(cut.codes().await, ["P1", "P1a", "P2", "P3"]);
    let answer = cut.press("down", "P1").await;
    assert!(goes_to(&answer).ends_with(&format!("#shot-{first}")));
    assert_eq!(cut.codes().await, ["P1a", "P1", "P2", "P3"]);
    cut.press("up", "P3").await;
    cut.press("up", "P3").await;
    cut.press("up", "P3").await;
    cut.press("up", "P3").await;
    assert_eq!(cut.codes().await, ["P3", "P1a", "P1", "P2"]);
    cut.agrees().await;
}

#[tokio::test]
async fn shots_without_places_can_be_moved() {
    let cut = Cut::new().await;
    let ops: Vec<_> = ["x1", "x2", "x3", "x4"]
        .iter()
        .map(|id| {
            crate::harness::op(
                "insert",
                serde_json::json!({"entity_type": "shot", "entity": id, "value": {"code": id}}),
            )
        })
        .collect();
    let path = format!("/api/plans/{}/changes", cut.plan);
    let answer = cut
        .book
        .post_json(&path, &serde_json::json!({"ops": ops, "atomic": true}))
        .await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text);
    assert_eq!(cut.codes().await, ["x1", "x2", "x3", "x4"]);
    cut.press("up", "x3").await;
    assert_eq!(cut.codes().await, ["x1", "x3", "x2", "x4"]);
    cut.press("down", "x1").await;
    assert_eq!(cut.codes().await, ["x3", "x1", "x2", "x4"]);
    let answer = cut.rub_out().await;
    assert!(goes_to(&answer).contains("rubbed="));
    assert_eq!(cut.codes().await, ["x1", "x3", "x2", "x4"]);
}

#[tokio::test]
async fn a_struck_shot_goes_with_its_passes_and_comes_back_with_them() {
    let cut = Cut::of(&[100, 100]).await;
    cut.write("P1", "made_in", "S1").await;
    let shot = cut.id("P1").await;
    let see = format!("see:{shot}");
    cut.post(&[("do", &see), ("see-new", "Spire"), ("see-face", "W")])
        .await;
    let answer = cut.press("strike", "P1").await;
    let page = cut
        .book
        .get(goes_to(&answer).split('#').next().unwrap())
        .await;
    assert!(page.text.contains("P1 was struck out."));
    let plan = cut.value().await;
    assert!(plan.passes.is_empty() && plan.sightings.is_empty());
    assert_eq!(plan.setups.len(), 1);

    let restore = format!("restore:{shot}");
    cut.post(&[("do", &restore)]).await;
    let plan = cut.value().await;
    assert_eq!((plan.passes.len(), plan.sightings.len()), (1, 1));
    assert_eq!(cut.codes().await, ["P1", "P2"]);
    cut.agrees().await;

    cut.press("strike", "P1").await;
    cut.rub_out().await;
    let plan = cut.value().await;
    assert_eq!((plan.passes.len(), plan.sightings.len()), (1, 1));
    cut.agrees().await;
}

#[tokio::test]
async fn a_shot_does_not_come_back_beside_another_of_its_code() {
    let cut = Cut::of(&[100, 100]).await;
    let shot = cut.id("P2").await;
    cut.press("strike", "P2").await;
    cut.add("P2", "50", "").await;
    let restore = format!("restore:{shot}");
    let answer = cut.post(&[("do", &restore)]).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.text.contains("Another shot is called P2 now."));
    assert_eq!(cut.codes().await, ["P1", "P2"]);
}

#[tokio::test]
async fn a_refused_value_keeps_what_was_typed_and_no_button_is_done() {
    let cut = Cut::of(&[100, 100]).await;
    let answer = cut.write("P1", "length_frames", "ninety").await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.text.contains("value=\"ninety\""));
    let (shot, other) = (cut.id("P1").await, cut.id("P2").await);
    let (length, name, down) = (
        format!("{shot}.length_frames"),
        format!("{other}.name"),
        format!("down:{shot}"),
    );
    // Without scripts the whole form comes with the button.
    let answer = cut
        .post(&[(&length, "6:30"), (&name, "West door"), ("do", &down)])
        .await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.text.contains("value=\"6:30\""));
    assert_eq!(cut.codes().await, ["P1", "P2"]);
    assert_eq!(&*cut.shot("P2").await.name, "West door");
    assert_eq!(cut.shot("P1").await.length_frames, Some(100));

    let answer = cut
        .post(&[(&length, "6:12"), (&name, "West door"), ("do", &down)])
        .await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER);
    assert_eq!(cut.codes().await, ["P2", "P1"]);
    assert_eq!(cut.shot("P1").await.length_frames, Some(162));
}

#[tokio::test]
async fn a_setup_written_in_a_row_is_made_and_tied() {
    let cut = Cut::of(&[100, 100]).await;
    cut.write("P1", "made_in", "S1").await;
    cut.write("P2", "made_in", "S1").await;
    cut.write("P2", "made_in", "S1").await;
    let plan = cut.value().await;
    assert_eq!((plan.setups.len(), plan.passes.len()), (1, 2));
    assert!(plan.passes.iter().all(|p| &*p.element == "main"));
    let page = cut.page().await;
    assert!(page.contains("/setups/S1?pass="));

    let tie = format!("tie:{}", cut.id("P1").await);
    let answer = cut.post(&[("do", &tie), ("tie-new", "S2")]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
    assert_eq!(cut.value().await.passes.len(), 3);
    let answer = cut.post(&[("do", &tie), ("tie-new", "S2")]).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    let answer = cut.post(&[("do", &tie)]).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);

    let plan = cut.value().await;
    let pass = plan
        .passes_of_shot(&cut.id("P1").await)
        .last()
        .map(|p| p.id.clone())
        .expect("a pass");
    cut.post(&[("do", &format!("untie:{pass}"))]).await;
    assert_eq!(cut.value().await.passes.len(), 2);
    cut.agrees().await;
}

#[tokio::test]
async fn a_new_setup_and_its_pass_are_rubbed_out_together() {
    let cut = Cut::of(&[100]).await;
    cut.write("P1", "made_in", "S1").await;
    cut.rub_out().await;
    let plan = cut.value().await;
    assert!(plan.setups.is_empty() && plan.passes.is_empty());
    assert_eq!(cut.codes().await, ["P1"]);
    cut.agrees().await;
}

#[tokio::test]
async fn pieces_seen_are_written_and_drawn_with_their_face() {
    let cut = Cut::of(&[100, 100]).await;
    for (code, place) in [("P1", "left rail"), ("P2", "right rail")] {
        let see = format!("see:{}", cut.id(code).await);
        cut.post(&[("do", &see), ("see-new", "Crest rail L"), ("see-face", "1")])
            .await;
        let plan = cut.value().await;
        let shot = cut.id(code).await;
        let sighting = plan
            .sightings
            .iter()
            .find(|s| s.shot.as_ref() == Some(&shot))
            .expect("a sighting")
            .id
            .to_string();
        cut.post(&[("entity", &sighting), ("field", "place"), ("value", place)])
            .await;
        cut.post(&[
            ("entity", &sighting),
            ("field", "visibility"),
            ("value", "near"),
        ])
        .await;
    }
    let plan = cut.value().await;
    assert_eq!(plan.studio.pieces.len(), 1, "the second names the first");
    assert!(cut.page().await.contains("same face on the cut"));
    let open = cut.opened("P1").await;
    assert!(open.contains("Crest rail L") && open.contains("left rail"));
    let first = plan.sightings.iter().next().expect("a sighting").id.clone();
    cut.post(&[("do", &format!("unsee:{first}"))]).await;
    assert_eq!(cut.value().await.sightings.len(), 1);
    assert!(!cut.page().await.contains("same face on the cut"));
}

#[tokio::test]
async fn a_turn_on_the_cut_is_found_and_goes_when_it_is_seen() {
    let cut = Cut::of(&[162, 100, 50]).await;
    assert!(cut.page().await.contains("Nothing found"));
    cut.write("P1", "travel", "l_to_r").await;
    cut.write("P1", "travel_widths_per_s", "0.09").await;
    cut.write("P2", "travel", "r_to_l").await;
    let page = cut.page().await;
    assert!(page.contains("P1 to P2 turns round on the cut.") && page.contains(">0 f<"));
    assert!(page.contains("left to right at 0.09 frame widths a second"));
    assert!(
        page.contains("turns round</text>"),
        "the drawing says so too"
    );

    cut.write("P2", "turn", "turns").await;
    assert!(!cut.page().await.contains("turns round on the cut"));
    cut.write("P2", "turn", "").await;
    cut.press("up", "P3").await;
    cut.press("down", "P1").await;
    assert_eq!(cut.codes().await, ["P3", "P1", "P2"]);
    cut.press("down", "P3").await;
    let page = cut.page().await;
    assert!(page.contains("P1 to P2 turns round, with P3 between.") && page.contains("2.0 s"));
    cut.write("P3", "travel", "toward").await;
    assert!(!cut.page().await.contains("turns round"));
}

#[tokio::test]
async fn one_setup_cut_in_two_shows_and_other_lines_do_not_meet() {
    let cut = Cut::of(&[100, 100]).await;
    cut.write("P1", "travel", "l_to_r").await;
    cut.write("P2", "travel", "r_to_l").await;
    let found = findings::of_cut(&*cut.value().await);
    assert_eq!(found[0].severity, Severity::MayShow);
    for code in ["P1", "P2"] {
        cut.write(code, "made_in", "S1").await;
    }
    let found = findings::of_cut(&*cut.value().await);
    assert_eq!(
        (found[0].rule, found[0].severity),
        ("direction", Severity::Shows)
    );
    assert_eq!(found[0].things, [cut.id("P1").await, cut.id("P2").await]);
    cut.write("P2", "axis", "tether").await;
    assert_eq!(findings::of_cut(&*cut.value().await), []);
}

#[tokio::test]
async fn speeds_that_jump_are_found_with_their_quantity_and_cure() {
    let cut = Cut::of(&[100, 100, 100]).await;
    for (code, speed) in [("P1", "0.5"), ("P2", "0.6"), ("P3", "0.9")] {
        cut.write(code, "story_speed_mps", speed).await;
    }
    let found = findings::of_cut(&*cut.value().await);
    // Limits of the planning notes: 20 % is looked at, 50 % is plain.
    let severities: Vec<_> = found.iter().map(|f| (f.severity, &*f.quantity)).collect();
    assert_eq!(
        severities,
        [(Severity::Shows, "1.5 ×"), (Severity::MayShow, "1.2 ×")]
    );
    assert!(
        found[0].cure.contains("50 % faster") && found[0].cure.contains("Bring P3 to 0.69 m/s")
    );
    cut.write("P3", "story_speed_mps", "0.69").await;
    assert_eq!(findings::of_cut(&*cut.value().await).len(), 1);
    cut.write("P2", "travel", "still").await;
    assert_eq!(findings::of_cut(&*cut.value().await), []);
}

#[tokio::test]
async fn a_camera_rate_that_does_not_fit_its_scale_is_found() {
    let cut = Cut::of(&[100, 100]).await;
    cut.write("P1", "made_in", "S1").await;
    cut.write("P2", "made_in", "S2").await;
    let plan = cut.value().await;
    for (code, scale, fps) in [("S1", "16", "100"), ("S2", "25", "100")] {
        let setup = plan.setup_by_code(code).expect("a setup").id.to_string();
        for (field, value) in [("scale_denominator", scale), ("shoot_fps", fps)] {
            cut.post(&[("entity", &setup), ("field", field), ("value", value)])
                .await;
        }
    }
    // 100 fps is true for 1:16 at 25 fps, and four fifths of it for 1:25: a quarter apart.
    let found = findings::of_cut(&*cut.value().await);
    assert_eq!(found.len(), 1);
    assert_eq!((found[0].rule, &*found[0].quantity), ("weight", "25 %"));
    assert!(found[0].cure.contains("Run S2 at 125 fps"));
}

#[tokio::test]
async fn the_last_change_is_rubbed_out_step_by_step_and_told() {
    let cut = Cut::of(&[100]).await;
    cut.write("P1", "name", "Spire").await;
    cut.write("P1", "length_frames", "200").await;
    cut.write("P1", "length_frames", "300").await;
    for length in ["8:00", "4:00"] {
        let answer = cut.rub_out().await;
        let page = cut.book.get(goes_to(&answer)).await.text;
        let said = format!("Rubbed out: P1, Length is {length} again.");
        assert!(page.contains(&said), "{page}");
    }
    let answer = cut.rub_out().await;
    let page = cut.book.get(goes_to(&answer)).await.text;
    assert!(page.contains("P1, Name is blank again."));
    let answer = cut.rub_out().await;
    let page = cut.book.get(goes_to(&answer)).await.text;
    assert!(page.contains("P1 is gone again."));
    let answer = cut.rub_out().await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.text.contains("Nothing of yours is left to rub out"));
    assert!(cut.value().await.production().is_some());
}

#[tokio::test]
async fn another_hands_change_is_not_rubbed_out() {
    let cut = Cut::of(&[100]).await;
    cut.write("P1", "name", "Mine").await;
    let (shot, base) = (cut.id("P1").await, cut.value().await.number());
    let ask = stillair::journal::writer::Ask {
        plan: cut.plan.clone(),
        ops: vec![stillair::journal::change::Op::set(
            shot,
            "name",
            base,
            "Theirs".into(),
        )],
        atomic: true,
        batch: None,
        actor: "another".into(),
        client: "another".into(),
    };
    cut.book.app.store.write(ask).await.expect("stored");
    cut.write("P1", "name", "Mine again").await;
    cut.write("P1", "length_frames", "50").await;
    cut.rub_out().await;
    cut.rub_out().await;
    let shot = cut.shot("P1").await;
    assert_eq!((&*shot.name, shot.length_frames), ("Theirs", Some(100)));
    // What theirs stands on is not pulled from under it.
    let answer = cut.rub_out().await;
    let page = cut.book.get(goes_to(&answer)).await.text;
    assert!(page.contains("Another hand has written to P1 since."));
    assert_eq!(&*cut.shot("P1").await.name, "Theirs");
    assert_eq!(cut.codes().await, ["P1"]);
}

#[tokio::test]
async fn rubbing_out_leads_nowhere_else() {
    let cut = Cut::of(&[100]).await;
    let path = format!("/plans/{}/undo", cut.plan);
    let answer = cut
        .book
        .post_form(&path, &[("back", "//elsewhere.test/")])
        .await;
    assert!(goes_to(&answer).starts_with(&cut.path()));
}

#[tokio::test]
async fn markup_in_a_blank_is_shown_as_text() {
    let cut = Cut::of(&[100]).await;
    let nasty = "<script>alert(1)</script>\"'&";
    for field in ["name", "action", "light_note", "place"] {
        let answer = cut.write("P1", field, nasty).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{field}");
    }
    cut.write("P1", "key_stops", "-2").await;
    let see = format!("see:{}", cut.id("P1").await);
    cut.post(&[("do", &see), ("see-new", nasty), ("see-face", "<b>")])
        .await;
    let page = cut.opened("P1").await;
    assert!(page.contains("alert(1)"));
    assert!(!page.contains("<script>") && !page.contains("<b>"));
    cut.press("strike", "P1").await;
    assert!(!cut.page().await.contains("<script>"));
}

#[tokio::test]
async fn what_speaks_of_nothing_is_refused_in_words() {
    let cut = Cut::of(&[100]).await;
    for button in ["up:none", "strike:", "untie:x", "see:1 2", "restore:x"] {
        let answer = cut.post(&[("do", button)]).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND, "{button}");
    }
    let answer = cut.post(&[("do", "dance:1")]).await;
    assert_eq!(answer.status, StatusCode::BAD_REQUEST);
    let page = cut
        .book
        .get(&format!(
            "{}?open=%3Cb%3E&after=1&rubbed=x&struck=9",
            cut.path()
        ))
        .await;
    assert_eq!(page.status, StatusCode::OK);
    assert_eq!(cut.codes().await, ["P1"]);
}
