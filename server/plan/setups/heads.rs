//! The head of the bench: its passes, the chosen one's large figures, and what the title block says.

use super::{
    facts::Facts,
    figures::Figures,
    pages::href,
    setup::{MOVES, Pass, Setup},
    words::{in_words, pass_name, word},
};
use crate::{
    journal::record::Entry,
    plan::cut::shot::Shot,
    web::{
        page::{Desk, cell},
        sheet::{Sheet, Tab},
    },
};

/// A pass in the row at the head of the bench.
pub struct PassTab {
    pub href: String,
    pub name: String,
    pub set: String,
    pub moves: String,
    pub here: bool,
}

/// A big figure.
pub struct Big {
    pub name: &'static str,
    pub value: String,
    pub unit: String,
}

/// The frame of the bench.
pub fn bench_sheet(desk: &Desk, setup: &Entry<Setup>, shots: &str) -> Sheet {
    let plan = &desk.plan;
    let named = |shot: &Entry<Shot>| match &*shot.name {
        "" => shot.code.to_string(),
        name => format!("{} “{name}”", shot.code),
    };
    let serves: Vec<_> = plan
        .shots_of_setup(&setup.id)
        .into_iter()
        .map(named)
        .collect();
    let serves = if serves.is_empty() {
        "Serves no shot yet.".to_owned()
    } else {
        format!("Serves {}.", in_words(&serves))
    };
    let place = if setup.place.is_empty() {
        String::new()
    } else {
        format!(" {}.", setup.place.trim_end_matches('.'))
    };
    let scale = setup.scale_denominator.map_or_else(String::new, |s| {
        format!(" 1:{}.", crate::journal::field::plain(s))
    });
    let sheet = desk.sheet(
        Tab::Setups,
        format!("{} {}", setup.code, setup.name),
        format!("{serves}{place}{scale}"),
    );
    let shots = if shots.is_empty() {
        "no shot yet"
    } else {
        shots
    };
    Sheet {
        cells: vec![cell("Serves", shots), cell("Scale of drawing", "see bar")],
        remarks: Some(crate::plan::remarks::short(plan, setup.id.as_str())),
        ..sheet
    }
}

/// The setup's passes.
pub fn pass_tabs(desk: &Desk, setup: &Entry<Setup>, chosen: Option<&Entry<Pass>>) -> Vec<PassTab> {
    let plan = &desk.plan;
    let tab = |pass: &Entry<Pass>| {
        let facts = Facts::of(plan, setup, Some(pass));
        let worked = super::figures::time::ledger(&facts);
        let run = worked
            .iter()
            .find(|f| f.id == "f-run")
            .filter(|f| !f.value.is_empty())
            .map(|f| format!(", {} s", f.value))
            .unwrap_or_default();
        let fps = facts.find("shoot_fps").map_or_else(
            || "no rate yet".into(),
            |n| format!("{} fps", crate::journal::field::plain(n)),
        );
        let stop = facts.find("f_number").map_or_else(String::new, |n| {
            format!(", f/{}", crate::journal::field::plain(n))
        });
        PassTab {
            href: href(desk, setup, Some(&pass.id)),
            name: pass_name(plan, pass),
            set: format!("{fps}{stop}{run}"),
            moves: if pass.note.is_empty() {
                word(MOVES, &pass.moves).to_owned()
            } else {
                pass.note.to_string()
            },
            here: chosen.is_some_and(|c| c.id == pass.id),
        }
    };
    plan.passes_of_setup(&setup.id)
        .into_iter()
        .map(tab)
        .collect()
}

/// The figures that are asked for aloud.
pub fn big(facts: &Facts<'_>, worked: &Figures) -> Vec<Big> {
    let plain = |name: &'static str| {
        facts
            .find(name)
            .map_or_else(|| "—".into(), stillair_calc::figure::given)
    };
    let value = |id: &str| {
        worked
            .get(id)
            .filter(|f| !f.value.is_empty())
            .map_or_else(|| "—".into(), |f| f.value.clone())
    };
    let sharp = match (value("near"), value("far")) {
        (near, far) if far == "to infinity" => format!("{near} to ∞"),
        (near, far) => format!("{near} to {far}"),
    };
    let mut all = vec![
        Big {
            name: "camera",
            value: plain("shoot_fps"),
            unit: "fps".into(),
        },
        Big {
            name: "stop",
            value: format!("f/{}", plain("f_number")),
            unit: String::new(),
        },
        Big {
            name: "focus, mark",
            value: plain("focus_from_mark_mm"),
            unit: "mm".into(),
        },
        Big {
            name: "sharp",
            value: sharp,
            unit: "mm".into(),
        },
        Big {
            name: "rig speed",
            value: value("rig-speed"),
            unit: "mm/s".into(),
        },
        Big {
            name: "used",
            value: value("run"),
            unit: "s".into(),
        },
        Big {
            name: "key",
            value: value("key"),
            unit: "lx".into(),
        },
        Big {
            name: "haze",
            value: value("haze"),
            unit: "per m".into(),
        },
    ];
    // What the rig is asked aloud stands here only where something is driven.
    let driven = [("dial", "dial"), ("start mark", "start-mark")];
    let known = driven.into_iter().filter_map(|(name, id)| {
        let figure = worked.get(id).filter(|f| !f.value.is_empty())?;
        Some(Big {
            name,
            value: figure.value.clone(),
            unit: figure.unit.clone(),
        })
    });
    all.splice(5..5, known);
    all
}
