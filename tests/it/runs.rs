//! The run of a pass, and the bench it stands on.

use crate::{
    harness::Book,
    stage::{demo, find, first_pass},
};
use std::collections::BTreeSet;
use stillair::{
    journal::value::Value,
    plan::{
        Plan,
        setups::{facts::Facts, run},
    },
};
use stillair_calc::drawing::run::{Motion, Run};

fn choosing(plan: &Plan, code: &str, field: &str, word: &str) -> Plan {
    let entry = find(plan, "setup", code);
    let index = entry.kind().index(field).expect("a declared field");
    let mut next = plan.clone();
    next.put(
        "setup",
        entry.id().as_str(),
        index,
        &Value::Text(word.into()),
    );
    next
}

fn run_of(plan: &Plan, code: &str, pass: usize) -> Option<Run> {
    let setup = plan.setup_by_code(code).expect("a setup");
    let pass = plan.passes_of_setup(&setup.id)[pass];
    run::run(&Facts::of(plan, setup, Some(pass)))
}

#[tokio::test]
async fn the_run_has_every_mover_on_one_stage_clock() {
    let (_book, plan) = demo().await;
    let nave = run_of(&plan, "S3", 0).expect("a run");
    let names: Vec<_> = nave.movers.iter().map(|m| (&*m.name, m.motion)).collect();
    assert_eq!(
        names,
        [("Rail", Motion::Ramped), ("Ripple", Motion::Steady)]
    );
    assert_eq!(
        nave.movers[0].words,
        ["from 172", "224 mm/s, dial 50.2", "stops at 1\u{202f}116"]
    );
    assert!((nave.ramp_up_s - 2.216).abs() < 0.001 && (nave.used_s - 2.0).abs() < 1e-9);

    let dam = run_of(&plan, "S6", 0).expect("a run");
    let names: Vec<_> = dam.movers.iter().map(|m| &*m.name).collect();
    assert_eq!(names, ["Dolly", "Crest rail, far", "Tether loop"]);
    // The stage clock runs twice as fast as the screen's: 1.2 s of ramp, a handle of 12 ÷ 50, and half the screen's 2.4 or 1.2.
    let cue = |of: usize| match dam.movers[of].motion {
        Motion::Cue { at_s, spread_s } => (at_s, spread_s),
        other => panic!("{other:?} is no cue"),
    };
    let (board, hand) = (cue(1), cue(2));
    assert!((board.0 - 2.64).abs() < 1e-9 && (hand.0 - 2.04).abs() < 1e-9);
    assert!((hand.1 - run::HAND_S).abs() < 1e-9 && board.1 < hand.1);
    // What a hand is off comes out twice as long on the screen: 13 frames of 25 a second.
    let (setup, pass) = first_pass(&plan, "S6");
    let said = run::hand_on_screen(&Facts::of(&plan, setup, Some(pass))).expect("a hand");
    assert_eq!(said.0, "0.25 × 2 = 0.50");
    assert!(said.1.contains("13 frames"), "{}", said.1);

    // D4 stands still: the dolly rests, and its cues come without a ramp.
    let still = run_of(&plan, "S6", 2).expect("its cues");
    assert!(still.ramp_up_s <= 0.0 && still.movers.iter().all(|m| m.motion != Motion::Ramped));
    assert!(run_of(&plan, "S8", 0).is_none(), "nothing moves there");
    let none = choosing(&plan, "S1", "driven", "none");
    assert!(
        run_of(&none, "S1", 0)
            .is_some_and(|run| run.movers.iter().all(|m| m.motion != Motion::Ramped))
    );
}

async fn bench(book: &Book, plan: &Plan, rest: &str) -> String {
    let id = book.app.store.plans().await.expect("a store")[0].id.clone();
    assert!(plan.setups_in_order().len() > 1);
    book.get(&format!("/plans/{id}/setups/{rest}")).await.text
}

#[tokio::test]
async fn the_bench_shows_the_run_and_says_when_there_is_none() {
    let (book, plan) = demo().await;
    let dam = bench(&book, &plan, "S6").await;
    for words in [
        "id=\"run\"",
        "movers of this pass",
        "A hand is good to ± 0.25 s (common practice, no source)",
        "0.25 × 2 = 0.50",
        "<span class=\"c\">dial</span>",
        "<span class=\"c\">start mark</span>",
        "What is driven",
    ] {
        assert!(dam.contains(words), "{words}");
    }
    let nave = bench(&book, &plan, "S3").await;
    assert!(nave.contains("Flags before lamps") && nave.contains("do not burn"));
    let insert = bench(&book, &plan, "S8").await;
    assert!(insert.contains("Nothing is driven or cued in this pass. Choose what drives it under"));
    assert!(!insert.contains("<span class=\"c\">start mark</span>"));
}

#[tokio::test]
async fn no_element_of_a_bench_has_the_id_of_another() {
    let (book, plan) = demo().await;
    for setup in plan.setups_in_order() {
        let things = plan.placements_of_setup(&setup.id);
        let chosen = things.iter().map(|t| format!("?thing={}", t.id));
        for query in std::iter::once(String::new()).chain(chosen) {
            let page = bench(&book, &plan, &format!("{}{query}", setup.code)).await;
            let mut seen = BTreeSet::new();
            for part in page.split(" id=\"").skip(1) {
                let id = part.split('"').next().unwrap_or_default();
                assert!(seen.insert(id), "{} {query}: {id} twice", setup.code);
            }
        }
    }
}
