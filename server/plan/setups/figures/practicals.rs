//! Practicals: resistors, hours from the cells, their light against the key, what leaves by a fibre.

use super::{
    Told, figure,
    further::{BlankOf, Further, of},
    light,
};
use crate::{
    journal::record::Entry,
    plan::{
        setups::{
            facts::{Facts, Gap},
            standing::Standing,
        },
        stores::stage::Piece,
    },
    web::parts::Figure,
};
use stillair_calc::{
    Calculate as _, Worked,
    figure::{found, given, significant},
    practicals::{
        Balance, BatteryRuntime, FibreAcceptance, FibreIlluminance, FibreThroughput,
        LedIlluminance, LedResistor, led::Resistor,
    },
};

/// Core and cladding of plastic fibre.
const CORE: f64 = 1.492;
const CLADDING: f64 = 1.402;
/// Loss of plastic fibre, from memory: 0.15 to 0.25 dB/m.
const LOSS_DB_PER_M: f64 = 0.2;
/// Share of a cell that is used; common practice.
const USABLE: f64 = 0.75;
/// Where a practical's light is compared with the key; a hand's breadth ahead.
const AHEAD_M: f64 = 0.1;

/// The ledger.
pub const LEDGER: Further = Further {
    id: "practicals",
    title: "Practicals",
    closed: "no light burns inside a piece",
    needed: |facts| lit(facts).next().is_some(),
    openers: &[],
    blanks,
    figures: ledger,
};

/// Pieces with a light inside, each once.
fn lit<'f, 'a>(facts: &'f Facts<'a>) -> impl Iterator<Item = (&'f Standing<'a>, &'a Entry<Piece>)> {
    let mut seen = Vec::new();
    facts.things.iter().filter_map(move |t| {
        let piece = t.piece?;
        let burns = piece.led_count.is_some_and(|n| n > 0)
            || piece.practical_cd.is_some()
            || piece.fibre_flux_lm.is_some();
        if !burns || seen.contains(&&piece.id) {
            return None;
        }
        seen.push(&piece.id);
        Some((t, piece))
    })
}

fn blanks<'a>(facts: &Facts<'a>) -> Vec<BlankOf<'a>> {
    lit(facts)
        .take(2)
        .flat_map(|(_, piece)| {
            of(
                Some(piece),
                &[
                    "led_count",
                    "led_forward_v",
                    "led_current_ma",
                    "supply_v",
                    "cell_capacity_mah",
                    "practical_cd",
                    "emitter_mm",
                    "real_emitter_mm",
                    "fibre_flux_lm",
                    "fibre_core_mm",
                    "fibre_length_m",
                ],
            )
        })
        .collect()
}

/// The light whose source reads largest against a real one: its standing, story size and the real one's, in millimetres.
///
/// # Errors
/// What is not written.
pub fn emitter<'f, 'a>(
    facts: &'f Facts<'a>,
) -> Result<(&'f Standing<'a>, &'a Entry<Piece>, f64, f64), Gap> {
    let scale = facts.get("scale_denominator")?;
    let one = lit(facts).find(|(_, p)| p.emitter_mm.is_some() && p.real_emitter_mm.is_some());
    let (t, piece) = one.ok_or_else(|| Gap::Impossible("No light has its size written.".into()))?;
    Ok((
        t,
        piece,
        facts.number_of(piece, "emitter_mm")? * scale,
        facts.number_of(piece, "real_emitter_mm")?,
    ))
}

fn resistor(facts: &Facts<'_>, piece: &Entry<Piece>) -> Result<Worked<Resistor>, Gap> {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "declared from 0 to 200"
    )]
    let leds = facts.number_of(piece, "led_count")?.max(1.0) as u32;
    Ok(LedResistor {
        supply_v: facts.number_of(piece, "supply_v")?,
        forward_v: facts.number_of(piece, "led_forward_v")?,
        leds_in_series: leds,
        current_ma: facts.number_of(piece, "led_current_ma")?,
    }
    .work()?)
}

fn ledger(facts: &Facts<'_>) -> Vec<Figure> {
    lit(facts)
        .take(2)
        .flat_map(|(t, piece)| of_piece(facts, t, piece))
        .collect()
}

fn of_piece(facts: &Facts<'_>, t: &Standing<'_>, piece: &Entry<Piece>) -> Vec<Figure> {
    let (ring, called) = (t.ring.to_string(), t.called());
    let mut all = Vec::new();
    if piece.led_count.is_some_and(|n| n > 0) {
        all.push(figure(
            facts,
            &format!("resistor-{ring}"),
            &ring,
            &format!("{called}: resistor"),
            "Ω",
            |f| {
                let worked = resistor(f, piece)?;
                let words = format!(
                    "Fit {} Ω of the E24 row, rated {} W; then {} mA flow. One for each string.",
                    given(worked.next_e24_ohm),
                    significant(worked.resistor_rating_w, 2),
                    significant(worked.current_with_e24_ma, 3)
                );
                Ok(Told::by(found(worked.resistance_ohm), &worked, words))
            },
        ));
        all.push(figure(facts, &format!("runtime-{ring}"), &ring, &format!("{called}: burns for"), "h", |f| {
            let worked = BatteryRuntime {
                capacity_mah: f.number_of(piece, "cell_capacity_mah")?,
                current_ma: resistor(f, piece)?.current_with_e24_ma,
                usable_fraction: USABLE,
                converter_efficiency: 1.0,
                load_v: None,
                battery_v: None,
            }
            .work()?;
            Ok(Told::by(significant(worked.runtime_h, 2), &worked, "Three quarters of the cells used (common practice); cold halves it (common practice). Never charge it in the model."))
        }));
    }
    if piece.practical_cd.is_some() {
        all.push(figure(
            facts,
            &format!("balance-{ring}"),
            &ring,
            &format!("{called}: against the key"),
            "stops",
            |f| {
                let light_at = LedIlluminance {
                    intensity_cd: f.number_of(piece, "practical_cd")?,
                    distance_m: AHEAD_M,
                    incidence_deg: 0.0,
                }
                .work()?;
                let worked = Balance {
                    practical_lx: light_at.illuminance_lx,
                    key_lx: light::key_lx(f)?,
                }
                .work()?;
                let words = format!(
                    "On something {} mm ahead, {} lx; nearer by half is two stops more.",
                    found(AHEAD_M * 1000.0),
                    significant(light_at.illuminance_lx, 2)
                );
                Ok(Told::by(
                    significant(worked.stops_against_key, 2),
                    &worked,
                    words,
                ))
            },
        ));
    }
    if piece.emitter_mm.is_some() {
        all.push(figure(
            facts,
            &format!("emitter-{ring}"),
            &ring,
            &format!("{called}: its light reads as"),
            "mm",
            |f| {
                let (scale, own) = (
                    f.get("scale_denominator")?,
                    f.number_of(piece, "emitter_mm")?,
                );
                let shown = significant(own * scale, 2);
                let words = match piece.real_emitter_mm {
                    Some(real) => format!(
                        "A real one is {} mm: mask it to {} mm.",
                        given(real),
                        significant(real / scale, 2)
                    ),
                    None => "Say how wide a real one is, and it says how far to mask it.".into(),
                };
                Ok(Told::new(
                    shown.clone(),
                    format!("{} × {} = {shown}", given(own), given(scale)),
                    words,
                    "",
                ))
            },
        ));
    }
    if piece.fibre_flux_lm.is_some() {
        all.push(fibre(facts, &ring, called, piece));
    }
    all
}

fn fibre(facts: &Facts<'_>, ring: &str, called: &str, piece: &Entry<Piece>) -> Figure {
    figure(
        facts,
        &format!("fibre-{ring}"),
        ring,
        &format!("{called}: leaves by each fibre"),
        "lm",
        |f| {
            let through = FibreThroughput {
                source_lm: f.number_of(piece, "fibre_flux_lm")?,
                source_coverage: 1.0,
                core_index: CORE,
                cladding_index: CLADDING,
                length_m: f.number_of(piece, "fibre_length_m")?,
                attenuation_db_per_m: LOSS_DB_PER_M,
                air_ends: 2,
            }
            .work()?;
            let out = through.output_lm;
            let opens = FibreAcceptance {
                core_index: CORE,
                cladding_index: CLADDING,
            }
            .work()?;
            let spot = FibreIlluminance {
                output_lm: out,
                numerical_aperture: opens.numerical_aperture.min(1.0),
                distance_m: AHEAD_M,
            }
            .work()?;
            let shown = significant(out, 2);
            let words = format!(
                "Caught, at both ends, along the way (0.2 dB/m, from memory), if the core covers the source. {} lx on something {} mm ahead, over {} mm.",
                significant(spot.on_axis_lx, 2),
                found(AHEAD_M * 1000.0),
                significant(spot.spot_diameter_m.0 * 1000.0, 2)
            );
            Ok(Told::by(shown, &through, words))
        },
    )
}
