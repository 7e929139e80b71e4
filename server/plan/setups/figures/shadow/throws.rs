//! What a flag throws as it stands, and the flag that throws what is wanted.

use super::{Pair, Told, common, figure, mm, pair, ray, ring, source_mm, stands, step};
use crate::{
    plan::setups::facts::{Facts, Gap},
    web::parts::Figure,
};
use stillair_calc::{
    Calculate as _, Worked,
    figure::{given, significant},
    shadow::{FlagForShadow, pass},
};

/// Width, edge and full shadow of a flag; of one that is not the first, the width alone.
pub(super) fn as_it_stands(facts: &Facts<'_>, p: Pair<'_, '_>, first: bool) -> Vec<Figure> {
    let ring = p.flag.ring.to_string();
    let id = |name: &str| {
        if first {
            name.to_owned()
        } else {
            format!("{name}-{ring}")
        }
    };
    let called = p.flag.called();
    let width = figure(
        facts,
        &id("shadow"),
        &ring,
        &format!("Shadow of {called}"),
        "mm",
        |f| {
            let (worked, ray) = (stands(f, p)?, ray(p)?);
            let shown = common::taped(mm(worked.half_level_width_m));
            let aslant = if ray.aslant_deg < 5.0 {
                String::new()
            } else {
                format!(
                    " It strikes {}° aslant: along the beam the table draws it out {} times.",
                    significant(ray.aslant_deg, 2),
                    significant(1.0 / ray.aslant_deg.to_radians().cos(), 2)
                )
            };
            Ok(Told::new(
                shown.clone(),
                format!(
                    "{} × ({to_flag} + {}) ÷ {to_flag} = {shown}",
                    given(p.flag.size().width_mm),
                    step(ray.to_set_mm),
                    to_flag = step(ray.to_flag_mm)
                ),
                format!("Across the ray, to half its darkness.{aslant}"),
                "similar triangles",
            ))
        },
    );
    let edge = figure(
        facts,
        &id("shadow-edge"),
        &ring,
        "Its soft edge, each side",
        "mm",
        |f| {
            let (worked, ray) = (stands(f, p)?, ray(p)?);
            let shown = common::taped(mm(worked.edge_width_m));
            Ok(Told::new(
                shown.clone(),
                format!(
                    "{} × {} ÷ {} = {shown}",
                    given(source_mm(f, p)?),
                    step(ray.to_set_mm),
                    step(ray.to_flag_mm)
                ),
                "The lamp’s source over the way to the flag, times the way on to the set. A gel on a frame is the source; haze shows edges softer than the floor does.",
                "similar triangles; published eclipse geometry",
            ))
        },
    );
    if !first {
        return vec![width, edge];
    }
    let full = figure(
        facts,
        "shadow-full",
        &ring,
        "It is fully dark over",
        "mm",
        |f| {
            let (worked, ray) = (stands(f, p)?, ray(p)?);
            if worked.umbra_over_flag > 0.0 {
                let shown = common::taped(mm(worked.umbra_width_m));
                return Ok(Told::new(
                    shown.clone(),
                    format!(
                        "{} − {} = {shown}",
                        step(mm(worked.half_level_width_m)),
                        step(mm(worked.edge_width_m))
                    ),
                    "Width less the soft edge.",
                    worked.source,
                ));
            }
            // It is fully dark somewhere while the flag stands lower than w ÷ s of the whole ray.
            let under_mm = p.flag.size().width_mm / source_mm(f, p)?
                * ray.whole_mm()
                * ray.aslant_deg.to_radians().cos();
            let mut told = Told::new("0", "", "The soft edges meet.", worked.source);
            told.over = format!(
                "No full shadow is left: {} % of the light stays at its middle. Hold the flag under {} mm over the set.",
                significant(worked.centre_level * 100.0, 2),
                common::taped(under_mm)
            );
            Ok(told)
        },
    );
    vec![width, edge, full]
}

fn for_shadow(facts: &Facts<'_>, p: Pair<'_, '_>) -> Result<Worked<pass::Flag>, Gap> {
    Ok(FlagForShadow {
        shadow_width_m: facts.get("shadow_width_mm")? / 1000.0,
        lamp_diameter_m: source_mm(facts, p)? / 1000.0,
        lamp_height_m: ray(p)?.whole_mm() / 1000.0,
        edge_width_m: facts.get("shadow_edge_mm")? / 1000.0,
    }
    .work()?)
}

/// The flag that throws the shadow that is wanted.
pub(super) fn wanted(facts: &Facts<'_>) -> Vec<Figure> {
    let ring = ring(facts);
    vec![
        figure(
            facts,
            "flag-wanted",
            &ring,
            "Flag wanted, wide",
            "mm",
            |f| {
                let p = pair(f)?;
                let worked = for_shadow(f, p)?;
                let shown = common::taped(worked.flag_width_m * 1000.0);
                let source = given(source_mm(f, p)?);
                let mut told = Told::new(
                    shown.clone(),
                    format!(
                        "{} × {source} ÷ ({source} + {}) = {shown}",
                        given(f.get("shadow_width_mm")?),
                        given(f.get("shadow_edge_mm")?)
                    ),
                    format!(
                        "For the width and edge wanted; the one that stands is {} mm.",
                        given(p.flag.size().width_mm)
                    ),
                    worked.source,
                );
                if worked.warnings.contains(&"umbra_gone") {
                    told.over =
                        "The edge wanted is wider than the shadow: no full shadow is left.".into();
                }
                Ok(told)
            },
        ),
        figure(
            facts,
            "flag-height",
            &ring,
            "Flag held over the set",
            "mm",
            |f| {
                let p = pair(f)?;
                let worked = for_shadow(f, p)?;
                let ray = ray(p)?;
                let upright = ray.aslant_deg.to_radians().cos();
                let shown = common::taped(worked.flag_height_m * 1000.0 * upright);
                let edge = given(f.get("shadow_edge_mm")?);
                Ok(Told::new(
                    shown.clone(),
                    format!(
                        "{edge} × {} ÷ ({} + {edge}) × cos({}°) = {shown}",
                        step(ray.whole_mm()),
                        given(source_mm(f, p)?),
                        step(ray.aslant_deg)
                    ),
                    format!(
                        "In the same ray; it stands at {}. Keep the lamp maker’s distance.",
                        common::taped(ray.to_set_mm * upright)
                    ),
                    worked.source,
                ))
            },
        ),
    ]
}
