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
        haze::{day::haze_day, rulers::drawn_day},
        setups::{facts::Facts, figures::figures, giveaway::giveaways, scene::scene},
    },
    store::Store,
    web::svg::svg,
};
use stillair_calc::drawing::{
    haze::haze_day as draw_haze,
    lens_view::lens_view,
    setup::{Form, plan_and_elevation},
};
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
    place(&store, &plan).await?;
    hazed_day(&store, &plan).await?;
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
    crowded(&router, &out_of, &cookie, &mut out).await?;
    haze(&out_of, &mut out)?;
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
            json!({"camera": camera.as_str(), "name": "crop", "sensor_width_mm": 24, "sensor_height_mm": 10, "photosites_across": 3840, "highest_fps": 120}),
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

/// Things on the table of the crowded setup.
const THINGS: u32 = 40;
const CROWDED: &str = "V-S009";

/// Fills one table: models, pieces, lamps with flags, a tile field, a backing, lines and a drive.
async fn place(store: &Store, plan: &Id) -> Done<()> {
    let now = store.plan(plan).await?.ok_or("no plan")?;
    let setup = now.setup_by_code(CROWDED).ok_or("no such setup")?;
    let (piece, tile, lamp, line, drive) = (Id::new(), Id::new(), Id::new(), Id::new(), Id::new());
    let mut ops = vec![
        Op::insert(
            "piece",
            piece.clone(),
            json!({"name": "block", "kind": "set_piece", "length_mm": 120, "width_mm": 80, "height_mm": 160, "mass_g": 90, "finest_detail_mm": 0.4}),
        ),
        Op::insert(
            "piece",
            tile.clone(),
            json!({"name": "tile", "kind": "tile", "length_mm": 60, "width_mm": 60, "height_mm": 4}),
        ),
        Op::insert(
            "lamp",
            lamp.clone(),
            json!({"name": "lamp", "source_diameter_mm": 90, "beam_deg": 20, "flicker_hz": 100, "flicker_depth": 0.1}),
        ),
        Op::insert(
            "filament",
            line.clone(),
            json!({"name": "line", "diameter_mm": 0.08, "breaking_n": 12, "modulus_gpa": 400, "knot": "unknown"}),
        ),
        Op::insert(
            "drive",
            drive.clone(),
            json!({"name": "drive", "drum_diameter_mm": 40, "dial_slow": 30, "speed_slow_mm_per_s": 128, "dial_fast": 70, "speed_fast_mm_per_s": 318}),
        ),
    ];
    let mut lamps: Vec<Id> = Vec::new();
    for at in 0..THINGS {
        let id = Id::new();
        let kind = match at {
            0 => "tiles",
            1 => "backing",
            n if n % 5 == 2 => "lamp",
            n if n % 5 == 3 => "flag",
            n if n % 5 == 4 => "model",
            _ => "piece",
        };
        let n = f64::from(at);
        let mut fields = json!({"setup": setup.id.as_str(), "kind": kind, "name": format!("thing {at}"), "order_key": format!("a{at:02}1"),
            "x_mm": 800.0 + 40.0 * n, "y_mm": 60.0 * (n % 13.0) - 360.0, "z_mm": if kind == "lamp" { 700.0 } else if kind == "flag" { 300.0 } else { 0.0 }, "heading_deg": 7.0 * n});
        match kind {
            "lamp" => {
                fields["lamp"] = lamp.as_str().into();
                fields["throw_mm"] = json!(900);
                fields["tilt_deg"] = json!(-40);
                lamps.push(id.clone());
            }
            "flag" => {
                if let Some(lamp) = lamps.last() {
                    fields["shades"] = lamp.as_str().into();
                }
            }
            "tiles" => {
                fields["piece"] = tile.as_str().into();
                fields["length_mm"] = json!(1500);
                fields["width_mm"] = json!(1000);
            }
            "backing" => {}
            _ => fields["piece"] = piece.as_str().into(),
        }
        ops.push(Op::insert("placement", id, fields));
    }
    let rest = json!({"filament": line.as_str(), "drive": drive.as_str(), "driven": "pulley", "line_drop_mm": 1200, "line_spread_mm": 30, "rail_tape_mm": 500,
        "rail_height_mm": 1400, "swing_first_mm": 20, "swing_last_mm": 8, "swing_count": 9});
    let number = now.number();
    ops.extend(
        rest.as_object()
            .into_iter()
            .flatten()
            .map(|(field, value)| Op::set(setup.id.clone(), field, number, value.clone())),
    );
    write(store, plan, ops).await
}

/// Setups of the day whose haze is drawn.
const HAZED: usize = 40;

/// Puts setups on one stage day.
async fn hazed_day(store: &Store, plan: &Id) -> Done<()> {
    let now = store.plan(plan).await?.ok_or("no plan")?;
    let (stage, day) = (Id::new(), Id::new());
    let mut ops = vec![
        Op::insert(
            "stage",
            stage.clone(),
            json!({"name": "Stage 1", "volume_m3": 420, "extract_per_h": 4}),
        ),
        Op::insert(
            "day",
            day.clone(),
            json!({"name": "Haze", "stage": stage.as_str()}),
        ),
    ];
    for (n, setup) in now.setups_in_order().into_iter().take(HAZED).enumerate() {
        let fields = json!({"day": day.as_str(), "setup": setup.id.as_str(), "order_key": format!("a{n:03}1")});
        ops.push(Op::insert("day_setup", Id::new(), fields));
    }
    write(store, plan, ops).await
}

/// A day of haze: reckoned and drawn.
fn haze(plan: &Plan, out: &mut impl std::io::Write) -> Done<()> {
    let days = plan.days_in_order();
    let id = &days.first().ok_or("no day")?.id;
    let mut each = |name: &str, work: &dyn Fn()| {
        let start = Instant::now();
        (0..ROUNDS).for_each(|_| work());
        writeln!(
            out,
            "{name} {:8.3} ms",
            (start.elapsed() / ROUNDS).as_secs_f64() * 1000.0
        )
    };
    let day = haze_day(plan, id).ok_or("no day")?;
    let top_ups = day.course.top_ups.len();
    each(
        &format!("haze of {HAZED} setups, {top_ups} top-ups: reckoned"),
        &|| {
            drop(black_box(haze_day(plan, id)));
        },
    )?;
    each("  and its curves drawn", &|| {
        let drawn = drawn_day(plan, &day, str::to_owned);
        drop(black_box(svg(&draw_haze(&drawn), "haze")));
    })?;
    Ok(())
}

/// The bench with a crowded table: its time, its size as it travels, and what a held thing asks for.
async fn crowded(
    router: &axum::Router,
    plan: &Plan,
    cookie: &str,
    out: &mut impl std::io::Write,
) -> Done<()> {
    let path = format!("/plans/{}/setups/{CROWDED}", plan.id);
    let (bytes, mean) = time(router, &path, cookie).await?;
    let pressed = {
        let request = Request::get(&path)
            .header("cookie", cookie)
            .header("host", "stillair.test")
            .header("accept-encoding", "gzip, br")
            .body(Body::empty())?;
        router
            .clone()
            .oneshot(request)
            .await?
            .into_body()
            .collect()
            .await?
            .to_bytes()
            .len()
    };
    writeln!(
        out,
        "{THINGS} things       {:8.3} ms of server time, {} kB, {} kB as it travels",
        mean.as_secs_f64() * 1000.0,
        bytes / 1000,
        pressed / 1000
    )?;
    Ok(())
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
    let setup = plan.setup_by_code(CROWDED).ok_or("no such setup")?;
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
    part("lens view", &|| {
        drop(black_box(lens_view(&scene, Form::Wide)));
    })?;
    let drawing = plan_and_elevation(&scene, Form::Wide);
    part("svg", &|| drop(black_box(svg(&drawing, "wide"))))?;
    Ok(())
}
