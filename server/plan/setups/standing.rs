//! What stands in a setup: each placement with what it is in stores, its number ring, and its size from one or the other.

use super::placement::Placement;
use crate::{
    journal::record::Entry,
    plan::{
        Plan,
        setups::setup::Setup,
        stores::{
            kit::{Lamp, Projector},
            stage::Piece,
        },
    },
};
use stillair_calc::drawing::scene::{Place, Size};

/// First number ring of a thing: those before belong to parts of every bench.
const FIRST_RING: u32 = 6;
/// The ring of the water's end, which no thing takes.
const WATER_RING: u32 = 13;

/// A thing on the table.
#[derive(Clone, Copy)]
pub struct Standing<'a> {
    /// Its number, the same on every part of the sheet.
    pub ring: u32,
    /// Where it stands.
    pub entry: &'a Entry<Placement>,
    /// What it is in stores, if it is a model, piece or tile.
    pub piece: Option<&'a Entry<Piece>>,
    /// What it is in stores, if it is a lamp.
    pub lamp: Option<&'a Entry<Lamp>>,
    /// What it is in stores, if it is a projector.
    pub projector: Option<&'a Entry<Projector>>,
}

/// Everything that stands in a setup, in the order of its number rings.
pub fn standing<'a>(plan: &'a Plan, setup: &'a Entry<Setup>) -> Vec<Standing<'a>> {
    let rings = (FIRST_RING..).filter(|ring| *ring != WATER_RING);
    let things = plan.placements_of_setup(&setup.id);
    let studio = &plan.studio;
    rings
        .zip(things)
        .map(|(ring, entry)| Standing {
            ring,
            entry,
            piece: entry.piece.as_ref().and_then(|id| studio.pieces.get(id)),
            lamp: entry.lamp.as_ref().and_then(|id| studio.lamps.get(id)),
            projector: entry
                .projector
                .as_ref()
                .and_then(|id| studio.projectors.get(id)),
        })
        .collect()
}

impl<'a> Standing<'a> {
    /// What the crew calls it: here, else in stores, else what it is.
    pub fn called(&self) -> &'a str {
        let stored = [
            self.piece.map(|p| &*p.name),
            self.lamp.map(|l| &*l.name),
            self.projector.map(|p| &*p.name),
        ];
        let own = (!self.entry.name.is_empty()).then_some(&*self.entry.name);
        own.or_else(|| stored.into_iter().flatten().next())
            .unwrap_or_else(|| self.kind_word())
    }

    /// What it is, as its blank shows it.
    pub fn kind_word(&self) -> &'static str {
        super::words::word(super::placement::KIND, &self.entry.kind)
    }

    /// Whether it is of this kind.
    pub fn is(&self, kind: &str) -> bool {
        &*self.entry.kind == kind
    }

    /// Where it stands; what is not taped yet stands where its blank says in pencil.
    pub fn place(&self) -> Place {
        Place {
            x_mm: self.entry.x_mm.unwrap_or(START_X_MM),
            y_mm: self.entry.y_mm.unwrap_or(0.0),
            z_mm: self.entry.z_mm.unwrap_or(0.0),
        }
    }

    /// How large it is: as written here, else as in stores, else as such a thing usually is.
    pub fn size(&self) -> Size {
        let usual = usual_size(&self.entry.kind);
        let piece = self.piece.map(|p| &p.record);
        let one =
            |own: Option<f64>, stored: Option<f64>, usual: f64| own.or(stored).unwrap_or(usual);
        Size {
            length_mm: one(
                self.entry.length_mm,
                piece.and_then(|p| p.length_mm),
                usual.length_mm,
            ),
            width_mm: one(
                self.entry.width_mm,
                piece.and_then(|p| p.width_mm),
                usual.width_mm,
            ),
            height_mm: one(
                self.entry.height_mm,
                piece.and_then(|p| p.height_mm),
                usual.height_mm,
            ),
        }
    }

    /// The scale it is built at: its own, else that of the piece in stores.
    pub fn scale_denominator(&self) -> Option<f64> {
        self.entry
            .scale_denominator
            .or_else(|| self.piece.and_then(|p| p.scale_denominator))
    }
}

/// Where a thing stands that is not taped yet, as its blank says in pencil.
const START_X_MM: f64 = 1000.0;

/// Size of a thing that neither the setup nor stores give one. Common practice, no source.
fn usual_size(kind: &str) -> Size {
    let (length_mm, width_mm, height_mm) = match kind {
        "model" => (80.0, 50.0, 40.0),
        "lamp" | "projector" => (160.0, 120.0, 120.0),
        "flag" => (4.0, 200.0, 200.0),
        "backing" => (4.0, 1200.0, 800.0),
        "net" => (2.0, 1000.0, 700.0),
        "tiles" => (1000.0, 800.0, 2.0),
        _ => (100.0, 100.0, 100.0),
    };
    Size {
        length_mm,
        width_mm,
        height_mm,
    }
}
