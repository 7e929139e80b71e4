//! Usual cautions beside the sums of a family whose work can hurt someone.

use super::daily::{gels::heat, hang};
use crate::web::parts::Caution;

/// The caution of a family of calculations, if it needs one.
pub fn of_family(family: &str) -> Option<Caution> {
    match family {
        "haze-optics" | "haze-fill" | "air-limits" => Some(Caution {
            head: "Haze in the air".into(),
            body: "Keep it as low as the shot allows, tell everyone before a fill, read the safety data sheet, keep exits and steps in sight, wipe slippery floors. Over a limit nobody is in it without a protection programme run by a competent person, and a reading outranks any figure here. Dry ice takes the air’s place in low spots: nobody alone, oxygen and carbon dioxide watched.".into(),
            ..Caution::default()
        }),
        "suspension" => Some(hang::overhead()),
        "drive" => Some(hang::moving_rig()),
        "shadow" | "lamp-light" => Some(heat()),
        "power" => Some(Caution {
            head: "Electricity".into(),
            body: "Planning figures only: supplies, cables and earths are set up and tested by a licensed electrician under local codes. A breaker’s rating, a cable’s grouping and its heat come before any figure here. Keep water, haze fluid and damp set pieces off connections; residual-current protection on everything hands touch.".into(),
            ..Caution::default()
        }),
        "practicals" => Some(Caution {
            head: "Cells and small circuits".into(),
            body: "Lithium cells burn when shorted, crushed, pierced or charged wrongly: a protected cell, a fuse at the cell, the charger made for it, charged on something that does not burn and never alone. Nothing on mains inside a model but by a licensed electrician.".into(),
            ..Caution::default()
        }),
        "dust" => Some(Caution {
            head: "Dust and vapour".into(),
            body: "Extraction at the tool, wet where it can be, and a mask that a competent person has fitted. Sanded plaster, stone and fillers can hold silica; cast resins and sprayed foams give off vapours that sensitise. Read the safety data sheet; a measurement outranks any figure here.".into(),
            ..Caution::default()
        }),
        "materials" => Some(Caution {
            head: "Casting, carving, lifting".into(),
            body: "Setting plaster gets hot enough to burn: never cast a hand or any part of a body in it. Hot wire gives off fumes: extract them. Guards on blades, eyes and ears covered. Two people from 25 kg, a planned lift from 50 kg.".into(),
            ..Caution::default()
        }),
        "projection" => Some(Caution {
            head: "Bright beams".into(),
            body: "Nobody looks into a projector’s lens or a laser, nor into what a mirror throws back; keep the beam above or below eyes near the lens, and shut it while people are in the picture. Laser projectors follow their class and local rules.".into(),
            ..Caution::default()
        }),
        _ => None,
    }
}
