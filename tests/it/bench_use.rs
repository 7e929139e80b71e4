//! The bench in use, on the demo: every because and every cure, things put down, the pencil, what is let pass, boards.

use crate::stage::demo;
use axum::http::StatusCode;
use std::collections::BTreeSet;
use stillair::{
    journal::record::Entry,
    plan::{
        Plan,
        setups::{
            facts::Facts,
            figures::{figures_of, further},
            giveaway::giveaways,
            pencil::Pencil,
            setup::{Pass, Setup},
        },
    },
    web::parts::Severity,
};

/// Every setup with each of its passes.
fn passes(plan: &Plan) -> Vec<(&Entry<Setup>, &Entry<Pass>)> {
    let mut pairs = Vec::new();
    for setup in plan.setups_in_order() {
        for pass in plan.passes_of_setup(&setup.id) {
            pairs.push((setup, pass));
        }
    }
    pairs
}

#[tokio::test]
async fn every_because_of_the_demo_gives_the_number_it_shows() {
    let (_book, plan) = demo().await;
    let mut checked = 0;
    for (setup, pass) in passes(&plan) {
        let facts = Facts::of(&plan, setup, Some(pass));
        let figures = figures_of(&facts);
        let found = giveaways(&facts);
        let sums = figures.all().map(|f| (f.id.clone(), f.expression.clone()));
        let tells = found
            .iter()
            .map(|g| (g.tell.id.clone(), g.tell.sum.clone()));
        for (id, sum) in sums.chain(tells).filter(|(_, sum)| !sum.is_empty()) {
            let check = stillair_calc::because::evaluate(&sum)
                .unwrap_or_else(|e| panic!("{} {id}: {sum} — {e}", setup.code));
            assert!(
                check.units_apart() <= 1.0,
                "{} {id}: {sum} is {}",
                setup.code,
                check.left
            );
            checked += 1;
        }
    }
    assert!(checked > 300, "only {checked} sums were checked");
}

#[tokio::test]
async fn every_ledger_is_in_use_somewhere_in_the_demo_and_closed_elsewhere() {
    let (_book, plan) = demo().await;
    for ledger in further::ALL {
        let open = |(setup, pass): &(&Entry<Setup>, &Entry<Pass>)| {
            let facts = Facts::of(&plan, setup, Some(pass));
            (ledger.needed)(&facts)
        };
        let all = passes(&plan);
        let in_use = all.iter().filter(|pair| open(pair)).count();
        assert!(in_use > 0, "{} is nowhere in use", ledger.title);
        assert!(in_use < all.len(), "{} is open everywhere", ledger.title);
    }
}

#[tokio::test]
async fn every_cure_cures_or_lessens_what_it_is_for() {
    let (_book, plan) = demo().await;
    let rank = |severity: Severity| 3 - severity as i32;
    let (mut tried, mut rules) = (0, BTreeSet::new());
    for (setup, pass) in passes(&plan) {
        let facts = Facts::of(&plan, setup, Some(pass));
        for found in giveaways(&facts) {
            rules.insert(found.rule);
            for (lever, cure) in found.levers.iter().zip(&found.tell.cures) {
                let (pencil, typed) = Pencil::read(&plan, lever);
                assert!(typed.is_empty(), "{}: {} is refused", found.rule, cure.says);
                let next = pencil.applied(&plan);
                let setup = next.setups.get(&setup.id).expect("it stands");
                let then = Facts::of(&next, setup, next.passes.get(&pass.id));
                let left = giveaways(&then).into_iter().find(|g| g.rule == found.rule);
                let left_rank = left.as_ref().map_or(0, |g| rank(g.severity));
                let same_thing = left
                    .as_ref()
                    .is_some_and(|g| g.tell.ring == found.tell.ring && g.weight >= found.weight);
                assert!(
                    left_rank < rank(found.severity) || (left.is_some() && !same_thing),
                    "{} {}: {} leaves it at {}",
                    setup.code,
                    found.rule,
                    cure.says,
                    left.map(|g| g.tell.quantity).unwrap_or_default()
                );
                tried += 1;
            }
        }
    }
    assert!(tried > 20, "only {tried} cures were tried");
    assert!(rules.len() >= 15, "the demo shows only {rules:?}");
}

#[tokio::test]
async fn the_pencil_writes_nothing_until_it_is_inked_in() {
    let (book, plan) = demo().await;
    let setup = plan.setup_by_code("S3").expect("the nave");
    let at = format!("/plans/{}/setups/S3/pencil", plan.id);
    let key = format!("{}.f_number", setup.id);
    let other = format!("{}.shutter_deg", setup.id);
    let page = book
        .post_form(&at, &[(key.as_str(), "22"), (other.as_str(), "90")])
        .await;
    assert_eq!(page.status, StatusCode::OK);
    assert!(
        page.text.contains("In pencil: 2 not written") && page.text.contains("f/22"),
        "it is shown"
    );
    let carried = format!("pencil:{key}");
    assert!(
        page.text
            .contains(&format!("name=\"{carried}\" value=\"22\"")),
        "and carried along"
    );
    let now = |number: i64| (number, plan.number());
    let stands = book
        .app
        .store
        .plan(&plan.id)
        .await
        .expect("a store")
        .expect("a plan");
    assert_eq!(
        now(stands.number()),
        (plan.number(), plan.number()),
        "nothing was written"
    );
    let carried_other = format!("pencil:{other}");
    let base = plan.number().to_string();
    let inked = book
        .post_form(
            &at,
            &[
                ("base", base.as_str()),
                (carried.as_str(), "22"),
                (carried_other.as_str(), "90"),
                ("ink", "1"),
            ],
        )
        .await;
    assert_eq!(inked.status, StatusCode::SEE_OTHER);
    let stands = book
        .app
        .store
        .plan(&plan.id)
        .await
        .expect("a store")
        .expect("a plan");
    let setup = stands.setups.get(&setup.id).expect("it stands");
    assert_eq!(
        (setup.f_number, setup.shutter_deg),
        (Some(22.0), Some(90.0))
    );
    // Both are one batch: one undo takes both back.
    let back = book
        .post_form(&format!("/plans/{}/undo", plan.id), &[("back", "/")])
        .await;
    assert_eq!(back.status, StatusCode::SEE_OTHER);
    let stands = book
        .app
        .store
        .plan(&plan.id)
        .await
        .expect("a store")
        .expect("a plan");
    let setup = stands.setups.get(&setup.id).expect("it stands");
    assert_eq!(
        (setup.f_number, setup.shutter_deg),
        (Some(11.0), Some(180.0))
    );
}

#[tokio::test]
async fn a_value_that_cannot_be_is_not_pencilled_in_and_keeps_what_was_typed() {
    let (book, plan) = demo().await;
    let setup = plan.setup_by_code("S3").expect("the nave");
    let key = format!("{}.f_number", setup.id);
    let at = format!("/plans/{}/setups/S3/pencil", plan.id);
    let page = book.post_form(&at, &[(key.as_str(), "eleven")]).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.text.contains("value=\"eleven\"") && page.text.contains("must be a number"));
}

#[tokio::test]
async fn what_was_let_pass_goes_to_the_end_and_comes_back_when_it_changes() {
    let (book, plan) = demo().await;
    let at = format!("/plans/{}/setups/S3", plan.id);
    let order = |text: &str| {
        let shown = text.find("id=\"tell-near-blur\"").expect("it is told");
        let last = text.find("id=\"tell-depth\"").expect("it is told");
        shown < last
    };
    assert!(order(&book.get(&at).await.text), "worst first");
    let refused = book
        .post_form(
            &format!("{at}/let-pass"),
            &[("rule", "near-blur"), ("reason", " ")],
        )
        .await;
    assert!(refused.status.is_client_error(), "a reason is needed");
    let sent = [
        ("rule", "near-blur"),
        ("reason", "the water hides the near arch"),
    ];
    assert_eq!(
        book.post_form(&format!("{at}/let-pass"), &sent)
            .await
            .status,
        StatusCode::SEE_OTHER
    );
    let page = book.get(&at).await.text;
    assert!(!order(&page), "it went to the end");
    assert!(page.contains("Let pass by lead") && page.contains("the water hides the near arch"));
    let setup = plan.setup_by_code("S3").expect("the nave");
    let key = format!("{}.nearest_piece_mm", setup.id);
    book.post_form(&at, &[("field", key.as_str()), ("value", "700")])
        .await;
    let page = book.get(&at).await.text;
    assert!(
        order(&page) && page.contains("it has changed since"),
        "it came back"
    );
}

#[tokio::test]
async fn a_thing_is_put_on_the_table_moved_copied_and_struck_out() {
    let (book, plan) = demo().await;
    let at = format!("/plans/{}/setups/S8", plan.id);
    let placed = book
        .post_form(&format!("{at}/things"), &[("what", "flag ")])
        .await;
    assert_eq!(placed.status, StatusCode::SEE_OTHER);
    let onward = placed.headers["location"]
        .to_str()
        .expect("an address")
        .to_owned();
    let page = book
        .get(onward.split('#').next().expect("an address"))
        .await;
    assert!(page.text.contains("id=\"thing\""), "it is chosen");
    let now = book
        .app
        .store
        .plan(&plan.id)
        .await
        .expect("a store")
        .expect("a plan");
    let setup = now.setup_by_code("S8").expect("a setup");
    let flag = now.placements_of_setup(&setup.id)[0];
    assert_eq!(&*flag.kind, "flag");
    // Put down by hand: two blanks as one batch.
    let (x, y) = (format!("{}.x_mm", flag.id), format!("{}.y_mm", flag.id));
    let base = now.number().to_string();
    book.post_form(
        &at,
        &[
            ("base", base.as_str()),
            (x.as_str(), "640"),
            (y.as_str(), "-120"),
        ],
    )
    .await;
    book.post_form(&format!("{at}/things"), &[("another", flag.id.as_str())])
        .await;
    let now = book
        .app
        .store
        .plan(&plan.id)
        .await
        .expect("a store")
        .expect("a plan");
    let places: Vec<_> = now
        .placements_of_setup(&setup.id)
        .into_iter()
        .map(|p| (p.x_mm, p.y_mm))
        .collect();
    assert_eq!(
        places,
        [(Some(640.0), Some(-120.0)), (Some(640.0), Some(-20.0))]
    );
    book.post_form(&format!("{at}/things"), &[("strike", flag.id.as_str())])
        .await;
    let now = book
        .app
        .store
        .plan(&plan.id)
        .await
        .expect("a store")
        .expect("a plan");
    assert_eq!(now.placements_of_setup(&setup.id).len(), 1);
    let nothing = book
        .post_form(&format!("{at}/things"), &[("what", "elephant ")])
        .await;
    assert!(nothing.status.is_client_error());
}

#[tokio::test]
async fn while_a_thing_is_held_only_what_moves_is_answered() {
    let (book, plan) = demo().await;
    let setup = plan.setup_by_code("S3").expect("the nave");
    let lamp = plan.placements_of_setup(&setup.id)[3];
    let key = format!("{}.x_mm", lamp.id);
    let at = format!("/plans/{}/setups/S3/pencil", plan.id);
    let held = book
        .post_form(&at, &[(key.as_str(), "2000"), ("held", "wide")])
        .await;
    assert_eq!(held.status, StatusCode::OK);
    for region in [
        "drawing-wide",
        "lens-wide",
        "gives-it-away",
        "results-lens",
        "big-figures",
    ] {
        assert!(
            held.text.contains(&format!("data-region=\"{region}\"")),
            "{region}"
        );
    }
    assert!(!held.text.contains("<main"), "not the whole sheet");
}

#[tokio::test]
async fn a_board_holds_strokes_and_nothing_else() {
    let (book, plan) = demo().await;
    let shot = plan.shot_by_code("P2").expect("a shot");
    let at = format!("/plans/{}/setups/S2", plan.id);
    let key = format!("{}.board_sketch", shot.id);
    let write = async |text: &str| {
        book.post_form(&at, &[("field", key.as_str()), ("value", text)])
            .await
            .status
    };
    let drawing = format!("/plans/{}/boards/{}", plan.id, shot.id);
    assert_eq!(
        book.get(&drawing).await.status,
        StatusCode::NOT_FOUND,
        "not drawn yet"
    );
    assert_eq!(write("M10 10L200 300").await, StatusCode::SEE_OTHER);
    let svg = book.get(&drawing).await;
    assert_eq!(svg.headers["content-type"], "image/svg+xml");
    assert!(svg.text.contains("d=\"M10 10L200 300\""));
    for bad in ["M1 1\"/><script>alert(1)</script>", "L1 1", "M1 1Q2 2 3 3"] {
        assert_eq!(write(bad).await, StatusCode::UNPROCESSABLE_ENTITY, "{bad}");
    }
    assert!(
        book.get(&drawing).await.text.contains("M10 10L200 300"),
        "what stood there stays"
    );
}
