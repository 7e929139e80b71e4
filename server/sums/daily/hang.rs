//! Line load and trim; swing and settling.

use crate::{
    sums::{
        aims::Aim,
        ask::{Ask, Gap, Given, ask, choose},
        sum::{Came, Draws, Results, Sum},
    },
    web::parts::Caution,
};
use std::sync::OnceLock;
use stillair_calc::{
    Calculate, Worked,
    drawing::sum::chart::{Axis, Chart, Curve, Level, Mark, sampled},
    figure::{fixed, found},
    suspension::{
        BeamTwoVerticalLines, Heave, Knot, KnotEfficiency, LineMargin, LogDecrement, Pendulum,
        SettleTime, Trim,
    },
};

pub static LOAD: Sum = Sum {
    slug: "line-load",
    title: "Line load and trim",
    about: "A model on two lines: what each carries, how much is in hand, how it trims and how fast it bounces.",
    aim: Aim::Hang,
    words: "wire tension breaking strength knot margin filament stretch trim weight hanging monofilament braid",
    make_asks: load_asks,
    kept_asks: OnceLock::new(),
    work: load,
};

pub static SETTLE: Sum = Sum {
    slug: "settle",
    title: "Swing and settle",
    about: "How long a hung model swings, how that plays on screen, and how long to wait after a move.",
    aim: Aim::Hang,
    words: "pendulum period swing decay wait still settle damping count amplitude",
    make_asks: settle_asks,
    kept_asks: OnceLock::new(),
    work: settle,
};

/// The caution beside anything that hangs.
pub fn overhead() -> Caution {
    Caution {
        head: "Hung loads".into(),
        body: "Planning figures only. Nobody under a load. Overhead rigging is a qualified rigger’s work under local rules: a competent person checks every line, knot and anchor before it is lifted, and again after any change. Near-invisible line has little in hand: cut out what is nicked, and hang a second, independent line where people pass.".into(),
        ..Caution::default()
    }
}

/// The caution beside anything that runs.
pub fn moving_rig() -> Caution {
    Caution {
        head: "Moving rigs".into(),
        body: "Nobody in the path of a rig; hands, hair and sleeves clear of drums and lines. Guards and a stop button on anything that runs, and one person who calls the move.".into(),
        ..Caution::default()
    }
}

const KNOTS: &[(&str, &str)] = &[
    ("unknown", "Any other, or not known"),
    ("clinch_on_monofilament", "Clinch, on monofilament"),
    ("bowline", "Bowline"),
    ("clove_hitch", "Clove hitch"),
    ("overhand", "Overhand"),
    ("eye_splice", "Eye splice"),
];

fn load_asks() -> Vec<Ask> {
    vec![
        ask::<Trim>("mass_kg").label("Model").usually(0.8),
        ask::<Trim>("distance1_m").label("Weight to first line, level").shown_in("mm"),
        ask::<Trim>("distance2_m").label("Weight to second line").shown_in("mm"),
        ask::<Trim>("line1_length_m").label("First line"),
        ask::<Trim>("line2_length_m").label("Second line"),
        ask::<Trim>("line1_diameter_mm").called("line_diameter_mm").label("Both lines, across").usually(0.35),
        ask::<Trim>("modulus_gpa").label("Stiffness of the line").hint("Monofilament about 2.5, braid 50 and more, steel 200; the maker’s figure outranks these."),
        ask::<LineMargin>("breaking_load_n").label("New line breaks at").usually(80.0),
        choose("knot", "Knot", KNOTS),
        ask::<LineMargin>("dynamic_factor").label("Highest pull over the pull at rest").hint("1 at rest, 2 when let go or snatched."),
    ]
}

fn trim(g: &Given) -> Result<(Trim, Worked<<Trim as Calculate>::Answer>), Gap> {
    let across = g.get("line_diameter_mm")?;
    let trim = Trim {
        mass_kg: g.get("mass_kg")?,
        distance1_m: g.get("distance1_m")?,
        distance2_m: g.get("distance2_m")?,
        line1_length_m: g.get("line1_length_m")?,
        line2_length_m: g.get("line2_length_m")?,
        line1_diameter_mm: across,
        line2_diameter_mm: across,
        modulus_gpa: g.get("modulus_gpa")?,
    };
    let worked = trim.work()?;
    Ok((trim, worked))
}

fn beam(
    g: &Given,
) -> Result<
    (
        BeamTwoVerticalLines,
        Worked<<BeamTwoVerticalLines as Calculate>::Answer>,
    ),
    Gap,
> {
    let beam = BeamTwoVerticalLines {
        mass_kg: g.get("mass_kg")?,
        distance1_m: g.get("distance1_m")?,
        distance2_m: g.get("distance2_m")?,
    };
    let worked = beam.work()?;
    Ok((beam, worked))
}

fn knot(g: &Given) -> Result<Knot, Gap> {
    let word = g.word("knot")?;
    Ok(Knot::ALL
        .iter()
        .copied()
        .find(|knot| knot.as_str() == word)
        .unwrap_or(Knot::Unknown))
}

fn margin(
    g: &Given,
    tension_n: f64,
) -> Result<(LineMargin, Worked<<LineMargin as Calculate>::Answer>), Gap> {
    let margin = LineMargin {
        static_tension_n: tension_n,
        breaking_load_n: g.get("breaking_load_n")?,
        knot_efficiency: KnotEfficiency { knot: knot(g)? }.work()?.efficiency,
        dynamic_factor: g.get("dynamic_factor")?,
    };
    let worked = margin.work()?;
    Ok((margin, worked))
}

/// Times stronger than the worst pull under which a line is refused, and from which it is good; common practice, from memory.
const REFUSED: f64 = 5.0;

fn load(given: &Given) -> Results {
    let figures = vec![
        given.figure("first", "First line carries", "N", |g| {
            let (beam, worked) = beam(g)?;
            Ok(Came::number(worked.tension1_n).because(&beam, &worked))
        }),
        given.figure("second", "Second line carries", "N", |g| Ok(Came::number(beam(g)?.1.tension2_n))),
        given.figure("margin", "In hand, worst line", "×", |g| {
            let (_, tensions) = beam(g)?;
            let (margin, worked) = margin(g, tensions.tension1_n.max(tensions.tension2_n))?;
            let came = Came::number(worked.margin).because(&margin, &worked);
            Ok(if worked.margin < REFUSED {
                came.over("Refuse it for anything that matters: stronger line, a better knot, or more lines.")
            } else {
                came
            })
        }),
        given.figure("trim", "Trims by", "°", |g| {
            let (trim, worked) = trim(g)?;
            Ok(Came::number(worked.trim_deg).because(&trim, &worked).words("First end down when positive."))
        }),
        given.figure("take-up", "Take the first line up by", "mm", |g| Ok(Came::number(trim(g)?.1.take_up_mm))),
        given.figure("stretch", "Lines stretch", "mm", |g| {
            let (_, trim) = trim(g)?;
            Ok(Came::words_only(format!("{} and {}", crate::sums::sum::earned(trim.stretch1_mm, "mm", g.units), crate::sums::sum::earned(trim.stretch2_mm, "mm", g.units))))
        }),
        given.figure("heave", "It bounces", "Hz", |g| {
            let (_, trim) = trim(g)?;
            let heave = Heave { static_stretch_mm: f64::midpoint(trim.stretch1_mm, trim.stretch2_mm), bumps_per_turn: 1.0, amplification_limit: 2.0 };
            let worked = heave.work()?;
            Ok(Came::number(worked.heave_hz).because(&heave, &worked).words(format!(
                "Keep drums away from {} to {} turns a minute.",
                found(worked.avoid_from_rpm.round()),
                found(worked.avoid_to_rpm.round())
            )))
        }),
    ];
    Results {
        figures,
        cautions: vec![overhead()],
        ..Results::default()
    }
}

fn settle_asks() -> Vec<Ask> {
    vec![
        ask::<Pendulum>("length_m")
            .label("Drop of line")
            .shown_in("mm")
            .usually(1.24),
        ask::<stillair_calc::scale_time::ApparentGravity>("shoot_fps").label("Camera"),
        ask::<stillair_calc::scale_time::ApparentGravity>("base_fps")
            .label("Cut runs at")
            .usually(25.0),
        ask::<LogDecrement>("amplitude_start")
            .label("Counted: it swung")
            .unit("mm"),
        ask::<LogDecrement>("amplitude_end")
            .label("and then")
            .unit("mm"),
        ask::<LogDecrement>("cycles").label("after so many swings"),
        ask::<SettleTime>("amplitude_start_mm").label("After a move it swings"),
        ask::<SettleTime>("amplitude_target_mm")
            .label("Still enough at")
            .hint("Half a photosite on the model is still."),
    ]
}

fn pendulum(g: &Given) -> Result<(Pendulum, Worked<<Pendulum as Calculate>::Answer>), Gap> {
    let pendulum = Pendulum {
        length_m: g.get("length_m")?,
        gravity_mps2: stillair_calc::scale_time::GRAVITY_MPS2,
        amplitude_deg: 0.0,
        rate_factor_k: g.get("shoot_fps")? / g.get("base_fps")?,
    };
    let worked = pendulum.work()?;
    Ok((pendulum, worked))
}

fn decrement(
    g: &Given,
) -> Result<(LogDecrement, Worked<<LogDecrement as Calculate>::Answer>), Gap> {
    let decrement = LogDecrement {
        amplitude_start: g.get("amplitude_start")?,
        amplitude_end: g.get("amplitude_end")?,
        cycles: g.get("cycles")?,
    };
    let worked = decrement.work()?;
    Ok((decrement, worked))
}

fn settling(g: &Given) -> Result<(SettleTime, Worked<<SettleTime as Calculate>::Answer>), Gap> {
    let settle = SettleTime {
        period_s: pendulum(g)?.1.period_s,
        log_decrement: decrement(g)?.1.log_decrement,
        amplitude_start_mm: g.get("amplitude_start_mm")?,
        amplitude_target_mm: g.get("amplitude_target_mm")?,
    };
    let worked = settle.work()?;
    Ok((settle, worked))
}

fn settle(given: &Given) -> Results {
    let figures = vec![
        given.figure("swing", "Swing, there and back", "s", |g| {
            let (pendulum, worked) = pendulum(g)?;
            Ok(Came::number(worked.period_s).because(&pendulum, &worked))
        }),
        given.figure("screen", "On screen", "s", |g| {
            Ok(Came::number(pendulum(g)?.1.screen_period_s)
                .words("A large thing swings slowly: this is what the eye weighs it by."))
        }),
        given.figure("decrement", "Each swing loses", "%", |g| {
            let (decrement, worked) = decrement(g)?;
            Ok(Came::number((1.0 - (-worked.log_decrement).exp()) * 100.0)
                .because(&decrement, &worked))
        }),
        given.figure("wait", "Wait", "s", |g| {
            let (settle, worked) = settling(g)?;
            Ok(Came::number(worked.settle_time_s).because(&settle, &worked))
        }),
        given.figure("swings", "That is", "swings", |g| {
            Ok(Came::number(settling(g)?.1.cycles))
        }),
    ];
    Results {
        figures,
        cautions: vec![overhead()],
        drawing: decay(given).ok(),
        legend: "The swing dying away after the move, and its envelope.",
    }
}

fn decay(g: &Given) -> Result<Draws, Gap> {
    let (settle, worked) = settling(g)?;
    let (period, start, target) = (
        settle.period_s,
        settle.amplitude_start_mm,
        settle.amplitude_target_mm,
    );
    let to = worked.settle_time_s * 1.12;
    if to <= 0.0 || !to.is_finite() {
        return Err(Gap::Impossible(String::new()));
    }
    let size = |s: f64| start * (-settle.log_decrement * s / period).exp();
    let swing = |s: f64| size(s) * (std::f64::consts::TAU * s / period).cos();
    // a drawing has room for so many swings; more would be a black field
    let shown = to.min(period * 45.0);
    let pieces = 900;
    let chart = Chart {
        about: "Swing after the move".into(),
        x: Axis::up_to("After the move", "s", to),
        y: Axis {
            name: "Swing".into(),
            unit: "mm".into(),
            from: -start,
            to: start,
        },
        curves: vec![
            Curve {
                name: String::new(),
                points: sampled(0.0, to, 80, size),
                beside: true,
            },
            Curve {
                name: String::new(),
                points: sampled(0.0, to, 80, |s| -size(s)),
                beside: true,
            },
            Curve {
                name: String::new(),
                points: sampled(0.0, shown, pieces, swing),
                beside: false,
            },
        ],
        levels: vec![Level {
            y: target,
            name: "still enough".into(),
        }],
        marks: vec![Mark {
            x: worked.settle_time_s,
            y: target,
            name: format!("{} s", fixed(worked.settle_time_s, 0)),
        }],
    };
    Ok(Box::new(move |width| chart.drawn(width)))
}
