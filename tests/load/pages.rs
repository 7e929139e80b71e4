//! What a page costs: the cut, the bench of a setup and the list of setups of a plan of 400 shots and 120 setups, rendered
//! by the router in this process. `cargo bench --bench pages`.

use axum::{body::Body, http::Request};
use http_body_util::BodyExt as _;
use serde_json::json;
use std::{
    error::Error,
    hint::black_box,
    io::Write as _,
    time::{Duration, Instant},
};
use stillair::{
    access::{links, session},
    app::App,
    journal::{change::Op, value::Id, writer::Ask},
    plan::{
        Plan,
        handover::{self, Options, store},
        setups::{facts::Facts, figures::figures, giveaway::giveaways, scene::scene},
    },
    store::Store,
    web::svg::svg,
};
use stillair_calc::drawing::setup::{Form, plan_and_elevation};
use tower::ServiceExt as _;

const SHOTS: &[u8] = include_bytes!("../samples/valley-400-shots.csv");
const ROUNDS: u32 = 200;

type Done<T> = Result<T, Box<dyn Error>>;

#[tokio::main(flavor = "current_thread")]
async fn main() -> Done<()> {
    let folder = tempfile::tempdir()?;
    let store = Store::open(folder.path()).await?;
    let plan = fill(&store).await?;
    let token = links::lead_link(&store).await?;
    let person = links::use_once(&store, &token).await?;
    let cookie = format!("stillair={}", session::open(&store, &person, "").await?);
    let out_of = store.plan(&plan).await?.ok_or("no plan")?;
    let router = App::new(store).router();
    let mut out = std::io::stdout().lock();
    for page in ["/setups/V-S007", "/setups"] {
        let path = format!("/plans/{plan}{page}");
        let (bytes, mean) = time(&router, &path, &cookie).await?;
        writeln!(
            out,
            "{page:16} {:8.3} ms of server time, {} kB",
            mean.as_secs_f64() * 1000.0,
            bytes / 1000
        )?;
    }
    parts(&out_of, &mut out)?;
    Ok(())
}

/// 400 shots and 120 setups through the import, every setup with a bench full of numbers.
async fn fill(store: &Store) -> Done<Id> {
    let plan = Id::new();
    let (mode, lens) = (Id::new(), Id::new());
    let camera = Id::new();
    write(
        store,
        &plan,
        vec![Op::insert(
            "plan",
            plan.clone(),
            json!({"title": "Valley", "base_fps": "25"}),
        )],
    )
    .await?;
    let made = vec![
        Op::insert("camera", camera.clone(), json!({"name": "A"})),
        Op::insert(
            "camera_mode",
            mode.clone(),
            json!({"camera": camera.as_str(), "name": "crop", "sensor_width_mm": 24, "sensor_height_mm": 10, "highest_fps": 120}),
        ),
        Op::insert(
            "lens",
            lens.clone(),
            json!({"name": "24", "focal_length_mm": 24, "pupil_magnification": 1.4, "principal_plane_separation_mm": 28}),
        ),
    ];
    write(store, &plan, made).await?;
    let now = store.plan(&plan).await?.ok_or("no plan")?;
    let look = handover::read(
        SHOTS,
        "valley-400-shots.csv",
        &Options {
            base_fps: now.base_rate(),
            ..Options::default()
        },
    )
    .map_err(|e| e.to_string())?;
    let ops = store::ops(&now, &look, &store::against(&now, &look));
    write(store, &plan, ops).await?;
    let now = store.plan(&plan).await?.ok_or("no plan")?;
    let full = json!({"camera_mode": mode.as_str(), "lens": lens.as_str(), "scale_denominator": 20, "f_number": 11, "focus_from_mark_mm": 1260, "shoot_fps": 112,
        "exposure_index": 1600, "key_stops": -1.5, "reach_m": 55, "key_through_haze_mm": 800, "key_distance_mm": 2200, "nearest_piece_mm": 759, "farthest_piece_mm": 2400,
        "tent_near_mm": 120, "tent_length_mm": 3200, "tent_width_mm": 2000, "tent_height_mm": 2200, "path_start_mm": 820, "rig": "rail", "air": "shut"});
    let number = now.number();
    let sets = now.setups.iter().flat_map(|setup| {
        full.as_object()
            .into_iter()
            .flatten()
            .map(|(field, value)| Op::set(setup.id.clone(), field, number, value.clone()))
    });
    write(store, &plan, sets.collect()).await?;
    Ok(plan)
}

async fn write(store: &Store, plan: &Id, ops: Vec<Op>) -> Done<()> {
    let ask = Ask {
        plan: plan.clone(),
        ops,
        atomic: true,
        batch: None,
        actor: "bench".into(),
        client: "bench".into(),
    };
    for reply in store.write(ask).await? {
        reply.result.map_err(|refused| format!("{refused:?}"))?;
    }
    Ok(())
}

/// Bytes of a page, and the mean time it takes.
async fn time(router: &axum::Router, path: &str, cookie: &str) -> Done<(usize, Duration)> {
    let mut bytes = 0;
    let mut start = Instant::now();
    for round in 0..=ROUNDS {
        if round == 1 {
            start = Instant::now(); // the first one warms up
        }
        let request = Request::get(path)
            .header("cookie", cookie)
            .header("host", "stillair.test")
            .body(Body::empty())?;
        let response = router.clone().oneshot(request).await?;
        if !response.status().is_success() {
            return Err(format!("{path}: {}", response.status()).into());
        }
        bytes = response.into_body().collect().await?.to_bytes().len();
    }
    Ok((bytes, start.elapsed() / ROUNDS))
}

/// What the parts of a bench take.
fn parts(plan: &Plan, out: &mut impl std::io::Write) -> Done<()> {
    let setup = plan.setup_by_code("V-S007").ok_or("no such setup")?;
    let pass = plan.passes_of_setup(&setup.id).into_iter().next();
    let facts = Facts::of(plan, setup, pass);
    let scene = scene(&facts, vec![3, 4]);
    let mut part = |name: &str, work: &dyn Fn()| {
        let start = Instant::now();
        (0..ROUNDS).for_each(|_| work());
        let each = start.elapsed() / ROUNDS;
        writeln!(out, "  {name:14} {:8.3} ms", each.as_secs_f64() * 1000.0)
    };
    part("figures", &|| drop(black_box(figures(plan, setup, pass))))?;
    part("findings", &|| drop(black_box(giveaways(&facts))))?;
    for (name, form) in [
        ("wide drawing", Form::Wide),
        ("narrow drawing", Form::Narrow),
    ] {
        part(name, &|| drop(black_box(plan_and_elevation(&scene, form))))?;
    }
    let drawing = plan_and_elevation(&scene, Form::Wide);
    part("svg", &|| drop(black_box(svg(&drawing, "wide"))))?;
    Ok(())
}
